"""Lines on a terminal: broken between words there, whole in a pipe, and never more than text."""

from __future__ import annotations

import io

import pytest

from ledgewell.cli.printing import NARROWEST, broken_at, line_width, plain_text, print_lines

PROSE = "  level: no depth to water at rest is recorded, so what stands in the hole is not known"
ROW = "  40 ft  400 ft  6 1/4 in  1.59 gal/ft  bore"


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def no_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave the width to the stream."""
    monkeypatch.delenv("COLUMNS", raising=False)


def printed(stream: io.StringIO, *lines: str) -> list[str]:
    print_lines(lines, stream)
    return stream.getvalue().split("\n")[:-1]


def test_a_pipe_gets_whole_lines() -> None:
    assert line_width(io.StringIO()) is None
    assert printed(io.StringIO(), PROSE, ROW) == [PROSE, ROW]


def test_a_terminal_gets_lines_no_longer_than_it_is_wide(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "44")
    lines = printed(Terminal(), PROSE)
    assert len(lines) == 3
    assert max(map(len, lines)) <= 44
    assert " ".join(line.strip() for line in lines) == PROSE.strip()
    assert [len(line) - len(line.lstrip()) for line in lines] == [2, 4, 4]


def test_lines_joined_by_a_newline_are_broken_each_for_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    assert printed(io.StringIO(), f"It is dry.\n\n{ROW}") == ["It is dry.", "", ROW]


def test_a_row_of_a_table_stays_whole() -> None:
    assert broken_at(ROW, 20) == ROW


def test_a_word_longer_than_the_line_stays_whole() -> None:
    path = "/a/very-long/path-of-a-chart/" * 3
    assert broken_at(f"Drawn: {path}", 40) == f"Drawn:\n{path}"


def test_no_terminal_is_too_narrow(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "5")
    assert line_width(io.StringIO()) == NARROWEST


@pytest.mark.parametrize("bad", ["\x1b[2J", "\x07", "\x9b2J", "a\rb", "\x00"])
def test_what_would_steer_a_terminal_is_replaced(bad: str) -> None:
    shown = plain_text(f"Upper {bad} field")
    assert shown.startswith("Upper ")
    assert shown.endswith(" field")
    assert not any(ord(letter) < 0x20 or 0x7F <= ord(letter) < 0xA0 for letter in shown)
