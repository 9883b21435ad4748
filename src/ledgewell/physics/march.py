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

from ledgewell.physics.compiled import borrowing, compiled

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
RATE, LEVEL = 0, 1
"""Kinds of a segment: a pump rate is set, or the level is held on a straight line."""
SETTLED, UNSETTLED = 0, 1
"""What the march returns: every balance solved, or one that would not close."""
TOP, AREA, ABOVE = 0, 1, 2
"""Columns of a hole, a row for each stretch: its top [m], its free area [m²], the volume above it [m³]."""
SHARE, DEPTH, HEAD, MEMORY, INFLOW = 0, 1, 2, 3, 4
"""Columns of the mouths, a row for each fracture from the top down: share of the rock, depth [m], static head [m],
what its stores hold [m], inflow over share [m³/s]."""
_SWEEPS = 200
_SWEEPS_EASY = 6


@compiled
def hole_of(bounds: Floats, areas: Floats) -> Floats:
    """Hole by stretch, from the bounds and the free areas between them."""
    hole = np.zeros((areas.size, 3))
    for m in range(areas.size):
        hole[m, TOP] = bounds[m]
        hole[m, AREA] = areas[m]
        if m > 0:
            hole[m, ABOVE] = hole[m - 1, ABOVE] + (bounds[m] - bounds[m - 1]) * areas[m - 1]
    return hole


@borrowing
def stretch_at(hole: Floats, depth: float) -> int:
    """Place of the stretch that a depth lies in; the first goes on above the hole, the last below it."""
    place = 0
    while place < hole.shape[0] - 1 and depth >= hole[place + 1, TOP]:
        place += 1
    return place


@borrowing
def volume_to(hole: Floats, depth: float) -> float:
    """Free volume from the top of the hole to a depth."""
    m = stretch_at(hole, depth)
    return float(hole[m, ABOVE] + (depth - hole[m, TOP]) * hole[m, AREA])


@borrowing
def depth_at(hole: Floats, volume: float) -> float:
    """Depth down to which the hole must be emptied, from its top, to give a volume."""
    m = 0
    while m < hole.shape[0] - 1 and volume >= hole[m + 1, ABOVE]:
        m += 1
    return float(hole[m, TOP] + (volume - hole[m, ABOVE]) / hole[m, AREA])


@borrowing
def drained_at(level: float, mouths: Floats) -> int:
    """Number of fractures, from the top down, that lie at or above a level."""
    drained = 0
    while drained < mouths.shape[0] and mouths[drained, DEPTH] <= level:
        drained += 1
    return drained


@borrowing
def fill_inflows(
    level: float, exposed: int, mouths: Floats, resistance: float, loss: float
) -> tuple[float, float]:
    """Fill the inflow of every fracture, the first `exposed` of them drained; return their sum and its slope.

    Submerged, a fracture gives or takes; exposed, it only gives.
    """
    total = 0.0
    slope = 0.0
    for i in range(mouths.shape[0]):
        drive = (mouths[i, DEPTH] if i < exposed else level) - mouths[i, HEAD] - mouths[i, MEMORY]
        if loss > 0.0:
            q = 2.0 * drive / (resistance + sqrt(resistance * resistance + 4.0 * loss * abs(drive)))
        else:
            q = drive / resistance
        if i < exposed:
            q = max(q, 0.0)
        else:
            slope += mouths[i, SHARE] / (resistance + 2.0 * loss * abs(q))
        mouths[i, INFLOW] = q
        total += mouths[i, SHARE] * q
    return total, slope


@borrowing
def balance(
    level: float,
    exposed: int,
    weight: float,
    target: float,
    hole: Floats,
    mouths: Floats,
    resistance: float,
    loss: float,
) -> tuple[float, float]:
    """Volume taken from the hole plus the step's inflow by its end, less what must be; rises with the level."""
    total, slope = fill_inflows(level, exposed, mouths, resistance, loss)
    m = stretch_at(hole, level)
    value = hole[m, ABOVE] + (level - hole[m, TOP]) * hole[m, AREA] + weight * total - target
    return value, hole[m, AREA] + weight * slope


@borrowing
def level_in_regime(
    guess: float,
    exposed: int,
    weight: float,
    target: float,
    hole: Floats,
    mouths: Floats,
    resistance: float,
    loss: float,
) -> tuple[float, int]:
    """Root of the balance with a given number of drained fractures, by Newton within a closing bracket."""
    low, high = -1e300, 1e300
    level = guess
    for _ in range(_SWEEPS):
        value, slope = balance(level, exposed, weight, target, hole, mouths, resistance, loss)
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
            fill_inflows(after, exposed, mouths, resistance, loss)
            return after, SETTLED
        level = after
    return level, UNSETTLED


