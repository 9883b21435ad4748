"""From the recorded hole to the bucket. Volumes are computed here by hand: π/4 D² times a length."""

from __future__ import annotations

from math import pi

import pytest

from ledgewell.errors import InputError
from ledgewell.record import HoleOnDay, hole_at_test, hole_on, read_well
from ledgewell.steps.hole import inside_of, shape_on

FT, IN = 0.3048, 0.0254
GALLON = 231 * IN**3


def hole_of(body: str, units: str = "us") -> HoleOnDay:
    return hole_on(read_well(f'format = 1\nunits = "{units}"\n{body}'))


def gallons_per_foot(*inches_squared: float) -> float:
    """Gallons in a foot of a hole whose D² add up to this [in²]: π/4 · 12 / 231 of it."""
    return sum(inches_squared) * pi / 4 * 12 / 231


CASED = """
casing = [{top = 0, bottom = 40, inside_diameter = 6.065, outside_diameter = 6.625, annulus = "sealed"}]
bore = [{top = 0, bottom = 40, diameter = 10}, {top = 40, bottom = 400, diameter = "6 1/4 in"}]
"""


def test_casing_above_bore_has_two_slopes() -> None:
    shape = shape_on(hole_of(CASED))
    assert shape.bounds_m == pytest.approx((0.0, 40 * FT, 400 * FT))
    # computed independently: 6.065 in holds 1.5008 gal/ft, 6 1/4 in 1.5938 gal/ft
    assert gallons_per_foot(6.065**2) == pytest.approx(1.5008, abs=5e-5)
    stored = shape.volume_between(38.5 * FT, 400 * FT) / GALLON
    assert stored == pytest.approx(1.5 * 1.5008 + 360 * 1.59375, rel=2e-5)


def test_a_six_inch_hole_holds_what_the_handbook_prints() -> None:
    """MIL-HDBK-1164, table 1: 1.469 gal in a foot of 6 in pipe."""
    shape = shape_on(hole_of("bore = [{top = 0, bottom = 300, diameter = 6}]"))
    assert shape.volume_between(100 * FT, 101 * FT) / GALLON == pytest.approx(1.469, abs=5e-4)


def test_an_open_annulus_stores_water_too() -> None:
    shape = shape_on(hole_of(CASED.replace('"sealed"', '"open"')))
    foot = shape.volume_between(10 * FT, 11 * FT) / GALLON
    assert foot == pytest.approx(gallons_per_foot(6.065**2, 10**2, -(6.625**2)), rel=1e-12)


def test_an_annulus_that_is_not_said_to_be_open_is_not_counted_and_said() -> None:
    inside = inside_of(hole_of(CASED.replace(', annulus = "sealed"', "")))
    assert inside.shape is not None
    foot = inside.shape.volume_between(10 * FT, 11 * FT) / GALLON
    assert foot == pytest.approx(gallons_per_foot(6.065**2), rel=1e-12)
    assert [each.where for each in inside.uncounted] == ["casing[0].annulus"]
    assert inside_of(hole_of(CASED)).uncounted == ()


def test_an_open_annulus_of_unknown_width_is_said() -> None:
    inside = inside_of(
        hole_of(
            'casing = [{top = 0, bottom = 40, inside_diameter = 6, annulus = "open"}]\n'
            "bore = [{top = 40, bottom = 400, diameter = 6}]"
        )
    )
    assert [each.say.text("us") for each in inside.uncounted] == [
        "the space outside the casing is open from 0 ft to 40 ft, but how wide it is is not recorded; "
        "water in it is not counted"
    ]


def test_a_drop_pipe_takes_up_room_as_far_as_it_hangs() -> None:
    shape = shape_on(hole_of(CASED + 'pipe = [{role = "drop", length = 300, outside_diameter = 1.315}]'))
    with_pipe = shape.volume_between(200 * FT, 201 * FT) / GALLON
    below_it = shape.volume_between(350 * FT, 351 * FT) / GALLON
    assert with_pipe == pytest.approx(gallons_per_foot(6.25**2, -(1.315**2)), rel=1e-12)
    assert below_it == pytest.approx(gallons_per_foot(6.25**2), rel=1e-12)


def test_the_tests_own_drop_pipe_hangs_at_the_test() -> None:
    body = (
        CASED
        + 'test = [{static_level = 38.5, pump_setting = "350 ft", drop_pipe_outside_diameter = "1.66 in"}]'
    )
    well = read_well(f'format = 1\nunits = "us"\n{body}')
    shape = shape_on(hole_at_test(well, well.tests[0]))
    foot = shape.volume_between(340 * FT, 341 * FT) / GALLON
    assert foot == pytest.approx(gallons_per_foot(6.25**2, -(1.66**2)), rel=1e-12)
    assert shape.volume_between(360 * FT, 361 * FT) / GALLON == pytest.approx(1.59375, rel=1e-4)


