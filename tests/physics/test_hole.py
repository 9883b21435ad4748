"""The hole as a bucket: against printed tables, pint, quadrature of its own area, and water balances by hand."""

from __future__ import annotations

from math import pi

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from tests.published.checks import check
from tests.published.factors import FOOT, GALLON, GPM, INCH, MINUTE

from ledgewell.errors import RangeError
from ledgewell.physics.hole import (
    HoleShape,
    area_from_diameter,
    drained_volume,
    hand_rate,
    shape_from_intervals,
)

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
WIDTHS = st.floats(0.005, 0.2)


@st.composite
def shapes(draw: st.DrawFn) -> HoleShape:
    """Draw a hole of one to four free areas."""
    areas = draw(st.lists(WIDTHS, min_size=1, max_size=4))
    lengths = draw(st.lists(st.floats(0.5, 60.0), min_size=len(areas), max_size=len(areas)))
    top = draw(st.floats(-2.0, 5.0))
    return HoleShape(tuple(top + np.concatenate(([0.0], np.cumsum(lengths)))), tuple(areas))


def straight(diameter_in: float, bottom_m: float = 200.0) -> HoleShape:
    """Return a hole of one diameter."""
    return shape_from_intervals([(0.0, bottom_m, diameter_in * INCH)])


def in_gallons(volume_m3: float) -> float:
    """Convert with pint, not with the program."""
    return float((volume_m3 * REGISTRY("m^3")).to("gallon").magnitude)


@pytest.mark.published("hydraulics-7a-exact")
def test_gallons_in_a_foot_anywhere_in_the_hole() -> None:
    table = check("hydraulics-7a-exact")
    for diameter, expected in zip(table.inputs("diameter_in"), table.values("gal_per_ft"), strict=True):
        foot = straight(diameter).volume_between(30.0, 30.0 + FOOT)
        assert in_gallons(foot) == pytest.approx(expected, rel=table.relative)


@pytest.mark.published("hydraulics-7a-printed")
def test_gallons_in_ten_feet_as_printed_but_for_one_misprint() -> None:
    table = check("hydraulics-7a-printed")
    for diameter, printed in zip(table.inputs("diameter_in"), table.values("gal_per_ft"), strict=True):
        found = in_gallons(straight(diameter).volume_between(10 * FOOT, 20 * FOOT)) / 10
        if diameter in table.misprints["diameter_in"]:
            assert abs(found - printed) > 1.0
            assert found == pytest.approx(table.misprints["exact"][0], rel=1e-9)
        else:
            assert found == pytest.approx(printed, abs=table.absolute)


@pytest.mark.published("hydraulics-7a-metric")
def test_liters_in_a_meter() -> None:
    table = check("hydraulics-7a-metric")
    for diameter, expected in zip(table.inputs("diameter_mm"), table.values("l_per_m"), strict=True):
        shape = shape_from_intervals([(0.0, 50.0, diameter / 1000)])
        assert 1000 * shape.volume_between(7.0, 8.0) == pytest.approx(expected, abs=table.absolute)


@pytest.mark.published("hydraulics-7b")
def test_hand_figure_of_a_six_inch_hole() -> None:
    table = check("hydraulics-7b")
    shape = straight(table.given["diameter_in"])
    rows = zip(table.inputs("rise_ft"), table.inputs("time_min"), table.values("flow_gpm"), strict=True)
    for rise, minutes, expected in rows:
        lower = 60.0
        found = hand_rate(shape, lower, lower - rise * FOOT, minutes * MINUTE)
        assert found / GPM == pytest.approx(expected, rel=table.relative)


def test_hand_figure_counts_the_casing_the_refill_passed_through() -> None:
    """From 20 m in a 6 in bore to 5 m in an 8 in casing that ends at 10 m: both volumes, worked by hand."""
    shape = shape_from_intervals([(0.0, 10.0, 8 * INCH), (10.0, 60.0, 6 * INCH)])
    by_hand = pi / 4 * ((8 * INCH) ** 2 * 5.0 + (6 * INCH) ** 2 * 10.0) / 1800.0
    assert hand_rate(shape, 20.0, 5.0, 1800.0) == pytest.approx(by_hand, rel=1e-12)


@given(shapes(), st.floats(-4.0, 250.0), st.floats(-4.0, 250.0))
def test_volume_is_the_integral_of_the_area(shape: HoleShape, one_m: float, other_m: float) -> None:
    """Quadrature of ``area_at`` (scipy), told where the area changes."""
    upper, lower = sorted((one_m, other_m))
    cuts = [bound for bound in shape.bounds_m if upper < bound < lower]
    by_parts = 0.0
    for begin, end in zip([upper, *cuts], [*cuts, lower], strict=True):
        by_parts += quad(shape.area_at, begin, end, epsabs=1e-13)[0] if end > begin else 0.0
    assert shape.volume_between(upper, lower) == pytest.approx(by_parts, rel=1e-8, abs=1e-12)
    assert shape.volume_between(lower, upper) == -shape.volume_between(upper, lower)


@given(shapes(), st.floats(-4.0, 250.0), st.floats(-3.0, 3.0))
def test_what_is_taken_out_is_what_stands_between_the_levels(
    shape: HoleShape, level_m: float, taken_m3: float
) -> None:
    after = shape.depth_after(level_m, taken_m3)
    assert shape.volume_between(level_m, after) == pytest.approx(taken_m3, rel=1e-9, abs=1e-11)
    assert shape.depth_after(after, -taken_m3) == pytest.approx(level_m, rel=1e-9, abs=1e-9)


