"""The inner loop of the posterior, compiled: how well each candidate well explains the readings.

A candidate is a row of numbers (`Place` names the columns). Rate, area and resistance are carried *relative to
the pump rate*: multiply pump rate, hole area and 1/R by one factor and no level changes, so only their ratios can
be seen, and the factor is drawn afterwards.
"""

from __future__ import annotations

from enum import IntEnum
from math import erfc, exp, log, pi, sqrt

import numpy as np

from ledgewell.physics.balance import UNSETTLED, depth_at, hole_of, volume_to
from ledgewell.physics.compiled import borrowing, compiled
from ledgewell.physics.march import LEVEL, march
from ledgewell.physics.rock import LATTICE_FIRST, LATTICE_LAST, LATTICE_STEP


class Place(IntEnum):
    """Columns of a candidate; shares, unknown rates and one unknown duration follow them."""

    RESPONSE = 0
    """−ln of all inflow at the deepest level tested and the reference time, drained fractures and skin included
    [−ln m³/s]: the late data see just that, whatever the static level (without a deepest level: per meter drawn)."""
    SLOPE = 1
    """Share of that drawdown gained per e-fold of time there; the hole's apparent area rises in line with it."""
    DIMENSION = 2
    """Flow dimension n."""
    TIME_CONSTANT = 3
    """ln tc [ln s]."""
    AREA = 4
    """ln of the true area over the recorded one, less ln of the true rate over the recorded one."""
    STATIC = 5
    """True static level less the recorded one [m]."""
    SCATTER = 6
    """ln of the true reading error over the method's."""
    LOSS = 7
    """ln of the quadratic loss C [ln s²/m⁵]."""
    FIRST_FREE = 8


LEVEL_READ, DEEPER_THAN, FLOW_READ = 0, 1, 2
"""Kinds of a reading: a level, a level known only to be deeper, the outflow while a level is held."""
LEAST_DRAWN_M = 0.001
"""Drawdown under which a test has not drawn its well down at all."""
OUTLIER_SHARE = 0.02
"""Share of readings taken to be wrong (typed, misread) before any is seen. Source: common practice, no source."""
OUTLIER_WIDTH = 10.0
"""Width of a wrong reading's error, in units of a good one's."""
_SQRT_2PI = sqrt(2 * pi)
RESPONSE, SLOPE, DIMENSION, TIME_CONSTANT, AREA, STATIC, SCATTER, LOSS, FIRST_FREE = (
    int(place) for place in Place
)


@borrowing
def terms_into(tables, dimension, tc, shortest, longest, weights, rates):
    """Fill weights and rates of the stores as `rock.rock_terms` does; return their number and the instant part."""
    low = int(np.floor(log(0.02 * sqrt(tc / longest)) / LATTICE_STEP))
    high = int(np.ceil(log(7.0 * sqrt(tc / shortest)) / LATTICE_STEP))
    low = max(min(low, LATTICE_LAST - 1), LATTICE_FIRST)
    high = max(min(high, LATTICE_LAST), low)
    place = (dimension - 1.0) / 0.02
    first = min(max(int(place) - 1, 0), tables.shape[1] - 4)
    x = place - first
    w0 = -(x - 1) * (x - 2) * (x - 3) / 6
    w1 = x * (x - 2) * (x - 3) / 2
    w2 = -x * (x - 1) * (x - 3) / 2
    w3 = x * (x - 1) * (x - 2) / 6
    a, b, c, d = tables[0, first], tables[0, first + 1], tables[0, first + 2], tables[0, first + 3]
    count = 1
    rate = exp(2.0 * LATTICE_STEP * low) / tc
    faster = exp(2.0 * LATTICE_STEP)
    for index in range(low, high + 1):
        k = index - LATTICE_FIRST
        weights[count] = exp(w0 * a[k] + w1 * b[k] + w2 * c[k] + w3 * d[k])
        rates[count] = rate
        rate *= faster
        count += 1
    k = low - LATTICE_FIRST
    t = tables[1]
    weights[0] = exp(w0 * t[first, k] + w1 * t[first + 1, k] + w2 * t[first + 2, k] + w3 * t[first + 3, k])
    rates[0] = 0.0
    k = high - LATTICE_FIRST
    t = tables[2]
    return count, exp(w0 * t[first, k] + w1 * t[first + 1, k] + w2 * t[first + 2, k] + w3 * t[first + 3, k])


