"""Rounding for reading. Expected texts follow from the rule in the docstring, worked by hand."""

from __future__ import annotations

import pytest

from ledgewell.errors import RangeError
from ledgewell.units import parse_quantity, round_figures, round_step, show, show_estimate, si_from


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        (4.148, 2, "4.1"),
        (4.15, 2, "4.2"),
        (4.25, 2, "4.3"),
        (9.96, 2, "10"),
        (0.0996, 2, "0.10"),
        (99.6, 2, "100"),
        (12345.0, 2, "12,000"),
        (0.0, 2, "0"),
        (-4.15, 2, "-4.2"),
        (0.00034, 2, "0.00034"),
        (104.4, 3, "104"),
        (1.0, 3, "1.00"),
        (2.675, 3, "2.68"),
        (999.5, 3, "1,000"),
        (0.30000000000000004, 2, "0.30"),
    ],
)
def test_round_figures(value: float, figures: int, text: str) -> None:
    assert round_figures(value, figures) == text


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        (46.2598, 0.328, "46.3"),
        (46.2598, 1.0, "46"),
        (1234.5, 100.0, "1,200"),
        (-0.04, 0.1, "0.0"),
        (2.5, 1.0, "3"),
    ],
)
def test_round_step(value: float, step: float, text: str) -> None:
    assert round_step(value, step) == text


@pytest.mark.parametrize(
    ("typed", "kind", "system", "text"),
    [
        ("14.1 m", "depth", "us", "46.3 ft"),
        ("46 ft 3 in", "depth", "si", "14.10 m"),
        ("46.25 ft", "depth", "us", "46.25 ft"),
        ("950 psi", "pressure", "si", "6,550 kPa"),
        ("7 gpm", "flow", "si", "26 L/min"),
        ("7.0 gpm", "flow", "si", "26.5 L/min"),
        ("50 °F", "temperature", "si", "10.0 °C"),
    ],
)
def test_a_converted_reading_keeps_its_resolution(typed: str, kind: str, system: str, text: str) -> None:
    reading = parse_quantity(typed, kind)
    assert show(reading.si, kind, system, reading.resolution_si) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (3600, "1 h"),
        (14400, "4 h"),
        (86400, "24 h"),
        (30 * 86400, "30 d"),
        (5400, "90 min"),
        (68, "68 s"),
        (0, "0 min"),
        (1500, "25 min"),
        (60, "1 min"),
    ],
)
def test_durations_read_naturally(seconds: float, text: str) -> None:
    assert show(seconds, "duration", "us") == text


def test_without_a_resolution_three_figures_and_whole_numbers_whole() -> None:
    assert show(si_from(1234.4, "ft"), "depth", "us") == "1,234 ft"
    assert show(si_from(290, "ft"), "depth", "us") == "290 ft"
    assert show(si_from(0.7512, "gpm"), "flow", "us") == "0.751 gpm"


def test_estimates_show_two_figures_or_three_in_a_narrow_band() -> None:
    low, mid, high = (si_from(value, "gpm") for value in (3.52, 4.148, 4.91))
    assert str(show_estimate(low, mid, high, "flow", "us")) == "4.1 gpm (3.5 to 4.9)"
    low, mid, high = (si_from(value, "gpm") for value in (4.10, 4.148, 4.19))
    assert str(show_estimate(low, mid, high, "flow", "us")) == "4.15 gpm (4.10 to 4.19)"
    assert str(show_estimate(0.0, 0.0, 0.0, "flow", "us")) == "0 gpm (0 to 0)"


@pytest.mark.parametrize("bad", [(2.0, 1.0, 3.0), (float("nan"), 1.0, 2.0), (1.0, 2.0, float("inf"))])
def test_no_estimate_is_printed_from_nonsense(bad: tuple[float, float, float]) -> None:
    with pytest.raises(RangeError):
        show_estimate(*bad, "flow", "us")


def test_refusals() -> None:
    with pytest.raises(RangeError):
        round_figures(1.0, 0)
    with pytest.raises(RangeError):
        round_figures(float("nan"), 2)
    with pytest.raises(RangeError):
        round_step(1.0, 0.0)
