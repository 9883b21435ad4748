"""Hostile input gives a clear error, soon, and never a crash."""

from __future__ import annotations

import time

import pytest

from ledgewell.errors import InputError
from ledgewell.record import read_well, well_from_json

HOSTILE = {
    "ten megabytes": "format = 1\n" + "# filler\n" * 1_150_000,
    "ten megabytes on one line": 'format = 1\nx = "' + "a" * 10_000_000 + '"',
    "deep arrays": "format = 1\nx_a = " + "[" * 100_000,
    "deep closed arrays": "format = 1\nx_a = " + "[" * 5000 + "]" * 5000,
    "deep tables": "format = 1\nx_a = " + "{a=" * 100_000,
    "deep dotted key": "format = 1\n" + "a." * 50_000 + "a = 1",
    "deep dotted header": "format = 1\n[" + "a." * 50_000 + "a]",
    "spaced dotted key": "format = 1\n" + "a . " * 50_000 + "a = 1",
    "huge whole number": "format = 1\nx_a = " + "9" * 100_000,
    "huge hexadecimal": "format = 1\nx_a = 0x" + "f" * 100_000,
    "huge exponent": 'format = 1\nunits = "us"\n[[bore]]\nbottom = 1e999999999999999999999',
    "large exponent": 'format = 1\nunits = "us"\n[[bore]]\nbottom = 1e400',
    "small exponent": 'format = 1\nunits = "us"\n[[bore]]\nbottom = 1e-999999999',
    "minutes exponent": "format = 1\n[[fracture]]\nminutes = 1e999999999",
    "not a number": 'format = 1\nunits = "us"\n[[bore]]\nbottom = nan',
    "infinity": 'format = 1\nunits = "us"\n[[bore]]\nbottom = -inf',
    "binary": "format = 1\n\x00\x01\x02",
    "escape": 'format = 1\n[well]\nname = "\\u001b[31m"',
    "long name": 'format = 1\n[well]\nname = "' + "a" * 100_000 + '"',
    "long key": "format = 1\n" + "k" * 100_000 + " = 1",
    "zone path": 'format = 1\n[well]\nzone = "../../etc/passwd"',
    "zone absolute": 'format = 1\n[well]\nzone = "/etc/passwd"',
    "zone folder": 'format = 1\n[well]\nzone = "America"',
    "zone null": 'format = 1\n[well]\nzone = "a\\u0000b"',
    "last year": 'format = 1\n[[test]]\nstart = 9999-12-31T23:59:59\nlevels = [["09:14", "3 ft"]]',
    "first year": 'format = 1\n[[test]]\nstart = 0001-01-01T00:00:00+14:00\nlevels = [["09:14", "3 ft"]]',
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files_are_refused_soon(name: str) -> None:
    begin = time.perf_counter()
    with pytest.raises(InputError) as caught:
        read_well(HOSTILE[name])
    assert time.perf_counter() - begin < 2.0
    assert len(str(caught.value)) < 5000
    assert all(problem.say and problem.right for problem in caught.value.problems)


def test_a_million_wrong_readings_are_not_a_million_lines() -> None:
    wrong = [[i, "wet"] for i in range(100_000)]
    with pytest.raises(InputError) as caught:
        well_from_json({"format": 1, "test": [{"levels": wrong}]})
    assert len(caught.value.problems) <= 500


@pytest.mark.parametrize(
    "junk", [None, 1, "text", [], [{}], True, {1: 2}, {"format": 1, 5: 6}, {"format": 1, None: 6}]
)
def test_json_of_the_wrong_shape(junk: object) -> None:
    with pytest.raises(InputError):
        well_from_json(junk)


def test_json_with_half_a_character() -> None:
    with pytest.raises(InputError, match="half a character"):
        well_from_json({"format": 1, "well": {"name": "\ud800"}})


def test_json_nested_beyond_reason() -> None:
    deep: list[object] = []
    for _ in range(5000):
        deep = [deep]
    with pytest.raises(InputError, match="nested too deeply"):
        well_from_json({"format": 1, "x_deep": deep})


def test_twenty_thousand_readings_read_in_a_second_or_so() -> None:
    rows = ", ".join(f"[{i / 10}, {40 + i / 100:.2f}]" for i in range(20_000))
    text = f'format = 1\nunits = "us"\n[[test]]\nlevels = [{rows}]\n'
    begin = time.perf_counter()
    well = read_well(text)
    assert len(well.tests[0].levels) == 20_000
    assert time.perf_counter() - begin < 5.0  # measured 0.8 s; the margin is for a busy machine


def test_twenty_thousand_twins_get_their_ids_as_soon() -> None:
    begin = time.perf_counter()
    well = well_from_json({"format": 1, "test": [{"levels": [[1, "3 ft"]] * 20_000}]})
    assert len({reading.id for reading in well.tests[0].levels}) == 20_000
    assert time.perf_counter() - begin < 5.0  # measured 0.7 s; numbering them one against all took minutes