@borrowing
def response_and_slope(weights, rates, count, instantaneous, tc, seconds):
    """Drawdown per unit inflow at a time, in units of R, and its slope in ln t."""
    value = instantaneous + weights[0] * seconds / tc
    slope = weights[0] * seconds / tc
    for j in range(1, count):
        x = rates[j] * seconds
        rest = exp(-x)
        value += weights[j] / (rates[j] * tc) * (1.0 - rest)
        slope += weights[j] * seconds / tc * rest
    return value, slope


@compiled
def unit_responses(tables, dimension, log_time_constant, reference, shortest, longest, value, slope):
    """Fill response and slope at the reference time for many candidates."""
    weights = np.empty(96)
    rates = np.empty(96)
    for i in range(dimension.size):
        tc = exp(log_time_constant[i])
        count, instant = terms_into(tables, dimension[i], tc, shortest, longest, weights, rates)
        value[i], slope[i] = response_and_slope(weights, rates, count, instant, tc, reference)


@borrowing
def level_within(level, inflow_from, inflow_to, rate, seconds, into, hole):
    """Level part-way through a step, from the water balance with inflow linear in time."""
    gone = into / seconds
    given = into * (inflow_from + 0.5 * gone * (inflow_to - inflow_from))
    return depth_at(hole, volume_to(hole, level) + rate * into - given)


@borrowing
def expected_reading(
    kind, held, held_from, k, seconds, part, level_out, inflow_out, pumped_out, taken_out, flux_out, hole
):
    """Level, or outflow, that a march expects part-way, from 0 to 1, through step k."""
    inflow_from = 0.0
    for i in range(flux_out.shape[2]):
        inflow_from += flux_out[k, 0, i]
    inflow_to = inflow_out[k + 1]
    if kind == FLOW_READ:
        # While a level is held the pump gives the inflow of the moment and a steady share from the hole.
        swing = (part - 0.5) * (inflow_to - inflow_from) if held else 0.0
        return pumped_out[k] / seconds + swing
    start = level_out[k]
    if held:
        if taken_out[k] != 0.0:
            start = held_from
        return start + part * (level_out[k + 1] - start)
    if taken_out[k] != 0.0:
        start = depth_at(hole, volume_to(hole, start) + taken_out[k])
    rate = pumped_out[k] / seconds
    return level_within(start, inflow_from, inflow_to, rate, seconds, part * seconds, hole)


@borrowing
def misfit(read, expected, kind, scale):
    """ln likelihood of one reading: a normal error, or now and then a wide Cauchy one."""
    z = (read - expected) / scale
    if kind == DEEPER_THAN:
        return log(1e-3 + 0.999 * 0.5 * erfc(z * 0.7071067811865476))
    good = (1.0 - OUTLIER_SHARE) * exp(-0.5 * z * z) / (_SQRT_2PI * scale)
    wide = OUTLIER_WIDTH * scale
    away = (read - expected) / wide
    return log(good + OUTLIER_SHARE / (pi * wide * (1.0 + away * away)))


@borrowing
def fill_expected(
    w,
    scatter,
    floor,
    rest,
    hole,
    segment_kind,
    segment_from,
    step_segment,
    step_class,
    class_seconds,
    read_step,
    read_into,
    read_value,
    read_kind,
    read_error,
    level_out,
    inflow_out,
    pumped_out,
    taken_out,
    flux_out,
    predicted,
):
    """Fill a candidate's own readings from its march; return the ln likelihood of those read."""
    total = 0.0
    for r in range(read_value.size):
        k = read_step[r]
        span = step_segment[k]
        held = segment_kind[span] == LEVEL
        expected = expected_reading(
            read_kind[r], held, segment_from[span], k, class_seconds[step_class[k]], read_into[r],
            level_out, inflow_out, pumped_out, taken_out, flux_out, hole,
        )  # fmt: skip
        predicted[w, r] = expected
        scale = read_error[r]
        if read_kind[r] != FLOW_READ:
            error = scatter * read_error[r]
            wander = floor * (expected - rest)
            scale = sqrt(error * error + wander * wander)
        total += misfit(read_value[r], expected, read_kind[r], scale)
    return total


