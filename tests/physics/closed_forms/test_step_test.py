"""Step tests against the worked examples of Clark and Walton."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check
from tests.published.factors import DAY, FOOT, GPM, M2_PER_DAY, M3_PER_DAY, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.step_test import (
    EdenHazelFit,
    Step,
    eden_hazel_fit,
    hantush_bierschenk_fit,
    loss_fit,
    step_drawdown,
    step_increments,
)
from ledgewell.physics.closed_forms.superposition import superpose
from ledgewell.physics.closed_forms.well_loss import (
    WALTON_BOUNDS_S2FT5,
    step_test_validity,
    storage_share,
    walton_condition,
    walton_well_loss,
)

CLARK = check("hydraulics-5a-readings")
B_UNIT, C_UNIT = DAY, DAY**2
"""Seconds per m² and s² per m⁵ in d/m² and d²/m⁵."""


def clark_steps() -> list[Step]:
    """Return the six steps of Clark's well 1."""
    length, time = CLARK.given["step_min"] * MINUTE, CLARK.values("time_min") * MINUTE
    return [
        Step(start_s=place * length, flow_m3s=flow * M3_PER_DAY, time_s=time, drawdown_m=drawdown)
        for place, (flow, drawdown) in enumerate(
            zip(CLARK.given["flow_m3d"], CLARK.values("drawdown_m").T, strict=True)
        )
    ]


def clark_whole() -> EdenHazelFit:
    """Return the fit of the whole test from 10 min on."""
    earliest = check("hydraulics-5a-eden-hazel").given["from_min"] * MINUTE
    return eden_hazel_fit(clark_steps(), (earliest, np.inf))


@pytest.mark.published("hydraulics-5a-increments", "hydraulics-5a-printed")
def test_clark_step_corrected() -> None:
    table, printed = check("hydraulics-5a-increments"), check("hydraulics-5a-printed")
    first, last = table.inputs("window_min") * MINUTE
    sums = step_increments(clark_steps(), 100 * MINUTE, (first, last))
    np.testing.assert_allclose(sums, table.values("sums_100min_m"), rtol=0, atol=table.absolute)
    for place, minutes in enumerate(table.inputs("interval_min")):
        fit = hantush_bierschenk_fit(clark_steps(), minutes * MINUTE, (first, last))
        assert fit.formation_loss_sm2 / B_UNIT == pytest.approx(
            table.values("b_d_m2")[place], rel=table.relative
        )
        assert fit.well_loss_s2m5 / C_UNIT == pytest.approx(table.values("c_d2_m5")[place], rel=0.02)
        assert fit.count == 6
    fit = hantush_bierschenk_fit(clark_steps(), printed.given["interval_min"] * MINUTE, (first, last))
    assert fit.formation_loss_sm2 / B_UNIT == pytest.approx(printed.expected["b_d_m2"], rel=printed.relative)
    assert fit.well_loss_s2m5 / C_UNIT == pytest.approx(printed.expected["c_d2_m5"], rel=0.25)


@pytest.mark.published("hydraulics-5a-eden-hazel")
def test_clark_whole_test_at_once() -> None:
    table, fit = check("hydraulics-5a-eden-hazel"), clark_whole()
    b = fit.formation_loss_sm2(table.given["interval_min"] * MINUTE) / B_UNIT
    assert b == pytest.approx(table.expected["b_d_m2"], rel=table.relative)
    assert fit.well_loss_s2m5 / C_UNIT == pytest.approx(table.expected["c_d2_m5"], rel=0.03)
    assert fit.transmissivity_m2s / M2_PER_DAY == pytest.approx(table.expected["t_m2d"], rel=table.relative)
    assert fit.rms_misfit_m == pytest.approx(table.expected["rms_misfit_m"], rel=0.15)
    assert fit.window_s == (600.0, 10800.0)
    assert fit.count == 48


@pytest.mark.published("hydraulics-5a-readings")
def test_clark_readings_lie_on_one_model() -> None:
    fit, steps = clark_whole(), clark_steps()
    starts, flows = [step.start_s for step in steps], np.array([step.flow_m3s for step in steps])
    for step in steps:
        time, drawdown = step.readings()
        late = time >= 600.0
        rock = superpose(
            lambda t: fit.offset_sm2 + fit.rise_sm2 * np.log10(t), step.start_s + time[late], starts, flows
        )
        model = rock + fit.well_loss_s2m5 * step.flow_m3s**2
        np.testing.assert_allclose(model, drawdown[late], rtol=0, atol=0.35)


