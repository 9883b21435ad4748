"""The coupled march of hole and fractures, compiled: one pass over the steps, cost steps × stores.

Within a step every fracture's inflow is linear in time, so the march is second order. Each step solves one
monotone scalar balance for the level at its end. The plain NumPy march in `march_plain` is the oracle.

Symbols: q is a fracture's inflow over its share (Q/f) [m³/s]; X its stores [m]; h the depth to water [m].
"""

from __future__ import annotations

from math import exp, sqrt

import numpy as np

from ledgewell.physics.compiled import compiled, inlined

RATE, LEVEL = 0, 1
"""Kinds of a segment: a pump rate is set, or the level is held on a straight line."""
SETTLED, UNSETTLED = 0, 1
"""What the march returns: every balance solved, or one that would not close."""
_SWEEPS = 200
_SWEEPS_EASY = 6


@compiled
def volume_to(bounds, areas, depth):  # type: ignore[no-untyped-def]
    """Free volume from the first bound to a depth."""
    volume = (depth - bounds[0]) * areas[0]
    for m in range(1, areas.size):
        if depth > bounds[m]:
            volume += (depth - bounds[m]) * (areas[m] - areas[m - 1])
    return volume


@compiled
def depth_at(bounds, areas, volume):  # type: ignore[no-untyped-def]
    """Depth down to which the hole must be emptied, from its first bound, to give a volume."""
    above = 0.0
    for m in range(areas.size - 1):
        here = (bounds[m + 1] - bounds[m]) * areas[m]
        if volume < above + here:
            return bounds[m] + (volume - above) / areas[m]
        above += here
    return bounds[areas.size - 1] + (volume - above) / areas[areas.size - 1]


@compiled
def area_at(bounds, areas, depth):  # type: ignore[no-untyped-def]
    """Free area at a depth."""
    area = areas[0]
    for m in range(1, areas.size):
        if depth >= bounds[m]:
            area = areas[m]
    return area


@compiled
def flux(level, exposed, depth, head, memory, resistance, loss):  # type: ignore[no-untyped-def]
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
def fluxes(level, exposed, depths, heads, memory, resistance, loss, shares, q):  # type: ignore[no-untyped-def]
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
def balance(level, exposed, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q):  # type: ignore[no-untyped-def]
    """Volume taken from the hole plus half the step's new inflow, less what must be; rises with the level."""
    total, slope = fluxes(level, exposed, depths, heads, memory, resistance, loss, shares, q)
    value = volume_to(bounds, areas, level) + half * total - target
    return value, area_at(bounds, areas, level) + half * slope


