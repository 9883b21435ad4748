"""Simulating a well: what comes out, how far the steps err, what is refused, and life without a compiler."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.physics.model_wells import GPM, SIX_INCH_M2, STRAIGHT, plain_well

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.model_well import Fracture, ModelWell, RockAtFace
from ledgewell.physics.schedule import Span
from ledgewell.physics.simulate import NotBalancedError, simulate, simulate_steps, step_error_m, steps_held_to

DAY = 86400.0
TEST = [Span(seconds=3600.0, rate_m3s=2 * GPM), Span(seconds=3600.0)]
TWO = (Fracture(depth_m=30.0, head_m=10.0, share=0.5), Fracture(depth_m=60.0, head_m=12.0, share=0.5))


def exact_drawdown(well: ModelWell, times: np.ndarray) -> np.ndarray:
    """Return the exact drawdown of `TEST`: Laplace inversion, itself held to mpmath."""
    rock = radial_flow.Rock(
        resistance_sm2=well.rock.resistance_s_m2,
        time_constant_s=well.rock.time_constant_s,
        dimension=well.rock.dimension,
        skin=well.rock.skin,
    )
    down: np.ndarray = 2 * GPM * radial_flow.step_response(times, rock, SIX_INCH_M2)
    late = times > 3600.0
    down[late] -= 2 * GPM * radial_flow.step_response(times[late] - 3600.0, rock, SIX_INCH_M2)
    return down


def test_levels_at_any_time_of_a_test() -> None:
    """Between the steps as well as at them, within a ten-thousandth of the deepest."""
    well = plain_well(3e-6, 1e-3, skin=1.0)
    times = np.random.default_rng(5).uniform(1.0, 7200.0, (20, 7))
    run = simulate(well, TEST, per_doubling=24)
    exact = exact_drawdown(well, times.ravel()).reshape(times.shape)
    np.testing.assert_allclose(run.level_at(times), exact, rtol=0, atol=1e-4 * exact.max())
    np.testing.assert_allclose(run.level_at(run.time_s), run.level_m, rtol=0, atol=1e-9)


def test_levels_within_a_held_stretch_lie_on_its_line() -> None:
    run = simulate(plain_well(), [Span(seconds=100.0), Span(seconds=1000.0, level_m=(10.0, 30.0))])
    np.testing.assert_allclose(
        run.level_at([50.0, 100.0 + 1e-9, 350.0, 600.0, 1100.0]), [0.0, 10.0, 15.0, 20.0, 30.0], atol=1e-7
    )


def test_a_level_just_after_a_bail_is_that_of_the_emptied_hole() -> None:
    run = simulate(plain_well(1e-9), [Span(seconds=60.0), Span(seconds=60.0, taken_m3=7 * SIX_INCH_M2)])
    np.testing.assert_allclose(run.level_at([60.0, 60.0 + 1e-6, 90.0]), [0.0, 7.0, 7.0], atol=1e-3)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(-7.0, -4.5), st.floats(-5.0, -1.0), st.floats(1.3, 2.7), st.floats(0.0, 5.0), st.integers(2, 8)
)
def test_the_error_said_is_the_error_made(
    log_t: float, log_s: float, dimension: float, skin: float, per_doubling: int
) -> None:
    """Against the exact drawdown, within a factor and what the stores themselves err (1e-4 of the deepest)."""
    well = plain_well(10.0**log_t, 10.0**log_s, dimension=dimension, skin=skin, start_level_m=0.0)
    tall = replace(well, shape=replace(STRAIGHT, bounds_m=(0.0, 1e4)), intake_m=1e4)
    deep = replace(tall, fractures=(Fracture(depth_m=9e3, head_m=0.0),))
    times = np.linspace(30.0, 7200.0, 240)
    exact = exact_drawdown(deep, times)
    said = step_error_m(deep, TEST, first_s=10.0, per_doubling=per_doubling)
    made = np.abs(simulate(deep, TEST, first_s=10.0, per_doubling=per_doubling).level_at(times) - exact).max()
    stores = 1e-4 * exact.max()
    assert made <= 1.5 * said + stores
    assert said <= 3 * made + stores


def test_steps_are_held_to_the_error_asked() -> None:
    well = plain_well(3e-6, 1e-3, skin=1.0)
    times = np.linspace(30.0, 7200.0, 240)
    counts = []
    for asked in (0.03, 0.003, 0.0006):
        steps = steps_held_to(well, TEST, asked)
        made = np.abs(simulate_steps(well, steps).level_at(times) - exact_drawdown(well, times)).max()
        assert made <= asked + 1e-5 * exact_drawdown(well, times).max()
        counts.append(steps.count)
    assert counts[0] < counts[1] < counts[2]
    with pytest.raises(RangeError, match="positive error"):
        steps_held_to(well, TEST, 0.0)


def test_an_error_no_steps_can_hold_is_refused() -> None:
    with pytest.raises(RangeError, match="some steps can hold"):
        steps_held_to(plain_well(), [Span(seconds=60.0, rate_m3s=GPM)], 1e-15, per_doubling=128)


def test_without_a_compiler_the_plain_march_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    with_one = simulate(plain_well(), TEST)
    for name in [name for name in sys.modules if name.startswith("ledgewell.physics.march")]:
        if name != "ledgewell.physics.march_plain":
            monkeypatch.delitem(sys.modules, name)
    for name in ("compiled", "balance"):
        monkeypatch.delitem(sys.modules, f"ledgewell.physics.{name}", raising=False)
    monkeypatch.setitem(sys.modules, "numba", None)
    without = simulate(plain_well(), TEST)
    assert with_one.compiled
    assert not without.compiled
    np.testing.assert_allclose(without.level_m, with_one.level_m, rtol=0, atol=1e-9)


def test_what_comes_out_adds_up() -> None:
    run = simulate(plain_well(fractures=TWO, start_level_m=11.0), TEST)
    count = run.steps.count
    assert run.level_m.shape == run.time_s.shape == (count + 1,)
    assert run.inflow_m3s.shape == (count, 2, 2)
    np.testing.assert_array_equal(run.total_inflow_m3s, run.inflow_m3s[:, 1, 0] + run.inflow_m3s[:, 1, 1])
    assert run.pumped_m3.sum() == pytest.approx(3600.0 * 2 * GPM, rel=1e-12)
    stored = (run.level_m[-1] - run.level_m[0]) * SIX_INCH_M2
    assert run.inflow_volume_m3.sum() + stored == pytest.approx(3600.0 * 2 * GPM, rel=1e-9)


def test_levels_below_the_bottom_are_refused() -> None:
    with pytest.raises(RangeError, match="above the bottom, 100 m"):
        simulate(plain_well(), [Span(seconds=60.0, level_m=(10.0, 101.0))])
    with pytest.raises(RangeError, match="no more than the hole holds"):
        simulate(plain_well(), [Span(seconds=60.0, taken_m3=101 * SIX_INCH_M2)])
    bottom = simulate(plain_well(1e-9), [Span(seconds=DAY, rate_m3s=10 * GPM)])
    assert bottom.level_m.max() == 100.0  # a pump stops at the bottom when no intake is given


def test_times_outside_the_schedule_are_refused() -> None:
    run = simulate(plain_well(), TEST)
    for wrong in (-1.0, 7201.0, float("nan")):
        with pytest.raises(RangeError, match="between 0 and 7200 s"):
            run.level_at(wrong)


def test_numbers_out_of_reason_do_not_pass_for_a_result() -> None:
    with pytest.raises(NotBalancedError, match="would not close"):
        simulate(plain_well(), [Span(seconds=60.0, rate_m3s=float("nan"))])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"fractures": ()}, "at least one fracture"),
        ({"fractures": (TWO[1], TWO[0])}, "deeper than the fracture before"),
        ({"fractures": (replace(TWO[0], share=0.2), TWO[1])}, "must sum to 1"),
        ({"fractures": (replace(TWO[0], share=1.5), replace(TWO[1], share=-0.5))}, "positive"),
        ({"start_level_m": float("inf")}, "not all equal"),
    ],
)
def test_wells_that_cannot_be_are_refused(change: dict[str, object], said: str) -> None:
    well = plain_well(fractures=TWO, start_level_m=11.0)
    with pytest.raises(RangeError, match=said):
        replace(well, **change)


@pytest.mark.parametrize(
    "change",
    [
        {"resistance_s_m2": 0.0},
        {"time_constant_s": -1.0},
        {"dimension": 3.1},
        {"skin": -0.1},
        {"loss_s2_m5": float("nan")},
    ],
)
def test_rocks_that_cannot_be_are_refused(change: dict[str, float]) -> None:
    rock = RockAtFace(resistance_s_m2=1.0, time_constant_s=1.0)
    with pytest.raises(RangeError, match=next(iter(change))):
        replace(rock, **change)
