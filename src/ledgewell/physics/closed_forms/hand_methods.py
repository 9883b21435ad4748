"""Transmissivity worked by hand: Thiem's steady pair, a matched point of the type curve, and Chow's ratio."""

from __future__ import annotations

from math import exp, pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.physics.closed_forms.arguments import FloatArray, positive, within
from ledgewell.physics.closed_forms.theis import well_function


def thiem_transmissivity(
    flow_m3s: ArrayLike,
    near_radius_m: ArrayLike,
    near_drawdown_m: ArrayLike,
    far_radius_m: ArrayLike,
    far_drawdown_m: ArrayLike,
) -> FloatArray:
    """Return the transmissivity [m²/s] from steady drawdowns at two distances.

    Parameters
    ----------
    flow_m3s
        Rate [m³/s].
    near_radius_m, near_drawdown_m, far_radius_m, far_drawdown_m
        Distances and drawdowns [m] at the nearer and the farther place.

    Returns
    -------
    ndarray
        T [m²/s], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If the farther place is not farther or not drawn down less.

    Notes
    -----
    T = Q ln(r₂/r₁) / (2π(s₁ − s₂)). Holds once the difference s₁ − s₂ no longer changes. Source: thiem1906.

    Examples
    --------
    >>> round(86400 * float(thiem_transmissivity(788 / 86400, 30, 1.088, 90, 0.716)), 2)  # m²/d
    370.38
    """
    ratio = positive("far_radius_m", far_radius_m) / positive("near_radius_m", near_radius_m)
    fall = np.asarray(near_drawdown_m, dtype=np.float64) - np.asarray(far_drawdown_m, dtype=np.float64)
    distance = positive("far_radius_m over near_radius_m, as a logarithm,", np.log(ratio))
    return np.asarray(positive("flow_m3s", flow_m3s) * distance / (2 * pi * positive("s1 - s2 [m]", fall)))


def transmissivity_from_match_point(
    flow_m3s: ArrayLike, well_function_value: ArrayLike, drawdown_m: ArrayLike
) -> FloatArray:
    """Return T [m²/s] = QW/(4πs) from a rate [m³/s] and a point matched on the type curve.

    Raises
    ------
    RangeError
        If any value is not positive.

    Notes
    -----
    Source: theis1935.

    Examples
    --------
    >>> round(86400 * float(transmissivity_from_match_point(788 / 86400, 1.0, 0.16)), 2)  # m²/d
    391.92
    """
    numerator = positive("flow_m3s", flow_m3s) * positive("well_function_value", well_function_value)
    return np.asarray(numerator / (4 * pi * positive("drawdown_m", drawdown_m)))


def storativity_from_match_point(
    transmissivity_m2s: ArrayLike, u: ArrayLike, time_over_radius_squared_sm2: ArrayLike
) -> FloatArray:
    """Return S [–] = 4T·u·(t/r²) from T [m²/s], and u and t/r² [s/m²] of the matched point.

    Raises
    ------
    RangeError
        If any value is not positive.

    Notes
    -----
    Source: theis1935.

    Examples
    --------
    >>> round(float(storativity_from_match_point(391.92 / 86400, 0.1, 60 * 1.5e-3)), 7)
    0.0001633
    """
    transmissivity = positive("transmissivity_m2s", transmissivity_m2s)
    return np.asarray(
        4
        * transmissivity
        * positive("u", u)
        * positive("time_over_radius_squared", time_over_radius_squared_sm2)
    )


def chow_function(u: ArrayLike) -> FloatArray:
    """Return Chow's F(u) = W(u) eᵘ / ln 10 [–], the drawdown over its rise per tenfold of time.

    Raises
    ------
    RangeError
        If u is not positive.

    Notes
    -----
    F falls steadily with u, so a point and the slope of the curve there give u without matching.
    Source: chow1952.

    Examples
    --------
    >>> round(float(chow_function(0.038)), 2)
    1.23
    """
    return np.asarray(well_function(u) * np.exp(u) / np.log(10))


def u_from_chow_ratio(ratio: float) -> float:
    """Return the u [–] at which Chow's F(u) takes a value: drawdown over its rise per tenfold of time.

    Raises
    ------
    RangeError
        If the ratio is not between 0.05 and 10.

    Notes
    -----
    Source: chow1952.

    Examples
    --------
    >>> round(u_from_chow_ratio(0.47 / 0.38), 4)
    0.0375
    """
    from scipy.optimize import brentq

    sought = float(within("ratio", ratio, 0.05, 10.0))
    found = brentq(lambda ln_u: float(chow_function(exp(ln_u))) - sought, -24.0, 3.0, xtol=1e-13)
    return exp(float(found))
