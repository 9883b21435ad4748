"""The equations of docs/theory/closed-forms.md hold, by routes that share no step. No package code."""

from __future__ import annotations

from itertools import pairwise

import mpmath as mp
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import exp1


def test_theis_is_the_integral_of_instant_sources() -> None:
    """C1: the line source adds up instantaneous ones, Q dt/(4 pi T t) exp(-r² S/(4 T t))."""
    transmissivity, storativity, radius, duration = 3e-5, 2e-4, 4.0, 7200.0
    total, _ = quad(
        lambda age: (
            np.exp(-(radius**2) * storativity / (4 * transmissivity * age))
            / (4 * np.pi * transmissivity * age)
        ),
        0,
        duration,
        epsabs=0,
        epsrel=1e-11,
        limit=200,
    )
    u = radius**2 * storativity / (4 * transmissivity * duration)
    assert total == pytest.approx(exp1(u) / (4 * np.pi * transmissivity), rel=1e-9)


def test_cooper_jacob_limit() -> None:
    """C2 falls short of W(u) by 1 % at u = 0.02986 (root found with mpmath)."""
    shortfall = mp.findroot(lambda u: 1 - (-mp.euler - mp.log(u)) / mp.e1(u) - 0.01, 0.03)
    assert float(shortfall) == pytest.approx(0.0298585, rel=1e-5)


@pytest.mark.parametrize("skin", [0.0, 5.0])
def test_bucket_on_radial_rock_is_papadopulos_and_cooper(skin: float) -> None:
    """The balance C4 in our symbols equals their transform C5 with steady skin, at random complex p."""
    area, transmissivity, storativity, radius, p = 0.0182, 6e-6, 1e-3, 0.0762, mp.mpc(3e-3, 2e-2)
    x = mp.sqrt(p * radius**2 * storativity / transmissivity)
    rock = mp.besselk(0, x) / (x * mp.besselk(1, x)) + skin
    resistance = 1 / (2 * mp.pi * transmissivity)
    ours = 1 / p / (area * p + 1 / (resistance * rock))
    alpha = radius**2 * storativity * mp.pi / area
    face = mp.besselk(0, x) + skin * x * mp.besselk(1, x)
    theirs = resistance / p * face / (x * mp.besselk(1, x) + x**2 / (2 * alpha) * face)
    assert abs(ours / theirs - 1) < 1e-12


def papadopulos_cooper(one_over_u: float, alpha: float) -> float:
    """Return F(u, alpha) by inverting C5 without skin (fixed Talbot)."""

    def transform(p: complex) -> complex:
        x = mp.sqrt(p)
        return 2 / p * mp.besselk(0, x) / (x * mp.besselk(1, x) + p / (2 * alpha) * mp.besselk(0, x))

    with mp.workdps(40):
        return float(mp.invertlaplace(transform, mp.mpf(one_over_u) / 4, method="talbot", degree=30))


@pytest.mark.parametrize(
    ("one_over_u", "alpha", "expected"),
    [(1e1, 1e-1, 0.734), (1e2, 1e-2, 0.852), (1e3, 1e-3, 0.907), (1e4, 1e-4, 0.934), (1e6, 1e-5, 6.78)],
)
def test_large_diameter_table(one_over_u: float, alpha: float, expected: float) -> None:
    """F(u_w, alpha). Source: papadopulos1967, table 1 (from memory), to half its third figure."""
    assert papadopulos_cooper(one_over_u, alpha) == pytest.approx(
        expected, abs=0.6 * 10 ** (np.floor(np.log10(expected)) - 2)
    )


