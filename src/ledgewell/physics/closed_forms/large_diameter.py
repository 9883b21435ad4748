"""Radial flow to a well that stores water (Papadopulos and Cooper), and when a slope may be read."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.physics.closed_forms.arguments import FloatArray, finite, positive
from ledgewell.physics.closed_forms.radial_flow import (
    Rock,
    log_derivative,
    radial_flow_validity,
    step_response,
)
from ledgewell.physics.closed_forms.theis import theis_u
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged, radial

SLOPE_TOLERANCE = 0.10
"""How far a semilog slope may be from its late value before no T is read from it; our own rule."""


def large_diameter_function(one_over_u: ArrayLike, alpha: ArrayLike, skin: ArrayLike = 0.0) -> FloatArray:
    """Return the function F(u, α, σ) of a well that stores water.

    Parameters
    ----------
    one_over_u
        1/u = 4Tt/(S rw²) [–], positive.
    alpha
        α = S rw²/rc² [–], positive: small when the hole stores much.
    skin
        Skin σ ≥ 0 [–].

    Returns
    -------
    ndarray
        F [–] with s = Q/(4πT) F; first α/u, in the end W(u) + 2σ.

    Raises
    ------
    RangeError
        If an argument is out of range.

    Notes
    -----
    F = L⁻¹{(2/p) N/(√p K₁ + (p/2α) N)} at τ = 1/(4u), N = K₀(√p) + σ√p K₁(√p). Within 1e-10 of the value. The
    petroleum form of the storage is C_D = 1/(2α). Source: papadopulos1967, agarwal1970.

    Examples
    --------
    >>> round(float(large_diameter_function(1e3, 1e-3)), 9)
    0.906879211
    """
    rock = Rock(resistance_sm2=2.0, time_constant_s=1.0, skin=skin)
    return step_response(positive("one_over_u", one_over_u) / 4, rock, 1 / (4 * positive("alpha", alpha)))


def large_diameter_log_derivative(
    one_over_u: ArrayLike, alpha: ArrayLike, skin: ArrayLike = 0.0
) -> FloatArray:
    """Return dF/d ln t of `large_diameter_function` [–]; arguments as there.

    Raises
    ------
    RangeError
        If an argument is out of range.

    Notes
    -----
    First equal to F (the unit slope of an emptying hole), then a hump, in the end 1.
    Source: papadopulos1967, bourdet1989.

    Examples
    --------
    >>> round(float(large_diameter_log_derivative(1e5, 1e-3)), 5)
    1.27415
    """
    rock = Rock(resistance_sm2=2.0, time_constant_s=1.0, skin=skin)
    return log_derivative(positive("one_over_u", one_over_u) / 4, rock, 1 / (4 * positive("alpha", alpha)))


def large_diameter_drawdown(
    time_s: ArrayLike,
    flow_m3s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
    well_radius_m: ArrayLike,
    casing_radius_m: ArrayLike,
    skin: ArrayLike = 0.0,
) -> FloatArray:
    """Return the drawdown in a well that stores water, pumped at a constant rate.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    flow_m3s
        Pump rate [m³/s].
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    well_radius_m, casing_radius_m
        Radius of the bore in the rock rw, and of the free surface in the hole rc [m].
    skin
        Skin σ ≥ 0 [–].

    Returns
    -------
    ndarray
        Drawdown [m], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If an argument is out of range.

    Notes
    -----
    s = Q/(4πT) F(u, α, σ), u = rw²S/(4Tt), α = S rw²/rc². Where it holds: `large_diameter_validity`.
    Source: papadopulos1967.

    Examples
    --------
    >>> two_gpm, half_m2_a_day = 1.26180e-4, 0.5 / 86400
    >>> round(float(large_diameter_drawdown(3600.0, two_gpm, half_m2_a_day, 1e-4, 0.0762, 0.0762)), 2)
    13.34
    """
    u = theis_u(time_s, well_radius_m, transmissivity_m2s, storativity)
    alpha = (
        np.asarray(storativity)
        * (np.asarray(well_radius_m) / positive("casing_radius_m", casing_radius_m)) ** 2
    )
    flow = finite("flow_m3s", flow_m3s)
    return np.asarray(
        flow / (4 * pi * np.asarray(transmissivity_m2s)) * large_diameter_function(1 / u, alpha, skin)
    )


def large_diameter_validity(
    dimension: float, skin: float, highest_radius_m: float, lowest_radius_m: float
) -> Validity:
    """Return whether radial flow with stored water and skin can stand for a well.

    Parameters
    ----------
    dimension
        Flow dimension n.
    skin
        Skin σ [–].
    highest_radius_m, lowest_radius_m
        Radius of the free surface where the level started and where it ended [m].

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Source: papadopulos1967.

    Examples
    --------
    >>> large_diameter_validity(2.0, 1.0, 0.0762, 0.0762).valid
    True
    """
    return all_of(radial(dimension), radial_flow_validity(2.0, skin, highest_radius_m, lowest_radius_m))


def semilog_slope_ratio(
    time_s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
    well_radius_m: ArrayLike,
    casing_radius_m: ArrayLike,
    skin: ArrayLike = 0.0,
) -> FloatArray:
    """Return how many times too steep the semilog slope of a pumped well is at a time [–].

    Parameters
    ----------
    time_s, transmissivity_m2s, storativity, well_radius_m, casing_radius_m, skin
        As for `large_diameter_drawdown`.

    Returns
    -------
    ndarray
        Slope over late slope [–], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If an argument is out of range.

    Notes
    -----
    dF/d ln t, which ends at 1. A T read from a slope is too small by this factor. Source: papadopulos1967.

    Examples
    --------
    >>> quarter_hour = 25 * 0.0762**2 / 1e-4  # the loose rule, 25 rc²/T
    >>> round(float(semilog_slope_ratio(quarter_hour, 1e-4, 1e-5, 0.0762, 0.0762, skin=10.0)), 1)
    6.8
    """
    u = theis_u(time_s, well_radius_m, transmissivity_m2s, storativity)
    alpha = (
        np.asarray(storativity)
        * (np.asarray(well_radius_m) / positive("casing_radius_m", casing_radius_m)) ** 2
    )
    return large_diameter_log_derivative(1 / u, alpha, skin)


def semilog_validity(slope_ratio: float, dimension: float = 2.0) -> Validity:
    """Return whether a transmissivity may be read from a semilog slope.

    Parameters
    ----------
    slope_ratio
        Slope at the first reading used over the late slope, from the fitted well or `semilog_slope_ratio`
        [–].
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Valid when the slope is within 10 % of its late value and flow is radial. Where no fitted well is at
    hand, ask `ledgewell.physics.closed_forms.validity.storage_over`. Source: papadopulos1967.

    Examples
    --------
    >>> semilog_validity(1.5).why
    'the slope is still 1.5 times its late value, because of water stored in the hole'
    """
    late = judged(
        abs(slope_ratio - 1) <= SLOPE_TOLERANCE,
        "the slope is within 10 % of its late value",
        f"the slope is still {slope_ratio:.2g} times its late value, because of water stored in the hole",
    )
    return all_of(radial(dimension), late)


def casing_storage_end_time(
    casing_diameter_m: float, pipe_diameter_m: float, specific_capacity_m2s: float
) -> float:
    """Return the trade's time [s] at which water stored in the casing stops mattering.

    Parameters
    ----------
    casing_diameter_m, pipe_diameter_m
        Inside diameter of the casing and outside diameter of the drop pipe [m].
    specific_capacity_m2s
        Rate over drawdown [m²/s].

    Returns
    -------
    float
        Time since pumping began [s].

    Raises
    ------
    RangeError
        If a diameter or the specific capacity is not positive, or the pipe does not fit.

    Notes
    -----
    t [min] = 0.6 (D² − d²)/(Q/s), inches and gpm per foot: from memory, and far shorter than 250 rc²/T.
    Source: schafer1978.

    Examples
    --------
    >>> gpm_per_foot = 6.30901964e-5 / 0.3048
    >>> round(casing_storage_end_time(0.1524, 0.0254, 0.1 * gpm_per_foot) / 60, 1)  # minutes, at 0.1 gpm/ft
    210.0
    """
    outer, inner = (
        float(positive("casing_diameter_m", casing_diameter_m)),
        float(finite("pipe", pipe_diameter_m)),
    )
    annulus_in2 = float(positive("casing less pipe [m²]", outer**2 - inner**2)) / 0.0254**2
    gpm_per_foot = float(positive("specific_capacity_m2s", specific_capacity_m2s)) / (6.30901964e-5 / 0.3048)
    return 60 * 0.6 * annulus_in2 / gpm_per_foot
