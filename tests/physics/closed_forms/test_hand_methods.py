"""Thiem, match points and Chow against the printed answers of worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from tests.published.checks import check
from tests.published.factors import DAY, FOOT, FT2_PER_DAY, FT3_PER_DAY, M2_PER_DAY, M3_PER_DAY, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.hand_methods import (
    chow_function,
    storativity_from_match_point,
    thiem_transmissivity,
    transmissivity_from_match_point,
    u_from_chow_ratio,
)
from ledgewell.physics.closed_forms.theis import well_function


@pytest.mark.published("hydraulics-2a-thiem", "hydraulics-2a-thiem-pairs")
def test_thiem_at_oude_korendijk() -> None:
    table = check("hydraulics-2a-thiem")
    steady = dict(zip(table.given["radius_m"], table.given["drawdown_m"], strict=True))
    flow = table.given["flow_m3d"] * M3_PER_DAY

    def pair(near: float, far: float) -> float:
        return float(thiem_transmissivity(flow, near, steady[near], far, steady[far])) / M2_PER_DAY

    assert pair(30, 90) == pytest.approx(table.expected["printed_m2d"], rel=2e-3)
    assert pair(30, 90) == pytest.approx(table.expected["recomputed_m2d"], rel=1e-6)
    others = check("hydraulics-2a-thiem-pairs")
    found = [pair(near, far) for near, far in zip(others.given["near_m"], others.given["far_m"], strict=True)]
    np.testing.assert_allclose(found, others.values("recomputed_m2d"), rtol=0, atol=5.1e-3)
    np.testing.assert_allclose(found[:4], others.values("printed_m2d"), rtol=others.relative)


@pytest.mark.published("hydraulics-2a-match-point")
def test_match_point_of_oude_korendijk() -> None:
    table = check("hydraulics-2a-match-point")
    t = transmissivity_from_match_point(788 * M3_PER_DAY, table.given["w"], table.given["drawdown_m"])
    s = storativity_from_match_point(
        t, table.given["u"], table.given["time_over_radius_squared_min_m2"] * MINUTE
    )
    assert float(t) / M2_PER_DAY == pytest.approx(table.expected["printed_t_m2d"], rel=1e-3)
    assert float(s) == pytest.approx(table.expected["printed_s"], rel=table.relative)
    assert float(t) / M2_PER_DAY == pytest.approx(table.expected["recomputed_t_m2d"], rel=5e-4)
    assert float(s) == pytest.approx(table.expected["recomputed_s"], rel=5e-4)


@pytest.mark.published("hydraulics-2b-match-point")
def test_match_point_of_lohman() -> None:
    table = check("hydraulics-2b-match-point")
    flow = check("hydraulics-2b-readings").given["flow_ft3d"] * FT3_PER_DAY
    t = float(transmissivity_from_match_point(flow, table.given["w"], table.given["drawdown_ft"] * FOOT))
    assert t / FT2_PER_DAY == pytest.approx(table.expected["printed_t_ft2d"], rel=table.relative)
    assert t / FT2_PER_DAY == pytest.approx(table.expected["recomputed_t_ft2d"], rel=1e-4)
    shape = DAY / FOOT**2 / table.given["radius_squared_over_time_ft2d"]
    s = float(
        storativity_from_match_point(table.expected["printed_t_ft2d"] * FT2_PER_DAY, table.given["u"], shape)
    )
    assert s == pytest.approx(table.expected["printed_s"], rel=0.02)
    assert s == pytest.approx(table.expected["recomputed_s"], rel=4e-3)


@pytest.mark.published("hydraulics-2c-match-point")
def test_match_point_of_todd() -> None:
    table = check("hydraulics-2c-match-point")
    flow = check("hydraulics-2c-readings").given["flow_m3d"] * M3_PER_DAY
    t = float(transmissivity_from_match_point(flow, table.given["w"], table.given["drawdown_m"]))
    shape = MINUTE / table.given["radius_squared_over_time_m2min"]
    s = float(
        storativity_from_match_point(table.expected["printed_t_m2d"] * M2_PER_DAY, table.given["u"], shape)
    )
    assert t / M2_PER_DAY == pytest.approx(table.expected["printed_t_m2d"], rel=table.relative)
    assert t / M2_PER_DAY == pytest.approx(table.expected["recomputed_t_m2d"], rel=7e-3)
    assert s == pytest.approx(table.expected["printed_s"], rel=table.relative)
    assert s == pytest.approx(table.expected["recomputed_s"], rel=7e-3)


@pytest.mark.published("hydraulics-2c-chow")
def test_chow_at_todd() -> None:
    table = check("hydraulics-2c-chow")
    flow = check("hydraulics-2c-readings").given["flow_m3d"] * M3_PER_DAY
    ratio = table.given["drawdown_m"] / table.given["slope_m"]
    u = u_from_chow_ratio(ratio)
    w = float(well_function(u))
    assert ratio == pytest.approx(table.expected["ratio"], rel=table.relative)
    assert u == pytest.approx(table.expected["u"], rel=table.relative)
    assert w == pytest.approx(table.expected["w"], rel=table.relative)
    t = float(transmissivity_from_match_point(flow, w, table.given["drawdown_m"]))
    time, radius = table.given["time_min"] * MINUTE, check("hydraulics-2c-readings").given["radius_m"]
    s = float(storativity_from_match_point(t, u, time / radius**2))
    for name in ("printed", "recomputed"):
        assert t / M2_PER_DAY == pytest.approx(table.expected[f"{name}_t_m2d"], rel=table.relative)
        assert s == pytest.approx(table.expected[f"{name}_s"], rel=table.relative)


@pytest.mark.parametrize("u", [1e-8, 1e-3, 0.5, 3.0])
def test_chow_ratio_turns_round(u: float) -> None:
    assert u_from_chow_ratio(float(chow_function(u))) == pytest.approx(u, rel=1e-9)


def test_places_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(RangeError):
        thiem_transmissivity(0.01, 90.0, 0.7, 30.0, 1.1)
    with pytest.raises(RangeError):
        thiem_transmissivity(0.01, 30.0, 0.7, 90.0, 1.1)
    with pytest.raises(RangeError, match="from"):
        u_from_chow_ratio(0.01)
