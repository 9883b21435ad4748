"""Flow by depth from what was blown while drilling. Gains are subtracted by hand."""

from __future__ import annotations

import pytest

from ledgewell.record import hole_on, read_well
from ledgewell.steps.hole.airlift import Blown, airlift_warnings, blown_by_depth

FT, GPM = 0.3048, 231 * 0.0254**3 / 60


def blown_of(fractures: str) -> tuple[Blown, ...]:
    return blown_by_depth(hole_on(read_well(f'format = 1\nunits = "us"\nfracture = [{fractures}]')).fractures)


def test_each_note_gains_on_the_one_above() -> None:
    found = blown_of(
        "{depth = 290, airlift = 4, bit_depth = 300}, {depth = 120, airlift = 1.5, bit_depth = 140}, {depth = 350}"
    )
    assert [each.bit_depth_m / FT for each in found] == pytest.approx([140, 300])
    assert [each.above_m / FT for each in found] == pytest.approx([0, 140])
    assert [each.total_m3s / GPM for each in found] == pytest.approx([1.5, 4])
    assert [each.gain_m3s / GPM for each in found] == pytest.approx([1.5, 2.5])
    assert [each.falls for each in found] == [False, False]
    assert [each.where for each in airlift_warnings(found)] == ["fracture"]


def test_totals_that_fall_are_flagged_and_not_clipped() -> None:
    found = blown_of(
        "{depth = 120, airlift = 4, bit_depth = 140}, {depth = 290, airlift = 3.5, bit_depth = 300}"
    )
    assert found[1].gain_m3s / GPM == pytest.approx(-0.5)
    assert found[1].falls
    [_, warned] = airlift_warnings(found)
    assert warned.where == "fracture[1].airlift"
    assert warned.text("us") == (
        "0.5 gpm less was blown with the bit here, at 300 ft, than above it: the totals do not add up"
    )


def test_two_fractures_blown_at_once_are_one_note() -> None:
    found = blown_of(
        "{depth = 120, airlift = 3, bit_depth = 300}, {depth = 290, airlift = 4, bit_depth = 300}"
    )
    assert [(each.where, each.total_m3s / GPM) for each in found] == [("fracture[1]", pytest.approx(4))]


def test_a_bit_depth_that_is_not_recorded_is_assumed_and_said() -> None:
    found = blown_of("{top = 100, bottom = 110, airlift = 2}, {airlift = 9}")
    assert [(each.bit_depth_m / FT, each.bit_assumed) for each in found] == [(pytest.approx(110), True)]
    assert [each.where for each in airlift_warnings(found)] == ["fracture", "fracture[0].bit_depth"]


def test_air_that_blew_nothing_is_a_note_too() -> None:
    [only] = blown_of("{depth = 120, airlift = 0, bit_depth = 300}")
    assert (only.total_m3s, only.gain_m3s, only.falls) == (0.0, 0.0, False)


def test_nothing_blown_needs_no_caution() -> None:
    assert airlift_warnings(blown_of("")) == ()
