"""Transmissivity from one rate and one drawdown against the handbooks."""

from __future__ import annotations

from math import exp, log, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check
from tests.published.factors import DAY, FOOT, FT2_PER_DAY, GPD_PER_FOOT, GPM, GPM_PER_FOOT, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.large_diameter import large_diameter_drawdown
from ledgewell.physics.closed_forms.specific_capacity import (
    DRISCOLL_CONFINED,
    DRISCOLL_UNCONFINED,
    LOGAN_FACTOR,
    cooper_jacob_single_point,
    driscoll_transmissivity,
    logan_transmissivity,
    single_point_validity,
    specific_capacity_from_transmissivity,
    theis_single_point,
)
from ledgewell.physics.closed_forms.theis import theis_drawdown


@pytest.mark.published("hydraulics-8-logan")
def test_logan() -> None:
    table = check("hydraulics-8-logan")
    assert table.expected["factor"] == LOGAN_FACTOR
    assert float(logan_transmissivity(2e-4)) == pytest.approx(2e-4 * table.expected["factor"])
    steady = log(10) * table.inputs("log10_reach") / (2 * pi)
    np.testing.assert_allclose(steady, table.values("computed"), rtol=table.relative)
    assert exp(2 * pi * LOGAN_FACTOR) == pytest.approx(table.expected["reach"], rel=1e-3)


@pytest.mark.published("hydraulics-8-driscoll")
def test_driscoll() -> None:
    table = check("hydraulics-8-driscoll")
    specific = 7.0 * GPM_PER_FOOT
    found = [float(driscoll_transmissivity(specific, confined=confined)) for confined in (True, False)]
    np.testing.assert_allclose(np.array(found) / GPD_PER_FOOT / 7.0, table.values("factor_gpdft"), rtol=1e-12)
    np.testing.assert_allclose(
        [DRISCOLL_CONFINED, DRISCOLL_UNCONFINED], table.values("consistent"), rtol=5e-5
    )
    t = table.given["t_gpdft"] * GPD_PER_FOOT
    time, radius = table.given["time_d"] * DAY, table.given["radius_ft"] * FOOT
    derived = t / specific_capacity_from_transmissivity(t, time, radius, table.inputs("s"))
    in_trade_units = derived * GPM_PER_FOOT / GPD_PER_FOOT
    np.testing.assert_allclose(in_trade_units, table.values("derived"), rtol=table.relative)


@pytest.mark.published("hydraulics-8-single-point")
def test_one_drawdown() -> None:
    table = check("hydraulics-8-single-point")
    arguments = (
        table.inputs("flow_gpm") * GPM,
        table.inputs("drawdown_ft") * FOOT,
        table.inputs("time_min") * MINUTE,
        table.given["radius_ft"] * FOOT,
        table.given["s"],
    )
    by_theis = theis_single_point(*arguments) / FT2_PER_DAY
    np.testing.assert_allclose(by_theis, table.values("theis_ft2d"), rtol=table.relative)
    by_logarithm = cooper_jacob_single_point(*arguments) / FT2_PER_DAY
    np.testing.assert_allclose(by_logarithm, table.values("cooper_jacob_ft2d"), rtol=2.5e-6)


@pytest.mark.published("hydraulics-8-field-form")
@given(t=st.floats(100.0, 1e5), minutes=st.floats(10.0, 1e4))
def test_form_in_gallons_and_feet(t: float, minutes: float) -> None:
    table, radius, storativity = check("hydraulics-8-field-form"), 0.25, 1e-4
    found = specific_capacity_from_transmissivity(
        t * GPD_PER_FOOT, minutes * MINUTE, radius * FOOT, storativity
    )
    in_trade_units = float(found) / GPM_PER_FOOT

    def trade_form(factor: float, divisor: float, offset: float) -> float:
        return t / (factor * np.log10(t * minutes / (divisor * radius**2 * storativity)) - offset)

    assert in_trade_units == pytest.approx(trade_form(*table.expected["exact"]), rel=table.relative)
    assert in_trade_units == pytest.approx(trade_form(*table.given["printed"]), rel=5e-3)


@given(ln_t=st.floats(-16.0, -4.0), ln_s=st.floats(-12.0, -3.0), ln_time=st.floats(4.0, 14.0))
def test_the_transmissivity_given_comes_back(ln_t: float, ln_s: float, ln_time: float) -> None:
    t, s, time = np.exp(ln_t), np.exp(ln_s), np.exp(ln_time)
    drawdown = theis_drawdown(time, 0.0762, 1e-3, t, s)
    u = 0.0762**2 * s / (4 * t * time)
    found = float(theis_single_point(1e-3, drawdown, time, 0.0762, s))
    if u < 0.43:
        assert found == pytest.approx(t, rel=1e-9)
    else:
        assert found >= t * (1 - 1e-6)
        assert float(theis_drawdown(time, 0.0762, 1e-3, found, s)) == pytest.approx(float(drawdown), rel=1e-6)


def test_a_drawdown_no_rock_can_give_is_refused() -> None:
    largest = float(theis_drawdown(3600.0, 0.0762, 1e-4, 0.0762**2 * 1e-4 / (4 * 0.4348181 * 3600), 1e-4))
    assert float(theis_single_point(1e-4, 0.999 * largest, 3600.0, 0.0762, 1e-4)) > 0
    with pytest.raises(RangeError, match="some T can give"):
        theis_single_point(1e-4, 1.001 * largest, 3600.0, 0.0762, 1e-4)
    with pytest.raises(RangeError, match="some T can give"):
        cooper_jacob_single_point(1e-4, 2 * largest, 3600.0, 0.0762, 1e-4)


def test_a_time_too_short_for_the_logarithm_is_refused() -> None:
    with pytest.raises(RangeError, match="ln"):
        specific_capacity_from_transmissivity(1e-8, 1.0, 0.0762, 1e-2)


def test_stored_water_makes_one_drawdown_misleading_and_validity_says_so() -> None:
    t, radius = 1e-6, 0.0762
    drawdown = large_diameter_drawdown(3600.0, 1e-4, t, 1e-4, radius, radius)
    found = float(theis_single_point(1e-4, drawdown, 3600.0, radius, 1e-4))
    assert found > 2 * t
    assert "stored in the hole" in single_point_validity(3600.0, found, radius).why
    assert not single_point_validity(1e9, found, radius, dimension=1.5).valid
