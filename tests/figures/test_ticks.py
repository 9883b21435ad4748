"""Ticks: round numbers of the trade. Expected ladders are written by hand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ledgewell.errors import RangeError
from ledgewell.figures.axes import kept_ticks
from ledgewell.figures.quantity import time_unit
from ledgewell.figures.spec import Axis
from ledgewell.figures.thinning import kept_indices
from ledgewell.figures.ticks import (
    Tick,
    decimal_step,
    depth_ladder,
    duration_ladder,
    linear_ladder,
    log_ladder,
    time_ladder,
)

spans = st.floats(1e-6, 1e7)


@pytest.mark.parametrize(
    ("low", "high", "labels"),
    [
        (0.0, 5.4, ["0", "1", "2", "3", "4", "5", "6"]),
        (0.0, 0.31, ["0.00", "0.05", "0.10", "0.15", "0.20", "0.25", "0.30", "0.35"]),
        (-0.4, 0.4, ["−0.4", "−0.2", "0.0", "0.2", "0.4"]),
        (0.0, 741.0, ["0", "200", "400", "600", "800"]),
        (0.0, 12345.0, ["0", "2,000", "4,000", "6,000", "8,000", "10,000", "12,000", "14,000"]),
        (0.0, 0.0, ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]),
    ],
)
def test_linear_ladders(low: float, high: float, labels: list[str]) -> None:
    assert [tick.label for tick in linear_ladder(low, high).ticks] == labels


@pytest.mark.parametrize(
    ("span_s", "unit", "labels"),
    [
        (92 * 60, "min", ["0", "15", "30", "45", "60", "75", "90"]),
        (35 * 60, "min", ["0", "5", "10", "15", "20", "25", "30", "35"]),
        (24 * 3600, "h", ["0", "4", "8", "12", "16", "20", "24"]),
        (30 * 86400, "d", ["0", "5", "10", "15", "20", "25", "30"]),
        (45.0, "min", ["0.0", "0.2", "0.4", "0.6"]),
    ],
)
def test_time_axes_speak_of_minutes_hours_and_days(span_s: float, unit: str, labels: list[str]) -> None:
    assert time_unit(span_s).symbol == unit
    ladder = time_ladder(0.0, time_unit(span_s).from_si(span_s), unit)
    assert [tick.label for tick in ladder.ticks] == labels


@pytest.mark.parametrize(
    ("low", "high", "labels"),
    [
        (0.5, 90.0, ["0.5", "1", "2", "5", "10", "20", "50", "100"]),
        (2.0, 2.0, ["1", "2", "5"]),
        (0.003, 400.0, ["0.01", "0.1", "1", "10", "100"]),
    ],
)
def test_logarithmic_ladders(low: float, high: float, labels: list[str]) -> None:
    assert [tick.label for tick in log_ladder(low, high).ticks] == labels


def test_durations_are_named_as_people_name_them() -> None:
    ladder = duration_ladder([3600, 4 * 3600, 86400, 30 * 86400, 180 * 86400], 1.5)
    assert [tick.label for tick in ladder.ticks] == ["1 h", "4 h", "24 h", "30 d", "180 d"]
    assert (ladder.low, ladder.high) == (2400.0, 270 * 86400.0)


@given(st.floats(-1e6, 1e6), spans)
def test_linear_ticks_are_whole_steps_around_the_data(low: float, span: float) -> None:
    assume(span > 1e-8 * max(1.0, abs(low)))
    ladder = linear_ladder(low, low + span)
    step = Fraction(decimal_step(low + span - low)).limit_denominator(10**9)
    assert ladder.low <= low + 1e-6 * span
    assert ladder.high >= low + span - 1e-6 * span
    assert 1 <= len(ladder.ticks) - 1 <= 9
    assert len({tick.label for tick in ladder.ticks}) == len(ladder.ticks)
    for tick in ladder.ticks:
        multiple = tick.value / float(step)
        assert multiple == pytest.approx(round(multiple), abs=1e-6 * max(1.0, abs(multiple)))
        assert float(tick.label.replace(",", "").replace("−", "-")) == pytest.approx(tick.value, abs=1e-12)


@given(st.floats(0.0, 1e4), st.floats(0.1, 1e4))
def test_depth_ladders_hold_the_data_and_waste_little(low: float, span: float) -> None:
    high = low + span
    ladder = depth_ladder(low, high)
    assert ladder.low <= low
    assert ladder.high >= high
    assert ladder.low == 0.0 or low > high / 2
    assert high - ladder.low >= 0.9 * (ladder.high - ladder.low)
    assert all(ladder.low <= tick.value <= ladder.high for tick in ladder.ticks)


@given(st.floats(1e-6, 1e6), st.floats(1.0, 1e8))
def test_logarithmic_ticks_are_one_two_five(low: float, ratio: float) -> None:
    ladder = log_ladder(low, low * ratio)
    assert ladder.low <= low * (1 + 1e-9)
    assert ladder.high >= low * ratio * (1 - 1e-9)
    for tick in ladder.ticks:
        lead = tick.value / 10 ** math.floor(math.log10(tick.value) + 1e-9)
        assert min(abs(lead - one) for one in (1, 2, 5)) < 1e-6
        assert float(tick.label.replace(",", "")) == pytest.approx(tick.value)
    for value in ladder.minor:
        assert ladder.low <= value <= ladder.high


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: linear_ladder(2.0, 1.0), "high"),
        (lambda: depth_ladder(2.0, 1.0), "high"),
        (lambda: log_ladder(0.0, 1.0), "low"),
        (lambda: log_ladder(2.0, 1.0), "high"),
        (lambda: decimal_step(0.0), "span"),
        (lambda: duration_ladder([0.0], 1.5), "durations_s"),
        (lambda: duration_ladder([60.0], 1.0), "room"),
    ],
)
def test_ladders_refuse_what_has_no_scale(call: Callable[[], object], name: str) -> None:
    with pytest.raises(RangeError) as caught:
        call()
    assert caught.value.name == name


@given(st.integers(2, 40), st.floats(1.0, 60.0), st.floats(1.0, 40.0))
def test_kept_ticks_never_touch(count: int, pitch: float, half: float) -> None:
    ticks = tuple(Tick(float(index), str(index)) for index in range(count))
    axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=float(count), ticks=ticks)
    kept = kept_ticks(axis, lambda tick: (tick.value * pitch - half, tick.value * pitch + half))
    assert kept[0] == ticks[0]
    places = [tick.value * pitch for tick in kept]
    assert all(after - before >= 2 * half for before, after in itertools.pairwise(places))
    if pitch >= 2 * half + 5:
        assert kept == ticks


@given(st.lists(st.floats(-1e6, 1e6), max_size=2000), st.integers(4, 50))
def test_thinning_keeps_ends_and_extremes(values: list[float], most: int) -> None:
    kept = kept_indices(values, most)
    assert len(kept) <= max(most, 0) or len(values) <= most
    assert list(kept) == sorted(set(kept))
    if values:
        assert {kept[0], kept[-1]} == {0, len(values) - 1}
        assert min(values[index] for index in kept) == min(values)
        assert max(values[index] for index in kept) == max(values)
