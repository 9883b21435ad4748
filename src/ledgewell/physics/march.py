"""The coupled march of hole and fractures, compiled: one pass over the steps, cost steps × stores.

Within a step every fracture's inflow is linear in time, so the march is second order. A step begins *anew*, its
inflow constant, where there is no value at its start to go on from or going on would make the inflow swing to and fro:
after the level was moved at once (a bail, a drop pipe that drains back, a level set), after the rate was changed when
the step is long against the time in which the hole follows the rock, and while the level stands at a fracture's mouth.
Each step solves one monotone scalar balance for the level at its end, in `balance`.
The plain NumPy march in `march_plain` is the oracle.
"""

from __future__ import annotations

from math import exp

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.balance import (
    AREA,
    DEPTH,
    HEAD,
    INFLOW,
    MEMORY,
    SETTLED,
    SHARE,
    UNSETTLED,
    depth_at,
    drained_at,
    fill_inflows,
    hole_of,
    pumped_step,
    stopped_at,
    stretch_at,
    volume_to,
)
from ledgewell.physics.compiled import borrowing, compiled

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
RATE, LEVEL = 0, 1
"""Kinds of a segment: a pump rate is set, or the level is held on a straight line."""


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
            if x < 0.01:
                # By series: the closed forms are small differences here, and a square of 1 − x forgets x.
                full = resistance * weights[j] * seconds / tc
                fade[c, j] = 1.0 - x * (1.0 + x * (-1 / 2 + x * (1 / 6 + x * (-1 / 24 + x * (1 / 120)))))
                old[c, j] = full * (0.5 + x * (-1 / 3 + x * (1 / 8 + x * (-1 / 30 + x * (1 / 144)))))
                new[c, j] = full * (0.5 + x * (-1 / 6 + x * (1 / 24 + x * (-1 / 120 + x * (1 / 720)))))
            else:
                rest = fade[c - 1, j] * fade[c - 1, j] if twice else exp(-x)
                fade[c, j] = rest
                mean = (1.0 - rest) / x
                full = resistance * weights[j] / (rates[j] * tc)
                old[c, j] = full * (mean - rest)
                new[c, j] = full * (1.0 - mean)
            through[c] += new[c, j]


@borrowing
def fade_stores(stored: Floats, mouths: Floats, fade: Floats, old: Floats, c: int, anew: bool) -> float:
    """Let the stores leak over a step and add what the inflow at its start leaves; return that inflow.

    Begun anew, there is no inflow to go on from.
    """
    inflow = 0.0
    for i in range(mouths.shape[0]):
        q = 0.0 if anew else mouths[i, INFLOW]
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
def begun(level: float, kind: int, level_from: float, taken: float, hole: Floats) -> tuple[float, float]:
    """Level and volume taken once a segment has begun: a volume taken at once, or the level set to the held one."""
    if taken == 0.0 and (kind == RATE or level == level_from):
        return level, 0.0
    before = volume_to(hole, level)
    if kind == LEVEL:
        return level_from, volume_to(hole, level_from) - before
    return depth_at(hole, before + taken), taken


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
    anew = False
    for i in range(mouths.shape[0]):
        anew = anew or mouths[i, INFLOW] != 0.0
    segment = -1
    into = 0.0
    for k in range(step_segment.size):
        c = step_class[k]
        seconds = class_seconds[c]
        through = through_class[c]
        taken_out[k] = 0.0
        if step_segment[k] != segment:
            segment = step_segment[k]
            into = 0.0
            taken = segment_taken[segment] - segment_drain[segment] * max(level, 0.0)
            after, taken = begun(level, segment_kind[segment], segment_from[segment], taken, hole)
            taken_out[k] = taken
            if after != level or taken != 0.0:
                level, exposed, anew = after, drained_at(after, mouths), True
            elif segment_kind[segment] == RATE:
                anew = anew or seconds > 2.0 * through * hole[stretch_at(hole, level), AREA]
        into += seconds
        # How long the inflow at the step's end counts; begun anew it stands for the whole step.
        weight = 0.5 * seconds
        if anew:
            weight = seconds
            for j in range(stored.shape[1]):
                through += old[c, j]
        inflow_old = fade_stores(stored, mouths, fade, old, c, anew)
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
        if anew:
            load_stores(stored, mouths, old, c)
        inflow_out[k + 1] = 0.0
        for i in range(mouths.shape[0]):
            flux_out[k, 1, i] = mouths[i, SHARE] * mouths[i, INFLOW]
            flux_out[k, 0, i] = flux_out[k, 1, i] if anew else (flux_out[k - 1, 1, i] if k > 0 else 0.0)
            inflow_out[k + 1] += flux_out[k, 1, i]
        level = after
        level_out[k + 1] = level
        pumped_out[k] = given
        anew = exposed < mouths.shape[0] and level == mouths[exposed, DEPTH]
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
    settled: int = take_steps(
        hole, mouths, stored, fade, old, new, through, loss, intake, spill,
        segment_kind, segment_from, segment_to, segment_taken, segment_drain, segment_seconds,
        step_segment, step_class, class_seconds, level_out, inflow_out, pumped_out, taken_out, flux_out,
    )  # fmt: skip
    return settled