@borrowing
def solve_step(
    guess: float,
    exposed: int,
    weight: float,
    target: float,
    hole: Floats,
    mouths: Floats,
    resistance: float,
    loss: float,
) -> tuple[float, int, int]:
    """Level at the end of a step and the number of fractures drained there; fills their inflow."""
    count = mouths.shape[0]
    for _ in range(2 * count + 2):
        level, state = level_in_regime(guess, exposed, weight, target, hole, mouths, resistance, loss)
        if state == UNSETTLED:
            return level, exposed, UNSETTLED
        if exposed < count and level > mouths[exposed, DEPTH]:
            wet, dry = exposed, exposed + 1
            edge = mouths[wet, DEPTH]
            value, _slope = balance(edge, dry, weight, target, hole, mouths, resistance, loss)
            if value < 0.0:
                exposed, guess = dry, level
                continue
        elif exposed > 0 and level < mouths[exposed - 1, DEPTH]:
            wet, dry = exposed - 1, exposed
            edge = mouths[wet, DEPTH]
            value, _slope = balance(edge, wet, weight, target, hole, mouths, resistance, loss)
            if value > 0.0:
                exposed, guess = wet, level
                continue
            value, _slope = balance(edge, dry, weight, target, hole, mouths, resistance, loss)
        else:
            return level, exposed, SETTLED
        # The level stands at the fracture's mouth: it takes just what closes the balance.
        mouths[wet, INFLOW] -= value / (weight * mouths[wet, SHARE])
        return edge, wet, SETTLED
    return guess, exposed, UNSETTLED


@borrowing
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


@borrowing
def easy_step(
    level: float,
    exposed: int,
    weight: float,
    target: float,
    hole: Floats,
    mouths: Floats,
    resistance: float,
    loss: float,
) -> tuple[float, bool]:
    """Level at the end of a step when no bound or mouth comes between: one linear equation, or a few with loss."""
    count = mouths.shape[0]
    place = stretch_at(hole, level)
    top, area = hole[place, TOP], hole[place, AREA]
    fixed = target - hole[place, ABOVE] + area * top
    after = level
    found = False
    for _ in range(_SWEEPS_EASY):
        flow = 0.0
        slope = 0.0
        found = True
        for i in range(count):
            q = mouths[i, INFLOW]
            lost = loss * abs(q)
            steep = 1.0 / (resistance + 2.0 * lost)
            behind = mouths[i, HEAD] + mouths[i, MEMORY] - lost * q
            if i < exposed:
                new = max((mouths[i, DEPTH] - behind) * steep, 0.0)
                found = found and loss * (new - q) * (new - q) <= 1e-15 * (new * resistance + 1e-9)
                mouths[i, INFLOW] = new
                flow += mouths[i, SHARE] * new
            else:
                flow -= mouths[i, SHARE] * behind * steep
                slope += mouths[i, SHARE] * steep
        after = (fixed - weight * flow) / (area + weight * slope)
        for i in range(exposed, count):
            q = mouths[i, INFLOW]
            lost = loss * abs(q)
            new = (after - mouths[i, HEAD] - mouths[i, MEMORY] + lost * q) / (resistance + 2.0 * lost)
            found = found and loss * (new - q) * (new - q) <= 1e-15 * (abs(new) * resistance + 1e-9)
            mouths[i, INFLOW] = new
        if found:
            break
    found = found and (place == hole.shape[0] - 1 or after < hole[place + 1, TOP])
    found = found and (place == 0 or after >= top)
    found = found and (exposed == count or after <= mouths[exposed, DEPTH])
    found = found and (exposed == 0 or after >= mouths[exposed - 1, DEPTH])
    return after, found


@borrowing
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


@borrowing
def begun(level: float, kind: int, level_from: float, taken: float, hole: Floats) -> tuple[float, float]:
    """Level and volume taken once a segment has begun: a volume taken at once, or the level set to the held one."""
    if taken == 0.0 and (kind == RATE or level == level_from):
        return level, 0.0
    before = volume_to(hole, level)
    if kind == LEVEL:
        return level_from, volume_to(hole, level_from) - before
    return depth_at(hole, before + taken), taken


@borrowing
def fade_stores(stored: Floats, mouths: Floats, fade: Floats, old: Floats, c: int, moved: bool) -> float:
    """Let the stores leak over a step and add what the inflow at its start leaves; return that inflow.

    After a jump there is no inflow to go on from.
    """
    inflow = 0.0
    for i in range(mouths.shape[0]):
        q = 0.0 if moved else mouths[i, INFLOW]
        inflow += mouths[i, SHARE] * q
        for j in range(stored.shape[1]):
            stored[i, j] = fade[c, j] * stored[i, j] + old[c, j] * q
        mouths[i, MEMORY] = row_sum(stored, i)
    return inflow


@borrowing
def load_stores(stored: Floats, mouths: Floats, added: Floats, c: int) -> None:
    """Add to the stores what a class of step leaves of the inflow at its end."""
    for i in range(mouths.shape[0]):
        q = mouths[i, INFLOW]
        for j in range(stored.shape[1]):
            stored[i, j] += added[c, j] * q


