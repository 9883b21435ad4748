"""Doubts about the timed readings of one test: time backwards, levels that cannot be, a jump of 3.28."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from ledgewell.record.datum import Datum
from ledgewell.record.doubt import Doubt
from ledgewell.record.hole import HoleOnDay
from ledgewell.record.readings import RateReading, Reading
from ledgewell.record.trials import READING_LISTS, Test
from ledgewell.units import Quantity

FEET_PER_METER = 1 / 0.3048
_JUMP_TOLERANCE = 0.08
"""How near to 3.28 a jump must come to look like feet for meters; a judgment, no source."""
_STEADY = 1.5
"""Neighbors whose depths differ by less than this factor agree; a judgment, no source."""
_RISE_SHARE = 0.02
"""A rise while pumping of less than this share of the drawdown is not told from surging; a judgment, no source."""
_FT = 0.3048
_OFF_M = {
    "steel tape": 0.1 * _FT,
    "electric tape": 0.2 * _FT,
    "transducer": 0.25 * _FT,
    "acoustic": 0.75 * _FT,
    "air line": 3.0 * _FT,
    "estimate": 8.0 * _FT,
}
"""How far a level may be off, by method, before it is asked about [m]: some five times the usual error of hand work
on a running test, so that honest noise is not doubted; common practice, no source."""
_OFF_UNSTATED_M = 0.75 * _FT


@dataclass(frozen=True, slots=True)
class PlacedLevel:
    """One level reading placed.

    Parameters
    ----------
    where
        Place in the record.
    minute
        Minutes since start [min].
    depth_m
        Depth below the measuring point [m].
    off_m
        How far it may be off before it is asked about [m].
    bound
        Whether the level was only known to be below that depth.
    """

    where: str
    minute: float
    depth_m: float
    off_m: float
    bound: bool


def off_m(depth: Quantity, method: str | None) -> float:
    """Say how far a level may be off before it is asked about.

    Parameters
    ----------
    depth
        The level, with its resolution.
    method
        How it was measured, or None.

    Returns
    -------
    float
        Distance [m]; never less than twice the resolution.

    Examples
    --------
    >>> from ledgewell.units import parse_quantity
    >>> round(off_m(parse_quantity("46.25 ft", "depth"), "electric tape"), 3)
    0.061
    """
    usual = _OFF_M.get(method, _OFF_UNSTATED_M) if method is not None else _OFF_UNSTATED_M
    return max(usual, 2 * depth.resolution_si)


def placed_levels(test: Test, where: str, datum: Datum) -> list[PlacedLevel]:
    """Place the level readings of a test; those at the pump have no depth and are left out.

    Parameters
    ----------
    test
        The test.
    where
        Its place in the record.
    datum
        Measuring point of the day.

    Returns
    -------
    list of PlacedLevel
        In the order typed.

    Examples
    --------
    >>> from ledgewell.record.well import Well
    >>> placed_levels(Test(), "test[0]", Datum(Well(), None))
    []
    """
    placed = []
    for i, reading in enumerate(test.levels):
        depth_m = datum.depth_m(reading.level, test.depths_from, test.start)
        if depth_m is not None and reading.level is not None:
            place = f"{where}.levels[{i}]"
            off = off_m(reading.level, reading.method or test.method)
            placed.append(PlacedLevel(place, reading.minute, depth_m, off, bound=reading.state is not None))
    return placed


def rate_m3s(rates: Sequence[RateReading], minute: float) -> float | None:
    """Find what the pump was set to at a minute.

    Parameters
    ----------
    rates
        Settings of the test.
    minute
        Minutes since start [min].

    Returns
    -------
    float or None
        Rate [m³/s]; zero before the first setting; None when nobody knows.

    Examples
    --------
    >>> rate_m3s([], 10.0)
    0.0
    """
    current: RateReading | None = None
    for reading in sorted(rates, key=lambda each: each.minute):
        if reading.minute <= minute:
            current = reading
    if current is None:
        return 0.0
    return current.rate.si if current.rate is not None else None


def timed_doubts(test: Test, where: str, hole: HoleOnDay, datum: Datum) -> Iterator[Doubt]:
    """Find what is hard to believe in the timed readings of one test.

    Parameters
    ----------
    test
        The test.
    where
        Its place in the record.
    hole
        The hole as it stood at its start.
    datum
        Measuring point of that day.

    Yields
    ------
    Doubt

    Examples
    --------
    >>> from ledgewell.record.hole import hole_on
    >>> from ledgewell.record.well import Well
    >>> list(timed_doubts(Test(), "test[0]", hole_on(Well()), Datum(Well(), None)))
    []
    """
    for name in READING_LISTS:
        yield from _backwards(getattr(test, name), f"{where}.{name}")
    levels = placed_levels(test, where, datum)
    static_m = datum.depth_m(test.static_level, test.depths_from, test.start)
    yield from _outside_the_hole(levels, hole)
    yield from _flowing(where, levels, static_m)
    exact = [level for level in levels if not level.bound]
    jumped = list(_unit_jumps(exact, static_m))
    yield from jumped
    named = {doubt.where for doubt in jumped}
    kept = sorted((level for level in exact if level.where not in named), key=lambda each: each.minute)
    yield from _rising(test, kept, static_m)
    yield from _twice(kept)


def _backwards(readings: Sequence[Reading], where: str) -> Iterator[Doubt]:
    latest = float("-inf")
    for i, reading in enumerate(readings):
        if reading.minute < latest:
            yield Doubt(
                where=f"{where}[{i}]",
                say=f"minute {reading.minute:g} stands after minute {latest:g}: time runs backwards",
                ask="Is the time right?",
                down_weight=True,
            )
        latest = max(latest, reading.minute)


def _outside_the_hole(levels: Iterable[PlacedLevel], hole: HoleOnDay) -> Iterator[Doubt]:
    for level in levels:
        slack_m = level.off_m
        if hole.bottom_m is not None and level.depth_m > hole.bottom_m + slack_m:
            yield Doubt(
                where=level.where,
                say="this level is below the bottom of the hole",
                ask="Is the level right, or is the hole deeper than written?",
                down_weight=True,
            )
        elif (
            hole.pump_setting_m is not None
            and level.depth_m > hole.pump_setting_m + slack_m
            and not level.bound
        ):
            yield Doubt(
                where=level.where,
                say="this level is below the pump",
                ask="Is the level right, or did the pump hang deeper?",
                down_weight=True,
            )


def _flowing(where: str, levels: Sequence[PlacedLevel], static_m: float | None) -> Iterator[Doubt]:
    known = static_m is not None and static_m < 0
    if known:
        say = "the static level is above the measuring point"
        yield Doubt(where=f"{where}.static_level", say=say, ask="Is the well flowing?")
    for level in levels:
        if level.depth_m < 0 and not known:
            say = "this level is above the measuring point"
            yield Doubt(where=level.where, say=say, ask="Is it flowing?", down_weight=True)


def _unit_jumps(levels: Sequence[PlacedLevel], static_m: float | None) -> Iterator[Doubt]:
    """Find readings 3.28 times, or a 3.28th of, what their neighbors in time say."""
    ordered = sorted(levels, key=lambda each: each.minute)
    depths = [level.depth_m for level in ordered]
    for i, level in enumerate(ordered):
        around = [depths[j] for j in (i - 2, i - 1, i + 1, i + 2) if 0 <= j < len(ordered)]
        if len(around) < 2 and static_m is not None:
            around.append(static_m)
        if len(around) < 2 or min(around) <= 0 or max(around) > _STEADY * min(around):
            continue
        middle = sorted(around)[len(around) // 2]
        for factor, asked in ((FEET_PER_METER, "meters"), (1 / FEET_PER_METER, "feet")):
            if abs(level.depth_m / (factor * middle) - 1) < _JUMP_TOLERANCE:
                yield Doubt(
                    where=level.where,
                    say="this level is 3.28 times off its neighbors",
                    ask=f"Were the readings around it {asked}, or this one?",
                    down_weight=True,
                )


def _disturbed(test: Test, begin: float, end: float) -> bool:
    """Tell whether the pump was changed, or water was bailed or poured in, between two readings."""
    changes = (*test.rates, *test.bailed, *test.poured_in, *test.events)
    return any(begin <= each.minute <= end and each.minute > 0 for each in changes)


def _rising(test: Test, levels: Sequence[PlacedLevel], static_m: float | None) -> Iterator[Doubt]:
    for before, after in pairwise(levels):
        rate = rate_m3s(test.rates, before.minute)
        if not rate or before.minute < 0 or _disturbed(test, before.minute, after.minute):
            continue
        drawdown_m = max(before.depth_m - static_m, 0.0) if static_m is not None else 0.0
        slack_m = max(hypot(before.off_m, after.off_m), _RISE_SHARE * drawdown_m)
        if after.depth_m < before.depth_m - slack_m:
            yield Doubt(
                where=after.where,
                say="the level rose while the pump was running at an unchanged rate",
                ask="Is the level right, or was the pump throttled or stopped?",
                down_weight=True,
            )


def _twice(levels: Sequence[PlacedLevel]) -> Iterator[Doubt]:
    for before, after in pairwise(levels):
        apart_m = abs(after.depth_m - before.depth_m)
        if after.minute == before.minute and apart_m > hypot(before.off_m, after.off_m):
            yield Doubt(
                where=after.where,
                say=f"another level stands at the same minute, {before.where}",
                ask="Which of the two is right?",
                down_weight=True,
            )
