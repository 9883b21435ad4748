"""Enough yet? How wide the 24 h yield still is, how wide it would be after more minutes, and whether that matters."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, isfinite, log

import numpy as np
from numpy.typing import NDArray

from ledgewell.steps.findings import Amount, Finding, JsonTable, Phrase
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.further import MORE_MINUTES, Expected, expected_widths, widths_ahead
from ledgewell.steps.prove.rules import RuleCheck
from ledgewell.units import System

__all__ = ["MORE_MINUTES", "Enough", "Expected", "enough_yet", "expected_widths"]

Floats = NDArray[np.float64]
USEFUL_WIDTH = log(1.5)
"""Width of the band under which a yield is good enough when nothing hangs on a figure. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Enough:
    """Whether testing may stop.

    Parameters
    ----------
    width
        ln(high/low) of the 24 h yield at the deepest level tested; infinite while the low figure is nothing.
    ahead
        What is expected of more minutes; empty when nothing can be.
    stop
        True when stopping is suggested.
    words
        Why, in plain words.
    """

    width: float
    ahead: tuple[Expected, ...]
    stop: bool
    words: Phrase

    @property
    def after(self) -> tuple[tuple[float, float], ...]:
        """Minutes more, and the width expected then."""
        return tuple((each.minutes, each.width) for each in self.ahead)

    @property
    def say(self) -> str:
        """Why, in plain words and US units."""
        return self.words.text("us")

    def text(self, system: System) -> str:
        """Write why, in plain words and one unit system.

        Parameters
        ----------
        system
            Unit system.
        """
        return self.words.text(system)

    def to_json(self, system: System) -> JsonTable:
        """Write the widths and the advice.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"width", "after": [{"minutes", "width"}], "stop", "say"}``; the width is None while it is infinite, and an
            expected width has ``"rough": true`` where few wells of the sample decide it.
        """
        return {
            "width": self.width if isfinite(self.width) else None,
            "after": [each.to_json() for each in self.ahead],
            "stop": self.stop,
            "say": self.text(system),
        }


def enough_yet(
    fit: Fit,
    yields_m3s: Floats,
    rule: RuleCheck | None,
    thresholds_m3s: tuple[float, ...] = (),
) -> Enough:
    """Return whether testing may stop after the readings so far.

    Parameters
    ----------
    fit
        The settled fit.
    yields_m3s
        24 h yield of each of its wells at the deepest level tested [m³/s], shape (N,).
    rule
        The rule chosen, held against the test; None when none was.
    thresholds_m3s
        Yields on which something hangs [m³/s], such as the owner's need; the rule's own is added.

    Returns
    -------
    Enough
        Stopping is suggested only when no figure on which something hangs lies inside the 90 % band (when there is
        none: when the high figure is under 1.5 times the low one) and everything the rule asks is met.
    """
    low, high = (float(value) for value in np.quantile(yields_m3s, [0.05, 0.95]))
    width = log(high / low) if low > 0 else inf
    least = None if rule is None else rule.rule.yield_m3s
    limits = sorted({*thresholds_m3s, *(() if least is None else (least,))})
    settled = not any(low < limit < high for limit in limits) if limits else width < USEFUL_WIDTH
    ahead = widths_ahead(fit, yields_m3s)
    why, findings = _why(limits, low, high, settled, width)
    findings |= {
        "level": Amount(fit.layout.deepest_m, "depth"),
        "low": Amount(low, "flow"),
        "high": Amount(high, "flow"),
    }
    stop = settled and (rule is None or rule.met)
    if stop:
        head = f"Enough: {why}."
    elif settled:
        head = f"Not yet: {why}, but the rule asks more."
    else:
        head = f"Not yet: {why}{_more(ahead)}."
    law, asked = _law(rule)
    return Enough(
        width=width, ahead=ahead, stop=stop, words=Phrase(f"{head} {law}", (*findings.items(), *asked))
    )


def _why(
    limits: list[float], low: float, high: float, settled: bool, width: float
) -> tuple[str, dict[str, Finding]]:
    band = "the 24 h yield at {level}, {low} to {high}"
    if not limits:
        ratio = (
            f"the high figure is {exp(width):.2g} times the low one"
            if isfinite(width)
            else "low figure: nothing"
        )
        return f"{band}, is {'narrow' if settled else 'still wide'} ({ratio})", {}
    sides = {"above": [v for v in limits if v <= low], "below": [v for v in limits if v >= high]}
    sides["on both sides of"] = [v for v in limits if low < v < high]
    findings: dict[str, Finding] = {f"limit{i}": Amount(limit, "flow") for i, limit in enumerate(limits)}
    said = [
        f"{side} {' and '.join(f'{{limit{limits.index(v)}}}' for v in named)}"
        for side, named in sides.items()
        if named
    ]
    still = "is" if settled else "is still"
    return f"{band}, {still} {', '.join(said)}, on which the decision hangs", findings


def _more(ahead: tuple[Expected, ...]) -> str:
    if not ahead:
        return ""
    further = ", ".join(f"{exp(each.width):.2g} after {each.minutes:.0f} min" for each in ahead)
    rough = " (roughly)" if any(each.rough for each in ahead) else ""
    return f"; with the readings then due the high figure should be about this many times the low one: {further}{rough}"


def _law(rule: RuleCheck | None) -> tuple[str, tuple[tuple[str, Finding], ...]]:
    if rule is None:
        return "No rule is chosen: the local authority may require longer.", ()
    whose = f"{rule.rule.authority} ({rule.rule.citation})"
    if rule.met:
        return f"What {whose} asks of a test is met.", ()
    parts, findings = [], []
    for place, item in enumerate(rule.missing):
        renamed = {name: f"item{place}_{name}" for name, _ in item.words.findings}
        template = item.words.template.format(**{name: f"{{{new}}}" for name, new in renamed.items()})
        state = "cannot be told" if item.met is None else "not met"
        parts.append(f"{item.asks} {state} ({template})")
        findings += [(renamed[name], found) for name, found in item.words.findings]
    return f"{whose}: {'; '.join(parts)}.", tuple(findings)
