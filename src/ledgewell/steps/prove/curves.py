"""Curves of a fit over time: the level with its band, and drawdown with its slope against ln t, read and fitted."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.closed_forms.derivative import bourdet_derivative
from ledgewell.physics.problem import Reading
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.levels import PlacedLevel
from ledgewell.steps.prove.standing import PROBABILITY
from ledgewell.steps.prove.timeline import Stretch

Floats = NDArray[np.float64]

CURVE_WELLS = 400
"""Wells of the sample that a curve is drawn from: its edges are then known to a tenth of its width."""
MOST_EXACT = 1000
"""Up to this many levels are predicted at their own time; beyond, they are read off the curve."""
SMOOTHING = 0.2
"""Least distance of the neighbors in ln t for the slope of the readings. Source: bourdet1989."""
FEWEST_SLOPED = 3
MINUTE_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelCurve:
    """The fitted level over the test, with its band, and at the time of every level read.

    Parameters
    ----------
    time_s
        Times since the start of the test [s], rising, shape (m,).
    low_m, mid_m, high_m
        Least, middle and greatest depth to water [m], shape (m,).
    at_levels_m
        The middle at the time of each of `Layout.levels` [m], shape (n,).
    probability
        Share of chance the band holds.
    """

    time_s: Floats
    low_m: Floats
    mid_m: Floats
    high_m: Floats
    at_levels_m: Floats
    probability: float = PROBABILITY


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawdownCurves:
    """Drawdown of the first pumping against time, and its slope against ln t, read and fitted.

    Parameters
    ----------
    read_s, read_m
        Times since that pumping started [s] and drawdowns read [m], shape (n,).
    slope_s, slope_m
        Times [s] and slopes of the readings [m], shape (k,), k < n.
    fitted_s, fitted_m
        Times [s] and fitted drawdown [m], the middle of the sample, shape (m,).
    fitted_slope_s, fitted_slope_m
        Times [s] and slope of the fitted drawdown [m], shape (m - 2,).
    storage_m_s
        Rate at which the level would fall if the hole alone gave the water, Q/A [m/s].
    """

    read_s: Floats
    read_m: Floats
    slope_s: Floats
    slope_m: Floats
    fitted_s: Floats
    fitted_m: Floats
    fitted_slope_s: Floats
    fitted_slope_m: Floats
    storage_m_s: float


def level_curve(fit: Fit, count: int = 200) -> LevelCurve:
    """Predict the level over the whole test, with the band of the sample.

    Parameters
    ----------
    fit
        A settled fit.
    count
        About how many times to predict it at, besides those of the levels read; at least 20.

    Returns
    -------
    LevelCurve
        From the start of the test to its end; 5, 50 and 95 % of the wells that explain it.

    Notes
    -----
    The band is that of the level itself, without the error of a reading. Pump rate, hole area and 1/R times one factor
    move no level, so the factor drawn for each well plays no part. Source: barker1988.
    """
    layout = fit.layout
    last = max(stretch.end_min for stretch in layout.timeline.stretches)
    levels = np.array([level.minute for level in layout.levels], dtype=float)
    grid = _minutes(layout.timeline.stretches, count)
    exact = levels[(levels >= 0) & (levels <= last)] if levels.size <= MOST_EXACT else np.empty(0)
    minutes = np.unique(np.concatenate((grid, exact)))
    low, mid, high = _quantiles(_predicted(fit, minutes))
    return LevelCurve(
        time_s=minutes * MINUTE_S,
        low_m=low,
        mid_m=mid,
        high_m=high,
        at_levels_m=np.interp(levels, minutes, mid),
    )


def drawdown_curves(
    fit: Fit, doubted: frozenset[str] = frozenset(), count: int = 80
) -> DrawdownCurves | None:
    """Return drawdown and slope of the first pumping, as read and as fitted.

    Parameters
    ----------
    fit
        A settled fit.
    doubted
        Places of levels that are hard to believe, such as ``test[0].levels[3]``.
    count
        How many times to predict at, even in ln t.

    Returns
    -------
    DrawdownCurves or None
        None when there is no pumping at one known rate from the start of the test with three levels or more in it.

    Notes
    -----
    Both drawdowns are counted from the same level: the static level read, or the middle of the fitted ones where none
    was. Levels in doubt, and those only known to be deeper, are left out. Source: bourdet1989, bourdet1983.
    """
    layout = fit.layout
    stretch = _first_pumping(fit)
    if stretch is None or stretch.rate_m3s is None:
        return None
    rest = layout.static_m if layout.static_known else float(np.median(fit.wells.rest_m))
    read_min, depths = _levels_in(layout.levels, stretch, doubted)
    drawdown = depths - rest
    rising = drawdown > 0
    read_s, read_m = (read_min[rising] - stretch.start_min) * MINUTE_S, drawdown[rising]
    if read_s.size < FEWEST_SLOPED:
        return None
    fitted_s = np.geomspace(read_s[0], (stretch.end_min - stretch.start_min) * MINUTE_S, count)
    _, mid, _ = _quantiles(_predicted(fit, stretch.start_min + fitted_s / MINUTE_S))
    fitted_m = mid - rest
    slope_s, slope_m = _slope(read_s, read_m, SMOOTHING)
    fitted_slope_s, fitted_slope_m = _slope(fitted_s, fitted_m, 0.0)
    return DrawdownCurves(
        read_s=read_s,
        read_m=read_m,
        slope_s=slope_s,
        slope_m=slope_m,
        fitted_s=fitted_s,
        fitted_m=fitted_m,
        fitted_slope_s=fitted_slope_s,
        fitted_slope_m=fitted_slope_m,
        storage_m_s=stretch.rate_m3s / layout.shape.area_at(rest),
    )


def _predicted(fit: Fit, minutes: Floats) -> Floats:
    """Return the level of each of the first wells at minutes of the test [m], shape (wells, minutes)."""
    timeline = fit.layout.timeline
    dense = tuple(
        Reading(at_s=timeline.seconds_at(float(minute)), value=fit.layout.static_m, error=1.0)
        for minute in minutes
    )
    return replace(fit.layout.problem, readings=dense).explain(fit.wells.rows[:CURVE_WELLS]).predicted


def _quantiles(levels: Floats) -> tuple[Floats, Floats, Floats]:
    edge = (1 - PROBABILITY) / 2
    low, mid, high = np.quantile(levels, [edge, 0.5, 1 - edge], axis=0)
    return low, mid, high


def _minutes(stretches: tuple[Stretch, ...], count: int) -> Floats:
    """Return minutes from the start of the test, denser after every change, each stretch by the root of its length."""
    shown = [(max(each.start_min, 0.0), each.end_min) for each in stretches if each.end_min > 0]
    roots = [np.sqrt(end - start) for start, end in shown]
    parts = [
        start + (end - start) * np.linspace(0.0, 1.0, max(4, round(count * root / sum(roots)))) ** 2
        for (start, end), root in zip(shown, roots, strict=True)
    ]
    return np.unique(np.concatenate(parts))


def _first_pumping(fit: Fit) -> Stretch | None:
    """Return the stretch that begins the test, when it pumps at a known rate and nothing was moved at once."""
    first = next((each for each in fit.layout.timeline.stretches if each.start_min == 0.0), None)
    if first is None:
        return None
    known = first.rate_m3s is not None and first.rate_m3s > 0
    return first if known and first.held_m is None and not first.taken_m3 else None


def _levels_in(
    levels: tuple[PlacedLevel, ...], stretch: Stretch, doubted: frozenset[str]
) -> tuple[Floats, Floats]:
    """Return minutes and depths of the levels fit to be drawn, the last of each minute, rising in time."""
    found = {
        level.minute: level.depth_m
        for level in levels
        if stretch.start_min < level.minute <= stretch.end_min
        and not level.deeper
        and level.where not in doubted
    }
    return np.array(list(found), dtype=float), np.array(list(found.values()), dtype=float)


def _slope(time_s: Floats, drawdown_m: Floats, smoothing: float) -> tuple[Floats, Floats]:
    """Return the slope against ln t; of adjacent readings where none has neighbors far enough on both sides."""
    x = np.log(time_s)
    far_enough = (x - x[0] >= smoothing) & (x[-1] - x >= smoothing)
    return bourdet_derivative(time_s, drawdown_m, smoothing if far_enough.any() else 0.0)
