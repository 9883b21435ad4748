"""Laplace inversion against exact coefficients, exact inverses and mpmath."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import kv
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.inversion import stehfest, stehfest_coefficients, talbot

TRANSFORMS: dict[str, tuple[float, Callable[[Any], Any]]] = {
    "1/p t=3": (3.0, lambda p: 1 / p),
    "1/p^2 t=3": (3.0, lambda p: 1 / p**2),
    "1/(p+1) t=1": (1.0, lambda p: 1 / (p + 1)),
    "1/(p+1) t=5": (5.0, lambda p: 1 / (p + 1)),
    "1/sqrt(p) t=1": (1.0, lambda p: 1 / np.sqrt(p)),
    "-ln(p)/p t=1": (1.0, lambda p: -np.log(p) / p),
}
THEIS = {"Theis u=1": 1.0, "Theis u=0.1": 0.1, "Theis u=0.01": 0.01, "Theis u=1e-4": 1e-4}


def transform_named(label: str) -> tuple[float, Callable[[Any], Any]]:
    """Return the time and the transform a label of the table stands for."""
    if label in TRANSFORMS:
        return TRANSFORMS[label]

    return 1 / (4 * THEIS[label]), lambda p: 2 * kv(0, np.sqrt(p)) / p


@pytest.mark.published(
    "hydraulics-9d-coefficients-8", "hydraulics-9d-coefficients-12", "hydraulics-9d-printed"
)
def test_stehfest_coefficients_are_those_printed() -> None:
    for name, terms in (("coefficients-8", 8), ("coefficients-12", 12), ("printed", 12)):
        printed = tuple(Fraction(text) for text in check(f"hydraulics-9d-{name}").expected["v"])
        assert stehfest_coefficients(terms) == printed


@pytest.mark.parametrize("terms", range(2, 21, 2))
def test_stehfest_coefficients_invert_a_step_exactly(terms: int) -> None:
    coefficients = stehfest_coefficients(terms)
    assert sum(coefficients) == 0
    assert sum(value / i for i, value in enumerate(coefficients, 1)) == 1


@pytest.mark.published("hydraulics-9d-results")
def test_stehfest_gives_the_printed_results() -> None:
    table = check("hydraulics-9d-results")
    rows = zip(table.given["transform"], table.values("twelve_terms"), table.values("exact"), strict=True)
    for label, twelve_terms, exact in rows:
        time, transform = transform_named(label)
        assert float(stehfest(transform, time)) == pytest.approx(twelve_terms, rel=table.relative), label
        assert float(talbot(transform, time)) == pytest.approx(exact, rel=1e-11), label


@pytest.mark.parametrize("time", [1e-6, 1.0, 1e9])
def test_talbot_agrees_with_mpmath_on_a_diffusive_transform(time: float) -> None:
    def exact_transform(p: mpmath.mpc) -> mpmath.mpc:
        return 1 / (p * (1 + mpmath.sqrt(p)))

    with mpmath.workdps(30):
        exact = float(mpmath.invertlaplace(exact_transform, mpmath.mpf(time), method="talbot", degree=30))
    assert float(talbot(lambda p: 1 / (p * (1 + np.sqrt(p))), time)) == pytest.approx(exact, rel=1e-11)


@given(
    rate=st.floats(1e-4, 1e2),
    times=st.lists(st.floats(1e-3, 1e3), min_size=1, max_size=5),
)
def test_talbot_inverts_a_decaying_store(rate: float, times: list[float]) -> None:
    time = np.array(times)
    filled = talbot(lambda p: rate / (p * (p + rate)), time)
    np.testing.assert_allclose(filled, -np.expm1(-rate * time), rtol=0, atol=1e-11)


def test_parameters_of_the_shape_of_the_times_broadcast() -> None:
    times, rates = np.array([[1.0], [2.0]]), np.array([0.5, 1.0, 2.0])
    shape = np.broadcast_to(times, (2, 3))
    np.testing.assert_allclose(talbot(lambda p: 1 / (p + rates), shape), np.exp(-rates * times), rtol=1e-11)
    np.testing.assert_allclose(stehfest(lambda p: 1 / (p + rates), shape), np.exp(-rates * times), rtol=2e-2)


@pytest.mark.parametrize("terms", [7, 0, 22])
def test_odd_or_too_many_terms_are_refused(terms: int) -> None:
    with pytest.raises(RangeError, match="even number"):
        stehfest_coefficients(terms)


@pytest.mark.parametrize("time", [0.0, -1.0, float("nan"), float("inf")])
def test_times_that_are_not_positive_are_refused(time: float) -> None:
    with pytest.raises(RangeError, match="time_s"):
        talbot(lambda p: 1 / p, [1.0, time])
    with pytest.raises(RangeError, match="time_s"):
        stehfest(lambda p: 1 / p, [1.0, time])


def test_too_many_nodes_are_refused() -> None:
    with pytest.raises(RangeError, match="from 2 to 40"):
        talbot(lambda p: 1 / p, 1.0, nodes=41)
