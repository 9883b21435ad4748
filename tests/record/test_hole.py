"""The hole as it stood on a day. Depths are converted by hand: below the measuring point = below ground + stickup."""

from __future__ import annotations

from datetime import date, datetime
from math import pi

import pytest

from ledgewell.record import Well, hole_at_test, hole_on, read_well, stored_m3

HEAD = 'format = 1\nunits = "si"\n'


def well_of(body: str, site: str = "") -> Well:
    return read_well(f"{HEAD}[well]\n{site}\n{body}")


CASED = """
[[casing]]
top = 0
bottom = 12
inside_diameter = 154
outside_diameter = 168
shoe = true
annulus = "open"
[[bore]]
top = 0
bottom = 12
diameter = 254
[[bore]]
top = 12
bottom = 120
diameter = 152
"""


def test_casing_over_bore() -> None:
    hole = hole_on(well_of(CASED))
    cased, open_hole = hole.intervals
    assert (cased.top_m, cased.bottom_m, cased.diameter_m, cased.kind) == (0.0, 12.0, 0.154, "casing")
    assert (cased.annulus, cased.annulus_inner_m, cased.annulus_outer_m) == ("open", 0.168, 0.254)
    assert (open_hole.top_m, open_hole.bottom_m, open_hole.diameter_m, open_hole.kind) == (
        12.0,
        120.0,
        0.152,
        "bore",
    )
    assert (hole.bottom_m, hole.shoe_m, hole.gaps, hole.doubts) == (120.0, 12.0, (), ())
    # computed independently
    expected = pi / 4 * (0.154**2 * 2 + 0.152**2 * 108)
    assert stored_m3(hole, 10.0, 120.0) == pytest.approx(expected, rel=1e-14)
    assert stored_m3(hole, 10.0, 121.0) is None


def test_depths_from_ground_are_moved_by_the_stickup() -> None:
    hole = hole_on(well_of(CASED, 'depths_from = "ground"\nstickup = 0.5'))
    assert [(each.top_m, each.bottom_m) for each in hole.intervals] == [(0.5, 12.5), (12.5, 120.5)]
    assert (hole.bottom_m, hole.shoe_m, hole.stickup_m) == (120.5, 12.5, 0.5)


def test_a_table_may_differ_from_the_well() -> None:
    body = CASED + '[[fracture]]\ndepth = 60\ndepths_from = "ground"\n[[fracture]]\ntop = 80\nbottom = 84\n'
    hole = hole_on(well_of(body, "stickup = 0.5"))
    assert [each.depth_m for each in hole.fractures] == [60.5, 82.0]
    assert (hole.fractures[1].top_m, hole.fractures[1].bottom_m) == (80.0, 84.0)


def test_ground_without_stickup_is_said() -> None:
    hole = hole_on(well_of(CASED, 'depths_from = "ground"'))
    assert [doubt.where for doubt in hole.doubts] == ["well.stickup"]
    assert hole.stickup_m is None
    assert hole.bottom_m == 120.0


def test_the_hole_has_dates() -> None:
    body = """
[[bore]]
top = 0
bottom = 90
diameter = 152
[[bore]]
top = 90
bottom = 140
diameter = 140
since = 2026-09-10
[[pump]]
role = "installed"
setting = 80
until = 2026-09-01
[[pump]]
role = "installed"
setting = 130
cut_off = 125
since = 2026-09-20T14:00:00
[[pump]]
role = "candidate"
setting = 10
[[pipe]]
role = "drop"
inside_diameter = 26.6
outside_diameter = 33.4
length = 130
since = 2026-09-20
"""
    well = well_of(body)
    assert hole_on(well, date(2026, 8, 31)).bottom_m == 90.0
    assert hole_on(well, date(2026, 8, 31)).pump_setting_m == 80.0
    assert hole_on(well, date(2026, 9, 10)).bottom_m == 140.0
    assert hole_on(well, date(2026, 9, 10)).pump_setting_m is None
    assert hole_on(well, datetime(2026, 9, 20, 13, 59)).pump is None
    assert hole_on(well, datetime(2026, 9, 20, 14, 0)).pump_setting_m == 130.0
    assert hole_on(well, date(2026, 9, 19)).drop_pipes == ()
    now = hole_on(well)
    assert (now.bottom_m, now.pump_setting_m, now.cut_off_m) == (140.0, 130.0, 125.0)
    assert now.drop_pipes[0].outside_m == pytest.approx(0.0334)


def test_a_measuring_point_that_changed() -> None:
    body = CASED + "[[measuring_point]]\nstickup = 0.2\nsince = 2026-10-01\n"
    body += "[[level]]\nat = 2026-09-01\ndepth = 10\n[[level]]\nat = 2026-11-01\ndepth = 9.7\n"
    well = well_of(body, "stickup = 0.5")
    before, after = hole_on(well, date(2026, 9, 1)), hole_on(well, date(2026, 11, 1))
    # the casing was cut down by 0.3 m: everything is 0.3 m nearer to the new measuring point
    assert (before.bottom_m, after.bottom_m) == (120.0, pytest.approx(119.7))
    assert [level.depth_m for level in before.statics] == [10.0, 10.0]
    assert [level.depth_m for level in after.statics] == pytest.approx([9.7, 9.7])


