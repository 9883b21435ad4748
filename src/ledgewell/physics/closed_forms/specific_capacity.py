"""Transmissivity from one rate and one drawdown. All forms leave out the hole's own water and any skin."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, log, pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import FloatArray, positive
from ledgewell.physics.closed_forms.theis import COOPER_JACOB_FACTOR, theis_u, well_function
from ledgewell.physics.closed_forms.validity import Validity, all_of, radial, storage_over

LOGAN_FACTOR = 1.22
"""T over Q/s in steady flow, for a reach of 2133 times the radius. Source: logan1964."""
DRISCOLL_CONFINED = 2000 / 1440
"""T over Q/s after about a day in a confined sheet: 2000 gpd/ft for 1 gpm/ft. Source: driscoll1986."""
DRISCOLL_UNCONFINED = 1500 / 1440
"""T over Q/s after about a day in an unconfined sheet: 1500 gpd/ft for 1 gpm/ft. Source: driscoll1986."""
_U_OF_LARGEST_THEIS_DRAWDOWN = 0.43481807
"""u at which Theis drawdown is largest over all T: the root of W(u) = e^(−u); computed."""
_U_OF_LARGEST_SEMILOG_DRAWDOWN = COOPER_JACOB_FACTOR / 4 / exp(1)
"""The same for the logarithmic approximation: the root of −γ − ln u = 1."""
_HALVINGS = 70


def logan_transmissivity(specific_capacity_m2s: ArrayLike) -> FloatArray:
    """Return T [m²/s] = 1.22 Q/s from the specific capacity [m²/s] of a settled drawdown.

    Raises
    ------
    RangeError
        If the specific capacity is not positive.

    Notes
    -----
    Thiem with log₁₀(r_max/rw) = 3.32. Source: logan1964.

    Examples
    --------
    >>> float(logan_transmissivity(1e-4))
    0.000122
    """
    return np.asarray(LOGAN_FACTOR * positive("specific_capacity_m2s", specific_capacity_m2s))


def driscoll_transmissivity(specific_capacity_m2s: ArrayLike, *, confined: bool) -> FloatArray:
    """Return T [m²/s] from the specific capacity [m²/s] after about a day of pumping.

    Parameters
    ----------
    specific_capacity_m2s
        Q/s [m²/s].
    confined
        True for a confined sheet (S about 1e-3), False for an unconfined one (S about 0.075).

    Returns
    -------
    ndarray
        T [m²/s], shape of the specific capacity.

    Raises
    ------
    RangeError
        If the specific capacity is not positive.

    Notes
    -----
    T [gpd/ft] = 2000 or 1500 Q/s [gpm/ft]; made for T near 30,000 gpd/ft (4e-3 m²/s), far above weak rock.
    Source: driscoll1986.

    Examples
    --------
    >>> round(float(driscoll_transmissivity(1e-4, confined=True)), 8)
    0.00013889
    """
    factor = DRISCOLL_CONFINED if confined else DRISCOLL_UNCONFINED
    return np.asarray(factor * positive("specific_capacity_m2s", specific_capacity_m2s))


def specific_capacity_from_transmissivity(
    transmissivity_m2s: ArrayLike, time_s: ArrayLike, well_radius_m: ArrayLike, storativity: ArrayLike
) -> FloatArray:
    """Return the specific capacity Q/s [m²/s] of a well by the logarithmic approximation.

    Parameters
    ----------
    transmissivity_m2s
        T [m²/s].
    time_s
        Time since pumping began [s].
    well_radius_m
        Radius of the bore [m].
    storativity
        S [–].

    Returns
    -------
    ndarray
        Q/s [m²/s], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If an argument is not positive, or u is too large for the logarithm to be positive.

    Notes
    -----
    Q/s = 4πT/ln(2.2458 Tt/(r²S)). In gallons and feet Q/s = T/[264 log₁₀(Tt/(2693 r²S)) − 65.5].
    Source: walton1970.

    Examples
    --------
    >>> round(1e6 * float(specific_capacity_from_transmissivity(1e-5, 3600.0, 0.0762, 1e-4)), 3)
    10.61
    """
    u = theis_u(time_s, well_radius_m, transmissivity_m2s, storativity)
    logarithm = positive("ln(2.2458 Tt/(r²S))", -np.euler_gamma - np.log(u))
    return np.asarray(4 * pi * np.asarray(transmissivity_m2s) / logarithm)


def cooper_jacob_single_point(
    flow_m3s: ArrayLike,
    drawdown_m: ArrayLike,
    time_s: ArrayLike,
    well_radius_m: ArrayLike,
    storativity: ArrayLike,
) -> FloatArray:
    """Return T [m²/s] from one drawdown by the logarithmic approximation, iterated.

    Parameters
    ----------
    flow_m3s, drawdown_m, time_s
        Rate [m³/s], drawdown [m] and time since pumping began [s].
    well_radius_m
        Radius of the bore [m].
    storativity
        S [–], assumed.

    Returns
    -------
    ndarray
        T [m²/s], shape of the arguments broadcast together: the larger of the two that satisfy the formula.

    Raises
    ------
    RangeError
        If an argument is not positive, or no T gives so large a drawdown.

    Notes
    -----
    T = Q/(4πs) ln(2.2458 Tt/(r²S)). Where it holds: `single_point_validity`. Source: cooper1946.

    Examples
    --------
    >>> gpm, foot = 6.30901964e-5, 0.3048
    >>> t = cooper_jacob_single_point(2 * gpm, 100 * foot, 3600.0, 0.25 * foot, 1e-4)
    >>> round(86400 * float(t) / foot**2, 4)  # ft²/d
    3.3124
    """
    return _single_point(
        lambda u: -np.euler_gamma - np.log(u),
        _U_OF_LARGEST_SEMILOG_DRAWDOWN,
        (flow_m3s, drawdown_m, time_s, well_radius_m, storativity),
    )


def theis_single_point(
    flow_m3s: ArrayLike,
    drawdown_m: ArrayLike,
    time_s: ArrayLike,
    well_radius_m: ArrayLike,
    storativity: ArrayLike,
) -> FloatArray:
    """Return T [m²/s] from one drawdown by the Theis formula, iterated.

    Arguments as for `cooper_jacob_single_point`.

    Raises
    ------
    RangeError
        If an argument is not positive, or no T gives so large a drawdown.

    Notes
    -----
    T = Q/(4πs) W(r²S/(4Tt)). Where it holds: `single_point_validity`. Source: theis1935.

    Examples
    --------
    >>> gpm, foot = 6.30901964e-5, 0.3048
    >>> t = theis_single_point(2 * gpm, 100 * foot, 3600.0, 0.25 * foot, 1e-4)
    >>> round(86400 * float(t) / foot**2, 4)  # ft²/d
    3.3124
    """
    return _single_point(
        well_function,
        _U_OF_LARGEST_THEIS_DRAWDOWN,
        (flow_m3s, drawdown_m, time_s, well_radius_m, storativity),
    )


def _single_point(
    function: Callable[[FloatArray], FloatArray], turning_u: float, given: tuple[ArrayLike, ...]
) -> FloatArray:
    """Return the T above the turning point at which Q f(u)/(4πT) is the drawdown, by halving in ln T.

    Drawdown over T has one maximum, at the turning u; above it the drawdown falls steadily with T.
    """
    names = ("flow_m3s", "drawdown_m", "time_s", "well_radius_m", "storativity")
    flow, drawdown, time, radius, storativity = np.broadcast_arrays(
        *(positive(name, value) for name, value in zip(names, given, strict=True))
    )
    lowest = radius**2 * storativity / (4 * turning_u * time)
    scale = flow / (4 * pi * drawdown)

    def excess(ln_t: FloatArray) -> FloatArray:
        t = np.exp(ln_t)
        return np.asarray(scale * function(lowest * turning_u / t) / t - 1)

    low = np.log(lowest)
    if np.any(excess(low) < 0):
        raise RangeError("drawdown_m", float(drawdown[excess(low) < 0].flat[0]), "one that some T can give")
    high = np.maximum(low, np.log(scale)) + log(1000.0)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        above = excess(middle) > 0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.asarray(np.exp((low + high) / 2))


def single_point_validity(
    time_s: float, transmissivity_m2s: float, casing_radius_m: float, dimension: float = 2.0
) -> Validity:
    """Return whether T may be read from one rate and one drawdown.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    transmissivity_m2s
        The T found [m²/s].
    casing_radius_m
        Radius of the free surface in the hole [m].
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Radial flow and t > 250 rc²/T. In a weak well an hour is far too short: the hole's own water makes T
    read high. Well loss and skin, which make it read low, cannot be seen from one reading.
    Source: papadopulos1967.

    Examples
    --------
    >>> single_point_validity(3600.0, 3.6e-6, 0.0762).valid
    False
    """
    return all_of(radial(dimension), storage_over(time_s, transmissivity_m2s, casing_radius_m))
