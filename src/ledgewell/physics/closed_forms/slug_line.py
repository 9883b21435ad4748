"""Slug and bail tests read from a straight line of the log of the level: Hvorslev, Bouwer and Rice."""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, exp, log

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import FloatArray, paired, positive, within
from ledgewell.physics.closed_forms.straight_line import StraightLine, Window, line_through
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged

BOUWER_RICE_CAP = 6.0
"""Largest value that ln[(H − Lw)/rw] may take in the formula of Bouwer and Rice. Source: bouwer1976."""
HVORSLEV_WINDOW: Window = (0.15, 0.25)
"""Range of H/H₀ recommended for Hvorslev's line; from memory. Source: butler1998."""
BOUWER_RICE_WINDOW: Window = (0.20, 0.30)
"""Range of H/H₀ recommended for Bouwer and Rice; from memory. Source: butler1998."""
_A = (1.4720, 3.537e-2, -8.148e-5, 1.028e-7, -6.484e-11, 1.573e-14)
_B = (0.2372, 5.151e-3, -2.682e-6, -3.491e-10, 4.738e-13)
_C = (0.7920, 3.993e-2, -5.743e-5, 3.858e-8, -9.659e-12)


@dataclass(frozen=True, slots=True, kw_only=True)
class LagFit:
    """A slug test read as an exponential.

    Parameters
    ----------
    basic_time_lag_s
        T₀ [s], in which the line falls by a factor e.
    ratio_at_start
        Where the line starts at time 0 [–]; far from 1 shows that it is not straight from the start.
    line
        The line of ln(H/H₀) against time; its window is in H/H₀.
    """

    basic_time_lag_s: float
    ratio_at_start: float
    line: StraightLine


def basic_time_lag_fit(time_s: ArrayLike, head_ratio: ArrayLike, window: Window = (0.0, 1.0)) -> LagFit:
    """Fit ln(H/H₀) against time over a window of H/H₀.

    Parameters
    ----------
    time_s, head_ratio
        Times since the change of level [s] and H/H₀ [–], shape (K,).
    window
        Lowest and highest H/H₀ that may be used, both included.

    Returns
    -------
    LagFit
        The basic time lag, the start of the line, and the line.

    Raises
    ------
    RangeError
        If a ratio is not positive, fewer than two lie in the window, or the level does not return.

    Notes
    -----
    T₀ = −1/slope: the slope alone, so that a curved start does not enter. Source: hvorslev1951.

    Examples
    --------
    >>> fit = basic_time_lag_fit([10.0, 20.0, 30.0], [0.72, 0.52, 0.37])
    >>> round(fit.basic_time_lag_s, 1)
    30.0
    """
    ratio = positive("head_ratio", head_ratio)
    time = paired("time_s", time_s, ratio)
    used = (ratio >= window[0]) & (ratio <= window[1])
    if np.count_nonzero(used) < 2:
        raise RangeError("readings in the window", float(np.count_nonzero(used)), "at least two")
    kept = ratio[used]
    line = line_through(time[used], np.log(kept), (float(kept.min()), float(kept.max())))
    if line.slope >= 0:
        raise RangeError("slope", line.slope, "a level that returns")
    return LagFit(basic_time_lag_s=-1 / line.slope, ratio_at_start=exp(line.intercept), line=line)


def hvorslev_conductivity(
    basic_time_lag_s: float,
    casing_radius_m: float,
    length_m: float,
    screen_radius_m: float,
    *,
    long: bool = True,
) -> float:
    """Return the hydraulic conductivity K [m/s] from Hvorslev's basic time lag.

    Parameters
    ----------
    basic_time_lag_s
        T₀ [s].
    casing_radius_m, screen_radius_m
        Radius of the free surface r, and of the open hole R [m].
    length_m
        Length of the open hole L [m].
    long
        True for the form for L/R > 8; False for the line source of any length.

    Returns
    -------
    float
        K [m/s]; times L it is a transmissivity [m²/s].

    Raises
    ------
    RangeError
        If an argument is not positive.

    Notes
    -----
    K = r² ln(L/R)/(2LT₀), or r² arcsinh(L/2R)/(2LT₀). The two differ by 0.7 % at L/R = 8. Where it holds:
    `hvorslev_validity`. Source: hvorslev1951.

    Examples
    --------
    >>> round(1e6 * hvorslev_conductivity(31.28, 0.076, 98.0, 0.076), 2)  # µm/s
    6.75
    """
    length, lag = float(positive("length_m", length_m)), float(positive("basic_time_lag_s", basic_time_lag_s))
    slimness = length / float(positive("screen_radius_m", screen_radius_m))
    shape = log(slimness) if long else asinh(slimness / 2)
    return float(positive("casing_radius_m", casing_radius_m)) ** 2 * shape / (2 * length * lag)


def hvorslev_validity(length_m: float, screen_radius_m: float, ratio_at_start: float) -> Validity:
    """Return whether Hvorslev's line may be read.

    Parameters
    ----------
    length_m, screen_radius_m
        Length L and radius R of the open hole [m].
    ratio_at_start
        Where the line starts at time 0 [–], from `basic_time_lag_fit`.

    Returns
    -------
    Validity
        Not valid when L/R ≤ 8, or when the line starts under 0.9 or over 1.1 of the change: then the rock
        stores water that the formula leaves out, and the slope depends on the window.

    Notes
    -----
    The bounds on the start are our own. Source: hvorslev1951, butler1998.

    Examples
    --------
    >>> hvorslev_validity(98.0, 0.076, 0.811).why
    'the line starts at 0.81 of the change, not near 1: water stored in the rock bends it'
    """
    slimness = float(positive("length_m", length_m)) / float(positive("screen_radius_m", screen_radius_m))
    return all_of(
        judged(slimness > 8, "the open hole is slim", f"L/R is {slimness:.3g}, and must be above 8"),
        judged(
            0.9 <= ratio_at_start <= 1.1,
            "the line starts near 1",
            f"the line starts at {ratio_at_start:.2f} of the change, not near 1: "
            "water stored in the rock bends it",
        ),
    )


