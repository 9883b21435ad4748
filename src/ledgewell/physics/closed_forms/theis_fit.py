"""Transmissivity and storativity from readings: the Theis curve, and the semilog straight lines.

The answer depends on the readings that are used, so every result names its window.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import FloatArray, paired, positive
from ledgewell.physics.closed_forms.curve_fit import curve_through
from ledgewell.physics.closed_forms.straight_line import WHOLE, StraightLine, Window, semilog_line
from ledgewell.physics.closed_forms.theis import COOPER_JACOB_FACTOR, theis_drawdown, well_function


@dataclass(frozen=True, slots=True, kw_only=True)
class TheisFit:
    """The Theis curve nearest to the readings.

    Parameters
    ----------
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    transmissivity_relative_error, storativity_relative_error
        Standard errors of ln T and ln S [–].
    rms_misfit_m
        Root mean square misfit [m].
    window_s
        First and last time used [s].
    count
        Number of readings used.
    """

    transmissivity_m2s: float
    storativity: float
    transmissivity_relative_error: float
    storativity_relative_error: float
    rms_misfit_m: float
    window_s: Window
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SemilogFit:
    """Transmissivity and storativity from a semilog straight line.

    Parameters
    ----------
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    line
        The line itself: slope [m per tenfold], window and misfit.
    crossing
        Where the line crosses zero drawdown: a time [s], or a distance [m] for distance-drawdown.
    """

    transmissivity_m2s: float
    storativity: float
    line: StraightLine
    crossing: float


def theis_fit(
    time_s: ArrayLike, radius_m: ArrayLike, drawdown_m: ArrayLike, flow_m3s: float, window_s: Window = WHOLE
) -> TheisFit:
    """Fit the Theis curve to drawdowns at one or several distances.

    Parameters
    ----------
    time_s, drawdown_m
        Times since pumping began [s] and drawdowns [m], shape (K,), K ≥ 3.
    radius_m
        Distances [m], one value or shape (K,).
    flow_m3s
        Constant rate [m³/s].
    window_s
        First and last time that may be used [s], both included.

    Returns
    -------
    TheisFit
        T, S, their errors and the window used.

    Raises
    ------
    RangeError
        If times, distances or rate are not positive, or fewer than three readings lie in the window.

    Notes
    -----
    Least squares of drawdown in (ln T, ln S), begun from the best of a grid in r²S/(4T). Where the curve
    itself holds: `ledgewell.physics.closed_forms.theis.theis_validity`. Source: theis1935.

    Examples
    --------
    >>> times = [60.0, 600.0, 6000.0]
    >>> fit = theis_fit(times, 50.0, theis_drawdown(times, 50.0, 0.01, 3e-3, 2e-4), 0.01)
    >>> round(fit.transmissivity_m2s, 6), round(fit.storativity, 8)
    (0.003, 0.0002)
    """
    time = positive("time_s", time_s)
    drawdown = paired("drawdown_m", drawdown_m, time)
    radius = np.broadcast_to(positive("radius_m", radius_m), time.shape)
    used = (time >= window_s[0]) & (time <= window_s[1])
    count = int(np.count_nonzero(used))
    if count < 3:
        raise RangeError("readings in the window", count, "at least three, since two numbers are sought")
    flow = float(positive("flow_m3s", flow_m3s))
    window = (float(time[used].min()), float(time[used].max()))
    return _least_squares(time[used], radius[used], drawdown[used], flow, window)


def _least_squares(
    time: FloatArray, radius: FloatArray, drawdown: FloatArray, flow: float, window: Window
) -> TheisFit:
    def misfit(logs: FloatArray) -> FloatArray:
        return theis_drawdown(time, radius, flow, np.exp(logs[0]), np.exp(logs[1])) - drawdown

    fit = curve_through(misfit, [_start(time, radius, drawdown, flow)])
    return TheisFit(
        transmissivity_m2s=exp(float(fit.values[0])),
        storativity=exp(float(fit.values[1])),
        transmissivity_relative_error=float(fit.errors[0]),
        storativity_relative_error=float(fit.errors[1]),
        rms_misfit_m=sqrt(fit.sum_of_squares / time.size),
        window_s=window,
        count=int(time.size),
    )


def _start(time: FloatArray, radius: FloatArray, drawdown: FloatArray, flow: float) -> tuple[float, float]:
    """Return ln T and ln S of the best curve on a grid: for a given S/T the drawdown is linear in 1/T."""
    place = radius**2 / (4 * time)
    middle = log(float(np.median(place)))
    ratios = np.exp(np.linspace(log(1e-10), log(10.0), 120) - middle)
    curves = well_function(np.outer(ratios, place))
    scales = curves @ drawdown / np.sum(curves**2, axis=1)
    misfits = np.sum((scales[:, None] * curves - drawdown) ** 2, axis=1)
    misfits[scales <= 0] = np.inf
    best = int(np.argmin(misfits))
    if not np.isfinite(misfits[best]):
        raise RangeError(
            "drawdown_m", float(drawdown.min()), "positive for the most part: the level must fall"
        )
    transmissivity = flow / (4 * pi * float(scales[best]))
    return log(transmissivity), log(float(ratios[best]) * transmissivity)


def cooper_jacob_fit(
    time_s: ArrayLike, radius_m: float, drawdown_m: ArrayLike, flow_m3s: float, window_s: Window = WHOLE
) -> SemilogFit:
    """Fit the straight line of drawdown against log time over a window.

    Parameters
    ----------
    time_s, drawdown_m
        Times since pumping began [s] and drawdowns [m], shape (K,).
    radius_m
        Distance of the readings from the well [m].
    flow_m3s
        Constant rate [m³/s].
    window_s
        First and last time that may be used [s], both included.

    Returns
    -------
    SemilogFit
        T, S, the line and the time at which it crosses zero.

    Raises
    ------
    RangeError
        If the line does not rise, or fewer than two readings lie in the window.

    Notes
    -----
    T = ln10·Q/(4πΔs), S = 2.2458 T t₀/r², Δs the rise per tenfold of time, t₀ where the line crosses zero.
    No T may be read when flow is not radial or the hole's own water still rules:
    `ledgewell.physics.closed_forms.large_diameter.semilog_validity`. Source: cooper1946.

    Examples
    --------
    >>> fit = cooper_jacob_fit([60.0, 600.0], 30.0, [0.2, 0.575], 788 / 86400)
    >>> round(86400 * fit.transmissivity_m2s, 1)  # m²/d
    385.0
    """
    line = semilog_line(time_s, drawdown_m, window_s)
    if line.slope <= 0:
        raise RangeError("slope", line.slope, "a drawdown that grows with time")
    transmissivity = log(10) * float(positive("flow_m3s", flow_m3s)) / (4 * pi * line.slope)
    crossing = 10 ** (-line.intercept / line.slope)
    radius = float(positive("radius_m", radius_m))
    return SemilogFit(
        transmissivity_m2s=transmissivity,
        storativity=COOPER_JACOB_FACTOR * transmissivity * crossing / radius**2,
        line=line,
        crossing=crossing,
    )


def distance_drawdown_fit(
    radius_m: ArrayLike, drawdown_m: ArrayLike, time_s: float, flow_m3s: float, window_m: Window = WHOLE
) -> SemilogFit:
    """Fit the straight line of drawdown against log distance at one time.

    Parameters
    ----------
    radius_m, drawdown_m
        Distances and drawdowns [m], shape (K,).
    time_s
        Time of the readings since pumping began [s].
    flow_m3s
        Constant rate [m³/s].
    window_m
        Nearest and farthest distance that may be used [m], both included.

    Returns
    -------
    SemilogFit
        T, S, the line (its slope is negative) and the distance at which it crosses zero.

    Raises
    ------
    RangeError
        If the drawdown does not fall with distance, or fewer than two readings lie in the window.

    Notes
    -----
    T = ln10·Q/(2πΔs), S = 2.2458 Tt/r₀². Holds where u < 0.03 at the farthest reading.
    Source: cooper1946.

    Examples
    --------
    >>> fit = distance_drawdown_fit([10.0, 100.0], [2.0, 1.0], 86400.0, 0.01)
    >>> round(fit.transmissivity_m2s, 6)
    0.003665
    """
    line = semilog_line(radius_m, drawdown_m, window_m)
    if line.slope >= 0:
        raise RangeError("slope", line.slope, "a drawdown that falls with distance")
    transmissivity = log(10) * float(positive("flow_m3s", flow_m3s)) / (-2 * pi * line.slope)
    crossing = 10 ** (-line.intercept / line.slope)
    time = float(positive("time_s", time_s))
    return SemilogFit(
        transmissivity_m2s=transmissivity,
        storativity=COOPER_JACOB_FACTOR * transmissivity * time / crossing**2,
        line=line,
        crossing=crossing,
    )
