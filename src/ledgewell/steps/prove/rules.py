"""Published rules of how long, how steadily and to what recovery a yield test must run, and how a test stands to one."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from ledgewell.errors import InputError, Problem
from ledgewell.steps.findings import JsonTable
from ledgewell.steps.prove.layout import Layout
from ledgewell.steps.prove.timeline import Stretch
from ledgewell.units import System, si_from

CADENCE = ((10.0, 2.0), (30.0, 5.0), (float("inf"), 15.0))
"""Readings due: up to a minute since the last change, one at least so often [min]. Source: oregon690217."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One published rule; None where the text does not state a figure.

    Parameters
    ----------
    key, authority, citation, trust, say
        Its key, whose it is, where it stands, how far it was read, and what it says.
    minutes
        Shortest pumping [min].
    yield_m3s
        Least yield [m³/s].
    steady_share, steady_minutes
        How far levels may range, as a share of the water in the well, over the last minutes.
    rate_share, rate_minutes
        How far the rate may range, as a share, over the last minutes.
    recovery_share, recovery_minutes
        Share of the drawdown to be regained, and within (or read for) how long.
    """

    key: str
    authority: str
    citation: str
    trust: str
    say: str
    minutes: float | None
    yield_m3s: float | None
    steady_share: float | None
    steady_minutes: float | None
    rate_share: float | None
    rate_minutes: float | None
    recovery_share: float | None
    recovery_minutes: float | None


@dataclass(frozen=True, slots=True)
class RuleItem:
    """One thing a rule asks: met, not met, or not to be told (None), with its arithmetic in words."""

    asks: str
    met: bool | None
    say: str


@dataclass(frozen=True, slots=True)
class RuleCheck:
    """How a test stands to a rule."""

    rule: Rule
    items: tuple[RuleItem, ...]

    @property
    def met(self) -> bool:
        """True when everything the rule asks of the test is met; what cannot be told is not met."""
        return all(item.met is True for item in self.items)

    @property
    def missing(self) -> tuple[RuleItem, ...]:
        """What is not met or cannot be told."""
        return tuple(item for item in self.items if item.met is not True)

    def to_json(self, _system: System) -> JsonTable:
        """Write the rule and how the test stands to each thing it asks."""
        return {
            "key": self.rule.key,
            "authority": self.rule.authority,
            "citation": self.rule.citation,
            "trust": self.rule.trust,
            "say": self.rule.say,
            "met": self.met,
            "items": [{"asks": item.asks, "met": item.met, "say": item.say} for item in self.items],
        }


@cache
def rules() -> dict[str, Rule]:
    """Return all rules by key.

    Examples
    --------
    >>> rules()["md-26-04-04"].minutes
    360.0
    """
    text = files("ledgewell.data").joinpath("test_rules.toml").read_text(encoding="utf-8")
    found = {}
    for key, row in tomllib.loads(text).items():
        steady, rate, recovery = row.get("steady", {}), row.get("rate_change", {}), row.get("recovery", {})
        band = steady.get("band_ft_per_100ft")
        found[key] = Rule(
            key=key,
            authority=row["authority"],
            citation=row["citation"],
            trust=row["trust"],
            say=row["say"],
            minutes=_number(row.get("minutes")),
            yield_m3s=si_from(row["yield_gpm"], "gpm") if "yield_gpm" in row else None,
            steady_share=None if band is None else 2 * band / 100,
            steady_minutes=_number(steady.get("minutes")),
            rate_share=_number(rate.get("share")),
            rate_minutes=_number(rate.get("minutes")),
            recovery_share=_number(recovery.get("share")),
            recovery_minutes=_number(recovery.get("minutes")),
        )
    return found


def _number(value: float | None) -> float | None:
    return None if value is None else float(value)


def rule_by_key(key: str, where: str = "test.rule") -> Rule:
    """Return a rule by its key.

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
    near = get_close_matches(key, known, n=1) or sorted(known)
    right = f"{near[0]!r} is the nearest; all are {', '.join(sorted(known))}"
    raise InputError([Problem(where=where, given=repr(key), say="no rule has this key", right=right)])