@pytest.mark.published("hydraulics-5a-uncorrected")
def test_clark_without_step_correction_is_misleading() -> None:
    table, steps = check("hydraulics-5a-uncorrected"), clark_steps()
    flows = [step.flow_m3s for step in steps]
    minutes = CLARK.values("time_min").tolist()
    for place, interval in enumerate(table.given["interval_min"]):
        fit = loss_fit(flows, CLARK.values("drawdown_m")[minutes.index(interval)])
        assert fit.formation_loss_sm2 / B_UNIT == pytest.approx(
            table.values("b_d_m2")[place], rel=table.relative
        )
        assert fit.well_loss_s2m5 / C_UNIT == pytest.approx(
            table.values("c_d2_m5")[place], rel=table.relative
        )
    corrected = hantush_bierschenk_fit(steps, 100 * MINUTE, (30 * MINUTE, 180 * MINUTE))
    naive = loss_fit(flows, CLARK.values("drawdown_m")[minutes.index(100)])
    assert naive.well_loss_s2m5 > 1.4 * corrected.well_loss_s2m5


@pytest.mark.published("hydraulics-5c-walton")
def test_walton_well_loss_of_cumulative_drawdowns() -> None:
    table = check("hydraulics-5c-walton")
    flow, drawdown = table.inputs("flow_gpm") * GPM, table.inputs("drawdown_ft") * FOOT
    c_unit = 1 / FOOT**5
    found = walton_well_loss(np.diff(drawdown, prepend=0.0), np.diff(flow, prepend=0.0)) / c_unit
    np.testing.assert_allclose(found, table.values("c_s2_ft5"), rtol=table.relative)
    fit = loss_fit(flow, drawdown)
    assert fit.formation_loss_sm2 * FOOT**2 == pytest.approx(table.expected["regression_b_s_ft2"], rel=5e-4)
    assert fit.well_loss_s2m5 / c_unit == pytest.approx(table.expected["regression_c_s2_ft5"], rel=5e-4)


@pytest.mark.published("hydraulics-5c-scale")
def test_walton_scale() -> None:
    bounds = check("hydraulics-5c-scale").expected["bounds_s2_ft5"]
    assert list(WALTON_BOUNDS_S2FT5) == bounds
    words = [
        walton_condition(value / FOOT**5) for value in (bounds[0] - 1, *(bound + 1e-6 for bound in bounds))
    ]
    assert [word.split()[0] for word in words] == ["properly", "mild", "severe", "hard"]


@given(
    b=st.floats(10.0, 1e5),
    c=st.floats(0.0, 1e7),
    flows=st.lists(st.floats(1e-5, 1e-2), min_size=3, max_size=6, unique_by=lambda flow: round(flow, 5)),
)
def test_a_fit_finds_the_losses_it_was_given(b: float, c: float, flows: list[float]) -> None:
    fit = loss_fit(flows, step_drawdown(flows, b, c))
    assert fit.formation_loss_sm2 == pytest.approx(b, rel=1e-6, abs=1e-6 * c * max(flows))
    assert fit.well_loss_s2m5 == pytest.approx(c, rel=1e-6, abs=1e-6 * b / min(abs(np.diff(sorted(flows)))))


def test_storage_share_is_the_balance_of_the_hole() -> None:
    assert float(storage_share(2e-4, 0.02, 5e-3)) == pytest.approx(0.5)


def test_validity() -> None:
    assert step_test_validity([0.0, 0.02, -0.04], 1e5).valid
    assert "two" not in step_test_validity([0.0, 0.02], 1e5).why
    assert "three are the fewest" in step_test_validity([0.0, 0.02], 1e5).why
    assert "step 2 still took 9 %" in step_test_validity([0.0, 0.09, 0.01], 1e5).why
    assert "C is negative" in step_test_validity([0.0, 0.02, 0.01], -1.0).why
    assert "three are the fewest" in step_test_validity([], 0.0).why


def test_steps_that_cannot_be_are_refused() -> None:
    steps = clark_steps()
    with pytest.raises(RangeError, match="start_s"):
        step_increments([steps[1], steps[0]], 6000.0)
    with pytest.raises(RangeError, match="within the readings"):
        step_increments(steps, 60.0)
    with pytest.raises(RangeError, match="at least two"):
        step_increments(steps, 6000.0, (1e6, 1e7))
    with pytest.raises(RangeError, match="at least two"):
        eden_hazel_fit(steps[:1])
    with pytest.raises(RangeError, match="at least four"):
        eden_hazel_fit(steps[:2], (1e6, 1e7))
    with pytest.raises(RangeError, match="different places"):
        loss_fit([1e-3, 1e-3], [1.0, 1.0])
    with pytest.raises(RangeError, match="flow_m3s"):
        step_drawdown(-1e-3, 1.0, 1.0)
    with pytest.raises(RangeError, match="well_loss"):
        walton_condition(-1.0)
