"""The bar: only after a second, only on a terminal, gone at the end."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest

from ledgewell.cli.progress import Progress, wanted


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def ticking(*seconds: float) -> Iterator[float]:
    yield from seconds


def bar_of(stream: io.StringIO, *seconds: float, files: int = 1) -> Progress:
    clock = ticking(*seconds)
    return Progress(stream, files=files, clock=lambda: next(clock))


@pytest.mark.parametrize(("said", "on_terminal", "shown"), [
    (None, True, True), (None, False, False), ("always", False, True), ("never", True, False), ("maybe", True, True),
])  # fmt: skip
def test_where_a_bar_is_wanted(
    monkeypatch: pytest.MonkeyPatch, said: str | None, on_terminal: bool, shown: bool
) -> None:
    monkeypatch.delenv("LEDGEWELL_PROGRESS", raising=False)
    if said is not None:
        monkeypatch.setenv("LEDGEWELL_PROGRESS", said)
    assert wanted(Terminal() if on_terminal else io.StringIO()) is shown


def test_what_takes_under_a_second_shows_nothing() -> None:
    stream = Terminal()
    with bar_of(stream, 0.0, 0.4, 0.99) as bar:
        bar(0.3, "sampling")
        bar(0.9, "sampling")
    assert stream.getvalue() == ""


def test_the_bar_grows_over_all_files_and_is_wiped() -> None:
    stream = Terminal()
    with bar_of(stream, 0.0, 2.0, 3.0, files=2) as bar:
        bar(0.5, "sampling")
        bar.next_file()
        bar(0.5, "sampling")
    first, second, wiped, home = stream.getvalue().split("\r")[1:]
    assert first.startswith("[######..................]  25 %  sampling")
    assert second.startswith("[##################......]  75 %  sampling")
    assert wiped.strip() == ""
    assert len(wiped) == len(second)
    assert home == ""


def test_it_is_not_drawn_more_than_ten_times_a_second() -> None:
    stream = Terminal()
    bar = bar_of(stream, 0.0, 1.5, 1.55, 1.65)
    for fraction in (0.1, 0.2, 0.3):
        bar(fraction, "sampling")
    assert stream.getvalue().count("\r") == 2


def test_a_shorter_line_covers_a_longer_one() -> None:
    stream = Terminal()
    bar = bar_of(stream, 0.0, 2.0, 3.0)
    bar(0.1, "a long description")
    bar(0.2, "short")
    first, second = stream.getvalue().split("\r")[1:]
    assert len(second) == len(first)
