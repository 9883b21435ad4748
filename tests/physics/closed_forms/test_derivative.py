"""The derivative of Bourdet against its table, exact slopes and a parabola."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.derivative import bourdet_derivative, derivative_validity
from ledgewell.physics.closed_forms.large_diameter import (
    large_diameter_function,
    large_diameter_log_derivative,
)
from ledgewell.physics.closed_forms.theis import well_function


@pytest.mark.published("hydraulics-9c-adjacent", "hydraulics-9c-exact")
def test_adjacent_points_of_the_well_function() -> None:
    table, exact = check("hydraulics-9c-adjacent"), check("hydraulics-9c-exact")
    time = table.inputs("time")
    places, slopes = bourdet_derivative(time, well_function(0.05 / time))
    np.testing.assert_array_equal(places, time[1:-1])
    np.testing.assert_allclose(slopes, table.values("slope"), rtol=table.relative)
    np.testing.assert_allclose(slopes, exact.values("slope"), rtol=exact.relative)
    np.testing.assert_allclose(np.exp(-0.05 / exact.inputs("time")), exact.values("slope"), rtol=1e-8)


@pytest.mark.published("hydraulics-9c-quadratic")
def test_a_parabola_is_exact() -> None:
    table = check("hydraulics-9c-quadratic")
    x = table.inputs("x")
    _, slopes = bourdet_derivative(np.exp(x), x**2)
    assert slopes.tolist() == pytest.approx([table.expected["slope"]], rel=table.relative)


@given(
    gaps=st.lists(st.floats(0.05, 2.0), min_size=2, max_size=12),
    smoothing=st.floats(0.0, 0.5),
    curve=st.tuples(st.floats(-5, 5), st.floats(-5, 5), st.floats(-5, 5)),
)
def test_parabolas_are_exact_at_any_spacing(
    gaps: list[float], smoothing: float, curve: tuple[float, float, float]
) -> None:
    x = np.concatenate([[0.0], np.cumsum(gaps)])
    if x[-1] < 3 * smoothing + max(gaps):
        smoothing = 0.0
    values = curve[0] + curve[1] * x + curve[2] * x**2
    time, slopes = bourdet_derivative(np.exp(x), values, smoothing)
    np.testing.assert_allclose(slopes, curve[1] + 2 * curve[2] * np.log(time), rtol=1e-6, atol=1e-8)


def test_smoothing_reaches_at_least_its_length() -> None:
    x = np.arange(13) * 0.1
    marks = np.zeros(13)
    marks[6] = 1.0
    time, slopes = bourdet_derivative(np.exp(x), marks, 0.3)
    assert np.round(np.log(time), 6).tolist() == [0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9]
    assert slopes == pytest.approx([1 / 0.6, 0, 0, 0, 0, 0, -1 / 0.6], abs=1e-9)


def test_it_follows_the_slope_of_a_well_that_stores_water() -> None:
    one_over_u = np.geomspace(1.0, 1e7, 400)
    places, slopes = bourdet_derivative(one_over_u, large_diameter_function(one_over_u, 1e-3), 0.1)
    np.testing.assert_allclose(slopes, large_diameter_log_derivative(places, 1e-3), rtol=4e-3)


def test_validity() -> None:
    good = np.geomspace(60.0, 6000.0, 12)
    assert derivative_validity(good, 0.01, 0.5, 0.2).valid
    assert "more than a third" in derivative_validity(good, 0.2, 0.5, 0.2).why
    assert "five are the fewest" in derivative_validity(good[:3], 0.001, 0.5, 0.2).why
    assert not derivative_validity(good[:1], 0.001, 0.5, 0.0).valid


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(RangeError, match="larger than the value before it"):
        bourdet_derivative([60.0, 60.0, 120.0], [0.1, 0.2, 0.3])
    with pytest.raises(RangeError, match=r"from 0 to 0\.5"):
        bourdet_derivative([60.0, 90.0, 120.0], [0.1, 0.2, 0.3], 0.6)
    with pytest.raises(RangeError, match="both sides"):
        bourdet_derivative([60.0, 63.0, 66.0], [0.1, 0.2, 0.3], 0.5)