@compiled
def explain(
    candidates,
    tables,
    reference,
    static,
    spare_heads,
    depths,
    reach,
    deepest,
    unknown_depth,
    drain_share,
    ramp_level,
    bounds,
    areas,
    intake,
    spill,
    segment_kind,
    segment_from,
    segment_to,
    segment_taken,
    segment_drain,
    segment_seconds,
    segment_unknown,
    segment_stretch,
    step_segment,
    step_class,
    class_segment,
    class_seconds,
    read_step,
    read_into,
    read_value,
    read_kind,
    read_error,
    floor,
    predicted,
    fit,
    skin_out,
    resistance_out,
    response_out,
):
    """Fill ln likelihood, skin, R and predicted readings of every candidate; fit is -inf where the well cannot be."""
    wells = candidates.shape[0]
    fractures = depths.size
    steps = step_segment.size
    spans = segment_kind.size
    weights = np.empty(96)
    rates = np.empty(96)
    level_out = np.empty(steps + 1)
    inflow_out = np.empty(steps + 1)
    pumped_out = np.empty(steps)
    taken_out = np.empty(steps)
    flux_out = np.empty((steps, 2, fractures))
    shares = np.empty(fractures)
    heads = np.empty(fractures)
    seen = np.empty(fractures)
    area = np.empty(areas.size)
    pumped = np.empty(spans)
    lasting = np.empty(spans)
    drains = np.empty(spans)
    held_to = segment_to.copy()
    lengths = np.empty(class_seconds.size)
    for w in range(wells):
        fit[w] = -np.inf
        row = candidates[w]
        dimension = row[DIMENSION]
        if not 1.0 <= dimension <= 3.0:
            continue
        longest = 0.0
        shortest = 1e300
        for s in range(spans):
            stretch = exp(row[segment_stretch[s]]) if segment_stretch[s] >= 0 else 1.0
            lasting[s] = segment_seconds[s] * stretch
            longest += lasting[s]
            drains[s] = segment_drain[s] * (row[drain_share] if drain_share >= 0 else 1.0)
            pumped[s] = exp(row[segment_unknown[s]]) if segment_unknown[s] >= 0 else segment_from[s]
        for c in range(lengths.size):
            stretch = lasting[class_segment[c]] / segment_seconds[class_segment[c]]
            lengths[c] = class_seconds[c] * stretch
            shortest = min(shortest, lengths[c])
        tc = exp(row[TIME_CONSTANT])
        count, instant = terms_into(tables, dimension, tc, min(shortest, reference), longest, weights, rates)
        value, slope = response_and_slope(weights, rates, count, instant, tc, reference)
        share = row[SLOPE]
        if not share > 0.0:
            continue
        skin = slope / share - value
        if not 0.0 <= skin < 1e6:
            continue
        loss = exp(row[LOSS])
        for m in range(areas.size):
            area[m] = areas[m] * exp(row[AREA])
        if fractures > 1:
            total = 1.0
            shares[fractures - 1] = 1.0
            for i in range(fractures - 1):
                shares[i] = exp(row[FIRST_FREE + i])
                total += shares[i]
            for i in range(fractures):
                shares[i] /= total
        else:
            shares[0] = 1.0
        staying = 0.0
        for i in range(fractures):
            staying += shares[i] * reach[i]
        rest = static + row[STATIC]
        drawn = max(deepest - rest, LEAST_DRAWN_M) if deepest < np.inf else 1.0
        resistance = exp(row[RESPONSE]) * drawn * staying * share / slope
        skin_out[w] = skin
        resistance_out[w] = resistance
        response_out[w] = value + skin
        if ramp_level >= 0:
            pumped[0] = rest
            held_to[0] = row[ramp_level]
        for i in range(fractures):
            heads[i] = rest + spare_heads[i]
            seen[i] = depths[i]
        if unknown_depth >= 0:
            seen[fractures - 1] = row[unknown_depth]
        state = march(
            weights[:count], rates[:count], instant, tc, resistance, skin, loss, shares, seen, heads, bounds, area,
            rest, intake, spill, segment_kind, pumped, held_to, segment_taken, drains, lasting,
            step_segment, step_class, lengths, level_out, inflow_out, pumped_out, taken_out, flux_out,
        )  # fmt: skip
        if state == UNSETTLED:
            continue
        hole = hole_of(bounds, area)
        fit[w] = fill_expected(
            w, exp(row[SCATTER]), floor, rest, hole, segment_kind, pumped, step_segment, step_class, lengths,
            read_step, read_into, read_value, read_kind, read_error,
            level_out, inflow_out, pumped_out, taken_out, flux_out, predicted,
        )  # fmt: skip