@given(shapes(), st.floats(0.0, 50.0), st.floats(1e-4, 0.5), st.floats(1e-4, 0.5))
def test_two_bails_are_one(shape: HoleShape, level_m: float, first_m3: float, second_m3: float) -> None:
    twice = shape.depth_after(shape.depth_after(level_m, first_m3), second_m3)
    assert twice == pytest.approx(shape.depth_after(level_m, first_m3 + second_m3), rel=1e-10)


def test_a_level_may_stand_in_the_stickup() -> None:
    """Above the first bound the first area goes on: 1 m of stickup holds what 1 m of casing holds."""
    shape = HoleShape((0.0, 12.0, 90.0), (0.02, 0.018))
    assert shape.volume_between(-1.0, 0.0) == pytest.approx(0.02, rel=1e-14)
    assert shape.depth_after(0.5, -0.02) == pytest.approx(-0.5, rel=1e-13)
    assert shape.bottom_m == 90.0
    assert (shape.area_at(-3.0), shape.area_at(12.0), shape.area_at(95.0)) == (0.02, 0.018, 0.018)


def test_what_hangs_in_the_hole_displaces_its_outside() -> None:
    """A 1.315 in pipe to 50 m in a 6 in hole and a 3.75 in pump of 0.6 m below it: areas worked by hand."""
    pipe, pump, bore = 1.315 * INCH, 3.75 * INCH, 6 * INCH
    shape = shape_from_intervals([(0.0, 80.0, bore)], [(0.0, 50.0, pipe), (50.0, 50.6, pump)])
    assert shape.bounds_m == (0.0, 50.0, 50.6, 80.0)
    by_hand = [pi / 4 * (bore**2 - hung**2) for hung in (pipe, pump, 0.0)]
    np.testing.assert_allclose(shape.areas_m2, by_hand, rtol=1e-13)
    whole = pi / 4 * (bore**2 * 80.0 - pipe**2 * 50.0 - pump**2 * 0.6)
    assert shape.volume_between(0.0, 80.0) == pytest.approx(whole, rel=1e-13)


def test_pipe_and_cable_side_by_side_displace_both() -> None:
    shape = shape_from_intervals([(0.0, 30.0, 0.15)], [(0.0, 20.0, 0.04), (5.0, 20.0, 0.02)])
    assert shape.bounds_m == (0.0, 5.0, 20.0, 30.0)
    by_hand = [0.15**2 - 0.04**2, 0.15**2 - 0.04**2 - 0.02**2, 0.15**2]
    np.testing.assert_allclose(np.array(shape.areas_m2) * 4 / pi, by_hand, rtol=1e-13)


def test_four_hundred_feet_of_one_inch_pipe_drain_back() -> None:
    """1.049 in inside, 18.0 gal: V = π/4 d² L and 231 in³ to the gallon (from memory; recomputed)."""
    gallons = drained_volume(400 * FOOT, 1.049 * INCH) / GALLON
    assert gallons == pytest.approx(pi / 4 * 1.049**2 * 400 * 12 / 231, rel=1e-12)
    assert gallons == pytest.approx(18.0, abs=0.05)
    raised = shape_from_intervals([(0.0, 200.0, 6 * INCH)], [(0.0, 200.0, 1.315 * INCH)])
    after = raised.depth_after(400 * FOOT, -gallons * GALLON)
    assert (400 * FOOT - after) / FOOT == pytest.approx(12.9, abs=0.1)


def test_a_pipe_drains_only_from_where_it_leaves_the_hole() -> None:
    area = pi / 4 * 0.03**2
    assert drained_volume(40.0, 0.03, discharge_depth_m=2.0) == pytest.approx(38.0 * area, rel=1e-13)
    assert drained_volume(1.0, 0.03, discharge_depth_m=2.0) == 0.0


@pytest.mark.parametrize(
    ("bounds", "areas", "said"),
    [
        ((0.0, 10.0), (0.02, 0.018), "one more than the number of areas"),
        ((0.0,), (), "one more than the number of areas"),
        ((0.0, 10.0, 10.0), (0.02, 0.018), "strictly increasing"),
        ((0.0, 10.0), (-0.001,), "what hangs in the hole must fit"),
        ((0.0, 10.0), (float("inf"),), "what hangs in the hole must fit"),
        ((float("nan"), 10.0), (0.02,), "strictly increasing"),
    ],
)
def test_a_hole_that_cannot_be_is_refused(
    bounds: tuple[float, ...], areas: tuple[float, ...], said: str
) -> None:
    with pytest.raises(RangeError, match=said):
        HoleShape(bounds, areas)


def test_wrong_intervals_diameters_and_times_are_refused() -> None:
    with pytest.raises(RangeError, match="touching: the next stretch must begin at 10 m"):
        shape_from_intervals([(0.0, 10.0, 0.15), (11.0, 60.0, 0.15)])
    with pytest.raises(RangeError, match="must fit in it"):
        shape_from_intervals([(0.0, 60.0, 0.10)], [(0.0, 20.0, 0.12)])
    with pytest.raises(RangeError, match="positive number of meters"):
        area_from_diameter(0.0)
    with pytest.raises(RangeError, match="positive time"):
        hand_rate(straight(6.0), 20.0, 10.0, 0.0)