@compiled
def level_in_regime(
    guess, exposed, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
):  # type: ignore[no-untyped-def]  # noqa: E501
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
    guess, exposed, half, target, bounds, areas, depths, heads, memory, resistance, loss, shares, q
):  # type: ignore[no-untyped-def]  # noqa: E501
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
def row_sum(table, i):  # type: ignore[no-untyped-def]
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
def easy_step(level, exposed, half, target, bounds, areas, depths, heads, memory, through, loss, shares, q):  # type: ignore[no-untyped-def]
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
def march(  # type: ignore[no-untyped-def]
    weights,
    rates,
    instantaneous,
    tc,
    resistance,
    skin,
    loss,
    shares,
    depths,
    heads,
    bounds,
    areas,
    start_level,
    intake,
    spill,
    segment_kind,
    segment_from,
    segment_to,
    segment_taken,
    segment_drain,
    segment_seconds,
    step_segment,
    step_class,
    class_seconds,
    level_out,
    inflow_out,
    pumped_out,
    taken_out,
    flux_out,
):
    """March one schedule; fill level, inflow, pumped and taken volume by step; return SETTLED or UNSETTLED.

    level_out and flux_out hold one more row than there are steps (row 0: the start); inflow_out [m³/s] is the
    total inflow at each row; pumped_out and taken_out [m³] are by step. Fractures are ordered from the top down.
    """
    stores, count, classes = weights.size, shares.size, class_seconds.size
    fade = np.empty((classes, stores))
    old = np.empty((classes, stores))
    new = np.empty((classes, stores))
    step_resistance = np.empty(classes)
    held = resistance * (instantaneous + skin)
    at_rest = np.empty(stores)
    for j in range(stores):
        at_rest[j] = resistance * weights[j] / (rates[j] * tc) if rates[j] > 0.0 else 0.0
    for c in range(classes):
        seconds = class_seconds[c]
        twice = c > 0 and seconds == 2.0 * class_seconds[c - 1]
        total = held
        for j in range(stores):
            x = rates[j] * seconds
            if x < 1e-5:
                full = resistance * weights[j] * seconds / tc
                fade[c, j] = exp(-x)
                old[c, j] = full * (0.5 - x / 3.0)
                new[c, j] = full * (0.5 - x / 6.0)
            else:
                rest = fade[c - 1, j] * fade[c - 1, j] if twice else exp(-x)
                mean = (1.0 - rest) / x
                full = at_rest[j]
                fade[c, j] = rest
                old[c, j] = full * (mean - rest)
                new[c, j] = full * (1.0 - mean)
            total += new[c, j]
        step_resistance[c] = total

    stored = np.zeros((count, stores))
    memory = np.zeros(count)
    q = np.zeros(count)
    q_old = np.zeros(count)
    level = start_level
    exposed = 0
    while exposed < count and depths[exposed] <= level:
        exposed += 1
    for i in range(count):
        flux_out[0, i] = 0.0
    level_out[0] = level
    inflow_out[0] = 0.0
    segment = -1
    into = 0.0
    for k in range(step_segment.size):
        c = step_class[k]
        seconds = class_seconds[c]
        half = 0.5 * seconds
        taken_out[k] = 0.0
        if step_segment[k] != segment:
            segment = step_segment[k]
            into = 0.0
            taken = segment_taken[segment] - segment_drain[segment] * max(level, 0.0)
            jump = taken != 0.0
            if jump:
                level = depth_at(bounds, areas, volume_to(bounds, areas, level) + taken)
                taken_out[k] = taken
            if segment_kind[segment] == LEVEL and level != segment_from[segment]:
                taken_out[k] += volume_to(bounds, areas, segment_from[segment]) - volume_to(
                    bounds, areas, level
                )
                level = segment_from[segment]
                jump = True
            if jump:
                exposed = 0
                while exposed < count and depths[exposed] <= level:
                    exposed += 1
                for i in range(count):
                    memory[i] = row_sum(stored, i)
                fluxes(level, exposed, depths, heads, memory, held, loss, shares, q)
        into += seconds
        inflow_old = 0.0
        for i in range(count):
            q_old[i] = q[i]
            inflow_old += shares[i] * q[i]
            flow = q[i]
            for j in range(stores):
                stored[i, j] = fade[c, j] * stored[i, j] + old[c, j] * flow
            memory[i] = row_sum(stored, i)
        volume = volume_to(bounds, areas, level)
        through = step_resistance[c]
        if segment_kind[segment] == RATE:
            rate = segment_from[segment]
            target = volume + seconds * rate - half * inflow_old
            after, exposed_after, found = easy_step(
                level, exposed, half, target, bounds, areas, depths, heads, memory, through, loss, shares, q
            )
            if not found:
                after, exposed_after, state = solve_step(
                    level,
                    exposed,
                    half,
                    target,
                    bounds,
                    areas,
                    depths,
                    heads,
                    memory,
                    through,
                    loss,
                    shares,
                    q,
                )
                if state == UNSETTLED:
                    return UNSETTLED
            stop = after
            if after > intake and rate > 0.0:
                stop = intake
            if after < spill:
                stop = spill
            free = stop == after
        else:
            share = min(into / segment_seconds[segment], 1.0)
            stop = segment_from[segment] + share * (segment_to[segment] - segment_from[segment])
            free = False
            exposed_after = exposed
            after = stop
        if not free:
            exposed_after = 0
            while exposed_after < count and depths[exposed_after] <= stop:
                exposed_after += 1
            fluxes(stop, exposed_after, depths, heads, memory, through, loss, shares, q)
        level, exposed = stop, exposed_after
        inflow_new = 0.0
        for i in range(count):
            inflow_new += shares[i] * q[i]
            for j in range(stores):
                stored[i, j] += new[c, j] * q[i]
            flux_out[k + 1, i] = shares[i] * q[i]
        if free:
            pumped_out[k] = seconds * rate
        else:
            pumped_out[k] = volume_to(bounds, areas, level) - volume + half * (inflow_old + inflow_new)
        level_out[k + 1] = level
        inflow_out[k + 1] = inflow_new
    return SETTLED
