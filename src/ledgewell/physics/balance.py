"""The water balance of one step, compiled: what leaves the hole and what the fractures give must close.

Hole and fractures are tables, so that few arrays pass between functions. Within a step inflow over share, q, is
linear in the level of a fracture's mouth; the balance rises with the level and has one root.

Symbols: q is a fracture's inflow over its share (Q/f) [m³/s]; h the depth to water [m].
"""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.compiled import borrowing, compiled

Floats = NDArray[np.float64]
SETTLED, UNSETTLED = 0, 1
"""Whether the balance of a step was solved, or would not close."""
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
