"""What stands where a file should: each gets a record, or words that say what is wrong and what would be right."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from ledgewell.cli.opening import MAX_BYTES, open_well
from ledgewell.errors import InputError, Problem


def problem_of(given: str) -> Problem:
    with pytest.raises(InputError) as caught:
        open_well(given)
    [problem] = caught.value.problems
    return problem


def test_a_well_file(well: str) -> None:
    opened = open_well(well)
    assert (opened.name, opened.warned) == ("Upper field", ())


def test_a_well_without_a_name_takes_its_files(tmp_path: Path) -> None:
    path = tmp_path / "smith.toml"
    path.write_text("format = 1")
    assert open_well(str(path)).name == "smith"


def test_standard_input(give_input: Callable[[bytes], None]) -> None:
    give_input(b"format = 1\n")
    assert open_well("-").name == "well"


def test_the_book_is_not_there_yet() -> None:
    problem = problem_of("book:Upper field")
    assert (problem.where, problem.given, problem.say) == (
        "FILE",
        "'book:Upper field'",
        "there is no book yet",
    )


def test_no_such_file(tmp_path: Path) -> None:
    assert problem_of(str(tmp_path / "gone.toml")).say == "there is no such file"


def test_a_file_taken_for_a_folder(well: str) -> None:
    assert problem_of(f"{well}/inside.toml").say == "it cannot be opened: not a directory"


def test_a_folder(tmp_path: Path) -> None:
    problem = problem_of(str(tmp_path))
    assert (problem.say, problem.right) == ("this is a folder", "the path of a well file in it")


def test_a_name_no_file_can_have() -> None:
    assert problem_of("a\0b").say.startswith("it cannot be opened")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read every file")
def test_a_file_that_may_not_be_read(well: str) -> None:
    Path(well).chmod(0)
    assert problem_of(well).say == "it cannot be opened: permission denied"


@pytest.mark.parametrize("data", [b"", b"  \n\t\n"])
def test_an_empty_file(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "empty.toml"
    path.write_bytes(data)
    assert problem_of(str(path)).say == "there is nothing in it"


def test_a_file_of_200_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    problem = problem_of(str(path))
    assert problem.say == "it has 200000000 bytes, which is too much for a well file"
    assert f"at most {MAX_BYTES} bytes" in problem.right


def test_standard_input_without_end_is_refused(give_input: Callable[[bytes], None]) -> None:
    give_input(b"#" * (MAX_BYTES + 1))
    assert problem_of("-").say == f"it has more than {MAX_BYTES} bytes, which is too much for a well file"


@pytest.mark.parametrize(
    "data", [b"\x89PNG\r\n\x1a\n\x00\x00", b"PK\x03\x04\x14\x00", b"\x81\x8d\x8f", b"\xff\xfea"]
)
def test_what_is_not_text(tmp_path: Path, data: bytes) -> None:
    """A picture, a spreadsheet, bytes that Windows-1252 leaves open, half a UTF-16 letter."""
    path = tmp_path / "picture.toml"
    path.write_bytes(data)
    assert problem_of(str(path)).say == "this is not text"


@pytest.mark.parametrize(
    ("encoding", "mark", "called"),
    [
        ("cp1252", b"", "Windows-1252"),
        ("utf-16-le", b"\xff\xfe", "UTF-16"),
        ("utf-16-be", b"\xfe\xff", "UTF-16"),
    ],
)
def test_other_encodings_are_read_and_said(tmp_path: Path, encoding: str, mark: bytes, called: str) -> None:
    path = tmp_path / "old.toml"
    path.write_bytes(mark + 'format = 1\n[well]\nname = "Érablière à 8 °C"\n'.encode(encoding))
    opened = open_well(str(path))
    assert opened.well.well.name == "Érablière à 8 °C"
    [warned] = opened.warned
    assert warned.where == "file"
    assert f"was read as {called}" in warned.text("us")


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "notepad.toml"
    path.write_bytes("\ufeffformat = 1\n".encode())
    assert open_well(str(path)).warned == ()
