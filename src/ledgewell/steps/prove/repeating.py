"""What a pump could take: the delivered rate over a time, and the most a daily pattern can take day after day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.hole import HoleShape
from ledgewell.physics.rock import store_tables
from ledgewell.physics.schedule import Span, Steps, steps_for
from ledgewell.steps.prove.posterior import Wells

Floats = NDArray[np.float64]
HOUR_S, DAY_S = 3600.0, 86400.0
REPEATING_DAYS = 30
PEAK_HOURS = 2.0
_SEARCHES = 7
_RATE_TOLERANCE = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """What each well delivers at a constant rate from static until a level is reached at the end of a time.

    Parameters
    ----------
    rate_m3s
        The rate, shape (N,).
    storage_m3s, rock_m3s
        Its parts, averaged over the time, shape (N,): what the hole gave up and what the rock gave.
    """

    rate_m3s: Floats
    storage_m3s: Floats
    rock_m3s: Floats


def delivered_rates(wells: Wells, shape: HoleShape, level_m: float, duration_s: float) -> Delivered:
    """Return the constant rate that brings each well from static to a level just at the end of a time.

    Parameters
    ----------
    wells
        The sample.
    shape
        The recorded hole; each well's own area factor is applied.
    level_m
        Level to be reached [m].
    duration_s
        Time [s].

    Notes
    -----
    The level at the end falls steadily with the rate; the rate is found by bracketed secants to 0.1 %. Rate =
    (storage given up + inflow) / time, exactly.
    """
    steps = steps_for([Span(seconds=duration_s, rate_m3s=1.0)], min(60.0, duration_s / 40), 5)
    stored = np.array([shape.volume_between(rest, level_m) for rest in wells.rest_m]) * wells.area_factor
    low = np.maximum(stored / duration_s, 0.0)
    held = _held_total(wells, level_m, duration_s)
    high = low + held
    rate = _solve(wells, shape, steps, np.ones(1), low, high, level_m)
    storage = stored / duration_s
    return Delivered(rate_m3s=rate, storage_m3s=storage, rock_m3s=rate - storage)


def repeating_day(
    wells: Wells, shape: HoleShape, level_m: float, hours: tuple[float, ...], days: int = REPEATING_DAYS
) -> Floats:
    """Return the most each well can give a day, drawn in a daily pattern, without passing a level up to the last day.

    Parameters
    ----------
    wells, shape, level_m
        As for `delivered_rates`.
    hours
        Share of the day's water drawn in each of 24 hours; sums to 1.
    days
        Number of days.

    Returns
    -------
    ndarray
        Volume a day [m³], shape (N,).
    """
    pattern = np.array(hours) / HOUR_S
    spans = _merged(pattern, days)
    steps = steps_for([Span(seconds=seconds, rate_m3s=1.0) for seconds, _ in spans], 600.0, 3)
    relative = np.array([rate for _, rate in spans])
    stored = np.array([shape.volume_between(rest, level_m) for rest in wells.rest_m]) * wells.area_factor
    peak = float(relative.max())
    low = np.zeros(wells.count)
    high = (
        np.maximum(stored, 0.0) * 1.05 / (peak * HOUR_S) * 1.0 + _held_total(wells, level_m, HOUR_S) * DAY_S
    )
    return _solve(wells, shape, steps, relative, low, high, level_m, lowest=True)


def _merged(pattern: Floats, days: int) -> list[tuple[float, float]]:
    """Return (seconds, share per second) of stretches of equal draw, day after day."""
    spans: list[tuple[float, float]] = []
    for share in np.tile(pattern, days):
        if spans and spans[-1][1] == share:
            spans[-1] = (spans[-1][0] + HOUR_S, float(share))
        else:
            spans.append((HOUR_S, float(share)))
    return spans


def _held_total(wells: Wells, level_m: float, duration_s: float) -> Floats:
    """Return an upper bound of the mean inflow: ten times what flows when the level is held there from the start."""
    from ledgewell.steps.prove.rock_yield import rock_yields

    return 10.0 * np.maximum(rock_yields(wells, np.array([level_m]), np.array([duration_s]))[:, 0, 0], 1e-9)


def _solve(
    wells: Wells,
    shape: HoleShape,
    steps: Steps,
    relative: Floats,
    low: Floats,
    high: Floats,
    level_m: float,
    lowest: bool = False,
) -> Floats:
    from ledgewell.physics.drawn import largest_draws

    found = np.empty(wells.count)
    span_s = np.array([span.seconds for span in steps.spans])
    largest_draws(
        store_tables(),
        wells.dimension,
        wells.log_time_constant,
        wells.resistance_s_m2,
        wells.skin,
        wells.loss_s2_m5,
        wells.shares,
        wells.depths_m,
        wells.heads_m,
        wells.rest_m,
        wells.area_factor,
        np.array(shape.bounds_m),
        np.array(shape.areas_m2),
        level_m,
        lowest,
        relative,
        span_s,
        steps.step_span,
        steps.step_class,
        steps.class_s,
        low,
        high,
        _RATE_TOLERANCE,
        found,
    )
    return found
