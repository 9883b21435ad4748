"""The water standing in the hole on a day."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from ledgewell.record import hole_on, read_well
from ledgewell.steps.hole.standing import Standing, standing_water

FT = 0.3048
LEVELS = """
format = 1
units = "us"
bore = [{top = 0, bottom = 300, diameter = 6}]
level = [
    {at = 2026-09-14, depth = 38.5, method = "steel tape"},
    {at = 2025-06-01, depth = 31.0},
    {depth = 55},
]
test = [{name = "after", start = 2026-03-02T09:10:00, static_level = 36.25}]
"""


def standing_on(text: str, when: date | None = None) -> Standing:
    well = read_well(text)
    return standing_water(hole_on(well, when), well.well.zone)


def test_the_latest_dated_level_counts() -> None:
    found = standing_on(LEVELS)
    assert found.level is not None
    assert (found.state, found.level.si, found.at) == (
        "standing",
        pytest.approx(38.5 * FT),
        date(2026, 9, 14),
    )
    assert (found.method, found.where) == ("steel tape", "level[0].depth")
    assert found.line("us") == "38.5 ft, read 2026-09-14 by steel tape (level[0].depth)"


@pytest.mark.parametrize(
    ("when", "where"),
    [
        (date(2026, 3, 2), "test[0].static_level"),
        (date(2026, 3, 1), "level[1].depth"),
        (datetime(2026, 3, 2, 9, 9), "level[1].depth"),
        (datetime(2026, 3, 2, 9, 10), "test[0].static_level"),
        (date(2020, 1, 1), "level[2].depth"),
    ],
)
def test_levels_after_the_day_asked_do_not_count(when: date, where: str) -> None:
    assert standing_on(LEVELS, when).where == where


@pytest.mark.parametrize(
    ("depth", "state"), [("0", "standing"), ("-2", "flowing"), ("300", "dry"), ("310", "dry")]
)
def test_a_dry_hole_and_a_flowing_well(depth: str, state: str) -> None:
    text = f'format = 1\nunits = "us"\nbore = [{{top = 0, bottom = 300, diameter = 6}}]\nlevel = [{{depth = {depth}}}]'
    assert standing_on(text).state == state


def test_a_level_noted_while_drilling_stands_in() -> None:
    text = """
    format = 1
    units = "us"
    fracture = [
        {depth = 250, bit_depth = 260, static_level = 44},
        {depth = 120, bit_depth = 130, static_level = 60},
    ]
    """
    found = standing_on(text)
    assert found.level is not None
    assert (found.where, found.while_drilling) == ("fracture[0].static_level", True)
    assert found.level.show("us") == "44 ft"


def test_no_level_at_all_is_said() -> None:
    found = standing_on("format = 1")
    assert (found.state, found.level, found.line("us")) == ("unknown", None, "")
    assert found.to_json("us") == {"state": "unknown", "level": None, "at": None, "method": None, "where": ""}