def test_gaps_are_said_and_never_filled() -> None:
    body = "[[casing]]\ntop = 0\nbottom = 10\ninside_diameter = 154\n[[bore]]\ntop = 12\nbottom = 50\ndiameter = 152\n"
    hole = hole_on(well_of(body))
    assert hole.gaps == ((10.0, 12.0),)
    assert [(each.top_m, each.bottom_m) for each in hole.intervals] == [(0.0, 10.0), (12.0, 50.0)]
    assert "neither casing nor bore" in hole.doubts[0].say
    assert stored_m3(hole, 5.0, 20.0) is None


def test_overlaps_are_said_and_the_widest_bit_counts() -> None:
    body = "[[bore]]\ntop = 0\nbottom = 50\ndiameter = 152\n[[bore]]\ntop = 40\nbottom = 60\ndiameter = 140\n"
    hole = hole_on(well_of(body))
    assert [(each.top_m, each.bottom_m, each.diameter_m) for each in hole.intervals] == [
        (0.0, 50.0, 0.152),
        (50.0, 60.0, 0.14),
    ]
    assert [doubt.where for doubt in hole.doubts] == ["bore[1]"]
    assert "overlaps bore[0] from 40.00 to 50.00 m" in hole.doubts[0].say


def test_casing_in_casing_is_no_overlap_and_the_inner_one_counts() -> None:
    body = """
[[casing]]
top = 0
bottom = 10
inside_diameter = 203
outside_diameter = 219
[[casing]]
top = 0
bottom = 30
inside_diameter = 154
outside_diameter = 168
annulus = "sealed"
[[casing]]
top = 25
bottom = 60
inside_diameter = 102
outside_diameter = 114
kind = "liner"
[[bore]]
top = 0
bottom = 60
diameter = 200
"""
    hole = hole_on(well_of(body))
    assert [(each.top_m, each.bottom_m, each.diameter_m) for each in hole.intervals] == [
        (0.0, 10.0, 0.154),
        (10.0, 25.0, 0.154),
        (25.0, 30.0, 0.102),
        (30.0, 60.0, 0.102),
    ]
    assert [each.annulus_outer_m for each in hole.intervals] == [0.203, 0.2, 0.154, 0.2]
    assert (hole.shoe_m, hole.doubts) == (30.0, ())


def test_missing_things_are_none() -> None:
    hole = hole_on(well_of("[[bore]]\ntop = 0\nbottom = 50\n"))
    assert hole.intervals[0].diameter_m is None
    assert "diameter is not known" in hole.doubts[0].say
    assert stored_m3(hole, 0.0, 10.0) is None
    empty = hole_on(Well())
    assert (empty.intervals, empty.bottom_m, empty.shoe_m, empty.pump, empty.statics) == (
        (),
        None,
        None,
        None,
        (),
    )


def test_tops_that_were_not_given_are_assumed_aloud() -> None:
    body = "[[bore]]\nbottom = 120\ndiameter = 152\n[[bore]]\nbottom = 12\ndiameter = 254\n[[casing]]\nbottom = 12\n"
    hole = hole_on(well_of(body))
    assert {"bore[0].top", "bore[1].top", "casing[0].top"} <= {doubt.where for doubt in hole.doubts}
    assert [(each.top_m, each.bottom_m, each.kind) for each in hole.intervals] == [
        (0.0, 12.0, "casing"),
        (12.0, 120.0, "bore"),
    ]


def test_a_casing_without_a_bottom_is_left_out_aloud() -> None:
    hole = hole_on(well_of("[[casing]]\ntop = 0\n[[bore]]\ntop = 5\nbottom = 5\n[[bore]]\ntop = 1\n"))
    assert hole.intervals == ()
    assert {doubt.where for doubt in hole.doubts} == {"casing[0].bottom", "bore[0].bottom", "bore[1].bottom"}


def test_inside_from_outside_and_wall() -> None:
    body = "[[casing]]\ntop = 0\nbottom = 9\noutside_diameter = 168.3\nwall = 7.1\n"
    assert hole_on(well_of(body)).intervals[0].diameter_m == pytest.approx(0.1541)


def test_the_pump_and_pipe_of_a_test_rule_over_those_installed() -> None:
    body = CASED + (
        '[[pump]]\nrole = "installed"\nsetting = 100\n[[pipe]]\nrole = "drop"\noutside_diameter = 33.4\n'
        "[[test]]\nstart = 2026-09-14T09:10:00\npump_setting = 110\ndrop_pipe_outside_diameter = 42.2\n"
        "[[test]]\nstart = 2026-09-15T09:10:00\n"
    )
    well = well_of(body)
    first, second = (hole_at_test(well, test) for test in well.tests)
    assert (first.pump_setting_m, first.drop_pipes[0].outside_m) == (110.0, pytest.approx(0.0422))
    assert (second.pump_setting_m, second.drop_pipes[0].outside_m) == (100.0, pytest.approx(0.0334))


def test_zone_of_since_is_respected() -> None:
    body = "[[bore]]\ntop = 0\nbottom = 50\ndiameter = 152\nsince = 2026-09-14T13:00:00Z\n"
    well = well_of(body, 'zone = "America/New_York"')
    assert hole_on(well, datetime(2026, 9, 14, 8, 59)).bottom_m is None
    assert hole_on(well, datetime(2026, 9, 14, 9, 0)).bottom_m == 50.0
