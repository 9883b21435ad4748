"""The coupled march of hole and fractures, compiled: one pass over the steps, cost steps × stores.

Within a step every fracture's inflow is linear in time, so the march is second order; in the first step after the
level was moved at once (a bail, a drop pipe that drains back, a level set) the inflow has no value at its start to
go on from, and is constant. Each step solves one monotone scalar balance for the level at its end. The plain NumPy
march in `march_plain` is the oracle.

Symbols: q is a fracture's inflow over its share (Q/f) [m³/s]; X its stores [m]; h the depth to water [m].
"""

from __future__ import annotations

from math import exp, sqrt

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.compiled import compiled, inlined

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
RATE, LEVEL = 0, 1
"""Kinds of a segment: a pump rate is set, or the level is held on a straight line."""
SETTLED, UNSETTLED = 0, 1
"""What the march returns: every balance solved, or one that would not close."""
_SWEEPS = 200
_SWEEPS_EASY = 6


@compiled
def volume_to(bounds: Floats, areas: Floats, depth: float) -> float:
    """Free volume from the first bound to a depth."""
    volume = (depth - bounds[0]) * areas[0]
    for m in range(1, areas.size):
        if depth > bounds[m]:
            volume += (depth - bounds[m]) * (areas[m] - areas[m - 1])
    return float(volume)


@compiled
def depth_at(bounds: Floats, areas: Floats, volume: float) -> float:
    """Depth down to which the hole must be emptied, from its first bound, to give a volume."""
    above = 0.0
    for m in range(areas.size - 1):
        here = (bounds[m + 1] - bounds[m]) * areas[m]
        if volume < above + here:
            return float(bounds[m] + (volume - above) / areas[m])
        above += here
    return float(bounds[areas.size - 1] + (volume - above) / areas[areas.size - 1])


@compiled
def area_at(bounds: Floats, areas: Floats, depth: float) -> float:
    """Free area at a depth."""
    area = areas[0]
    for m in range(1, areas.size):
        if depth >= bounds[m]:
            area = areas[m]
    return float(area)


@compiled
def drained_at(level: float, depths: Floats) -> int:
    """Number of fractures, from the top down, that lie at or above a level."""
    drained = 0
    while drained < depths.size and depths[drained] <= level:
        drained += 1
    return drained


@compiled
def flux(
    level: float, exposed: bool, depth: float, head: float, memory: float, resistance: float, loss: float
) -> float:
    """Inflow over share of one fracture at a level: submerged it gives or takes, exposed it only gives."""
    drive = (depth if exposed else level) - head - memory
    if loss > 0.0:
        q = 2.0 * drive / (resistance + sqrt(resistance * resistance + 4.0 * loss * abs(drive)))
    else:
        q = drive / resistance
    if exposed and q < 0.0:
        return 0.0
    return q


@compiled
def fluxes(
    level: float,
    exposed: int,
    depths: Floats,
    heads: Floats,
    memory: Floats,
    resistance: float,
    loss: float,
    shares: Floats,
    q: Floats,
) -> tuple[float, float]:
    """Fill q for every fracture, the first `exposed` of them drained; return total inflow and its slope."""
    total = 0.0
    slope = 0.0
    for i in range(shares.size):
        q[i] = flux(level, i < exposed, depths[i], heads[i], memory[i], resistance, loss)
        total += shares[i] * q[i]
        if i >= exposed:
            slope += shares[i] / (resistance + 2.0 * loss * abs(q[i]))
    return total, slope


@compiled
def balance(
    level: float,
    exposed: int,
    half: float,
    target: float,
    bounds: Floats,
    areas: Floats,
    depths: Floats,
    heads: Floats,
    memory: Floats,
    resistance: float,
    loss: float,
    shares: Floats,
    q: Floats,
) -> tuple[float, float]:
    """Volume taken from the hole plus half the step's new inflow, less what must be; rises with the level."""
    total, slope = fluxes(level, exposed, depths, heads, memory, resistance, loss, shares, q)
    value = volume_to(bounds, areas, level) + half * total - target
    return value, area_at(bounds, areas, level) + half * slope


