"""Recovery and equivalent time against exact superposition; inflow from the rise of a level."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import exp1
from tests.published.checks import check
from tests.published.factors import DAY, FOOT, GPM, INCH, M2_PER_DAY, M3_PER_DAY, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.large_diameter import large_diameter_drawdown
from ledgewell.physics.closed_forms.recovery import (
    agarwal_time,
    agarwal_time_multirate,
    agarwal_validity,
    inflow_from_rise,
    recovery_validity,
    semilog_residual_drawdown,
    theis_recovery_fit,
    theis_residual_drawdown,
)
from ledgewell.physics.closed_forms.superposition import pump_and_recover
from ledgewell.physics.closed_forms.theis import theis_drawdown


@pytest.mark.published("hydraulics-4b", "hydraulics-9b-single")
def test_recovery_and_equivalent_time() -> None:
    table = check("hydraulics-4b")
    rest, pumped = table.inputs("time_since_stop_d") * DAY, table.given["pumping_d"] * DAY
    radius, flow = table.given["radius_m"], table.given["flow_m3d"] * M3_PER_DAY
    t, s = table.given["t_m2d"] * M2_PER_DAY, table.given["s"]
    residual = theis_residual_drawdown(rest, pumped, radius, flow, t, s)
    equivalent = agarwal_time(rest, pumped)
    recovered = theis_drawdown(pumped, radius, flow, t, s) - residual
    on_curve = theis_drawdown(equivalent, radius, flow, t, s)
    found = {
        "residual_m": residual,
        "semilog_m": semilog_residual_drawdown(rest, pumped, flow, t),
        "equivalent_time_d": equivalent / DAY,
        "recovered_m": recovered,
        "theis_at_equivalent_time_m": on_curve,
    }
    for name, values in found.items():
        np.testing.assert_allclose(values, table.values(name), rtol=table.relative, err_msg=name)
    largest = float(np.max(np.abs(recovered / on_curve - 1)))
    stated = check("hydraulics-9b-single").expected["largest_relative"]
    assert stated / 2 < largest <= stated


@pytest.mark.published("hydraulics-9b-multirate")
def test_equivalent_time_after_two_rates() -> None:
    table, two = check("hydraulics-9b-multirate"), check("hydraulics-9a").given
    starts, flows = np.array(two["start_d"][:2]) * DAY, np.array(two["flow_m3d"][:2]) * M3_PER_DAY
    stop, rest = table.given["stop_d"] * DAY, table.given["time_since_stop_d"] * DAY
    te = float(agarwal_time_multirate(rest, starts, flows, stop))
    assert te / DAY == pytest.approx(table.expected["equivalent_time_d"], rel=table.relative)
    on_curve = float(theis_drawdown(te, two["radius_m"], flows[-1], two["t_m2d"] * M2_PER_DAY, two["s"]))
    assert on_curve == pytest.approx(table.expected["theis_m"], rel=1e-10)
    levels = dict(zip(two["time_d"], check("hydraulics-9a").values("drawdown_m"), strict=True))
    recovered = levels[1.0] - levels[1.25]
    assert recovered == pytest.approx(table.expected["recovered_m"], rel=1e-10)
    assert recovered / on_curve - 1 == pytest.approx(table.expected["relative"], rel=0.01)


@given(rest=st.floats(1.0, 1e6), pumped=st.floats(1.0, 1e6), flow=st.floats(1e-5, 1.0))
def test_one_rate_is_a_case_of_many(rest: float, pumped: float, flow: float) -> None:
    many = agarwal_time_multirate(rest, [0.0], [flow], pumped)
    assert float(many) == pytest.approx(float(agarwal_time(rest, pumped)), rel=1e-12)
    split = agarwal_time_multirate(rest, [0.0, pumped / 3], [flow, flow], pumped)
    assert float(split) == pytest.approx(float(many), rel=1e-12)


def test_recovery_line_finds_the_transmissivity_of_late_recovery() -> None:
    t, flow, pumped = 1e-4, 1e-3, 2 * DAY
    rest = np.geomspace(60.0, 4 * DAY, 30)
    residual = flow / (4 * np.pi * t) * (exp1(1e-3 / (pumped + rest)) - exp1(1e-3 / rest))
    fit = theis_recovery_fit(rest, residual, pumped, flow, (600.0, DAY))
    assert fit.transmissivity_m2s == pytest.approx(t, rel=1e-4)
    assert fit.ratio_at_zero == pytest.approx(1.0, abs=1e-4)
    used = rest[(rest >= 600.0) & (rest <= DAY)]
    assert fit.line.count == len(used)
    assert fit.line.window == pytest.approx((1 + pumped / used[-1], 1 + pumped / used[0]))


def test_recovery_line_of_a_weak_well_misleads_and_validity_says_so() -> None:
    t, s, radius, stop = 1e-5, 1e-4, 0.0762, 3600.0

    def response(time: np.ndarray) -> np.ndarray:
        return large_diameter_drawdown(time, 1.0, t, s, radius, radius)

    rest = np.array([300.0, 600.0, 1200.0])
    residual = pump_and_recover(response, stop + rest, stop, 1e-4)
    fit = theis_recovery_fit(rest, residual, stop, 1e-4)
    assert fit.transmissivity_m2s < 0.7 * t
    verdict = recovery_validity(300.0, stop, t, s, radius, radius)
    assert not verdict.valid
    assert "stored in the hole" in verdict.why


def test_recovery_validity() -> None:
    assert recovery_validity(600.0, DAY, 1e-2, 1e-4, 0.0762, 0.0762).valid
    assert "flow dimension" in recovery_validity(600.0, DAY, 1e-2, 1e-4, 0.0762, 0.0762, dimension=1.5).why
    assert "u' is" in recovery_validity(600.0, DAY, 1e-2, 1e-2, 100.0, 0.0762).why
    assert not recovery_validity(DAY, 60.0, 1e-4, 1e-4, 0.0762, 0.0762).valid


def test_agarwal_validity() -> None:
    assert agarwal_validity(300.0, 3600.0, 1e-6, 0.0762).valid
    assert not agarwal_validity(3600.0, 3600.0, 1e-6, 0.0762).valid
    assert agarwal_validity(3600.0, 3600.0, 1e-3, 0.0762).valid


@pytest.mark.published("hydraulics-7b")
def test_inflow_from_the_rise_of_a_six_inch_hole() -> None:
    table = check("hydraulics-7b")
    area = np.pi * (table.given["diameter_in"] * INCH) ** 2 / 4
    rise, time = table.inputs("rise_ft") * FOOT, table.inputs("time_min") * MINUTE
    np.testing.assert_allclose(inflow_from_rise(area, rise, time) / GPM, table.values("flow_gpm"), rtol=1e-6)
    falling = inflow_from_rise(area, -rise, time, 5 * GPM) / GPM
    np.testing.assert_allclose(falling, 5 - table.values("flow_gpm"), rtol=1e-6)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(RangeError, match="last rate other than 0"):
        agarwal_time_multirate(60.0, [0.0, 60.0], [1e-3, 0.0], 120.0)
    with pytest.raises(RangeError, match="start of a step"):
        agarwal_time_multirate(60.0, [0.0, 60.0], [1e-3, 2e-3], 60.0)
    with pytest.raises(RangeError, match="falls with time"):
        theis_recovery_fit([60.0, 120.0], [0.5, 0.6], 600.0, 1e-3)
    with pytest.raises(RangeError, match="at least two"):
        theis_recovery_fit([60.0, 120.0], [0.6, 0.5], 600.0, 1e-3, (0.0, 90.0))
    with pytest.raises(RangeError, match="pump_m3s"):
        inflow_from_rise(0.02, 1.0, 60.0, -1e-4)
