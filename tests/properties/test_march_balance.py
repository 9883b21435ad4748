"""No water is made or lost: the balance of every step, from levels, inflow and volumes, outside the solver."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from tests.physics.model_wells import GPM, plain_well, wells_and_spans

from ledgewell.errors import RangeError
from ledgewell.physics.model_well import ModelWell
from ledgewell.physics.schedule import Span
from ledgewell.physics.simulate import Simulation, simulate

ROUNDING = 1e-11
"""Share of the hole's whole volume to which a step's volumes can be told when next to nothing moves: the last digit of
the level, times what flows per meter in a long step."""


def _hold(run: Simulation) -> None:
    allowed = 1e-9 * run.balance_scale_m3 + ROUNDING * run.well.shape.volume_to(run.well.shape.bottom_m)
    assert np.all(np.abs(run.balance_residual_m3) <= allowed)
    assert np.abs(run.balance_residual_m3).sum() <= allowed.sum()


def _run(well: ModelWell, spans: list[Span], **steps: float) -> Simulation:
    """Simulate, passing over what asks for more water than the hole holds."""
    try:
        return simulate(well, spans, **steps)
    except RangeError as fault:
        if fault.name != "taken_m3":
            raise
        reject()


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(wells_and_spans(), st.integers(1, 8), st.sampled_from([0.1, 5.0, 100.0]))
def test_every_step_balances(given_: tuple[ModelWell, list[Span]], per_doubling: int, first_s: float) -> None:
    well, spans = given_
    _hold(_run(well, spans, first_s=first_s, per_doubling=per_doubling))


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(wells_and_spans())
def test_volumes_pumped_are_those_asked_but_at_intake_and_edge(given_: tuple[ModelWell, list[Span]]) -> None:
    """A pump gives what it is asked, or less at its intake and nothing below it; more leaves only over the edge."""
    well, spans = given_
    run = _run(well, spans, first_s=20.0)
    for k, place in enumerate(run.steps.step_span):
        span = spans[place]
        if span.level_m is not None:
            continue
        asked = span.rate_m3s * run.steps.class_s[run.steps.step_class[k]]
        level, pumped = run.level_m[k + 1], run.pumped_m3[k]
        tiny = 1e-9 * run.balance_scale_m3[k] + 1e-13
        if level == well.spill_m:
            assert pumped >= asked - tiny
        elif level < well.intake_m or asked <= 0:
            assert pumped == asked
        elif level == well.intake_m:
            assert -tiny <= pumped <= asked + tiny
        else:
            assert pumped == 0


def test_years_of_cycling_keep_their_water() -> None:
    """Three years of a pump on for two hours twice a day, summed: 2,000 m³ asked, each liter accounted for."""
    cycle = [Span(seconds=7200.0, rate_m3s=2 * GPM), Span(seconds=36000.0)]
    run = simulate(plain_well(2e-6), cycle * 2190, first_s=300.0, per_doubling=3)
    _hold(run)
    asked = 2190 * 7200.0 * 2 * GPM
    pumped = run.pumped_m3.sum()
    stored = run.well.shape.volume_between(run.level_m[0], run.level_m[-1])
    assert pumped <= asked * (1 + 1e-12)
    assert run.inflow_volume_m3.sum() + stored == pytest.approx(pumped, rel=1e-9)


def test_the_balance_can_fail() -> None:
    """A run with its pumped volume falsified by a millionth does not pass."""
    run = simulate(plain_well(), [Span(seconds=3600.0, rate_m3s=2 * GPM)])
    run.pumped_m3[3] *= 1.000001
    with pytest.raises(AssertionError):
        _hold(run)