@compiled
def level_in_regime(
    guess: float,
    exposed: int,
    half: float,
    target: float,
    bounds: Floats,
    areas: Floats,
    depths: Floats,
    heads: Floats,
    memory: Floats,
    resistance: float,
    loss: float,
    shares: Floats,
    q: Floats,
) -> tuple[float, int]:
    """Root of the balance with a given number of drained fractures, by Newton within a closing bracket."""
    low, high = -1e300, 1e300
    level = guess
    for _ in range(_SWEEPS):
        value, slope = balance(
            level, exposed, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
        )
        if value == 0.0:
            return level, SETTLED
        if value > 0.0:
            high = level
        else:
            low = level
        step = value / slope
        after = level - step
        if not (low < after < high):
            if low < -1e299 or high > 1e299:
                return level, SETTLED if abs(step) <= 1e-12 * (1.0 + abs(level)) else UNSETTLED
            after = 0.5 * (low + high)
        if abs(after - level) <= 2e-16 * abs(level) + 1e-15:
            level = after
            fluxes(level, exposed, depths, heads, memory, resistance, loss, shares, q)
            return level, SETTLED
        level = after
    return level, UNSETTLED


@compiled
def solve_step(
    guess: float,
    exposed: int,
    half: float,
    target: float,
    bounds: Floats,
    areas: Floats,
    depths: Floats,
    heads: Floats,
    memory: Floats,
    resistance: float,
    loss: float,
    shares: Floats,
    q: Floats,
) -> tuple[float, int, int]:
    """Level at the end of a step and the number of fractures drained there; fills q."""
    count = shares.size
    for _ in range(2 * count + 2):
        level, state = level_in_regime(
            guess, exposed, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
        )
        if state == UNSETTLED:
            return level, exposed, UNSETTLED
        if exposed < count and level > depths[exposed]:
            edge, wet, dry = depths[exposed], exposed, exposed + 1
            value, _slope = balance(
                edge, dry, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
            )
            if value < 0.0:
                exposed, guess = dry, level
                continue
        elif exposed > 0 and level < depths[exposed - 1]:
            edge, wet, dry = depths[exposed - 1], exposed - 1, exposed
            value, _slope = balance(
                edge, wet, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
            )
            if value > 0.0:
                exposed, guess = wet, level
                continue
            value, _slope = balance(
                edge, dry, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
            )
        else:
            return level, exposed, SETTLED
        # The level stands at the fracture's mouth: it takes just what closes the balance.
        q[wet] -= value / (half * shares[wet])
        return edge, wet, SETTLED
    return guess, exposed, UNSETTLED


@compiled
def row_sum(table: Floats, i: int) -> float:
    """Sum of one row, in four strands so that additions overlap."""
    a = b = c = d = 0.0
    width = table.shape[1]
    whole = width - width % 4
    for j in range(0, whole, 4):
        a += table[i, j]
        b += table[i, j + 1]
        c += table[i, j + 2]
        d += table[i, j + 3]
    for j in range(whole, width):
        a += table[i, j]
    return (a + b) + (c + d)


@inlined
def easy_step(
    level: float,
    exposed: int,
    half: float,
    target: float,
    bounds: Floats,
    areas: Floats,
    depths: Floats,
    heads: Floats,
    memory: Floats,
    through: float,
    loss: float,
    shares: Floats,
    q: Floats,
) -> tuple[float, int, bool]:
    """Level at the end of a step when no bound or mouth comes between: one linear equation, or a few with loss."""
    count = shares.size
    above = 0.0
    upper = bounds[0]
    place = 0
    while place < areas.size - 1 and level >= bounds[place + 1]:
        above += (bounds[place + 1] - bounds[place]) * areas[place]
        place += 1
        upper = bounds[place]
    area = areas[place]
    fixed = target - above + area * upper
    after = level
    found = False
    for _ in range(_SWEEPS_EASY):
        flow = 0.0
        slope = 0.0
        still = True
        for i in range(count):
            lost = loss * abs(q[i])
            steep = 1.0 / (through + 2.0 * lost)
            if i < exposed:
                new = max((depths[i] - heads[i] - memory[i] + lost * q[i]) * steep, 0.0)
                still = still and loss * (new - q[i]) * (new - q[i]) <= 1e-15 * (abs(new) * through + 1e-9)
                q[i] = new
                flow += shares[i] * q[i]
            else:
                flow -= shares[i] * (heads[i] + memory[i] - lost * q[i]) * steep
                slope += shares[i] * steep
        after = (fixed - half * flow) / (area + half * slope)
        found = still
        for i in range(exposed, count):
            lost = loss * abs(q[i])
            new = (after - heads[i] - memory[i] + lost * q[i]) / (through + 2.0 * lost)
            found = found and loss * (new - q[i]) * (new - q[i]) <= 1e-15 * (abs(new) * through + 1e-9)
            q[i] = new
        if found:
            break
    found = (
        found and (place == areas.size - 1 or after < bounds[place + 1]) and (place == 0 or after >= upper)
    )
    found = found and (exposed == count or after <= depths[exposed])
    found = found and (exposed == 0 or after >= depths[exposed - 1])
    return after, exposed, found