@borrowing
def stopped_at(
    level: float, weight: float, target: float, hole: Floats, mouths: Floats, resistance: float, loss: float
) -> tuple[int, float]:
    """Fractures drained at a level the step must end at, and what must leave the hole for that; fills the inflow."""
    drained = drained_at(level, mouths)
    inflow, _slope = fill_inflows(level, drained, mouths, resistance, loss)
    return drained, volume_to(hole, level) + weight * inflow - target


@borrowing
def pumped_step(
    level: float,
    exposed: int,
    weight: float,
    target: float,
    given: float,
    intake: float,
    spill: float,
    hole: Floats,
    mouths: Floats,
    resistance: float,
    loss: float,
) -> tuple[float, int, float, int]:
    """Level at the end of a step of set rate, fractures drained there, what left the hole, and whether it settled.

    The pump holds the level at its intake and takes nothing while the level is below it; what would rise above the
    edge spills.
    """
    drained, state = exposed, SETTLED
    stop, found = easy_step(level, exposed, weight, target + given, hole, mouths, resistance, loss)
    if not found:
        stop, drained, state = solve_step(
            level, exposed, weight, target + given, hole, mouths, resistance, loss
        )
    if given > 0.0 and stop > intake and state == SETTLED:
        stop, drained, state = solve_step(level, exposed, weight, target, hole, mouths, resistance, loss)
        given = 0.0
        if stop < intake:
            stop = intake
            drained, given = stopped_at(stop, weight, target, hole, mouths, resistance, loss)
    if stop < spill and state == SETTLED:
        stop = spill
        drained, given = stopped_at(stop, weight, target, hole, mouths, resistance, loss)
    return stop, drained, given, state


@borrowing
def take_steps(
    hole: Floats,
    mouths: Floats,
    stored: Floats,
    fade: Floats,
    old: Floats,
    new: Floats,
    through_class: Floats,
    loss: float,
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
    """Take every step from the level and the inflow at the start; fill what `march` fills."""
    level = level_out[0]
    exposed = drained_at(level, mouths)
    moved = False
    for i in range(mouths.shape[0]):
        moved = moved or mouths[i, INFLOW] != 0.0
    segment = -1
    into = 0.0
    for k in range(step_segment.size):
        c = step_class[k]
        seconds = class_seconds[c]
        taken_out[k] = 0.0
        if step_segment[k] != segment:
            segment = step_segment[k]
            into = 0.0
            taken = segment_taken[segment] - segment_drain[segment] * max(level, 0.0)
            after, taken = begun(level, segment_kind[segment], segment_from[segment], taken, hole)
            taken_out[k] = taken
            if after != level or taken != 0.0:
                level, exposed, moved = after, drained_at(after, mouths), True
        into += seconds
        # How long the inflow at the step's end counts; in the first step after a jump it stands for the whole step.
        weight = 0.5 * seconds
        through = through_class[c]
        if moved:
            weight = seconds
            for j in range(stored.shape[1]):
                through += old[c, j]
        inflow_old = fade_stores(stored, mouths, fade, old, c, moved)
        target = volume_to(hole, level) - weight * inflow_old
        if segment_kind[segment] == RATE:
            given = seconds * segment_from[segment]
            after, exposed, given, state = pumped_step(
                level, exposed, weight, target, given, intake, spill, hole, mouths, through, loss
            )
            if state == UNSETTLED:
                return UNSETTLED
        else:
            share = min(into / segment_seconds[segment], 1.0)
            after = segment_from[segment] + share * (segment_to[segment] - segment_from[segment])
            exposed, given = stopped_at(after, weight, target, hole, mouths, through, loss)
        load_stores(stored, mouths, new, c)
        if moved:
            load_stores(stored, mouths, old, c)
        inflow_out[k + 1] = 0.0
        for i in range(mouths.shape[0]):
            flux_out[k, 1, i] = mouths[i, SHARE] * mouths[i, INFLOW]
            flux_out[k, 0, i] = flux_out[k, 1, i] if moved else (flux_out[k - 1, 1, i] if k > 0 else 0.0)
            inflow_out[k + 1] += flux_out[k, 1, i]
        level = after
        level_out[k + 1] = level
        pumped_out[k] = given
        moved = False
    return SETTLED


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
    through = np.full(classes, held)
    fill_classes(weights, rates, tc, resistance, class_seconds, fade, old, new, through)
    hole = hole_of(bounds, areas)
    mouths = np.zeros((count, 5))
    mouths[:, SHARE] = shares
    mouths[:, DEPTH] = depths
    mouths[:, HEAD] = heads
    stored = np.zeros((count, stores))
    level_out[0] = start_level
    inflow_out[0] = 0.0
    fill_inflows(start_level, drained_at(start_level, mouths), mouths, held, loss)
    return take_steps(
        hole, mouths, stored, fade, old, new, through, loss, intake, spill,
        segment_kind, segment_from, segment_to, segment_taken, segment_drain, segment_seconds,
        step_segment, step_class, class_seconds, level_out, inflow_out, pumped_out, taken_out, flux_out,
    )  # fmt: skip