@pytest.mark.parametrize(
    ("pipe", "where"),
    [
        ('{role = "drop", length = 300}', "pipe[0].outside_diameter"),
        ('{role = "drop", outside_diameter = 1.315}', "pipe[0].length"),
        ('{role = "drop", length = 300, outside_diameter = 7}', "pipe[0].outside_diameter"),
    ],
)
def test_a_drop_pipe_that_cannot_be_counted_is_said(pipe: str, where: str) -> None:
    inside = inside_of(hole_of(f"{CASED}pipe = [{pipe}]"))
    assert [each.where for each in inside.uncounted] == [where]
    assert inside.shape is not None
    assert inside.shape.volume_between(200 * FT, 201 * FT) / GALLON == pytest.approx(1.59375, rel=1e-4)


def test_two_pipes_that_do_not_fit_together_are_not_both_counted() -> None:
    pipe = '{role = "drop", length = 300, outside_diameter = 4.5}'
    inside = inside_of(hole_of(f"{CASED}pipe = [{pipe}, {pipe}]"))
    assert len(inside.hung) == 1
    assert [each.where for each in inside.uncounted] == ["pipe[1].outside_diameter"]


def test_an_unknown_width_above_the_level_does_not_matter() -> None:
    hole = hole_of("casing = [{top = 0, bottom = 40}]\nbore = [{top = 40, bottom = 400, diameter = 6}]")
    with pytest.raises(InputError) as caught:
        shape_on(hole)
    assert [problem.where for problem in caught.value.problems] == ["casing[0]"]
    with pytest.raises(InputError):
        shape_on(hole, from_m=39 * FT)
    shape = shape_on(hole, from_m=41 * FT)
    assert shape.bounds_m == pytest.approx((40 * FT, 400 * FT))


def test_gaps_and_unknown_widths_are_all_told_at_once() -> None:
    hole = hole_of("bore = [{top = 0, bottom = 40}, {top = 60, bottom = 100, diameter = 6}]")
    with pytest.raises(InputError) as caught:
        shape_on(hole)
    assert [(problem.where, problem.say) for problem in caught.value.problems] == [
        ("bore[0]", "its diameter is not known from 0 ft to 40 ft (0.00 to 12.19 m)"),
        ("bore", "neither casing nor bore is recorded from 40 ft to 60 ft (12.19 to 18.29 m)"),
    ]


def test_a_bore_that_begins_below_ground_leaves_a_gap_above_it() -> None:
    inside = inside_of(hole_of("bore = [{top = 40, bottom = 400, diameter = 6}]"))
    assert [(each.where, each.top_m, each.bottom_m) for each in inside.unknown] == [("bore", 0.0, 40 * FT)]


def test_depths_from_ground_leave_no_gap_within_the_stickup() -> None:
    """The hole begins at ground, 18 in below the measuring point, and what stands above it goes on as it is."""
    hole = hole_of(
        'well = {depths_from = "ground", stickup = "18 in"}\nbore = [{top = 0, bottom = 400, diameter = 6}]'
    )
    assert inside_of(hole).unknown == ()
    assert shape_on(hole).bounds_m == pytest.approx((1.5 * FT, 401.5 * FT))


def test_casing_deeper_than_the_bore_adds_no_hole() -> None:
    hole = hole_of(
        "casing = [{top = 0, bottom = 420, inside_diameter = 5}]\nbore = [{top = 0, bottom = 400, diameter = 8}]"
    )
    assert shape_on(hole).bottom_m == pytest.approx(400 * FT)


def test_an_interval_that_crosses_the_bottom_ends_there() -> None:
    """Nothing parts the casing where the bore of unknown width ends, and yet the hole ends there."""
    hole = hole_of(
        "casing = [{top = 0, bottom = 420, inside_diameter = 5}]\nbore = [{top = 0, bottom = 400}]"
    )
    assert [each.bottom_m for each in hole.intervals] == pytest.approx([420 * FT])
    assert shape_on(hole).bottom_m == pytest.approx(400 * FT)


def test_no_hole_at_all_is_an_error_that_says_what_to_write() -> None:
    with pytest.raises(
        InputError, match=r"no hole is recorded .* \[\[bore\]\] with top, bottom and diameter"
    ):
        shape_on(hole_of(""))
    assert inside_of(hole_of("")).shape is None
