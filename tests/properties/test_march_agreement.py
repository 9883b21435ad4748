"""The compiled march against the plain one, over wells and schedules of every kind."""

from __future__ import annotations

import numpy as np
from hypothesis import HealthCheck, example, given, reject, settings
from hypothesis import strategies as st
from tests.physics.model_wells import GPM, plain_well, wells_and_spans

from ledgewell.errors import RangeError
from ledgewell.physics.model_well import Fracture, ModelWell
from ledgewell.physics.schedule import Span
from ledgewell.physics.simulate import simulate

YEARS = [Span(seconds=s, rate_m3s=q) for _ in range(730) for s, q in ((7200.0, 2 * GPM), (36000.0, 0.0))]
TWO = (Fracture(depth_m=40.0, head_m=10.0, share=0.6), Fracture(depth_m=80.0, head_m=18.0, share=0.4))


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(wells_and_spans(), st.integers(1, 6))
@example((plain_well(), [Span(seconds=3600.0, rate_m3s=2 * GPM), Span(seconds=3600.0, drain_m2=5e-4)]), 6)
@example((plain_well(fractures=TWO, start_level_m=12.0), YEARS[:400]), 3)
@example((plain_well(3e-7, fractures=TWO, start_level_m=12.0, loss_s2_m5=1e7), YEARS[:200]), 3)
def test_compiled_is_plain(given_: tuple[ModelWell, list[Span]], per_doubling: int) -> None:
    well, spans = given_
    try:
        plain = simulate(well, spans, first_s=20.0, per_doubling=per_doubling, plain=True)
    except RangeError as fault:
        if fault.name != "taken_m3":  # more was bailed than the hole holds
            raise
        reject()
    fast = simulate(well, spans, first_s=20.0, per_doubling=per_doubling)
    assert fast.compiled
    assert not plain.compiled
    np.testing.assert_allclose(fast.level_m, plain.level_m, rtol=0, atol=1e-9 * _span(plain.level_m))
    inflow = 1e-9 * np.abs(plain.inflow_m3s).max() + 1e-15
    np.testing.assert_allclose(fast.inflow_m3s, plain.inflow_m3s, rtol=0, atol=inflow)
    np.testing.assert_allclose(fast.taken_m3, plain.taken_m3, rtol=1e-9, atol=1e-13)
    np.testing.assert_allclose(
        fast.pumped_m3, plain.pumped_m3, rtol=0, atol=1e-9 * plain.balance_scale_m3.max()
    )


def test_compiled_is_plain_for_years_of_cycling() -> None:
    """Four hundred days of a pump that runs two hours, twice a day, in a well whose upper fracture drips."""
    well = plain_well(5e-7, fractures=TWO, start_level_m=12.0, intake_m=85.0, skin=1.0)
    plain = simulate(well, YEARS[:800], first_s=600.0, per_doubling=2, plain=True)
    fast = simulate(well, YEARS[:800], first_s=600.0, per_doubling=2)
    assert plain.level_m.max() == 85.0  # the pump breaks suction
    np.testing.assert_allclose(fast.level_m, plain.level_m, rtol=0, atol=1e-9)


def _span(level: np.ndarray) -> float:
    return 1.0 + float(np.ptp(level))
