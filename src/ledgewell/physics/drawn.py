"""The largest draw each of many candidate wells can bear without its level passing a depth."""

from __future__ import annotations

from math import exp

import numpy as np

from ledgewell.physics.balance import UNSETTLED
from ledgewell.physics.compiled import compiled
from ledgewell.physics.fit import terms_into
from ledgewell.physics.march import march

_SEARCHES = 40


@compiled
def largest_draws(
    tables,
    dimension,
    time_constant,
    resistance,
    skin,
    loss,
    shares,
    depths,
    heads,
    rest_level,
    area_factor,
    bounds,
    areas,
    level,
    lowest,
    relative,
    span_seconds,
    step_span,
    step_class,
    class_seconds,
    low,
    high,
    tolerance,
    found,
):
    """Fill the largest factor of the relative rates at which the level stays above a depth; nan where unsettled.

    With `lowest` the deepest level of the whole run counts, else the level at its end. The search is regula falsi
    (Illinois) between a draw that is surely borne and one that is surely not, widened when it is borne.
    """
    wells, fractures = shares.shape
    steps = step_span.size
    spans = span_seconds.size
    weights = np.empty(96)
    rates = np.empty(96)
    level_out = np.empty(steps + 1)
    inflow_out = np.empty(steps + 1)
    pumped_out = np.empty(steps)
    taken_out = np.empty(steps)
    flux_out = np.empty((steps, 2, fractures))
    kind = np.zeros(spans, dtype=np.int64)
    nothing = np.zeros(spans)
    drawn = np.empty(spans)
    area = np.empty(areas.size)
    longest = span_seconds.sum()
    shortest = class_seconds.min()
    for w in range(wells):
        tc = exp(time_constant[w])
        count, instant = terms_into(tables, dimension[w], tc, shortest, longest, weights, rates)
        for m in range(areas.size):
            area[m] = areas[m] * area_factor[w]
        found[w] = 0.0
        if rest_level[w] >= level:
            continue
        a, b = low[w], high[w]
        past_a = rest_level[w] - level
        past_b = 0.0
        known_a, known_b = a <= 0.0, False
        draw = b
        side = 0
        for _ in range(_SEARCHES):
            if not known_a:
                draw = a
            elif not known_b:
                draw = b
            else:
                draw = (a * past_b - b * past_a) / (past_b - past_a)
                if not (a < draw < b):
                    draw = 0.5 * (a + b)
            for s in range(spans):
                drawn[s] = relative[s] * draw
            state = march(
                weights[:count], rates[:count], instant, tc, resistance[w], skin[w], loss[w], shares[w], depths[w],
                heads[w], bounds, area, rest_level[w], np.inf, -np.inf, kind, drawn, nothing, nothing, nothing,
                span_seconds, step_span, step_class, class_seconds,
                level_out, inflow_out, pumped_out, taken_out, flux_out,
            )  # fmt: skip
            if state == UNSETTLED:
                draw = np.nan
                break
            past = (level_out.max() if lowest else level_out[steps]) - level
            if not known_a:
                if past > 0.0:
                    b, past_b, known_b = a, past, True
                    a, past_a = 0.0, rest_level[w] - level
                else:
                    past_a = past
                known_a = True
                continue
            if not known_b:
                if past < 0.0:
                    a, past_a, b = draw, past, 2.0 * draw
                else:
                    b, past_b, known_b = draw, past, True
                continue
            if past > 0.0:
                b, past_b = draw, past
                if side == 1:
                    past_a *= 0.5
                side = 1
            else:
                a, past_a = draw, past
                if side == -1:
                    past_b *= 0.5
                side = -1
            if abs(past) <= tolerance * (level - rest_level[w]) or b - a <= tolerance * b:
                break
        found[w] = draw
