"""When a reading was taken: minutes since start, a clock time or an instant, resolved to minutes."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from datetime import time as clock_time
from typing import Any, Literal

from ledgewell.errors import InputError, Problem
from ledgewell.record.edge import Reader
from ledgewell.record.specs import is_number, number_text, parse_moment
from ledgewell.units import parse_quantity, value_in

_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9])(?:\.([0-9]{1,6}))?)?")
_NUMBER = re.compile(r"-?[0-9]{1,15}(?:\.[0-9]{1,40})?")
_RIGHT = 'minutes since start such as 12.5, a clock time such as "09:14:30", or a day and time'
_MOST_MINUTES = 60 * 24 * 366 * 20
_LONGEST_GAP = 20 * 60.0
"""Minutes. A clock time that would have to be further ahead than this is taken as time running backwards."""


@dataclass(frozen=True, slots=True)
class ReadingTime:
    """A time as it was given.

    Parameters
    ----------
    how
        ``"minute"`` since start, ``"clock"`` as read off a watch, or ``"instant"`` as tapped.
    typed
        Text of it.
    instant
        The day and time, for a tapped reading.
    stated
        Minute that stood beside a clock time or instant in JSON, to be checked; never kept.
    """

    how: Literal["minute", "clock", "instant"]
    typed: str
    instant: datetime | None = None
    stated: float | None = field(default=None, compare=False)


def read_time(given: Any, where: str, reader: Reader) -> ReadingTime | None:
    """Read when a reading was taken.

    Parameters
    ----------
    given
        Number of minutes, clock time, day and time, or a duration as text.
    where
        Its place.
    reader
        Takes the problems.

    Returns
    -------
    ReadingTime or None

    Examples
    --------
    >>> read_time("09:14:30", "test[0].levels[3]", Reader()).how
    'clock'
    >>> read_time("90 s", "test[0].levels[3]", Reader()).typed
    '90 s'
    """
    if isinstance(given, clock_time) and given.tzinfo is None:
        return ReadingTime("clock", given.isoformat())
    if isinstance(given, datetime):
        return ReadingTime("instant", given.isoformat(), given)
    if is_number(given):
        return _minute(given, where, reader)
    if isinstance(given, str):
        text = given.strip()
        if _CLOCK.fullmatch(text):
            return ReadingTime("clock", text)
        moment = parse_moment(text)
        if isinstance(moment, datetime):
            return ReadingTime("instant", moment.isoformat(), moment)
        return _duration(text, where, reader)
    reader.problem(where, given, "this is not a time", _RIGHT)
    return None


def _minute(given: Any, where: str, reader: Reader) -> ReadingTime | None:
    written = number_text(given)
    if written is not None and abs(given) <= _MOST_MINUTES:
        written = number_text(float(given))
    if written is None or abs(given) > _MOST_MINUTES:
        reader.problem(where, given, "this is not a usable number of minutes", _RIGHT)
        return None
    return ReadingTime("minute", written.removesuffix(".0"))


def _duration(text: str, where: str, reader: Reader) -> ReadingTime | None:
    try:
        minute = stated_minute(text)
    except InputError:
        minute = _MOST_MINUTES + 1.0
    if abs(minute) > _MOST_MINUTES:
        reader.problem(where, text, "this is not a time", _RIGHT)
        return None
    return ReadingTime("minute", text)


def stated_minute(text: str) -> float:
    """Read minutes since start: a bare number, or a duration with its unit.

    Parameters
    ----------
    text
        Such as ``2.5`` or ``90 s``.

    Returns
    -------
    float
        Minutes since start [min].

    Raises
    ------
    InputError
        When it is not a duration.

    Examples
    --------
    >>> stated_minute("2.5"), stated_minute("90 s")
    (2.5, 1.5)
    """
    if _NUMBER.fullmatch(text):
        return float(text)
    return value_in(parse_quantity(text, "duration", negative=True).si, "min")


@dataclass(frozen=True, slots=True)
class Clockwork:
    """Turns times of one test into minutes since its start.

    Parameters
    ----------
    start
        Start of the test: day and time, day only, or None.
    zone
        Zone of the well, or None when local time is assumed.
    """

    start: date | datetime | None
    zone: tzinfo | None

    def minute(
        self, time: ReadingTime, previous: float, *, before: bool, where: str, reader: Reader
    ) -> float | None:
        """Resolve one time.

        Parameters
        ----------
        time
            The time as given.
        previous
            Minute of the reading above it in its list [min]; zero for the first.
        before
            Whether the list tells of what came before the start.
        where
            Its place.
        reader
            Takes the problems.

        Returns
        -------
        float or None
            Minutes since start [min].

        Examples
        --------
        >>> works = Clockwork(datetime(2026, 9, 14, 22, 0), None)
        >>> works.minute(ReadingTime("clock", "00:20"), 110.0, before=False, where="", reader=Reader())
        140.0
        """
        if time.how == "minute":
            return stated_minute(time.typed)
        if not isinstance(self.start, datetime):
            say = "a clock time needs the day and time the test started"
            reader.problem(where, time.typed, say, "start = 2026-09-14T09:10:00 in this test, or minutes")
            return None
        zone = self.zone or self.start.tzinfo
        start = _universal(self.start, zone)
        if time.instant is None:
            return _clock_minute(start, zone, _parse_clock(time.typed), previous, before=before)
        instant = _universal(time.instant, zone)
        if (instant.tzinfo is None) != (start.tzinfo is None):
            say = "this time has an offset from UTC and the start of the test has none"
            reader.problem(where, time.typed, say, "zone in [well], such as America/New_York")
            return None
        return _minutes_between(start, instant)


def _universal(moment: datetime, zone: tzinfo | None) -> datetime:
    """Bring a day and time to UTC where its zone is known; without one it stays local."""
    if moment.tzinfo is None and zone is not None:
        moment = moment.replace(tzinfo=zone)
    return moment.astimezone(UTC) if moment.tzinfo is not None else moment


def _minutes_between(start: datetime, end: datetime) -> float:
    return (end - start) / timedelta(minutes=1)


def _parse_clock(text: str) -> clock_time:
    match = _CLOCK.fullmatch(text)
    if match is None:
        raise InputError([Problem(where="clock", given=text, say="this is not a clock time", right=_RIGHT)])
    micro = int((match[4] or "0").ljust(6, "0"))
    return clock_time(int(match[1]), int(match[2]), int(match[3] or 0), micro)


def _clock_minute(
    start: datetime, zone: tzinfo | None, clock: clock_time, previous: float, *, before: bool
) -> float:
    """Choose the day of a clock time: the next one after the reading above it, or a little before it."""
    around = start if before else start + timedelta(minutes=previous)
    local_day = (around.astimezone(zone) if zone is not None else around).date()
    minutes = []
    for days in (-1, 0, 1):
        for fold in (0, 1):
            moment = datetime.combine(local_day + timedelta(days=days), clock.replace(fold=fold))
            minutes.append(_minutes_between(start, _universal(moment, zone)))
    if before:
        return max(minute for minute in minutes if minute <= 0)
    following = min(minute for minute in minutes if minute >= previous)
    if following - previous <= _LONGEST_GAP:
        return following
    return max(minute for minute in minutes if minute < previous)
