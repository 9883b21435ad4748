"""Constant rate from a line in an endless sheet: Theis, and its logarithmic approximation."""

from __future__ import annotations

from math import exp, pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.physics.closed_forms.arguments import FloatArray, finite, positive, within
from ledgewell.physics.closed_forms.validity import (
    LINE_SOURCE_FACTOR,
    Validity,
    all_of,
    judged,
    radial,
    storage_over,
)

COOPER_JACOB_FACTOR = 4 * exp(-np.euler_gamma)
"""4 e^(−γ) = 2.2458, printed as 2.25 in handbooks. Source: cooper1946."""


def well_function(u: ArrayLike) -> FloatArray:
    """Return the well function W(u) = E₁(u).

    Parameters
    ----------
    u
        r²S/(4Tt) [–], any shape, positive.

    Returns
    -------
    ndarray
        W(u) [–].

    Raises
    ------
    RangeError
        If u is not positive.

    Notes
    -----
    W(u) = ∫_u^∞ e^(−x)/x dx. Holds for every positive u. Source: theis1935.

    Examples
    --------
    >>> round(float(well_function(1e-4)), 4)
    8.6332
    """
    from scipy.special import exp1

    return np.asarray(exp1(positive("u", u)), dtype=np.float64)


def theis_u(
    time_s: ArrayLike, radius_m: ArrayLike, transmissivity_m2s: ArrayLike, storativity: ArrayLike
) -> FloatArray:
    """Return u = r²S/(4Tt) [–] from a time [s], a distance [m], T [m²/s] and S [–], broadcast together.

    Raises
    ------
    RangeError
        If any of them is not positive.

    Notes
    -----
    Source: theis1935.

    Examples
    --------
    >>> float(theis_u(250.0, 1.0, 1e-5, 1e-4))
    0.01
    """
    radius = positive("radius_m", radius_m)
    numerator = radius**2 * positive("storativity", storativity)
    return np.asarray(
        numerator / (4 * positive("transmissivity_m2s", transmissivity_m2s) * positive("time_s", time_s))
    )


def theis_drawdown(
    time_s: ArrayLike,
    radius_m: ArrayLike,
    flow_m3s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
) -> FloatArray:
    """Return the drawdown at a distance from a line that gives a constant rate.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    radius_m
        Distance from the well [m].
    flow_m3s
        Rate taken [m³/s]; negative puts water in.
    transmissivity_m2s
        Transmissivity T [m²/s].
    storativity
        Storativity S [–].

    Returns
    -------
    ndarray
        Drawdown [m], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If a time, distance, T or S is not positive.

    Notes
    -----
    s = Q/(4πT) W(r²S/(4Tt)). Where it holds: `theis_validity`. Source: theis1935.

    Examples
    --------
    >>> round(float(theis_drawdown(86400.0, 10.0, 100 / 86400, 50 / 86400, 1e-4)), 4)
    1.4843
    """
    u = theis_u(time_s, radius_m, transmissivity_m2s, storativity)
    flow = finite("flow_m3s", flow_m3s)
    return np.asarray(flow / (4 * pi * np.asarray(transmissivity_m2s)) * well_function(u))


def theis_validity(
    time_s: float,
    transmissivity_m2s: float,
    storativity: float,
    well_radius_m: float,
    casing_radius_m: float,
    dimension: float = 2.0,
) -> Validity:
    """Return whether the line source stands for a pumped well of real size by a time.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    well_radius_m, casing_radius_m
        Radius of the bore in the rock, and of the free surface in the hole [m].
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Not valid unless flow is radial, 1/u at the well face is above 1e4 and t > 250 rc²/T.

    Notes
    -----
    Source: theis1935, papadopulos1967.

    Examples
    --------
    >>> theis_validity(3600.0, 1e-5, 1e-4, 0.0762, 0.0762).valid
    False
    """
    one_over_u = 1 / float(theis_u(time_s, well_radius_m, transmissivity_m2s, storativity))
    line = judged(
        one_over_u >= LINE_SOURCE_FACTOR,
        "the well is thin enough to count as a line",
        f"too early for a line to stand for the well: 1/u at its face is {one_over_u:.3g}, "
        f"and should be {LINE_SOURCE_FACTOR:g}",
    )
    return all_of(radial(dimension), line, storage_over(time_s, transmissivity_m2s, casing_radius_m))