def rule_check(rule: Rule, layout: Layout) -> RuleCheck:
    """Hold a test against a rule: each thing it asks met, not met, or not to be told.

    Parameters
    ----------
    rule
        The rule.
    layout
        The test.
    """
    asked = (_length(rule, layout), _steady(rule, layout), _rate(rule, layout), _recovery(rule, layout))
    return RuleCheck(rule, tuple(item for item in asked if item is not None))


def _pumped(layout: Layout) -> list[Stretch]:
    return [s for s in layout.timeline.stretches if s.pumping and s.end_min > 0]


def _length(rule: Rule, layout: Layout) -> RuleItem | None:
    if rule.minutes is None:
        return None
    pumped = sum(stretch.end_min - max(stretch.start_min, 0.0) for stretch in _pumped(layout))
    say = f"pumped {pumped:.0f} min of at least {rule.minutes:.0f}"
    return RuleItem("length", pumped >= rule.minutes, say)


def _steady(rule: Rule, layout: Layout) -> RuleItem | None:
    if rule.steady_share is None or rule.steady_minutes is None:
        return None
    pumped, bottom = _pumped(layout), layout.hole.bottom_m
    if not pumped or bottom is None:
        return RuleItem("stability", None, "no pumping, or no bottom of the hole, is recorded")
    end = pumped[-1].end_min
    start = end - rule.steady_minutes
    late = [v.depth_m for v in layout.levels if start - 1e-9 <= v.minute <= end + 1e-9 and not v.deeper]
    if start < 0 or len(late) < 2:
        say = f"levels over the last {rule.steady_minutes:.0f} min of pumping are not there to judge by"
        return RuleItem("stability", None, say)
    allowed = rule.steady_share * (bottom - layout.static_m)
    ranged = max(late) - min(late)
    say = f"levels ranged {ranged / 0.3048:.1f} ft over the last {rule.steady_minutes:.0f} min; {allowed / 0.3048:.1f} ft allowed"
    return RuleItem("stability", ranged <= allowed, say)


def _rate(rule: Rule, layout: Layout) -> RuleItem | None:
    if rule.rate_share is None or rule.rate_minutes is None:
        return None
    pumped = _pumped(layout)
    end = pumped[-1].end_min if pumped else 0.0
    late = [s for s in pumped if s.end_min > end - rule.rate_minutes]
    rates = [s.rate_m3s for s in late if s.rate_m3s is not None]
    if end < rule.rate_minutes or not rates or len(rates) < len(late):
        say = f"rates over the last {rule.rate_minutes:.0f} min are not there to judge by"
        return RuleItem("steady rate", None, say)
    change = (max(rates) - min(rates)) / max(rates)
    say = f"the rate changed by {change:.0%} in the last {rule.rate_minutes:.0f} min; {rule.rate_share:.0%} allowed"
    return RuleItem("steady rate", change <= rule.rate_share, say)


def _recovery(rule: Rule, layout: Layout) -> RuleItem | None:
    if rule.recovery_share is None:
        return None
    stop = layout.timeline.last_pump_off_min
    levels = [] if stop is None else [v for v in layout.levels if v.minute > stop and not v.deeper]
    drawn = layout.deepest_m - layout.static_m
    if stop is None or not levels or drawn <= 0 or not layout.static_known:
        return RuleItem("recovery", None, "no recovery, or no static level, is recorded")
    within = float("inf") if rule.recovery_minutes is None else rule.recovery_minutes
    timely = [v for v in levels if v.minute - stop <= within + 1e-9] or levels[:1]
    regained = 1 - (min(v.depth_m for v in timely) - layout.static_m) / drawn
    after = timely[-1].minute - stop
    say = f"{regained:.0%} of the drawdown is regained {after:.0f} min after the stop; {rule.recovery_share:.0%} asked"
    return RuleItem("recovery", regained >= rule.recovery_share - 0.005, say)


def due_every(minutes_since_change: float) -> float:
    """Return how often a reading is due [min], so long after the pump was last changed.

    Examples
    --------
    >>> due_every(5.0), due_every(20.0), due_every(90.0)
    (2.0, 5.0, 15.0)
    """
    return next(every for until, every in CADENCE if minutes_since_change < until)


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
