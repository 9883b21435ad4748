"""The equations of docs/theory/answers.md hold, by routes that share no step. No package code."""

from __future__ import annotations

from collections.abc import Callable

import mpmath as mp
import numpy as np
import pytest


def yield_at_held_level(t: float, n: float, skin: float) -> float:
    """Return Q R/s at a held level by inverting A2, R = tc = 1 (fixed Talbot, 30 digits)."""
    nu = 1 - mp.mpf(n) / 2

    def transform(p: complex) -> complex:
        mu = mp.sqrt(p)
        return 1 / p / (mp.besselk(nu, mu) / (mu * mp.besselk(nu - 1, mu)) + skin)

    with mp.workdps(30):
        return float(mp.invertlaplace(transform, t, method="talbot", degree=24))


@pytest.mark.parametrize(
    ("alpha", "expected"), [(0.01, 6.13), (0.1, 2.249), (10.0, 0.534), (100.0, 0.346), (1e3, 0.251)]
)
def test_held_level_table(alpha: float, expected: float) -> None:
    """G(alpha), n = 2, no skin. Source: jacob1952, table 1 (from memory); half a unit of the last figure."""
    last = 10.0 ** -len(str(expected).split(".")[1])
    assert yield_at_held_level(alpha, 2.0, 0.0) == pytest.approx(expected, abs=0.55 * last)


@pytest.mark.parametrize("skin", [0.0, 2.0])
def test_yield_settles_above_two(skin: float) -> None:
    """n = 3: the yield settles at s/(R + skin R); what remains at t/tc = 1e8 is of the order 1/sqrt(pi t)."""
    assert yield_at_held_level(1e8, 3.0, skin) == pytest.approx(1 / (1 + skin), rel=1e-4)


def test_yield_fades_as_a_power_below_two() -> None:
    """n = 1: Q = s/(R sqrt(pi t/tc)), the held-level answer of linear flow."""
    assert yield_at_held_level(40.0, 1.0, 0.0) == pytest.approx(1 / np.sqrt(np.pi * 40.0), rel=1e-9)


FIRST_FELT = 1e4
"""When the image begins to be felt, in units of tc: t1 of A4."""
IMAGE_AWAY = float(np.sqrt(2.25 * FIRST_FELT))
"""How far away the image stands, in radii of the well: D of A4."""


@pytest.mark.parametrize(("times", "short"), [(1, 0.2452), (10, 0.02682), (100, 0.00190)])
def test_straight_wall_as_twice_the_growth(times: int, short: float) -> None:
    """A4 against the well functions of the well and its image; what it leaves out is W(u)/2 - ln(1/1.78u)/2."""
    t = times * FIRST_FELT

    def alone(at: float) -> float:
        return float(mp.e1(1 / (4 * at))) / 2

    both = alone(t) + float(mp.e1(IMAGE_AWAY**2 / (4 * t))) / 2
    barred = 2 * alone(t) - alone(FIRST_FELT)
    assert both - barred == pytest.approx(short, rel=0.01)


@pytest.mark.parametrize(("times", "least", "most"), [(10, 0.02, 0.03), (100, 0.01, 0.02)])
def test_inflow_before_a_straight_wall(times: int, least: float, most: float) -> None:
    """A5 against the held level of a well with its image, inverted from the sum of both responses."""
    t = times * FIRST_FELT

    def response(p: complex, image: bool) -> complex:
        mu = mp.sqrt(p)
        felt = mp.besselk(0, mu) + (mp.besselk(0, IMAGE_AWAY * mu) if image else 0)
        return felt / (mu * mp.besselk(1, mu)) / p

    def inverted(transform: Callable[[complex], complex], at: float) -> float:
        with mp.workdps(30):
            return float(mp.invertlaplace(transform, at, method="talbot", degree=24))

    exact = inverted(lambda p: 1 / (p * p * response(p, True)), t)
    now, then = (inverted(lambda p: response(p, False), at) for at in (t, FIRST_FELT))
    taken = yield_at_held_level(t, 2.0, 0.0) * now / (2 * now - then)
    assert least < taken / exact - 1 < most
