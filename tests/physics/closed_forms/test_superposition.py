"""Variable rate against exact sums and the laws of a linear well."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check
from tests.published.factors import DAY, M2_PER_DAY, M3_PER_DAY

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.superposition import (
    pump_and_recover,
    superpose,
    superposition_validity,
)
from ledgewell.physics.closed_forms.theis import theis_drawdown

RATES = st.lists(st.floats(0.0, 1e-3), min_size=1, max_size=6)


def sheet(time: np.ndarray) -> np.ndarray:
    """Return the drawdown per unit rate of a sheet at its well."""
    return theis_drawdown(time, 0.1, 1.0, 1e-4, 1e-4)


@pytest.mark.published("hydraulics-9a")
def test_two_steps_and_a_stop() -> None:
    table = check("hydraulics-9a")
    t, s, radius = table.given["t_m2d"] * M2_PER_DAY, table.given["s"], table.given["radius_m"]
    found = superpose(
        lambda time: theis_drawdown(time, radius, 1.0, t, s),
        table.inputs("time_d") * DAY,
        table.inputs("start_d") * DAY,
        table.inputs("flow_m3d") * M3_PER_DAY,
    )
    np.testing.assert_allclose(found, table.values("drawdown_m"), rtol=table.relative)


@given(first=RATES, factor=st.floats(0.1, 10.0))
def test_twice_the_rates_is_twice_the_drawdown(first: list[float], factor: float) -> None:
    starts = np.arange(len(first)) * 600.0
    times = np.array([100.0, 900.0, 5000.0])
    once = superpose(sheet, times, starts, first)
    more = superpose(sheet, times, starts, factor * np.array(first))
    np.testing.assert_allclose(more, factor * once, rtol=1e-9, atol=1e-12)


@given(rate=st.floats(1e-6, 1e-2), cuts=st.lists(st.floats(1.0, 900.0), min_size=1, max_size=5, unique=True))
def test_a_rate_cut_into_pieces_is_the_same_rate(rate: float, cuts: list[float]) -> None:
    starts = [0.0, *sorted(cuts)]
    pieces = superpose(sheet, 1000.0, starts, [rate] * len(starts))
    assert float(pieces) == pytest.approx(rate * float(sheet(np.array(1000.0))), rel=1e-12)


def test_nothing_before_the_first_start() -> None:
    assert superpose(sheet, [-5.0, 0.0, 100.0], [100.0], [1e-3]).tolist() == [0.0, 0.0, 0.0]


def test_stopping_is_pumping_back() -> None:
    time = np.array([500.0, 1500.0])
    found = pump_and_recover(sheet, time, 1000.0, 1e-3)
    by_hand = [1e-3 * float(sheet(np.array(500.0)))]
    by_hand.append(1e-3 * float(sheet(np.array(1500.0)) - sheet(np.array(500.0))))
    np.testing.assert_allclose(found, by_hand, rtol=1e-12)


def test_starts_out_of_order_are_refused() -> None:
    with pytest.raises(RangeError, match="larger than the value before it"):
        superpose(sheet, 100.0, [0.0, 60.0, 60.0], [1.0, 2.0, 3.0])
    with pytest.raises(RangeError, match="as many values"):
        superpose(sheet, 100.0, [0.0, 60.0], [1.0])


def test_validity_names_what_is_not_linear() -> None:
    assert superposition_validity(False, False, 0.0762, 0.0762).valid
    assert "drips free" in superposition_validity(True, False, 0.0762, 0.0762).why
    assert "squared" in superposition_validity(False, True, 0.0762, 0.0762).why
    assert "radius" in superposition_validity(False, False, 0.0794, 0.0762).why
