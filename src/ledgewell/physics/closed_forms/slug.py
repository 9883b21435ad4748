"""Slug and bail tests: Cooper-Bredehoeft-Papadopulos, with its fit."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, log, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import FloatArray, paired, positive, within
from ledgewell.physics.closed_forms.curve_fit import CurveFit, curve_through
from ledgewell.physics.closed_forms.radial_flow import Rock, log_derivative
from ledgewell.physics.closed_forms.straight_line import Window
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged, radial

ALPHA_RANGE = (1e-10, 1.0)
"""Range of α = S rs²/rc² that a fit may search."""
START_ALPHAS = (1e-8, 1e-6, 1e-4, 1e-2)
"""Values of α from which a fit begins, since it may have more than one hollow."""


def slug_function(beta: ArrayLike, alpha: ArrayLike, skin: ArrayLike = 0.0) -> FloatArray:
    """Return the share H/H₀ of a sudden change of level that is left.

    Parameters
    ----------
    beta
        β = Tt/rc² [–], positive.
    alpha
        α = S rs²/rc² [–], positive.
    skin
        Skin σ ≥ 0 [–].

    Returns
    -------
    ndarray
        H/H₀ [–], from 1 down to 0.

    Raises
    ------
    RangeError
        If an argument is out of range.

    Notes
    -----
    H/H₀ = L⁻¹{(1/2α) N/(√p K₁ + (p/2α) N)} at τ = β/α, N = K₀(√p) + σ√p K₁(√p). Within 1e-10. The nodes
    printed as 2.15 and 4.64 in the published table are 10^(1/3) and 10^(2/3). Source: cooper1967.

    Examples
    --------
    >>> round(float(slug_function(1.0, 1e-3)), 6)
    0.572903
    """
    alpha = positive("alpha", alpha)
    tau = positive("beta", beta) / alpha
    area = 1 / (4 * alpha)
    return area * log_derivative(tau, Rock(resistance_sm2=2.0, time_constant_s=1.0, skin=skin), area) / tau


def slug_head_ratio(
    time_s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
    screen_radius_m: ArrayLike,
    casing_radius_m: ArrayLike,
    skin: ArrayLike = 0.0,
) -> FloatArray:
    """Return the share H/H₀ of a sudden change of level that is left after a time.

    Parameters
    ----------
    time_s
        Time since the change [s].
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    screen_radius_m, casing_radius_m
        Radius of the open hole rs, and of the free surface rc [m].
    skin
        Skin σ ≥ 0 [–].

    Returns
    -------
    ndarray
        H/H₀ [–], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If an argument is out of range.

    Notes
    -----
    Where it holds: `slug_validity`. Source: cooper1967.

    Examples
    --------
    >>> round(float(slug_head_ratio(11.0, 5.3e-4, 1e-3, 0.076, 0.076)), 3)
    0.57
    """
    casing = positive("casing_radius_m", casing_radius_m)
    alpha = (
        positive("storativity", storativity) * (positive("screen_radius_m", screen_radius_m) / casing) ** 2
    )
    beta = positive("transmissivity_m2s", transmissivity_m2s) * positive("time_s", time_s) / casing**2
    return slug_function(beta, alpha, skin)


@dataclass(frozen=True, slots=True, kw_only=True)
class SlugFit:
    """The slug curve nearest to the readings.

    Parameters
    ----------
    transmissivity_m2s
        T [m²/s].
    storativity
        S [–]; an order of magnitude at best.
    alpha
        α = S rs²/rc² [–].
    transmissivity_relative_error, storativity_relative_error
        Standard errors of ln T and ln S [–]; the latter is 0 when α was given.
    rms_misfit
        Root mean square misfit of H/H₀ [–].
    window_s
        First and last time used [s].
    count
        Number of readings used.
    """

    transmissivity_m2s: float
    storativity: float
    alpha: float
    transmissivity_relative_error: float
    storativity_relative_error: float
    rms_misfit: float
    window_s: Window
    count: int


def slug_fit(
    time_s: ArrayLike,
    head_ratio: ArrayLike,
    screen_radius_m: float,
    casing_radius_m: float,
    alpha: float | None = None,
) -> SlugFit:
    """Fit the slug curve by least squares.

    Parameters
    ----------
    time_s
        Times since the change of level [s], shape (K,), K ≥ 3.
    head_ratio
        H/H₀ [–], shape (K,).
    screen_radius_m, casing_radius_m
        Radius of the open hole rs, and of the free surface rc [m].
    alpha
        α to hold fixed; sought as well when left out.

    Returns
    -------
    SlugFit
        T, S, their errors and the window used.

    Raises
    ------
    RangeError
        If times or radii are not positive, fewer than three readings are given, or α is out of range.

    Notes
    -----
    Begun from four values of α. Ask `slug_validity` before a value is used: the curves of neighboring α
    are nearly alike, so S is known to an order of magnitude only. Source: cooper1967.

    Examples
    --------
    >>> times = [3.0, 10.0, 30.0, 60.0]
    >>> fit = slug_fit(times, slug_head_ratio(times, 5e-4, 1e-3, 0.076, 0.076), 0.076, 0.076)
    >>> round(fit.transmissivity_m2s, 7), round(fit.storativity, 6)
    (0.0005, 0.001)
    """
    time = positive("time_s", time_s)
    ratio = paired("head_ratio", head_ratio, time)
    if time.size < 3:
        raise RangeError("readings", time.size, "at least three")
    screen, casing = (
        float(positive("screen_radius_m", screen_radius_m)),
        float(positive("rc", casing_radius_m)),
    )
    fit = _curve(time / casing**2, ratio, alpha)
    found = exp(float(fit.values[1])) if alpha is None else alpha
    return SlugFit(
        transmissivity_m2s=exp(float(fit.values[0])),
        storativity=found * (casing / screen) ** 2,
        alpha=found,
        transmissivity_relative_error=float(fit.errors[0]),
        storativity_relative_error=float(fit.errors[1]) if alpha is None else 0.0,
        rms_misfit=sqrt(fit.sum_of_squares / time.size),
        window_s=(float(time.min()), float(time.max())),
        count=int(time.size),
    )


def _curve(time_over_area: FloatArray, ratio: FloatArray, alpha: float | None) -> CurveFit:
    """Fit ln T, and ln α unless it is given."""
    low, high = ALPHA_RANGE
    first = -log(float(np.median(time_over_area)))
    if alpha is None:
        starts = [[first, log(decade)] for decade in START_ALPHAS]
        return curve_through(
            lambda logs: slug_function(np.exp(logs[0]) * time_over_area, np.exp(logs[1])) - ratio,
            starts,
            [-inf, log(low)],
            [inf, log(high)],
        )
    fixed = float(within("alpha", alpha, low, high))
    return curve_through(
        lambda logs: slug_function(np.exp(logs[0]) * time_over_area, fixed) - ratio, [[first]]
    )


def slug_validity(fit: SlugFit, lowest_ratio: float, dimension: float = 2.0) -> Validity:
    """Return whether T may be read from a fitted slug curve.

    Parameters
    ----------
    fit
        The fit.
    lowest_ratio
        Smallest H/H₀ among the readings [–].
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Not valid when flow is not radial, the readings end above one half, the misfit is over 5 %, or α
        stands at the edge of its range. A valid fit still gives S to an order of magnitude only.

    Notes
    -----
    The limits are our own. Source: cooper1967, butler1998.

    Examples
    --------
    >>> fit = slug_fit([3.0, 10.0, 30.0], [0.82, 0.59, 0.30], 0.076, 0.076, alpha=1e-3)
    >>> slug_validity(fit, 0.8).why
    'the readings end at 0.80 of the first change, and should reach below one half'
    """
    low, high = ALPHA_RANGE
    return all_of(
        radial(dimension),
        judged(
            lowest_ratio < 0.5,
            "the readings reach below one half",
            f"the readings end at {lowest_ratio:.2f} of the first change, and should reach below one half",
        ),
        judged(
            fit.rms_misfit <= 0.05,
            "the curve fits",
            f"the curve misses by {fit.rms_misfit:.2f} of the change",
        ),
        judged(
            1.01 * low < fit.alpha < 0.99 * high,
            "the storage lies inside its range",
            "the storage stands at the edge of its range, so these readings do not tell it",
        ),
    )


def displaced_head(volume_m3: float, casing_radius_m: float) -> float:
    """Return the sudden change of level H₀ [m] from a volume put in or taken out [m³] and rc [m].

    Raises
    ------
    RangeError
        If volume or radius is not positive.

    Notes
    -----
    H₀ = V/(π rc²). Source: cooper1967.

    Examples
    --------
    >>> round(displaced_head(0.01016, 0.076), 3)
    0.56
    """
    return float(positive("volume_m3", volume_m3)) / (
        pi * float(positive("casing_radius_m", casing_radius_m)) ** 2
    )