@compiled
def level_after_step(
    level: float,
    exposed: int,
    half: float,
    target: float,
    bounds: Floats,
    areas: Floats,
    depths: Floats,
    heads: Floats,
    memory: Floats,
    through: float,
    loss: float,
    shares: Floats,
    q: Floats,
) -> tuple[float, int, int]:
    """Level at the end of a step of set rate: the easy way, or the sure one; fills q."""
    after, drained, found = easy_step(
        level, exposed, half, target, bounds, areas, depths, heads, memory, through, loss, shares, q
    )
    if found:
        return after, drained, SETTLED
    return solve_step(
        level, exposed, half, target, bounds, areas, depths, heads, memory, through, loss, shares, q
    )


@compiled
def fill_classes(
    weights: Floats,
    rates: Floats,
    tc: float,
    resistance: float,
    class_seconds: Floats,
    fade: Floats,
    old: Floats,
    new: Floats,
    through: Floats,
) -> None:
    """Fill, by class of step and store, what stays and what inflow at the step's start and end adds [m per m³/s].

    `through` [s/m²] is, by class, all that inflow at the end of the step adds at its end.
    """
    for c in range(class_seconds.size):
        seconds = class_seconds[c]
        twice = c > 0 and seconds == 2.0 * class_seconds[c - 1]
        for j in range(weights.size):
            x = rates[j] * seconds
            if x < 1e-5:
                full = resistance * weights[j] * seconds / tc
                fade[c, j] = exp(-x)
                old[c, j] = full * (0.5 - x / 3.0)
                new[c, j] = full * (0.5 - x / 6.0)
            else:
                rest = fade[c - 1, j] * fade[c - 1, j] if twice else exp(-x)
                mean = (1.0 - rest) / x
                full = resistance * weights[j] / (rates[j] * tc)
                fade[c, j] = rest
                old[c, j] = full * (mean - rest)
                new[c, j] = full * (1.0 - mean)
            through[c] += new[c, j]


@compiled
def begun(
    level: float, kind: int, level_from: float, taken: float, bounds: Floats, areas: Floats
) -> tuple[float, float]:
    """Level and volume taken once a segment has begun: a volume taken at once, or the level set to the held one."""
    if taken == 0.0 and (kind == RATE or level == level_from):
        return level, 0.0
    before = volume_to(bounds, areas, level)
    if kind == LEVEL:
        return level_from, volume_to(bounds, areas, level_from) - before
    return depth_at(bounds, areas, before + taken), taken


