"""The equations of docs/theory/answers.md hold, by routes that share no step. No package code."""

from __future__ import annotations

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


def test_rock_that_ends_loses_level_in_proportion_to_volume() -> None:
    """A store with no leak and weight 1/V adds volume/V to the drawdown: 1/(V p) under a step."""
    volume, t = 250.0, 3600.0
    with mp.workdps(30):
        added = float(mp.invertlaplace(lambda p: 1 / (volume * p) / p, t, method="talbot", degree=24))
    assert added == pytest.approx(t / volume, rel=1e-9)
