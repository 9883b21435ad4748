"""Correcting the start of a test: what was typed in minutes moves with it, what was read off a clock does not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from ledgewell.record.edge import Reader
from ledgewell.record.trials import READING_LISTS
from ledgewell.record.well import Well, place_test


def with_start(well: Well, index: int, start: date | datetime | None) -> tuple[Well, str]:
    """Correct when a test started.

    Parameters
    ----------
    well
        The record.
    index
        Which test.
    start
        The start it should have had.

    Returns
    -------
    tuple
        The record corrected, and one sentence that says what moved.

    Raises
    ------
    InputError
        When a clock time or instant cannot be placed from the new start.

    Examples
    --------
    >>> from ledgewell.record.faces import read_well
    >>> well = read_well('format = 1\\n[[test]]\\nlevels = [[2, "3 m"]]')
    >>> with_start(well, 0, date(2026, 9, 14))[1]
    '1 reading typed in minutes moved with the start; 0 with a clock time or instant stayed where they were.'
    """
    reader = Reader()
    zone = ZoneInfo(well.well.zone) if well.well.zone else None
    moved = place_test(replace(well.tests[index], start=start), zone, f"test[{index}]", reader)
    reader.check()
    readings: list[Any] = [each for name in READING_LISTS for each in getattr(moved, name)]
    typed = sum(each.time.how == "minute" for each in readings)
    plural = "reading" if typed == 1 else "readings"
    say = (
        f"{typed} {plural} typed in minutes moved with the start; {len(readings) - typed} with a clock time "
        "or instant stayed where they were."
    )
    tests = (*well.tests[:index], moved, *well.tests[index + 1 :])
    return replace(well, tests=tests), say
