"""The hand figure against the hole's own geometry, worked on paper, and against a well computed by other means."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from benchmarks.calibration.laplace_well import RockTruth, held_inflow
from hypothesis import given
from hypothesis import strategies as st
from tests.published.checks import check
from tests.published.factors import DAY, FOOT, GALLON, GPM, INCH, M2_PER_DAY, MINUTE

from ledgewell.record import read_well
from ledgewell.steps.prove.hand import HandFigure, hand_figure
from ledgewell.steps.prove.layout import Layout, layout_of
from ledgewell.steps.prove.priors import Priors

SIX_INCH_GAL_PER_FT = 12 * pi / 4 * 6.0**2 / 231
"""Gallons in a foot of 6 in hole: inches over 231 in³ to the gallon."""


def laid_out(test: str, hole: str = "[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6") -> Layout:
    """Return the layout of one test written in feet, gallons a minute and minutes."""
    return layout_of(read_well(f'format = 1\nunits = "us"\n{hole}\n[[test]]\n{test}'), 0, Priors())


def figure(test: str, level_ft: float, **hole: str) -> HandFigure:
    """Return the hand figure of such a test at a level in feet."""
    found = hand_figure(laid_out(test, **hole), level_ft * FOOT)
    assert found is not None
    return found


@pytest.mark.published("hydraulics-7b")
@pytest.mark.parametrize("place", [0, 1])
def test_rise_in_a_six_inch_hole(place: int) -> None:
    table = check("hydraulics-7b")
    rise, minutes = table.given["rise_ft"][place], table.given["time_min"][place]
    levels = f"levels = [[30, 150], [60, 290], [{60 + minutes}, {290 - rise}]]"
    found = figure(f"static_level = 40\nrates = [[0, 7], [60, 0]]\n{levels}", 290)
    assert found.rate.si / GPM == pytest.approx(table.expected["flow_gpm"][place], rel=table.relative)
    assert (found.start.si, found.end.si) == (pytest.approx(290 * FOOT), pytest.approx((290 - rise) * FOOT))
    assert found.minutes == pytest.approx(minutes)


def test_scaled_by_drawdown_to_the_level_asked() -> None:
    test = "static_level = 40\nrates = [[0, 7], [60, 0]]\nlevels = [[60, 240], [90, 200]]"
    found = figure(test, 290)
    assert found.scaled is not None  # middle 220 ft, 180 ft of drawdown; 250 ft at the level asked
    assert found.scaled.si == pytest.approx(found.rate.si * 250 / 180)
    assert "shallower than 290 ft" in found.why.text("us")
    assert "deeper than 150 ft" in figure(test, 150).why.text("us")


def test_a_recovery_past_half_way_is_counted_to_half_way_only() -> None:
    levels = "levels = [[60, 240], [70, 220], [90, 150], [120, 130], [400, 45]]"
    found = figure(f"static_level = 40\nrates = [[0, 7], [60, 0]]\n{levels}", 240)
    assert found.end.si == pytest.approx(150 * FOOT)  # half of 200 ft is left at 140 ft
    assert found.rate.si / GPM == pytest.approx(90 * SIX_INCH_GAL_PER_FT / 30)


def test_first_level_is_taken_when_it_is_past_half_way_already() -> None:
    found = figure("static_level = 40\nrates = [[0, 7], [60, 0]]\nlevels = [[60, 240], [300, 60]]", 240)
    assert found.rate.si / GPM == pytest.approx(180 * SIX_INCH_GAL_PER_FT / 240)


def test_casing_and_bore_are_both_counted() -> None:
    hole = "[[casing]]\ntop = 0\nbottom = 100\ninside_diameter = 8\n[[bore]]\ntop = 100\nbottom = 400\ndiameter = 6"
    test = "static_level = 40\nrates = [[0, 7], [60, 0]]\nlevels = [[60, 120], [70, 90]]"
    volume = 20 * pi / 4 * (6 * INCH) ** 2 * FOOT + 10 * pi / 4 * (8 * INCH) ** 2 * FOOT
    assert figure(test, 120, hole=hole).rate.si == pytest.approx(volume / (10 * MINUTE))


def test_drained_back_water_is_left_out_where_a_later_level_allows_it() -> None:
    pipe = "drop_pipe_inside_diameter = 1.049\ndrain_back = true"
    levels = "levels = [[60, 240], [61, 225], [91, 205]]"
    found = figure(f"static_level = 40\nrates = [[0, 7], [60, 0]]\n{pipe}\n{levels}", 240)
    assert found.start.si == pytest.approx(225 * FOOT)
    assert "drains back" in found.why.text("us")


def test_while_pumping_the_rate_of_the_hole_itself_is_taken_off() -> None:
    found = figure("static_level = 40\nrates = [[0, 7]]\nlevels = [[10, 70], [30, 130], [60, 190]]", 190)
    assert found.rate.si / GPM == pytest.approx(7 - SIX_INCH_GAL_PER_FT * 60 / 30)
    assert "the hole itself gave up" in found.why.text("us")
    assert "2.94 gpm" in found.why.text("us")


def test_a_level_held_by_throttling_is_read_from_the_bucket() -> None:
    levels = "levels = [[20, 200], [60, 290], [80, 290], [100, 290], [120, 290]]"
    flows = "flows = [[90, 1.2], [110, 1.1]]"
    found = figure(f"static_level = 40\nrates = [[0, 7], [60, 1.2]]\n{levels}\n{flows}", 290)
    assert found.start == found.end
    assert found.rate.si / GPM == pytest.approx(1.15)


def test_bailing_is_read_from_the_refill() -> None:
    found = figure("static_level = 40\nbailed = [[0, 30]]\nlevels = [[1, 60], [11, 56]]", 60)
    assert found.rate.si / GALLON * MINUTE == pytest.approx(4 * SIX_INCH_GAL_PER_FT / 10)


@pytest.mark.parametrize(
    "test",
    [
        "static_level = 40\nlevels = [[10, 70], [60, 190]]",  # neither rate nor recovery
        "static_level = 40\nrates = [[0, 0.5]]\nlevels = [[10, 70], [60, 190]]",  # the hole gave more than was pumped
        "static_level = 40\nrates = [[0, 7]]\nlevels = [[60, 190]]",  # one level
        "static_level = 40\nrates = [[0, 'unknown'], [60, 0]]\nlevels = [[60, 190], [70, 190]]",  # no rise
    ],
)
def test_none_where_it_cannot_be_reckoned(test: str) -> None:
    assert hand_figure(laid_out(test), 190 * FOOT) is None


@given(
    rise_ft=st.floats(5, 80),
    minutes=st.floats(5, 300),
    diameter_in=st.floats(4.5, 10),
)
def test_volume_over_time_whatever_the_hole(rise_ft: float, minutes: float, diameter_in: float) -> None:
    hole = f"[[bore]]\ntop = 0\nbottom = 400\ndiameter = {diameter_in!r}"
    levels = f"levels = [[60, 240], [{60 + minutes!r}, {240 - rise_ft!r}]]"
    found = figure(f"static_level = 40\nrates = [[0, 20], [60, 0]]\n{levels}", 240, hole=hole)
    volume = pi / 4 * (diameter_in * INCH) ** 2 * rise_ft * FOOT
    assert found.rate.si == pytest.approx(volume / (minutes * MINUTE))


@pytest.mark.published("hydraulics-3h-recovery")
def test_scaled_figure_of_a_known_well_reads_above_what_it_gives_for_a_day() -> None:
    pumped, rested = check("hydraulics-3h-pump"), check("hydraulics-3h-recovery")
    deepest = float(pumped.values("drawdown_m")[-1])
    times, left = rested.inputs("time_since_stop_min"), rested.values("residual_m")
    later = ", ".join(f"[{60 + t:g}, {10 + s:.4f}]" for t, s in zip(times, left, strict=True))
    text = (
        'format = 1\nunits = "si"\n[[bore]]\ntop = 0\nbottom = 60\ndiameter = 152.4\n[[test]]\nstatic_level = 10\n'
        f"rates = [[0, {pumped.given['flow_m3d'] / 1.44!r}], [60, 0]]\nlevels = [[60, {10 + deepest:.4f}], {later}]"
    )
    found = hand_figure(layout_of(read_well(text), 0, Priors()), 10 + deepest)
    assert found is not None
    assert found.scaled is not None
    area = pi * pumped.given["casing_radius_m"] ** 2
    rise = deepest - float(left[times == 30][0])  # the last reading before half is refilled
    assert found.rate.si == pytest.approx(area * rise / (30 * MINUTE), rel=1e-4)
    rock = RockTruth(
        transmissivity_m2s=pumped.given["t_m2d"] * M2_PER_DAY,
        storativity=pumped.given["s"],
        flow_dimension=2.0,
        skin=0.0,
        well_radius_m=pumped.given["well_radius_m"],
    )
    for_a_day = float(held_inflow(rock, deepest, np.array([DAY]))[0])
    assert 1.05 * for_a_day < found.scaled.si < 1.5 * for_a_day


def test_written_as_the_contract_says() -> None:
    test = "static_level = 40\nrates = [[0, 7], [60, 0]]\nlevels = [[60, 240], [90, 200]]"
    table = figure(test, 290).to_json("us")
    assert list(table) == ["rate", "scaled", "from", "to", "minutes", "why"]
    assert table["from"] == {"value": pytest.approx(240), "unit": "ft"}
    assert table["to"] == {"value": pytest.approx(200), "unit": "ft"}
    assert table["rate"] == {"value": pytest.approx(40 * SIX_INCH_GAL_PER_FT / 30), "unit": "gpm"}
