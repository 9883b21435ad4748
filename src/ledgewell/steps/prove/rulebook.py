"""Published rules of how long, how steadily and to what recovery a yield test must run, and when readings are due.

They stand in ``data/test_rules.toml``; `ledgewell.steps.prove.rules` holds a test against one.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from ledgewell.errors import InputError, Problem
from ledgewell.units import si_from

_Table = dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One published rule; None where the text does not state a figure.

    Parameters
    ----------
    key, authority, citation, trust, say
        Its key, whose it is, where it stands, how far it was read, and what it says.
    minutes
        Shortest pumping without a break [min].
    constant_rate
        True when the text asks for one rate throughout.
    yield_m3s
        Least yield [m³/s].
    steady_share, steady_minutes
        How far levels may range, as a share of the water in the well, over the last minutes.
    rate_share, rate_minutes
        How far the rate may range, as a share, over the last minutes.
    recovery_share, recovery_minutes
        Share of the drawdown to be regained, and within how long [min]; None for no limit of time.
    recovery_or_minutes
        How long recovery must be read where the share is not regained before [min]; None when the text asks the share.
    """

    key: str
    authority: str
    citation: str
    trust: str
    say: str
    minutes: float | None
    constant_rate: bool
    yield_m3s: float | None
    steady_share: float | None
    steady_minutes: float | None
    rate_share: float | None
    rate_minutes: float | None
    recovery_share: float | None
    recovery_minutes: float | None
    recovery_or_minutes: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """When to read: before pumping, and ever less often after each change of the pump.

    Parameters
    ----------
    authority, citation, trust
        Whose it is, where it stands, how far it was read.
    idle_hours
        How long the well rests before the test [h].
    static_readings, static_apart_minutes
        Readings of the level at rest, and how far apart at least [min].
    every
        Pairs: up to so many minutes after a change, a reading at least every so many minutes.
    """

    authority: str
    citation: str
    trust: str
    idle_hours: float
    static_readings: int
    static_apart_minutes: float
    every: tuple[tuple[float, float], ...]


@cache
def _document() -> dict[str, dict[str, object]]:
    return tomllib.loads(files("ledgewell.data").joinpath("test_rules.toml").read_text(encoding="utf-8"))


@cache
def rules() -> dict[str, Rule]:
    """Return all rules by key.

    Examples
    --------
    >>> rules()["md-26-04-04"].minutes
    360.0
    """
    return {key: _rule(key, row) for key, row in _document()["rule"].items() if isinstance(row, dict)}


def _rule(key: str, row: dict[str, object]) -> Rule:
    steady, rate, recovery = (_table(row, name) for name in ("steady", "rate_change", "recovery"))
    band, least = steady.get("band_ft_per_100ft"), _number(row, "yield_gpm")
    return Rule(
        key=key,
        authority=str(row["authority"]),
        citation=str(row["citation"]),
        trust=str(row["trust"]),
        say=str(row["say"]),
        minutes=_number(row, "minutes"),
        constant_rate=row.get("constant_rate") is True,
        yield_m3s=None if least is None else si_from(least, "gpm"),
        steady_share=None if band is None else 2 * band / 100,
        steady_minutes=steady.get("minutes"),
        rate_share=rate.get("share"),
        rate_minutes=rate.get("minutes"),
        recovery_share=recovery.get("share"),
        recovery_minutes=recovery.get("minutes"),
        recovery_or_minutes=recovery.get("or_minutes"),
    )


def _table(row: dict[str, object], name: str) -> _Table:
    found = row.get(name, {})
    return {key: float(value) for key, value in found.items()} if isinstance(found, dict) else {}


def _number(row: dict[str, object], name: str) -> float | None:
    value = row.get(name)
    return float(value) if isinstance(value, int | float) else None


def rule_by_key(key: str, where: str = "test.rule") -> Rule:
    """Return a rule by its key.

    Parameters
    ----------
    key
        The key, as written in `test.rule`.
    where
        Place in the record, for the error.

    Raises
    ------
    InputError
        When no rule has the key; names the nearest.

    Examples
    --------
    >>> rule_by_key("ny-5b").authority
    'New York State Department of Health'
    """
    known = rules()
    if key in known:
        return known[key]
    near = get_close_matches(key.lower(), known, n=1)
    right = f"{near[0]!r} is the nearest; all are " if near else "one of "
    right += ", ".join(sorted(known))
    raise InputError([Problem(where=where, given=repr(key), say="no rule has this key", right=right)])


@cache
def reading_schedule() -> Schedule:
    """Return the schedule of readings.

    Notes
    -----
    Source: oregon690217.

    Examples
    --------
    >>> reading_schedule().every
    ((10.0, 2.0), (30.0, 5.0), (inf, 15.0))
    """
    row = _document()["schedule"]
    every = row["every"]
    assert isinstance(every, list)
    return Schedule(
        authority=str(row["authority"]),
        citation=str(row["citation"]),
        trust=str(row["trust"]),
        idle_hours=float(str(row["idle_hours"])),
        static_readings=int(str(row["static_readings"])),
        static_apart_minutes=float(str(row["static_apart_minutes"])),
        every=tuple((float(until), float(gap)) for until, gap in every),
    )


def due_every(minutes_since_change: float) -> float:
    """Return how often a reading is due [min], so long after the pump was last changed.

    Parameters
    ----------
    minutes_since_change
        Minutes since the pump was started, changed or stopped.

    Examples
    --------
    >>> due_every(5.0), due_every(20.0), due_every(90.0)
    (2.0, 5.0, 15.0)
    """
    return next(gap for until, gap in reading_schedule().every if minutes_since_change < until)


def readings_due(start_min: float, end_min: float, change_min: float) -> tuple[float, ...]:
    """Return the minutes at which readings are due after one minute and up to another.

    Parameters
    ----------
    start_min, end_min
        After which minute, and up to which.
    change_min
        Minute of the last change of the pump.

    Examples
    --------
    >>> readings_due(0.0, 20.0, 0.0)
    (2.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0)
    """
    due = []
    now = start_min
    while (now := now + due_every(now - change_min)) <= end_min + 1e-9:
        due.append(now)
    return tuple(due)
