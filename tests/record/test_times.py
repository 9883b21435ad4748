"""Minutes, clock times and instants become minutes since start; expected values are worked by hand."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from ledgewell.errors import InputError
from ledgewell.record import read_well, well_from_json, with_start


def minutes(start: str, times: str, *, zone: str = "", key: str = "levels") -> list[float]:
    zone_line = f'zone = "{zone}"' if zone else ""
    rows = ", ".join(f"[{each.strip()}, {'0' if key == 'before' else 3}]" for each in times.split(","))
    text = f'format = 1\nunits = "si"\n[well]\n{zone_line}\n[[test]]\nstart = {start}\n{key} = [{rows}]\n'
    return [reading.minute for reading in getattr(read_well(text).tests[0], key)]


def test_minutes_are_minutes() -> None:
    assert minutes("2026-09-14T09:10:00", '2, 2.5, "90 s", "1 h 20 min", -5') == [2.0, 2.5, 1.5, 80.0, -5.0]
    assert minutes("2026-09-14", "2, 3") == [2.0, 3.0]


def test_clock_times() -> None:
    assert minutes("2026-09-14T09:10:00", '"09:14:30", "9:15", 09:16:00') == [4.5, 5.0, 6.0]


def test_clock_across_midnight() -> None:
    assert minutes("2026-09-14T22:00:00", '"23:50", "00:20", "06:00", "05:58"') == [
        110.0,
        140.0,
        480.0,
        478.0,
    ]


def test_clock_over_two_nights() -> None:
    assert minutes("2026-09-14T22:00:00", '"09:00", "22:00", "09:00"') == [660.0, 1440.0, 2100.0]


def test_a_clock_time_a_little_early_is_early_and_not_tomorrow() -> None:
    assert minutes("2026-09-14T09:10:00", '"09:09", "09:12", "09:11"') == [-1.0, 2.0, 1.0]


def test_clock_times_before_the_start() -> None:
    assert minutes("2026-09-14T09:10:00", '"20:10", "08:10"', key="before") == [-780.0, -60.0]


@pytest.mark.parametrize(
    ("zone", "start", "times", "expected"),
    [
        # clocks in New York go back from 02:00 EDT to 01:00 EST on 2026-11-01 (from memory: first Sunday of November)
        ("America/New_York", "2026-11-01T00:30:00", '"01:30", "01:10", "02:00"', [60.0, 100.0, 150.0]),
        # and forward from 02:00 to 03:00 on 2026-03-08 (from memory: second Sunday of March)
        ("America/New_York", "2026-03-08T01:30:00", '"01:50", "03:10"', [20.0, 40.0]),
        ("", "2026-11-01T00:30:00", '"01:30", "02:00"', [60.0, 90.0]),
    ],
)
def test_clocks_that_change(zone: str, start: str, times: str, expected: list[float]) -> None:
    assert minutes(start, times, zone=zone) == expected


def test_instants_with_and_without_offset() -> None:
    assert minutes(
        "2026-09-14T09:10:00", "2026-09-14T13:14:00Z, 2026-09-14T09:15:00", zone="America/New_York"
    ) == [4, 5]
    assert minutes("2026-09-14T09:10:00-04:00", "2026-09-14T13:14:00Z, 2026-09-14T09:15:00") == [4.0, 5.0]


def test_json_may_give_the_minute_beside_the_clock_if_they_agree() -> None:
    test = {"start": "2026-09-14T09:10:00", "levels": [{"minute": 4.5, "clock": "09:14:30", "level": "3 m"}]}
    assert well_from_json({"format": 1, "test": [test]}).tests[0].levels[0].minute == 4.5
    test["levels"] = [{"minute": 5.5, "clock": "09:14:30", "level": "3 m"}]
    with pytest.raises(InputError, match=r"minute 4\.50 of this test, not 5\.50"):
        well_from_json({"format": 1, "test": [test]})


@pytest.mark.parametrize("time", ['"25:00"', '"9:75"', '"soon"', "true", '"-"', "2026-09-14", "1e9"])
def test_what_is_no_time(time: str) -> None:
    with pytest.raises(InputError, match=r"test\[0\].levels\[0\]"):
        minutes("2026-09-14T09:10:00", time)


def test_correcting_the_start_moves_what_was_typed_in_minutes_only() -> None:
    text = """
format = 1
units = "si"
[well]
zone = "America/New_York"
[[test]]
start = 2026-09-14T09:10:00
levels = [[2, 3], ["09:14:30", 4], {at = 2026-09-14T13:16:00Z, level = 5}]
rates = [[0, 7]]
"""
    well = read_well(text)
    assert [each.minute for each in well.tests[0].levels] == [2.0, 4.5, 6.0]
    moved, say = with_start(well, 0, datetime(2026, 9, 14, 9, 12))
    assert [each.minute for each in moved.tests[0].levels] == [2.0, 2.5, 4.0]
    assert [each.id for each in moved.tests[0].levels] == [each.id for each in well.tests[0].levels]
    assert moved.tests[0].start == datetime(2026, 9, 14, 9, 12)
    assert (
        say
        == "2 readings typed in minutes moved with the start; 2 with a clock time or instant stayed where they were."
    )


def test_a_start_without_a_time_of_day_cannot_place_clocks() -> None:
    well = read_well('format = 1\n[[test]]\nstart = 2026-09-14T09:10:00\nlevels = [["09:14", "3 m"]]\n')
    with pytest.raises(InputError, match="needs the day and time"):
        with_start(well, 0, date(2026, 9, 14))