@pytest.mark.parametrize(
    ("beta", "alpha", "expected"),
    [(1e-3, 1e-1, 0.9771), (1e-1, 1e-2, 0.8655), (1.0, 1e-3, 0.5729), (10.0, 1e-5, 0.08378)],
)
def test_slug_table(beta: float, alpha: float, expected: float) -> None:
    """H/H0. Source: cooper1967, table 1 (from memory); 0.0003 covers its slips."""

    def transform(p: complex) -> complex:
        x = mp.sqrt(p)
        return mp.besselk(0, x) / (2 * alpha) / (x * mp.besselk(1, x) + p / (2 * alpha) * mp.besselk(0, x))

    with mp.workdps(40):
        value = float(mp.invertlaplace(transform, mp.mpf(beta) / alpha, method="talbot", degree=30))
    assert value == pytest.approx(expected, abs=3e-4)


def test_slug_is_the_time_derivative_of_pumping() -> None:
    """C10: a bail of V = Q dt: the residual is V/Q times d/dt of the pumping drawdown."""
    alpha, tau, width = 1e-3, 500.0, 0.5
    later, earlier = (
        papadopulos_cooper(4 * (tau + width), alpha),
        papadopulos_cooper(4 * (tau - width), alpha),
    )
    slope = (later - earlier) / (2 * width)

    def transform(p: complex) -> complex:
        x = mp.sqrt(p)
        return mp.besselk(0, x) / (2 * alpha) / (x * mp.besselk(1, x) + p / (2 * alpha) * mp.besselk(0, x))

    with mp.workdps(40):
        residual = float(mp.invertlaplace(transform, tau, method="talbot", degree=30))
    assert slope / (4 * alpha) == pytest.approx(residual, rel=1e-6)


@pytest.mark.parametrize("length_over_radius", [8.0, 200.0])
def test_hvorslev_shape_factor(length_over_radius: float) -> None:
    """C11: a line of uniform sources seen from its middle gives F = 2 pi L/asinh(L/2R)."""
    integral, _ = quad(
        lambda z: 1 / np.hypot(1, z), -length_over_radius / 2, length_over_radius / 2, limit=200
    )
    shape_over_length = 4 * np.pi / integral
    assert shape_over_length == pytest.approx(2 * np.pi / np.arcsinh(length_over_radius / 2), rel=1e-9)


def test_derivative_rule_is_exact_for_a_parabola() -> None:
    """C13: the weighted three-point slope of x² at x = 1 between 0 and 3 is 2."""
    x, s = np.array([0.0, 1.0, 3.0]), np.array([0.0, 1.0, 9.0])
    left, right = np.diff(x)
    slopes = np.diff(s) / np.diff(x)
    assert (slopes[0] * right + slopes[1] * left) / (left + right) == pytest.approx(2.0, rel=1e-15)


def test_equivalent_time_for_any_pumping() -> None:
    """C14: recovered drawdown against t_e lies on the drawdown curve of the last rate, u < 1e-4.

    T = 50 m²/d, S = 1e-4, r = 10 m, 100 then 200 m³/d for half a day each; Theis sums by scipy's exp1. The
    logarithmic law behind t_e is wrong by about u: 1e-5 relative here.
    """
    starts, rates, stop, since = [0.0, 0.5], [100.0, 200.0], 1.0, 0.25
    transmissivity, storativity, radius = 50.0, 1e-4, 10.0

    def unit(elapsed: float) -> float:
        return float(
            exp1(radius**2 * storativity / (4 * transmissivity * elapsed)) / (4 * np.pi * transmissivity)
        )

    jumps = [after - before for before, after in pairwise([0.0, *rates])]
    at_stop = sum(jump * unit(stop - start) for jump, start in zip(jumps, starts, strict=True))
    pumped = sum(jump * unit(stop + since - start) for jump, start in zip(jumps, starts, strict=True))
    recovered = at_stop - (pumped - rates[-1] * unit(since))
    equivalent = since * np.prod(
        [
            ((stop - start) / (stop - start + since)) ** (jump / rates[-1])
            for jump, start in zip(jumps, starts, strict=True)
        ]
    )
    assert equivalent == pytest.approx(0.182574, rel=1e-5)
    assert recovered == pytest.approx(rates[-1] * unit(equivalent), rel=2e-5)
