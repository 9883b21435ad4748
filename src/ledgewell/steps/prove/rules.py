"""How a test stands to a published rule: each thing it asks met, not met, or not to be told, with its arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ledgewell.physics.problem import FLOW_READ
from ledgewell.steps.findings import Amount, Finding, JsonTable, Phrase, phrase
from ledgewell.steps.prove.layout import Layout
from ledgewell.steps.prove.levels import PlacedLevel
from ledgewell.steps.prove.rulebook import Rule, due_every, readings_due, rule_by_key, rules
from ledgewell.steps.prove.timeline import STEADY_FLOW, Stretch
from ledgewell.units import System

__all__ = ["Rule", "RuleCheck", "RuleItem", "due_every", "readings_due", "rule_by_key", "rule_check", "rules"]

TOLD_ERRORS = 2.0
"""A level this many standard errors of its reading short of what is asked cannot be told from it. Source: common
practice, no source."""
_EVEN = 1e-6
"""Minutes this close are one minute."""


@dataclass(frozen=True, slots=True)
class RuleItem:
    """One thing a rule asks.

    Parameters
    ----------
    asks
        What it asks: ``"length"``, ``"stability"``, ``"constant rate"``, ``"steady rate"`` or ``"recovery"``.
    met
        True or False; None when it cannot be told from what was read.
    words
        The arithmetic, in words.
    """

    asks: str
    met: bool | None
    words: Phrase

    @property
    def say(self) -> str:
        """The arithmetic in words and US units."""
        return self.words.text("us")

    def text(self, system: System) -> str:
        """Write the arithmetic in words, in one unit system.

        Parameters
        ----------
        system
            Unit system.
        """
        return self.words.text(system)


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

    def to_json(self, system: System) -> JsonTable:
        """Write the rule and how the test stands to each thing it asks.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"key", "authority", "citation", "trust", "say", "met", "least_yield", "items"}``.
        """
        least = self.rule.yield_m3s
        return {
            "key": self.rule.key,
            "authority": self.rule.authority,
            "citation": self.rule.citation,
            "trust": self.rule.trust,
            "say": self.rule.say,
            "met": self.met,
            "least_yield": None if least is None else Amount(least, "flow").to_json(system),
            "items": [{"asks": item.asks, "met": item.met, "say": item.text(system)} for item in self.items],
        }


def rule_check(rule: Rule, layout: Layout) -> RuleCheck:
    """Hold a test against a rule: each thing it asks met, not met, or not to be told.

    Parameters
    ----------
    rule
        The rule.
    layout
        The test.

    Returns
    -------
    RuleCheck
        One item for each thing the rule states; what the record does not tell is never taken as met.
    """
    run = longest_run(layout)
    asked = (
        _length(rule, run),
        _constant(rule, layout, run),
        _steady(rule, layout, run),
        _rate(rule, layout, run),
        _recovery(rule, layout),
    )
    return RuleCheck(rule, tuple(item for item in asked if item is not None))


def longest_run(layout: Layout) -> tuple[Stretch, ...]:
    """Return the stretches of the longest pumping without a break, from the start of the test on.

    Parameters
    ----------
    layout
        The test.
    """
    runs: list[list[Stretch]] = [[]]
    for stretch in layout.timeline.stretches:
        if stretch.pumping and stretch.end_min > 0:
            runs[-1].append(stretch)
        elif runs[-1]:
            runs.append([])
    longest: list[Stretch] = max(runs, key=_lasted)
    return tuple(longest)


def _lasted(run: Sequence[Stretch]) -> float:
    return run[-1].end_min - max(run[0].start_min, 0.0) if run else 0.0


def _length(rule: Rule, run: tuple[Stretch, ...]) -> RuleItem | None:
    if rule.minutes is None:
        return None
    lasted = _lasted(run)
    words = Phrase(f"pumped {lasted:.0f} min without a break, of at least {rule.minutes:.0f}")
    return RuleItem("length", lasted >= rule.minutes - _EVEN, words)


def _flows(layout: Layout, run: tuple[Stretch, ...], from_min: float) -> list[float | None]:
    """Return set and measured rates of a pumping from a minute on [m³/s]; None for what nobody wrote down."""
    rates: list[float | None] = []
    for stretch in run:
        if stretch.end_min <= from_min + _EVEN:
            continue
        if stretch.held_m is None:
            rates.append(stretch.rate_m3s)
        else:
            rates += _outflows(layout, max(stretch.start_min, from_min), stretch.end_min) or [None]
    return rates


def _outflows(layout: Layout, start_min: float, end_min: float) -> list[float | None]:
    """Return outflows read while a level was held, between two minutes [m³/s]."""
    begin, end = layout.timeline.seconds_at(start_min - _EVEN), layout.timeline.seconds_at(end_min + _EVEN)
    return [r.value for r in layout.problem.readings if r.kind == FLOW_READ and begin <= r.at_s <= end]


def _range_of(rates: list[float | None]) -> tuple[float, float] | None:
    known = [rate for rate in rates if rate is not None]
    return (min(known), max(known)) if known and len(known) == len(rates) and max(known) > 0 else None


def _ranged(low: float, high: float) -> dict[str, Finding]:
    return {"low": Amount(low, "flow"), "high": Amount(high, "flow")}


def _constant(rule: Rule, layout: Layout, run: tuple[Stretch, ...]) -> RuleItem | None:
    if not rule.constant_rate:
        return None
    found = _range_of(_flows(layout, run, 0.0))
    if found is None:
        return RuleItem("constant rate", None, Phrase("the rate is not written down for all of the pumping"))
    low, high = found
    words = phrase(
        f"the rate lay between {{low}} and {{high}}; {STEADY_FLOW:.0%} either way of the middle is taken as one rate",
        **_ranged(low, high),
    )
    return RuleItem("constant rate", high - low <= STEADY_FLOW * (high + low), words)


def _steady(rule: Rule, layout: Layout, run: tuple[Stretch, ...]) -> RuleItem | None:
    if rule.steady_share is None or rule.steady_minutes is None:
        return None
    bottom, minutes = layout.hole.bottom_m, rule.steady_minutes
    if not run or bottom is None or not layout.static_known:
        words = Phrase("no pumping, no static level or no bottom of the hole is recorded")
        return RuleItem("stability", None, words)
    end = run[-1].end_min
    late = _levels_over(layout, end - minutes, end)
    if _lasted(run) < minutes - _EVEN or not _covers(late, end - minutes, end):
        words = Phrase(f"levels over the last {minutes:.0f} min of pumping are not there to judge by")
        return RuleItem("stability", None, words)
    ranged = max(v.depth_m for v in late) - min(v.depth_m for v in late)
    allowed = rule.steady_share * (bottom - layout.static_m)
    words = phrase(
        f"levels ranged over {{ranged}} in the last {minutes:.0f} min; {{allowed}} are allowed",
        ranged=Amount(ranged, "length"),
        allowed=Amount(allowed, "length"),
    )
    return RuleItem("stability", ranged <= allowed, words)


def _levels_over(layout: Layout, start_min: float, end_min: float) -> list[PlacedLevel]:
    return [v for v in layout.levels if start_min - _EVEN <= v.minute <= end_min + _EVEN and not v.deeper]


def _covers(levels: list[PlacedLevel], start_min: float, end_min: float) -> bool:
    """Return whether levels are read through a stretch of time: no gap over a quarter of it, ends included."""
    bounds = [start_min, *(level.minute for level in levels), end_min]
    widest = max(later - earlier for earlier, later in pairwise(bounds))
    return widest <= 0.25 * (end_min - start_min) + _EVEN


def _rate(rule: Rule, layout: Layout, run: tuple[Stretch, ...]) -> RuleItem | None:
    if rule.rate_share is None or rule.rate_minutes is None:
        return None
    minutes = rule.rate_minutes
    found = _range_of(_flows(layout, run, run[-1].end_min - minutes)) if run else None
    if found is None or _lasted(run) < minutes - _EVEN:
        words = Phrase(f"rates over the last {minutes:.0f} min of pumping are not there to judge by")
        return RuleItem("steady rate", None, words)
    low, high = found
    change = (high - low) / high
    words = phrase(
        f"the rate lay between {{low}} and {{high}} in the last {minutes:.0f} min, a change of {change:.0%}; "
        f"{rule.rate_share:.0%} is allowed",
        **_ranged(low, high),
    )
    return RuleItem("steady rate", change <= rule.rate_share + 1e-9, words)


def _recovery(rule: Rule, layout: Layout) -> RuleItem | None:
    asked, instead = rule.recovery_share, rule.recovery_or_minutes
    if asked is None and instead is None:
        return None
    stop = layout.timeline.last_pump_off_min
    levels = [] if stop is None else _levels_over(layout, stop + 2 * _EVEN, float("inf"))
    if stop is None or not levels:
        return RuleItem("recovery", None, Phrase("no recovery is recorded"))
    read = levels[-1].minute - stop
    said, met = f"recovery was read for {read:.0f} min", None
    if asked is not None:
        met, regained = _regained(layout, levels, stop, asked, rule.recovery_minutes)
        said += f"; {regained}, {asked:.0%} is asked"
        said += "" if rule.recovery_minutes is None else f" within {rule.recovery_minutes:.0f} min"
    if instead is not None:
        said += f"; {'or ' if asked is not None else ''}{instead:.0f} min are asked"
        met = bool(met) or read >= instead - _EVEN
    return RuleItem("recovery", met, Phrase(said))


def _regained(
    layout: Layout, levels: list[PlacedLevel], stop: float, asked: float, within_min: float | None
) -> tuple[bool | None, str]:
    """Return whether a share of the drawdown was regained in time, None when nobody looked, and how much was."""
    drawn = layout.deepest_m - layout.static_m
    if not drawn > 0 or not layout.static_known:
        return None, "what share of the drawdown was regained cannot be told without the static level"
    within = float("inf") if within_min is None else within_min
    timely = [level for level in levels if level.minute - stop <= within + _EVEN]
    best = min(timely or levels, key=lambda level: level.depth_m)
    share = 1 - (best.depth_m - layout.static_m) / drawn
    said = f"{share:.1%} of the drawdown was regained {best.minute - stop:.0f} min after the stop"
    error = min(
        level.error_m for level in layout.levels
    )  # that of the method: a doubted reading's is made wider
    if share >= asked - TOLD_ERRORS * error / drawn:
        return True if timely else None, said
    ended = levels[-1].minute - stop
    return None if within_min is not None and ended < within_min - _EVEN else False, said