def cooper_jacob_drawdown(
    time_s: ArrayLike,
    radius_m: ArrayLike,
    flow_m3s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
) -> FloatArray:
    """Return the drawdown by the logarithmic approximation; arguments as for `theis_drawdown`.

    Returns
    -------
    ndarray
        Drawdown [m]; negative where u is above 0.56, far outside the range of validity.

    Raises
    ------
    RangeError
        If a time, distance, T or S is not positive.

    Notes
    -----
    s = Q/(4πT) ln(2.2458 Tt/(r²S)). Where it holds: `cooper_jacob_validity`. Source: cooper1946.

    Examples
    --------
    >>> round(float(cooper_jacob_drawdown(86400.0, 10.0, 100 / 86400, 50 / 86400, 1e-4)), 4)
    1.4843
    """
    u = theis_u(time_s, radius_m, transmissivity_m2s, storativity)
    flow = finite("flow_m3s", flow_m3s)
    return np.asarray(flow / (4 * pi * np.asarray(transmissivity_m2s)) * (-np.euler_gamma - np.log(u)))


def cooper_jacob_truncation(u: ArrayLike) -> FloatArray:
    """Return the relative error of the logarithmic approximation, (−γ − ln u)/W(u) − 1 [–].

    Raises
    ------
    RangeError
        If u is not positive.

    Notes
    -----
    Negative: the approximation is low. Source: cooper1946.

    Examples
    --------
    >>> round(100 * float(cooper_jacob_truncation(0.01)), 3)  # percent
    -0.247
    """
    positive("u", u)
    return np.asarray((-np.euler_gamma - np.log(u)) / well_function(u) - 1)


def cooper_jacob_limit(tolerance: float = 0.01) -> float:
    """Return the u [–] at which the logarithmic approximation is low by a fraction.

    Parameters
    ----------
    tolerance
        Fraction that may be missing, above 1e-6 and below 1.

    Returns
    -------
    float
        u [–].

    Raises
    ------
    RangeError
        If the tolerance is out of range.

    Notes
    -----
    The root of `cooper_jacob_truncation`. Source: cooper1946.

    Examples
    --------
    >>> round(cooper_jacob_limit(0.01), 5)
    0.02986
    """
    from scipy.optimize import brentq

    sought = float(within("tolerance", tolerance, 1e-6, 0.999))
    found = brentq(lambda ln_u: float(cooper_jacob_truncation(exp(ln_u))) + sought, -20.0, 0.0, xtol=1e-13)
    return exp(float(found))


def cooper_jacob_validity(u: float, tolerance: float = 0.01, dimension: float = 2.0) -> Validity:
    """Return whether the logarithmic approximation is within a tolerance of Theis.

    Parameters
    ----------
    u
        Largest u among the readings used [–]; see `theis_u`.
    tolerance
        Fraction of the drawdown that may be missing.
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    This says nothing of water stored in the hole: at a pumped well also ask
    `ledgewell.physics.closed_forms.large_diameter.semilog_validity`. Source: cooper1946.

    Examples
    --------
    >>> cooper_jacob_validity(0.05).why
    'u is 0.05, and must be below 0.0299 for the logarithm to be within 1 %'
    """
    limit = cooper_jacob_limit(tolerance)
    small = judged(
        u <= limit,
        f"u is below {limit:.3g}, so the logarithm is within {tolerance:.2g} of the Theis curve",
        f"u is {u:.3g}, and must be below {limit:.3g} for the logarithm to be within {100 * tolerance:g} %",
    )
    return all_of(radial(dimension), small)
