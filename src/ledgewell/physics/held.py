"""Inflow of many candidate wells whose level is held: the rock yield of each."""

from __future__ import annotations

from math import exp

import numpy as np

from ledgewell.physics.balance import UNSETTLED
from ledgewell.physics.compiled import compiled
from ledgewell.physics.fit import terms_into
from ledgewell.physics.march import march


@compiled
def held_inflows(
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
    levels,
    segment_kind,
    segment_seconds,
    step_segment,
    step_class,
    class_seconds,
    time_s,
    wanted_s,
    inflow,
):
    """Fill inflow [m³/s], shape (wells, levels, times); nan where a march does not settle.

    Two segments: rest (which lets unequal heads come to their balance), then the level held.
    """
    wells, fractures = shares.shape
    steps = step_segment.size
    weights = np.empty(96)
    rates = np.empty(96)
    level_out = np.empty(steps + 1)
    inflow_out = np.empty(steps + 1)
    pumped_out = np.empty(steps)
    taken_out = np.empty(steps)
    flux_out = np.empty((steps, 2, fractures))
    bounds = np.array([0.0, 1.0])
    areas = np.array([0.02])
    nothing = np.zeros(segment_kind.size)
    at = np.zeros(segment_kind.size)
    began = time_s[-1] - segment_seconds[-1]
    first = 0
    while time_s[first] < began * (1 - 1e-12):
        first += 1
    shortest = class_seconds.min()
    for w in range(wells):
        count, instant = terms_into(
            tables, dimension[w], exp(time_constant[w]), shortest, time_s[-1], weights, rates
        )
        for s in range(levels.size):
            at[:] = levels[s]
            at[0] = at[0] if segment_kind.size == 1 else 0.0
            state = march(
                weights[:count], rates[:count], instant, exp(time_constant[w]), resistance[w], skin[w], loss[w],
                shares[w], depths[w], heads[w], bounds, areas, rest_level[w], np.inf, -np.inf, segment_kind, at, at,
                nothing, nothing, segment_seconds, step_segment, step_class, class_seconds,
                level_out, inflow_out, pumped_out, taken_out, flux_out,
            )  # fmt: skip
            k = first
            for t in range(wanted_s.size):
                if state == UNSETTLED:
                    inflow[w, s, t] = np.nan
                    continue
                while k < steps - 1 and time_s[k + 1] - began < wanted_s[t]:
                    k += 1
                part = (wanted_s[t] - (time_s[k] - began)) / (time_s[k + 1] - time_s[k])
                inflow_from = flux_out[k, 0].sum()
                inflow[w, s, t] = inflow_from + min(max(part, 0.0), 1.0) * (inflow_out[k + 1] - inflow_from)
