"""Compute one weak well exactly: generalized radial flow, skin and bucket, by numerical Laplace inversion.

The rock is Barker's generalized radial flow to the face of one fracture zone, the hole is a bucket of one
area, and every answer is an inverse Laplace transform on a cotangent contour. Nothing is stepped in time, so
these levels judge any time-marching code.

Sources: Barker, J.A., 1988, Water Resour. Res. 24(10), 1796-1804 (rock); Papadopulos, I.S. and Cooper, H.H.,
1967, Water Resour. Res. 3(1), 241-244 (bucket); Trefethen, L.N., Weideman, J.A.C. and Schmelzer, T., 2006,
BIT 46, 653-670 (contour; its four constants from memory, the accuracy is tested against mpmath).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ive, kve

Edge = Literal["none", "constant head", "no flow"]
Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

CONTOUR_NODES = 28


@dataclass(frozen=True, slots=True, kw_only=True)
class RockTruth:
    """State the rock at the face of the well.

    Parameters
    ----------
    transmissivity_m2s
        T*, apparent at the face, 1/(2 pi R) [m2/s].
    storativity
        S*, apparent at the face, T* tc / rw2 [-].
    flow_dimension
        n of generalized radial flow, 1 to 3 [-].
    skin
        Steady skin factor, at least 0; it adds skin * R to the resistance [-].
    well_radius_m
        Radius of the face [m].
    edge
        What stands at `edge_ratio`: nothing, a constant head or no flow.
    edge_ratio
        Radius of the outer edge over the radius of the face [-]; infinite when there is none.
    """

    transmissivity_m2s: float
    storativity: float
    flow_dimension: float
    skin: float
    well_radius_m: float
    edge: Edge = "none"
    edge_ratio: float = math.inf

    @property
    def resistance_sm2(self) -> float:
        """Give R, the drawdown scale per unit inflow [s/m2]."""
        return 1.0 / (2.0 * math.pi * self.transmissivity_m2s)

    @property
    def face_time_s(self) -> float:
        """Give tc, the time in which pressure crosses one well radius [s]."""
        return self.storativity * self.well_radius_m**2 / self.transmissivity_m2s


def invert_laplace(transform: Callable[[Complexes], Complexes], times_s: Floats) -> Floats:
    """Invert a Laplace transform at many times at once.

    Parameters
    ----------
    transform
        Function of complex p [1/s] whose singularities all lie on the negative real axis.
    times_s
        Times, all positive, shape (m,) [s].

    Returns
    -------
    Values at `times_s`, shape (m,).

    Notes
    -----
    z(theta) = N (-0.6122 + 0.5017 theta cot(0.6407 theta) + 0.2645 i theta), midpoint rule; the error falls
    about as 3.9**-N down to rounding.

    >>> round(float(invert_laplace(lambda p: 1 / p**2, np.array([3.0]))[0]), 9)
    3.0
    """
    theta = (np.arange(CONTOUR_NODES // 2) * 2.0 + 1.0) * math.pi / CONTOUR_NODES
    bent = 0.6407 * theta
    z = CONTOUR_NODES * (-0.6122 + 0.5017 * theta / np.tan(bent) + 0.2645j * theta)
    slope = CONTOUR_NODES * (0.5017 / np.tan(bent) - 0.5017 * bent / np.sin(bent) ** 2 + 0.2645j)
    weight = np.exp(z) * slope * (2.0 / CONTOUR_NODES)
    p: Complexes = np.asarray(z[None, :] / times_s[:, None], dtype=np.complex128)
    answer: Floats = (transform(p) * weight / times_s[:, None]).imag.sum(axis=1)
    return answer


def face_impedance(rock: RockTruth, p: Complexes) -> Complexes:
    """Give drawdown in the hole per unit inflow in the Laplace domain, skin included [s/m2].

    Parameters
    ----------
    rock
        The rock.
    p
        Laplace variable, any shape [1/s].

    Notes
    -----
    Without an edge G = R K_v(u) / (u K_{v-1}(u)) + skin R, u = sqrt(p tc), v = 1 - n/2. With an edge at
    radius rho the solution is r^v (a K_v + b I_v), a and b set by no head change or no flow there.

    >>> rock = RockTruth(
    ...     transmissivity_m2s=1.0, storativity=1.0, flow_dimension=1.0, skin=0.0, well_radius_m=1.0
    ... )
    >>> round(float((face_impedance(rock, np.array([4.0 + 0j])) * 2 * math.pi)[0].real), 12)
    0.5
    """
    order = 1.0 - rock.flow_dimension / 2.0
    u: Complexes = np.sqrt(p * rock.face_time_s)
    head = np.asarray(kve(order, u), dtype=np.complex128)
    flux = np.asarray(kve(order - 1.0, u), dtype=np.complex128)
    if rock.edge != "none":
        far = u * rock.edge_ratio
        edge_order, sign = (order, -1.0) if rock.edge == "constant head" else (order - 1.0, 1.0)
        gap = u - far
        reflected = sign * kve(edge_order, far) / ive(edge_order, far) * np.exp(gap + gap.real)
        head = head + reflected * ive(order, u)
        flux = flux - reflected * ive(order - 1.0, u)
    impedance: Complexes = rock.resistance_sm2 * (head / (u * flux) + rock.skin)
    return impedance


def unit_drawdown(rock: RockTruth, area_m2: float, times_s: Floats) -> Floats:
    """Give the drawdown after pumping at one unit of rate from rest [m per m3/s].

    Parameters
    ----------
    rock
        The rock.
    area_m2
        Free area of the hole, one value for all depths [m2].
    times_s
        Times since the pump started, shape (m,); zero or before gives zero [s].

    Returns
    -------
    Drawdown per unit rate, shape (m,) [s/m2].

    Notes
    -----
    A dh/dt = Q - inflow gives s = (1/p) G / (1 + A p G).

    Papadopulos and Cooper's F(1/u = 1e4, alpha = 1e-3) = 5.525877 at T = 1/(4 pi):

    >>> rock = RockTruth(
    ...     transmissivity_m2s=1 / (4 * math.pi), storativity=1e-3, flow_dimension=2.0, skin=0.0,
    ...     well_radius_m=1.0,
    ... )
    >>> t = np.array([1e4 * 1e-3 * math.pi])
    >>> round(float(unit_drawdown(rock, math.pi, t)[0]), 6)
    5.525877
    """

    def transform(p: Complexes) -> Complexes:
        impedance = face_impedance(rock, p)
        return impedance / (p * (1.0 + area_m2 * p * impedance))

    return _after_zero(transform, times_s)


def unit_slug(rock: RockTruth, area_m2: float, times_s: Floats) -> Floats:
    """Give the drawdown left after one unit of volume is taken from the hole at once [m per m3].

    Parameters
    ----------
    rock
        The rock.
    area_m2
        Free area of the hole [m2].
    times_s
        Times since the volume was taken, shape (m,); zero or before gives zero [s].
    """

    def transform(p: Complexes) -> Complexes:
        impedance = face_impedance(rock, p)
        return impedance / (1.0 + area_m2 * p * impedance)

    return _after_zero(transform, times_s)


def pumped_drawdown(
    rock: RockTruth, area_m2: float, rate_m3s: float, stop_s: float, times_s: Floats
) -> Floats:
    """Give the drawdown of a test pumped at one rate and then stopped.

    Parameters
    ----------
    rock
        The rock.
    area_m2
        Free area of the hole [m2].
    rate_m3s
        True pump rate [m3/s].
    stop_s
        Time the pump stopped [s].
    times_s
        Times since the pump started, shape (m,) [s].

    Returns
    -------
    Drawdown, shape (m,) [m]: F(t) - F(t - stop).
    """
    both = unit_drawdown(rock, area_m2, np.concatenate([times_s, times_s - stop_s]))
    return rate_m3s * (both[: times_s.size] - both[times_s.size :])


def held_inflow(rock: RockTruth, drawdown_m: float, times_s: Floats) -> Floats:
    """Give the inflow after the level has been held at one drawdown for each time.

    Parameters
    ----------
    rock
        The rock.
    drawdown_m
        Drawdown held from rest [m].
    times_s
        How long it has been held, all positive, shape (m,) [s].

    Returns
    -------
    Inflow, shape (m,) [m3/s].

    Notes
    -----
    Q(p) = s / (p G).

    >>> rock = RockTruth(
    ...     transmissivity_m2s=1.0, storativity=1.0, flow_dimension=3.0, skin=0.0, well_radius_m=1.0
    ... )
    >>> q = held_inflow(rock, 1.0, np.array([1.0]))[0] / (2 * math.pi)  # spherical: 1 + 1/sqrt(pi t)
    >>> round(float(q), 9) == round(1 + 1 / math.sqrt(math.pi), 9)
    True
    """
    return drawdown_m * invert_laplace(lambda p: 1.0 / (p * face_impedance(rock, p)), times_s)


def _after_zero(transform: Callable[[Complexes], Complexes], times_s: Floats) -> Floats:
    answer = np.zeros_like(times_s)
    started = times_s > 0.0
    answer[started] = invert_laplace(transform, times_s[started])
    return answer