def bouwer_rice_coefficients(slimness: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return A, B and C of Bouwer and Rice [–] from the slimness Le/rw.

    Parameters
    ----------
    slimness
        Length of the open hole over its radius, 4 to 1500.

    Returns
    -------
    tuple of ndarray
        A, B and C [–], shape of the slimness.

    Raises
    ------
    RangeError
        Outside the range of the curves.

    Notes
    -----
    Polynomials of Van Rooy fitted to the three curves, from memory; within about 4 % of a chart reading.
    Source: bouwer1976, butler1998.

    Examples
    --------
    >>> a, b, c = bouwer_rice_coefficients(38.0)
    >>> round(float(a), 4), round(float(b), 5), round(float(c), 4)
    (2.7039, 0.42905, 2.2285)
    """
    x = within("slimness", slimness, 4.0, 1500.0)
    a, b, c = (np.polynomial.Polynomial(curve)(x) for curve in (_A, _B, _C))
    return np.asarray(a), np.asarray(b), np.asarray(c)


def bouwer_rice_log_radius(
    saturated_m: float,
    well_depth_m: float,
    length_m: float,
    well_radius_m: float,
    coefficients: tuple[float, float, float] | None = None,
) -> float:
    """Return ln(Re/rw) [–], the reach of a slug test over the radius of the hole.

    Parameters
    ----------
    saturated_m
        Thickness of water-bearing ground below the water table H [m].
    well_depth_m
        Depth of the bottom of the open hole below the water table Lw [m], not more than H.
    length_m
        Length of the open hole Le [m].
    well_radius_m
        Radius of the open hole rw [m].
    coefficients
        A, B and C read from the chart; from `bouwer_rice_coefficients` when left out.

    Returns
    -------
    float
        ln(Re/rw) [–].

    Raises
    ------
    RangeError
        If a length is not positive, the well is deeper than the ground, or Le/rw lies outside the curves.

    Notes
    -----
    ln(Re/rw) = [1.1/ln(Lw/rw) + (A + B·min(6, ln((H − Lw)/rw)))/(Le/rw)]⁻¹, or with C/(Le/rw) as second
    term where the well reaches the bottom of the ground (Lw = H). Source: bouwer1976.

    Examples
    --------
    >>> round(bouwer_rice_log_radius(80.0, 5.5, 4.56, 0.12, (2.6, 0.42, 2.2)), 5)
    2.36789
    """
    radius, depth = (
        float(positive("well_radius_m", well_radius_m)),
        float(positive("well_depth_m", well_depth_m)),
    )
    below = float(positive("saturated_m", saturated_m)) - depth
    if below < 0 or depth <= radius:
        raise RangeError(
            "well_depth_m", depth, "more than the radius and not more than the saturated thickness"
        )
    slimness = float(positive("length_m", length_m)) / radius
    a, b, c = coefficients or tuple(float(value) for value in bouwer_rice_coefficients(slimness))
    end = c if below == 0 else a + b * min(BOUWER_RICE_CAP, log(below / radius))
    return 1 / (1.1 / log(depth / radius) + end / slimness)


def bouwer_rice_conductivity(
    basic_time_lag_s: float, casing_radius_m: float, length_m: float, log_radius: float
) -> float:
    """Return the hydraulic conductivity K [m/s] after Bouwer and Rice.

    Parameters
    ----------
    basic_time_lag_s
        Time in which the level falls by a factor e [s]: t/ln(y₀/yₜ).
    casing_radius_m
        Radius of the free surface rc [m].
    length_m
        Length of the open hole Le [m].
    log_radius
        ln(Re/rw) from `bouwer_rice_log_radius`.

    Returns
    -------
    float
        K [m/s].

    Raises
    ------
    RangeError
        If an argument is not positive.

    Notes
    -----
    K = rc² ln(Re/rw)/(2Le) · (1/t) ln(y₀/yₜ). Where it holds: `bouwer_rice_validity`. Source: bouwer1976.

    Examples
    --------
    >>> round(86400 * bouwer_rice_conductivity(20 / log(0.29 / 0.0025), 0.076, 4.56, 2.36789), 1)  # m/d
    30.8
    """
    numerator = float(positive("casing_radius_m", casing_radius_m)) ** 2 * float(
        positive("log_radius", log_radius)
    )
    return numerator / (
        2 * float(positive("length_m", length_m)) * float(positive("basic_time_lag_s", basic_time_lag_s))
    )


def bouwer_rice_validity(slimness: float, level_in_open_hole: bool) -> Validity:
    """Return whether the formula of Bouwer and Rice may be used.

    Parameters
    ----------
    slimness
        Le/rw [–].
    level_in_open_hole
        True when the level moves within the open hole itself.

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Valid for 4 ≤ Le/rw ≤ 1500 and a level that stays in the casing; otherwise the hole drains and fills
    unevenly. Source: bouwer1976.

    Examples
    --------
    >>> bouwer_rice_validity(38.0, False).valid
    True
    """
    return all_of(
        judged(
            4 <= slimness <= 1500, "the curves reach that far", f"Le/rw is {slimness:.3g}, outside 4 to 1500"
        ),
        judged(
            not level_in_open_hole, "the level stays in the casing", "the level moves within the open hole"
        ),
    )
