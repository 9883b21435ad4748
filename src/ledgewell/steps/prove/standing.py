"""The yields of a fit at the levels and times asked, with what holds below the deepest level tested and beyond it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledgewell.steps.findings import Estimate
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.posterior import Wells
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.units import Kind

Floats = NDArray[np.float64]

HOUR_S, DAY_S = 3600.0, 86400.0
DURATIONS_S = (HOUR_S, 4 * HOUR_S, 10 * HOUR_S, DAY_S, 30 * DAY_S, 180 * DAY_S)
"""Times asked by default: 1 h, 4 h, 10 h, 24 h, 30 d, 180 d."""
PROJECTED = 10.0
"""Beyond this many times the test's length a figure is a projection."""
PROBABILITY = 0.9
CURVE_LEVELS = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class RockYield:
    """The rock yield at one level for one time.

    Parameters
    ----------
    level_m, duration_s
        Level held [m] and for how long [s].
    rate
        The yield with its band.
    projection
        True beyond ten times the test's length.
    bounded
        For a projection: the yield if one barrier stood where ten test lengths reach.
    untested
        True when the level is below the deepest tested.
    decline_m
        For a projection: the seasonal decline of the static level that was stated and is in it [m]; None when none was.
    """

    level_m: float
    duration_s: float
    rate: Estimate
    projection: bool
    bounded: Estimate | None
    untested: bool
    decline_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Inflow:
    """The 1 h rock yield at one level."""

    level_m: float
    rate: Estimate
    untested: bool


def band(values: Floats, kind: Kind = "flow", probability: float = PROBABILITY) -> Estimate:
    """Return the middle of a sample with its band.

    Examples
    --------
    >>> band(np.arange(101.0)).mid
    50.0
    """
    edge = (1 - probability) / 2
    low, mid, high = np.quantile(values, [edge, 0.5, 1 - edge])
    return Estimate(low=float(low), mid=float(mid), high=float(high), kind=kind, probability=probability)


def default_levels(fit: Fit) -> tuple[float, ...]:
    """Return the deepest level tested, and 10 ft above the pump that hangs there, or the bottom, when deeper."""
    layout = fit.layout
    hole, deepest = layout.hole, layout.deepest_m
    if hole.pump_setting_m is not None:
        other = hole.pump_setting_m - 10 * 0.3048
    else:
        other = hole.bottom_m if hole.bottom_m is not None else deepest
    return (deepest,) if abs(other - deepest) < 1.0 or other <= layout.static_m else (deepest, other)


def wells_to_depth(fit: Fit, seed: int) -> Wells:
    """Return the wells with their unrecorded mouth set somewhere between the deepest level tested and the bottom."""
    if fit.layout.mouths.recorded:
        return fit.wells
    deepest, bottom = fit.layout.deepest_m, fit.layout.hole.bottom_m or fit.layout.deepest_m
    drawn = np.random.default_rng([seed, 31]).uniform(deepest, max(bottom, deepest + 1e-6), fit.wells.count)
    depths = fit.wells.depths_m.copy()
    depths[:, -1] = drawn
    return replace(fit.wells, depths_m=depths)


def standing_yields(
    fit: Fit,
    levels_m: tuple[float, ...],
    durations_s: tuple[float, ...],
    seed: int,
    decline_m: float | None = None,
) -> tuple[RockYield, ...]:
    """Return the rock yield at every level for every time, by level and then by time as given.

    Parameters
    ----------
    fit
        The settled fit.
    levels_m, durations_s
        Levels [m] and times [s].
    seed
        Seed of the depths of unrecorded mouths.
    decline_m
        Seasonal decline of the static level that projections take in [m]; None when none was stated.

    Notes
    -----
    Below the deepest level tested the low figure is that of the deepest level tested: no more inflow below it.
    A projection's bounded case puts one barrier where ten test lengths t₁ reach: from t₁ on the response grows twice as
    fast, S_b(t) = 2 S(t) − S(t₁), as with one image well, and the held inflow falls to q(t) S(t)/S_b(t). Source:
    ferris1962.
    """
    wells = wells_to_depth(fit, seed)
    deepest = fit.layout.deepest_m
    order = np.argsort(durations_s, kind="stable")
    times = np.array(durations_s)[order]
    reach = PROJECTED * fit.layout.minutes * 60.0
    grid = np.unique(np.concatenate((times, [reach])))
    levels = np.array([*levels_m, deepest])
    today = rock_yields(wells, levels, grid)
    later = today if not decline_m else rock_yields(declined(wells, decline_m), levels, grid)
    at_reach = response_at(fit, wells, reach)
    answers = []
    for place, level in enumerate(levels_m):
        untested = level > deepest + 0.01
        for duration in durations_s:
            column = int(np.searchsorted(grid, duration))
            projection = duration > reach
            flows = later if projection else today
            rate = band(flows[:, place, column])
            if untested:
                rate = replace(rate, low=min(rate.low, band(flows[:, -1, column]).low))
            bounded = None
            if projection:
                then = response_at(fit, wells, duration)
                fallen = then / (2 * then - at_reach)
                bounded = band(flows[:, place, column] * fallen)
                if untested:
                    bounded = replace(bounded, low=min(bounded.low, band(flows[:, -1, column] * fallen).low))
            answers.append(
                RockYield(
                    level_m=level,
                    duration_s=duration,
                    rate=rate,
                    projection=projection,
                    bounded=bounded,
                    untested=untested,
                    decline_m=decline_m if projection else None,
                )
            )
    return tuple(answers)


def declined(wells: Wells, decline_m: float) -> Wells:
    """Return the wells with their static levels lowered by a seasonal decline [m]."""
    return replace(wells, rest_m=wells.rest_m + decline_m, heads_m=wells.heads_m + decline_m)


def response_at(fit: Fit, wells: Wells, time_s: float) -> Floats:
    """Return each well's drawdown per unit constant inflow at a time, skin included, in units of R."""
    problem = replace(fit.layout.problem, reference_s=time_s)
    value, _ = problem.unit_response(wells.dimension, wells.log_time_constant)
    response: Floats = value + wells.skin
    return response


def inflow_curve(fit: Fit, seed: int, held_s: float = HOUR_S) -> tuple[Inflow, ...]:
    """Return the rock yield after an hour at levels from static to the bottom."""
    wells = wells_to_depth(fit, seed)
    wells = wells.take(np.arange(min(500, wells.count)))
    deepest = fit.layout.deepest_m
    bottom = max(fit.layout.hole.bottom_m or deepest, deepest)
    levels = np.unique(
        np.concatenate((np.linspace(fit.layout.static_m, bottom, CURVE_LEVELS)[1:], [deepest]))
    )
    flows = rock_yields(wells, levels, np.array([held_s]))[:, :, 0]
    tested = band(flows[:, int(np.searchsorted(levels, deepest))])
    curve = []
    for place, level in enumerate(levels):
        rate = band(flows[:, place])
        untested = bool(level > deepest + 0.01)
        if untested:
            rate = replace(rate, low=min(rate.low, tested.low))
        curve.append(Inflow(level_m=float(level), rate=rate, untested=untested))
    return tuple(curve)
