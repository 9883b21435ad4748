"""The well of finite radius against quadrature, mpmath, the printed table and the Theis curve."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import exp1
from tests.physics.closed_forms.quadrature import finite_radius_integral
from tests.published.checks import check

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.finite_radius import (
    finite_radius_drawdown,
    finite_radius_function,
    finite_radius_validity,
)
from ledgewell.physics.closed_forms.theis import theis_drawdown


@pytest.mark.published("physics-2-finite-radius")
def test_agrees_with_mpmath_and_joins_theis() -> None:
    table = check("physics-2-finite-radius")
    one_over_u = table.inputs("one_over_u")
    ours = finite_radius_function(one_over_u)
    np.testing.assert_allclose(ours, table.values("f"), rtol=table.relative)
    late = one_over_u >= 4e4
    np.testing.assert_allclose(ours[late], exp1(1 / one_over_u[late]), rtol=1e-4)
    assert np.all(np.abs(ours[~late] / exp1(1 / one_over_u[~late]) - 1) > 1e-4)


@pytest.mark.published("physics-2-printed")
def test_agrees_with_the_printed_table() -> None:
    table = check("physics-2-printed")
    ours = finite_radius_function(4 * table.inputs("time_over_tc")) / 2
    np.testing.assert_allclose(ours, table.values("response"), rtol=table.relative)


def test_inversion_and_quadrature_agree() -> None:
    one_over_u = 10.0 ** np.arange(-4, 13)
    quadrature = [finite_radius_integral(value / 4) for value in one_over_u]
    np.testing.assert_allclose(finite_radius_function(one_over_u), quadrature, rtol=1e-10)


@given(ln_time=st.floats(np.log(1e-3), np.log(1e8)), ratio=st.floats(1.0, 20.0))
def test_drawdown_falls_with_distance_and_grows_with_time(ln_time: float, ratio: float) -> None:
    one_over_u = float(np.exp(ln_time))
    here = float(finite_radius_function(one_over_u, ratio))
    assert here <= float(finite_radius_function(one_over_u)) + 1e-11
    assert here <= float(finite_radius_function(1.5 * one_over_u, ratio)) + 1e-11
    assert here >= -1e-11


def test_flux_at_the_face_is_the_rate() -> None:
    step = 1e-4
    for one_over_u in (1.0, 1e3, 1e6):
        values = finite_radius_function(one_over_u, [1.0, 1 + step, 1 + 2 * step])
        slope = float(-1.5 * values[0] + 2 * values[1] - 0.5 * values[2]) / step
        assert slope == pytest.approx(-2.0, rel=1e-5)


def test_far_from_a_thin_well_it_is_theis() -> None:
    arguments = (3600.0, 10.0, 1e-3, 1e-4, 1e-4)
    assert float(finite_radius_drawdown(*arguments, 0.01)) == pytest.approx(
        float(theis_drawdown(*arguments)), rel=1e-5
    )


def test_a_place_inside_the_well_is_refused() -> None:
    with pytest.raises(RangeError, match="1 or more"):
        finite_radius_function(10.0, 0.5)
    with pytest.raises(RangeError, match="well_radius_m"):
        finite_radius_drawdown(60.0, 1.0, 1e-3, 1e-4, 1e-4, 0.0)


def test_validity_waits_for_stored_water() -> None:
    assert not finite_radius_validity(3600.0, 1e-5, 0.0762).valid
    assert finite_radius_validity(3600.0, 1e-3, 0.0762).valid
    assert not finite_radius_validity(3600.0, 1e-3, 0.0762, dimension=1.5).valid
