"""Slope of the level against the logarithm of time, by the three points of Bourdet."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import FloatArray, paired, positive, rising, within
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged

LARGEST_SMOOTHING = 0.5
"""Largest smoothing length in ln t that is customary. Source: bourdet1989."""


def bourdet_derivative(
    time_s: ArrayLike, drawdown_m: ArrayLike, smoothing: float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Return the slope of drawdown against ln t at every reading that has a neighbor on both sides.

    Parameters
    ----------
    time_s
        Times since the last change of rate [s], shape (K,), rising and positive; equivalent time for
        recovery.
    drawdown_m
        Drawdowns [m], shape (K,).
    smoothing
        Least distance of the neighbors in ln t, 0 to 0.5; 0 takes the adjacent readings.

    Returns
    -------
    tuple of ndarray
        The times [s] and the slopes there [m], shape (M,), M < K: readings too near an end are left out.

    Raises
    ------
    RangeError
        If times do not rise, the smoothing is out of range, or no reading has neighbors on both sides.

    Notes
    -----
    x = ln t; dᵢ = [(Δs_L/Δx_L) Δx_R + (Δs_R/Δx_R) Δx_L]/(Δx_L + Δx_R). Exact where s is linear or quadratic
    in x. Source: bourdet1989, bourdet1983.

    Examples
    --------
    >>> times, slopes = bourdet_derivative(np.exp([0.0, 1.0, 3.0]), [0.0, 1.0, 9.0])
    >>> slopes.round(9).tolist()  # s = x², at x = 1
    [2.0]
    """
    time = positive("time_s", rising("time_s", time_s))
    drawdown = paired("drawdown_m", drawdown_m, time)
    reach = float(within("smoothing", smoothing, 0.0, LARGEST_SMOOTHING))
    x = np.log(time)
    here = np.arange(time.size)
    slack = 1e-12 * (1 + np.abs(x))
    left = np.minimum(np.searchsorted(x, x - reach + slack, side="right") - 1, here - 1)
    right = np.maximum(np.searchsorted(x, x + reach - slack, side="left"), here + 1)
    inside = (left >= 0) & (right < time.size)
    if not np.any(inside):
        raise RangeError(
            "readings", time.size, "readings with neighbors on both sides at the smoothing length"
        )
    i, before, after = here[inside], left[inside], right[inside]
    dx_left, dx_right = x[i] - x[before], x[after] - x[i]
    slope_left, slope_right = (
        (drawdown[i] - drawdown[before]) / dx_left,
        (drawdown[after] - drawdown[i]) / dx_right,
    )
    return time[inside], (slope_left * dx_right + slope_right * dx_left) / (dx_left + dx_right)


def derivative_validity(
    time_s: ArrayLike, reading_error_m: float, slope_m: float, smoothing: float
) -> Validity:
    """Return whether a derivative means anything at a reading error.

    Parameters
    ----------
    time_s
        Times of the readings [s], rising and positive.
    reading_error_m
        Standard error of one reading [m].
    slope_m
        Size of the slope to be read [m].
    smoothing
        Least distance of the neighbors in ln t that was used.

    Returns
    -------
    Validity
        Not valid with under five readings, or where the error of the slope, about 1.4 times the reading
        error over the span of the neighbors, exceeds a third of the slope.

    Notes
    -----
    The limits are our own. Source: bourdet1989.

    Examples
    --------
    >>> derivative_validity([60.0, 66.0, 72.0, 78.0, 84.0], 0.02, 0.5, 0.0).valid
    False
    """
    x = np.log(positive("time_s", rising("time_s", time_s)))
    nearest = float(np.median(np.diff(x))) if x.size > 1 else 0.0
    span = 2 * max(smoothing, nearest)
    error = np.sqrt(2) * reading_error_m / span if span > 0 else np.inf
    return all_of(
        judged(x.size >= 5, f"{x.size} readings", f"{x.size} readings, and five are the fewest"),
        judged(
            error <= abs(slope_m) / 3,
            "the slope stands clear of the reading error",
            f"the slope is known to {error:.2g} m only, more than a third of its size",
        ),
    )
