"""Generalized radial flow of any dimension from 1 to 3, inverted from the Laplace domain.

Unlike the engine, which keeps the rock as a short sum of decaying exponentials, these functions invert the
exact transform for one constant rate or one held level. They are the truth the engine is checked against.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import gamma, pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.physics.closed_forms.arguments import FloatArray, not_negative, positive, within
from ledgewell.physics.closed_forms.inversion import ComplexArray, talbot
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged

DIMENSION_RANGE = (1.0, 3.0)
"""Flow dimensions n served: 1 a channel, 2 a sheet, 3 a sphere."""


def face_resistance(conductivity_ms: float, extent_m: float, well_radius_m: float, dimension: float) -> float:
    """Return the resistance R [s/m²] that scales the response at the well face.

    Parameters
    ----------
    conductivity_ms
        Hydraulic conductivity K [m/s].
    extent_m
        Extent b of the flow region [m]: the thickness for n = 2, the root of the area for n = 1.
    well_radius_m
        Radius of the well rw [m].
    dimension
        Flow dimension n.

    Returns
    -------
    float
        R [s/m²].

    Raises
    ------
    RangeError
        If n is outside 1 to 3 or another value is not positive.

    Notes
    -----
    R = rw^(2−n)/(K b^(3−n) αₙ), αₙ = 2π^(n/2)/Γ(n/2); for n = 2, R = 1/(2πT). Source: barker1988.

    Examples
    --------
    >>> round(face_resistance(1e-6, 10.0, 0.0762, 2.0), 3)  # T is 1e-5 m²/s
    15915.494
    """
    n = float(within("dimension", dimension, *DIMENSION_RANGE))
    sphere = 2 * pi ** (n / 2) / gamma(n / 2)
    radius, extent = float(positive("well_radius_m", well_radius_m)), float(positive("extent_m", extent_m))
    conductivity = float(positive("conductivity_ms", conductivity_ms))
    return float(radius ** (2 - n) / (conductivity * extent ** (3 - n) * sphere))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rock:
    """A rock of one flow dimension, as seen from the face of a well.

    Parameters
    ----------
    resistance_sm2
        R [s/m²]; 1/(2πT) for n = 2. One value, or an array that broadcasts with the times.
    time_constant_s
        tc = Ss rw²/K [s]; S rw²/T for n = 2.
    dimension
        Flow dimension n, 1 to 3.
    skin
        Skin σ ≥ 0 [–]: an added drawdown σR per unit inflow.

    Raises
    ------
    RangeError
        If a value is out of range.

    Examples
    --------
    >>> Rock(resistance_sm2=15915.0, time_constant_s=0.058, dimension=2.0).skin
    0.0
    """

    resistance_sm2: ArrayLike
    time_constant_s: ArrayLike
    dimension: ArrayLike = 2.0
    skin: ArrayLike = 0.0

    def __post_init__(self) -> None:
        positive("resistance_sm2", self.resistance_sm2)
        positive("time_constant_s", self.time_constant_s)
        within("dimension", self.dimension, *DIMENSION_RANGE)
        not_negative("skin", self.skin)


def _impedance(rock: Rock) -> Callable[[ComplexArray], ComplexArray]:
    """Return G(p) = p·S̄(p) + σR: drawdown in the hole over inflow, in the Laplace domain."""
    from scipy.special import kve

    resistance = np.asarray(rock.resistance_sm2, dtype=np.float64)
    order = 1 - np.asarray(rock.dimension, dtype=np.float64) / 2
    skin = np.asarray(rock.skin, dtype=np.float64)

    def impedance(p: ComplexArray) -> ComplexArray:
        mu = np.sqrt(p * np.asarray(rock.time_constant_s))
        face: ComplexArray = kve(order, mu) / (mu * kve(order - 1, mu))
        return resistance * (face + skin)

    return impedance


def _with_times(time_s: ArrayLike, *others: ArrayLike) -> FloatArray:
    """Return the times broadcast to the shape of everything else."""
    shape = np.broadcast_shapes(np.shape(time_s), *(np.shape(other) for other in others))
    return np.broadcast_to(positive("time_s", time_s), shape)


def step_response(time_s: ArrayLike, rock: Rock, area_m2: ArrayLike = 0.0) -> FloatArray:
    """Return the drawdown in the hole per unit of constant pump rate.

    Parameters
    ----------
    time_s
        Time since pumping began [s].
    rock
        The rock.
    area_m2
        Free area of the hole [m²]; 0 for a hole that stores nothing.

    Returns
    -------
    ndarray
        Drawdown over rate [s/m²], shape of everything broadcast together.

    Raises
    ------
    RangeError
        If a time is not positive or the area is negative.

    Notes
    -----
    s̄(p) = (1/p) G/(1 + A p G), G = R[Kν(μ)/(μ Kν−1(μ)) + σ], μ = √(p tc), ν = 1 − n/2. Where it holds:
    `radial_flow_validity`. Source: barker1988, papadopulos1967, agarwal1970.

    Examples
    --------
    >>> rock = Rock(resistance_sm2=1.0, time_constant_s=1.0, dimension=3.0)
    >>> round(float(step_response(1e8, rock)), 4)  # n = 3 settles at R
    0.9999
    """
    area = not_negative("area_m2", area_m2)
    time = _with_times(time_s, rock.resistance_sm2, rock.time_constant_s, rock.dimension, rock.skin, area)
    impedance = _impedance(rock)

    def transform(p: ComplexArray) -> ComplexArray:
        drawdown = impedance(p)
        return drawdown / (p * (1 + area * p * drawdown))

    return talbot(transform, time)


def log_derivative(time_s: ArrayLike, rock: Rock, area_m2: ArrayLike = 0.0) -> FloatArray:
    """Return the slope of `step_response` against the natural logarithm of time [s/m²]; arguments as there.

    Raises
    ------
    RangeError
        If a time is not positive or the area is negative.

    Notes
    -----
    t·L⁻¹{G/(1 + A p G)}. For n = 2 it ends at 1/(4πT) = R/2. Source: barker1988, papadopulos1967.

    Examples
    --------
    >>> rock = Rock(resistance_sm2=1.0, time_constant_s=1.0)
    >>> round(float(log_derivative(1e9, rock)), 6)
    0.5
    """
    area = not_negative("area_m2", area_m2)
    time = _with_times(time_s, rock.resistance_sm2, rock.time_constant_s, rock.dimension, rock.skin, area)
    impedance = _impedance(rock)

    def transform(p: ComplexArray) -> ComplexArray:
        drawdown = impedance(p)
        return drawdown / (1 + area * p * drawdown)

    return time * talbot(transform, time)


def rock_inflow(time_s: ArrayLike, rock: Rock, area_m2: ArrayLike) -> FloatArray:
    """Return the inflow from the rock as a share [–] of the pump rate; arguments as for `step_response`.

    Raises
    ------
    RangeError
        If a time is not positive or the area is negative.

    Notes
    -----
    L⁻¹{1/(p(1 + A p G))}: what is left comes out of the hole. Source: barker1988, papadopulos1967.

    Examples
    --------
    >>> weak = Rock(resistance_sm2=27502.0, time_constant_s=0.1, skin=2.0)
    >>> round(float(rock_inflow(600.0, weak, 0.0182)), 3)  # after ten minutes most is the hole's own water
    0.172
    """
    area = not_negative("area_m2", area_m2)
    time = _with_times(time_s, rock.resistance_sm2, rock.time_constant_s, rock.dimension, rock.skin, area)
    impedance = _impedance(rock)
    return talbot(lambda p: 1 / (p * (1 + area * p * impedance(p))), time)


def held_level_inflow(time_s: ArrayLike, rock: Rock) -> FloatArray:
    """Return the inflow per unit of drawdown after the level has been held down for a time.

    Parameters
    ----------
    time_s
        Time since the level was first held [s].
    rock
        The rock.

    Returns
    -------
    ndarray
        Inflow over drawdown [m²/s]. Times the drawdown held it is the rock yield at that level.

    Raises
    ------
    RangeError
        If a time is not positive.

    Notes
    -----
    L⁻¹{1/(p G)}. Source: jacob1952, barker1988.

    Examples
    --------
    >>> rock = Rock(resistance_sm2=1.0, time_constant_s=1.0)
    >>> round(float(held_level_inflow(1.0, rock)), 3)
    0.984
    """
    time = _with_times(time_s, rock.resistance_sm2, rock.time_constant_s, rock.dimension, rock.skin)
    impedance = _impedance(rock)
    return talbot(lambda p: 1 / (p * impedance(p)), time)


def radial_flow_validity(
    dimension: float, skin: float, highest_radius_m: float, lowest_radius_m: float
) -> Validity:
    """Return whether one response with stored water and skin can stand for a well.

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
        Not valid for n outside 1 to 3, a negative skin, or a level that passed from casing into bore.

    Notes
    -----
    Also assumed and not seen here: one endless rock, one static level, no fracture left hanging above the
    level. Source: barker1988.

    Examples
    --------
    >>> radial_flow_validity(2.0, 0.0, 0.079, 0.076).why
    'the level passed from a radius of 0.079 m to 0.076 m, and the formula knows only one'
    """
    low, high = DIMENSION_RANGE
    return all_of(
        judged(low <= dimension <= high, "n is from 1 to 3", f"n is {dimension:g}, and must be from 1 to 3"),
        judged(
            skin >= 0, "the skin is not negative", f"the skin is {skin:g}; stimulation belongs in R and tc"
        ),
        judged(
            abs(highest_radius_m - lowest_radius_m) <= 1e-3 * highest_radius_m,
            "the level stayed within one radius",
            f"the level passed from a radius of {highest_radius_m:g} m to {lowest_radius_m:g} m, "
            "and the formula knows only one",
        ),
    )