@compiled
def march(
    weights: Floats,
    rates: Floats,
    instantaneous: float,
    tc: float,
    resistance: float,
    skin: float,
    loss: float,
    shares: Floats,
    depths: Floats,
    heads: Floats,
    bounds: Floats,
    areas: Floats,
    start_level: float,
    intake: float,
    spill: float,
    segment_kind: Integers,
    segment_from: Floats,
    segment_to: Floats,
    segment_taken: Floats,
    segment_drain: Floats,
    segment_seconds: Floats,
    step_segment: Integers,
    step_class: Integers,
    class_seconds: Floats,
    level_out: Floats,
    inflow_out: Floats,
    pumped_out: Floats,
    taken_out: Floats,
    flux_out: Floats,
) -> int:
    """March one schedule; fill level, inflow, pumped and taken volume by step; return SETTLED or UNSETTLED.

    level_out [m] and inflow_out [m³/s, all fractures] hold one more row than there are steps (row 0: the start, before
    anything is done); pumped_out (what left by the pump or over the top) and taken_out [m³] are by step; flux_out
    [m³/s], shape (steps, 2, fractures), is each fracture's inflow at the step's start and end, linear between.
    Fractures are ordered from the top down.
    """
    stores, count, classes = weights.size, shares.size, class_seconds.size
    fade = np.empty((classes, stores))
    old = np.empty((classes, stores))
    new = np.empty((classes, stores))
    held = resistance * (instantaneous + skin)
    through_class = np.full(classes, held)
    fill_classes(weights, rates, tc, resistance, class_seconds, fade, old, new, through_class)

    stored = np.zeros((count, stores))
    memory = np.zeros(count)
    q = np.zeros(count)
    level = start_level
    exposed = drained_at(level, depths)
    level_out[0] = level
    inflow_out[0] = 0.0
    segment = -1
    into = 0.0
    fluxes(level, exposed, depths, heads, memory, held, loss, shares, q)
    moved = bool(np.any(q != 0.0))
    for k in range(step_segment.size):
        c = step_class[k]
        seconds = class_seconds[c]
        taken_out[k] = 0.0
        if step_segment[k] != segment:
            segment = step_segment[k]
            into = 0.0
            taken = segment_taken[segment] - segment_drain[segment] * max(level, 0.0)
            after, taken = begun(level, segment_kind[segment], segment_from[segment], taken, bounds, areas)
            taken_out[k] = taken
            if after != level or taken != 0.0:
                level, exposed, moved = after, drained_at(after, depths), True
        into += seconds
        # The share of the step's inflow that its end stands for; the first step after a jump is all end.
        half = 0.5 * seconds
        through = through_class[c]
        if moved:
            half = seconds
            for j in range(stores):
                through += old[c, j]
        inflow_old = 0.0
        for i in range(count):
            if moved:
                for j in range(stores):
                    stored[i, j] *= fade[c, j]
            else:
                flow = q[i]
                inflow_old += shares[i] * flow
                flux_out[k, 0, i] = shares[i] * flow
                for j in range(stores):
                    stored[i, j] = fade[c, j] * stored[i, j] + old[c, j] * flow
            memory[i] = row_sum(stored, i)
        volume = volume_to(bounds, areas, level)
        given = 0.0
        free = segment_kind[segment] == RATE
        if free:
            rate = segment_from[segment]
            given = seconds * rate
            target = volume - half * inflow_old
            stop, drained, state = level_after_step(
                level, exposed, half, target + given, bounds, areas, depths, heads, memory, through, loss, shares, q
            )  # fmt: skip
            if state == SETTLED and rate > 0.0 and stop > intake:
                # The pump holds the level at its intake; below it, it takes nothing.
                given = 0.0
                stop, drained, state = level_after_step(
                    level, exposed, half, target, bounds, areas, depths, heads, memory, through, loss, shares, q
                )  # fmt: skip
                if stop < intake:
                    stop = intake
                    free = False
            if state == UNSETTLED:
                return UNSETTLED
            if stop < spill:
                stop = spill
                free = False
        else:
            share = min(into / segment_seconds[segment], 1.0)
            stop = segment_from[segment] + share * (segment_to[segment] - segment_from[segment])
        if not free:
            drained = drained_at(stop, depths)
            fluxes(stop, drained, depths, heads, memory, through, loss, shares, q)
        level, exposed = stop, drained
        inflow_new = 0.0
        for i in range(count):
            flow = q[i]
            inflow_new += shares[i] * flow
            flux_out[k, 1, i] = shares[i] * flow
            for j in range(stores):
                stored[i, j] += new[c, j] * flow
            if moved:
                flux_out[k, 0, i] = shares[i] * flow
                for j in range(stores):
                    stored[i, j] += old[c, j] * flow
        moved = False
        pumped_out[k] = given
        if not free:
            pumped_out[k] = volume_to(bounds, areas, level) - volume + half * (inflow_old + inflow_new)
        level_out[k + 1] = level
        inflow_out[k + 1] = inflow_new
    return SETTLED
