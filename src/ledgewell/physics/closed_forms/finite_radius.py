"""Constant rate from a well of finite radius that stores nothing, in radial flow."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import FloatArray, finite, positive
from ledgewell.physics.closed_forms.inversion import ComplexArray, talbot
from ledgewell.physics.closed_forms.theis import theis_u
from ledgewell.physics.closed_forms.validity import Validity, all_of, radial, storage_over


def finite_radius_function(one_over_u: ArrayLike, distance_ratio: ArrayLike = 1.0) -> FloatArray:
    """Return the dimensionless drawdown outside a cylinder from which a constant rate is taken.

    Parameters
    ----------
    one_over_u
        1/u = 4Tt/(S rw²) at the face of the well [–], positive.
    distance_ratio
        Distance from the axis over the radius of the well, r/rw ≥ 1.

    Returns
    -------
    ndarray
        F [–] with s = Q/(4πT) F; it tends to W(u) for large 1/u.

    Raises
    ------
    RangeError
        If 1/u is not positive or the distance lies inside the well.

    Notes
    -----
    F = L⁻¹{2 K₀(ρ√p)/(p √p K₁(√p))} at τ = 1/(4u), ρ = r/rw. Within 1e-10 of the value at the face for 1/u
    from 1e-4 to 1e12; far from the face, where F is below 1e-6, only within about 1e-12 of 1.
    Source: vaneverdingen1949.

    Examples
    --------
    >>> round(float(finite_radius_function(4.0)), 4)  # τ = 1; tabulated as 2 × 0.802
    1.6043
    """
    from scipy.special import kve

    ratio = finite("distance_ratio", distance_ratio)
    if np.any(ratio < 1):
        raise RangeError("distance_ratio", float(ratio[ratio < 1].flat[0]), "1 or more")
    tau, ratio = np.broadcast_arrays(positive("one_over_u", one_over_u) / 4, ratio)

    def transform(p: ComplexArray) -> ComplexArray:
        root = np.sqrt(p)
        result: ComplexArray = (
            2 * kve(0, ratio * root) * np.exp((1 - ratio) * root) / (p * root * kve(1, root))
        )
        return result

    return talbot(transform, tau)


def finite_radius_drawdown(
    time_s: ArrayLike,
    radius_m: ArrayLike,
    flow_m3s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
    well_radius_m: ArrayLike,
) -> FloatArray:
    """Return the drawdown at a distance from a well of finite radius.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    radius_m
        Distance from the axis of the well [m], not less than its radius.
    flow_m3s
        Constant rate out of the rock [m³/s].
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    well_radius_m
        Radius of the bore in the rock rw [m].

    Returns
    -------
    ndarray
        Drawdown [m], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If an argument is not positive or the distance lies inside the well.

    Notes
    -----
    s = Q/(4πT) F(1/u, r/rw), u = rw²S/(4Tt). Where it holds: `finite_radius_validity`.
    Source: vaneverdingen1949.

    Examples
    --------
    >>> round(float(finite_radius_drawdown(3600.0, 0.0762, 1e-4, 1e-5, 1e-4, 0.0762)), 3)
    9.425
    """
    ratio = positive("radius_m", radius_m) / positive("well_radius_m", well_radius_m)
    u = theis_u(time_s, well_radius_m, transmissivity_m2s, storativity)
    flow = finite("flow_m3s", flow_m3s)
    return np.asarray(flow / (4 * pi * np.asarray(transmissivity_m2s)) * finite_radius_function(1 / u, ratio))


def finite_radius_validity(
    time_s: float, transmissivity_m2s: float, casing_radius_m: float, dimension: float = 2.0
) -> Validity:
    """Return whether a well may be treated as one that stores nothing.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    transmissivity_m2s
        T [m²/s].
    casing_radius_m
        Radius of the free surface in the hole rc [m].
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Valid at any time when the *rock inflow* is constant; for a constant pump rate t > 250 rc²/T, which is
    what is judged here. Source: vaneverdingen1949, papadopulos1967.

    Examples
    --------
    >>> finite_radius_validity(86400.0, 1e-3, 0.0762).valid
    True
    """
    return all_of(radial(dimension), storage_over(time_s, transmissivity_m2s, casing_radius_m))
