"""The rock: generalized radial flow kept as a short sum of decaying exponentials.

The drawdown at the well face per unit step of inflow is, in the Laplace domain,

    S(p) = (1/p) R Kν(μ) / (μ Kν−1(μ)),   μ = √(p tc),   ν = 1 − n/2,

and its impulse response is an integral of decaying exponentials with a known positive density. A trapezoid in
ln u turns the integral into a sum on the fixed lattice uₖ = exp(kΔ); what lies above the highest u kept is an
instantaneous resistance, what lies below the lowest is one store that does not leak. Source: barker1988.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, gamma, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from ledgewell.errors import RangeError

Floats = NDArray[np.float64]

LATTICE_STEP = 0.5
"""Step of the trapezoid in ln u; the sum is within about 3e-5 of the integral."""
LATTICE_FIRST, LATTICE_LAST = -60, 22
"""First and last index of the lattice: u from 9e-14 to 6e4."""
DIMENSION_LOW, DIMENSION_HIGH = 1.0, 3.0
"""Range of the flow dimension n."""
_DIMENSION_STEP = 0.02


def resistance_from_transmissivity(transmissivity_m2s: float) -> float:
    """Return R [s/m²] = 1/(2πT), exact for n = 2 and the apparent value at the face for other n.

    Examples
    --------
    >>> round(resistance_from_transmissivity(1e-5), 3)
    15915.494
    """
    if not transmissivity_m2s > 0:
        raise RangeError("transmissivity_m2s", transmissivity_m2s, "a positive transmissivity [m²/s]")
    return 1 / (2 * pi * transmissivity_m2s)


def time_constant(transmissivity_m2s: float, storativity: float, radius_m: float) -> float:
    """Return tc [s] = S rw²/T, the time the signal takes to travel one well radius.

    Examples
    --------
    >>> round(time_constant(1e-5, 1e-4, 0.0762), 6)
    0.058064
    """
    if not (transmissivity_m2s > 0 and storativity > 0 and radius_m > 0):
        raise RangeError("storativity", storativity, "positive, as must be transmissivity and radius")
    return storativity * radius_m**2 / transmissivity_m2s


@cache
def density_table() -> Floats:
    """Return ln of the spectral density on the lattice for n = 1 … 3 in steps of 0.02, shape (n, u).

    Notes
    -----
    a(u) = Δ (4/π²) / (J²(u) + Y²(u)) with Bessel functions of order n/2 (equal to order ν − 1 up to a rotation).
    For n = 2 this is the van Everdingen-Hurst density. Source: barker1988, vaneverdingen1949.
    """
    from scipy.special import jv, yv

    dimension = (
        np.arange(round((DIMENSION_HIGH - DIMENSION_LOW) / _DIMENSION_STEP) + 1) * _DIMENSION_STEP + 1.0
    )
    u = np.exp(LATTICE_STEP * np.arange(LATTICE_FIRST, LATTICE_LAST + 1))
    order = dimension[:, None] / 2
    table: Floats = np.log(LATTICE_STEP * 4 / pi**2 / (jv(order, u) ** 2 + yv(order, u) ** 2))
    table.setflags(write=False)
    return table


@cache
def store_tables() -> Floats:
    """Return ln of three lattice tables, shape (3, n, u): each store's weight, the lump below, the rest above.

    Notes
    -----
    Row 0 is `density_table`; row 1 the sum of weights below each u; row 2 the sum of weight/u² above each u, with
    what lies above the lattice. Compiled code interpolates all three in n alike.
    """
    weight = np.exp(density_table())
    u = np.exp(LATTICE_STEP * np.arange(LATTICE_FIRST, LATTICE_LAST + 1))
    nodes = DIMENSION_LOW + _DIMENSION_STEP * np.arange(len(weight))
    least = np.array([_weight_below_lattice(float(n)) for n in nodes])[:, None]
    below = np.concatenate((least, least + np.cumsum(weight, axis=1)[:, :-1]), axis=1)
    rest = np.full((len(weight), 1), _rest_above_lattice())
    at_rest = np.cumsum((weight / u**2)[:, ::-1], axis=1)[:, ::-1]
    above = np.concatenate((rest + at_rest[:, 1:], rest), axis=1)
    tables: Floats = np.log(np.stack((np.exp(density_table()), below, above)))
    tables.setflags(write=False)
    return tables


def log_density_weights(dimension: float) -> Floats:
    """Return ln a(uₖ) on the whole lattice for one flow dimension by cubic interpolation of the table.

    Raises
    ------
    RangeError
        Outside 1 ≤ n ≤ 3.
    """
    if not DIMENSION_LOW <= dimension <= DIMENSION_HIGH:
        raise RangeError("dimension", dimension, "between 1 and 3")
    table = density_table()
    place = (dimension - DIMENSION_LOW) / _DIMENSION_STEP
    first = min(max(int(place) - 1, 0), len(table) - 4)
    x = place - first
    weights = (
        -(x - 1) * (x - 2) * (x - 3) / 6,
        x * (x - 2) * (x - 3) / 2,
        -x * (x - 1) * (x - 3) / 2,
        x * (x - 1) * (x - 2) / 6,
    )
    return sum((w * table[first + i] for i, w in enumerate(weights)), np.zeros(table.shape[1]))


@dataclass(frozen=True, slots=True)
class RockTerms:
    """The rock as stores that leak, per unit resistance R.

    Parameters
    ----------
    weights
        aₖ of each store, shape (J,): the store gains aₖ R/tc per second and unit inflow.
    rates_per_s
        λₖ = uₖ²/tc of each store [1/s], shape (J,); the first may be 0: the lump that does not leak.
    instantaneous
        What answers at once, in units of R (added to the skin).
    """

    weights: Floats
    rates_per_s: Floats
    instantaneous: float

    @property
    def count(self) -> int:
        """Number of stores."""
        return len(self.weights)


def rock_terms(dimension: float, tc_s: float, shortest_s: float, longest_s: float) -> RockTerms:
    """Return the stores that stand for the rock between a shortest and a longest time.

    Parameters
    ----------
    dimension
        Flow dimension n, 1 to 3.
    tc_s
        Time constant tc = Ss rw²/K [s].
    shortest_s, longest_s
        Shortest step and whole length of the run [s].

    Returns
    -------
    RockTerms

    Raises
    ------
    RangeError
        When n or a time is out of range, or the run needs u beyond the lattice.

    Notes
    -----
    Kept are all uₖ between 0.02 √(tc/longest) and 7 √(tc/shortest). Below, the stores leak less than 4e-4 of
    themselves over the run and one lump with λ = 0 stands for all; above, they are at rest after every step and
    answer at once: Σ aₖ/uₖ² over all beyond.

    Examples
    --------
    >>> terms = rock_terms(2.0, 0.058, 1.0, 1e5)
    >>> terms.count
    27
    """
    if not (tc_s > 0 and 0 < shortest_s <= longest_s):
        raise RangeError("tc_s", tc_s, "positive, with 0 < shortest_s <= longest_s")
    low = int(np.floor(log(0.02 * sqrt(tc_s / longest_s)) / LATTICE_STEP))
    high = int(np.ceil(log(7.0 * sqrt(tc_s / shortest_s)) / LATTICE_STEP))
    if low < LATTICE_FIRST + 8:
        raise RangeError(
            "tc_s", tc_s, f"large enough for a run of {longest_s:g} s (tc/run at least about 1e-20)"
        )
    if high > LATTICE_LAST + 2:
        raise RangeError(
            "shortest_s",
            shortest_s,
            f"at least {(7.0 / exp(LATTICE_STEP * (LATTICE_LAST + 2))) ** 2 * tc_s:.3g}",
        )
    low, high = min(low, LATTICE_LAST - 1), min(high, LATTICE_LAST)
    log_weight = log_density_weights(dimension)
    index = np.arange(LATTICE_FIRST, LATTICE_LAST + 1)
    weight = np.exp(log_weight)
    kept = (index >= low) & (index <= high)
    beyond = index > high
    u = np.exp(LATTICE_STEP * index)
    lump = float(np.sum(weight[index < low])) + _weight_below_lattice(dimension)
    return RockTerms(
        weights=np.concatenate(([lump], weight[kept])),
        rates_per_s=np.concatenate(([0.0], u[kept] ** 2 / tc_s)),
        instantaneous=float(np.sum(weight[beyond] / u[beyond] ** 2)) + _rest_above_lattice(),
    )


def _weight_below_lattice(dimension: float) -> float:
    bottom = exp(LATTICE_STEP * (LATTICE_FIRST - 0.5))
    return float(4 / gamma(dimension / 2) ** 2 * (bottom / 2) ** dimension / dimension)


def _rest_above_lattice() -> float:
    """Return Σ aₖ/uₖ² over the lattice continued upward, where aₖ is Δ (2/π) uₖ for every n: a geometric series."""
    top = exp(LATTICE_STEP * LATTICE_LAST)
    return 2 / pi * LATTICE_STEP / (top * (exp(LATTICE_STEP) - 1))


def step_response(time_s: Floats, resistance_s_m2: float, terms: RockTerms, tc_s: float) -> Floats:
    """Return the drawdown at the face [m] per unit constant inflow [m³/s] since time 0.

    Parameters
    ----------
    time_s
        Times [s], any shape, between the shortest and longest the terms were made for.
    resistance_s_m2
        R [s/m²].
    terms
        From `rock_terms`.
    tc_s
        Time constant [s].

    Notes
    -----
    S(t) = R (Σ aₖ (1 − exp(−λₖ t))/(λₖ tc) + a₀ t/tc + r). Within 1e-4 of the exact solution.

    Examples
    --------
    >>> terms = rock_terms(2.0, 1.0, 1.0, 1e5)
    >>> round(float(step_response(np.array(1e4), 1.0, terms, 1.0)), 4)  # ½ W(u) at 1/u = 4e4 is 5.0097
    5.01
    """
    t = np.asarray(time_s, dtype=float)[..., None]
    rates = terms.rates_per_s[1:]
    leaky = np.sum(terms.weights[1:] / (rates * tc_s) * -np.expm1(-rates * t), axis=-1)
    drawdown: Floats = resistance_s_m2 * (leaky + terms.weights[0] * t[..., 0] / tc_s + terms.instantaneous)
    return drawdown
