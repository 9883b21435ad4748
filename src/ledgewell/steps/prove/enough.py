"""Enough yet? How wide the 24 h yield still is, how wide it would be after more minutes, and whether that matters."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.problem import FitProblem, Reading
from ledgewell.physics.schedule import steps_for
from ledgewell.steps.findings import JsonTable
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import FIRST_STEP_S
from ledgewell.steps.prove.posterior import SCATTER
from ledgewell.steps.prove.rules import RuleCheck, readings_due
from ledgewell.steps.prove.spread import weighted_quantiles
from ledgewell.units import System

Floats = NDArray[np.float64]

MORE_MINUTES = (10.0, 20.0, 30.0)
TRUTHS = 48
"""Wells of the sample taken in turn for the true one."""
LEAST_WEIGHT = 100.0
"""Effective number of wells under which further readings are counted for less, lest a handful decide."""
USEFUL_WIDTH = log(1.5)
"""Width of the band under which a yield is good enough when nothing hangs on a figure. Source: common practice, no source."""
_WRONG, _WIDE = 0.02, 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Enough:
    """Whether testing may stop.

    Parameters
    ----------
    width
        ln(high/low) of the 24 h yield at the deepest level tested.
    after
        Minutes more, and the width expected then.
    stop
        True when stopping is suggested.
    say
        Why, in plain words.
    """

    width: float
    after: tuple[tuple[float, float], ...]
    stop: bool
    say: str

    def to_json(self, _system: System) -> JsonTable:
        """Write the widths and the advice."""
        after = [{"minutes": minutes, "width": width} for minutes, width in self.after]
        return {"width": self.width, "after": after, "stop": self.stop, "say": self.say}


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
    """
    low, high = (float(value) for value in np.quantile(yields_m3s, [0.05, 0.95]))
    width = log(high / low) if low > 0 else float(np.log(max(high, 1e-12) / 1e-9))
    after = expected_widths(fit, yields_m3s)
    limits = list(thresholds_m3s)
    if rule is not None and rule.rule.yield_m3s is not None:
        limits.append(rule.rule.yield_m3s)
    if limits:
        settled = not any(low < limit < high for limit in limits)
        why = (
            "the figure that matters lies outside the band"
            if settled
            else "the figure that matters lies inside the band"
        )
    else:
        settled = width < USEFUL_WIDTH
        why = "the band is narrow" if settled else "the band is still wide"
    met = rule is None or rule.met
    return Enough(
        width=width, after=after, stop=settled and met, say=_advice(settled, why, rule, width, after)
    )


def _advice(
    settled: bool, why: str, rule: RuleCheck | None, width: float, after: tuple[tuple[float, float], ...]
) -> str:
    ratio = f"the high figure is {exp(width):.2g} times the low one"
    further = ", ".join(f"{exp(expected):.2g} after {minutes:.0f} min" for minutes, expected in after)
    more = f"; with more readings about {further}" if after else ""
    if rule is None:
        law = " No rule is chosen: the local authority may require longer."
    elif rule.met:
        law = f" What {rule.rule.authority} asks ({rule.rule.citation}) is met."
    else:
        lacking = "; ".join(f"{item.asks}: {item.say}" for item in rule.missing)
        law = f" {rule.rule.authority} ({rule.rule.citation}) asks more: {lacking}."
    if settled and (rule is None or rule.met):
        return f"Enough: {why} ({ratio}).{law}"
    if settled:
        return f"Not yet: {why} ({ratio}), but the rule is not met.{law}"
    return f"Not yet: {why} ({ratio}{more}).{law}"


def expected_widths(
    fit: Fit, yields_m3s: Floats, minutes: tuple[float, ...] = MORE_MINUTES
) -> tuple[tuple[float, float], ...]:
    """Return the width expected after each of some more minutes of reading, from the sample itself.

    Parameters
    ----------
    fit
        The settled fit.
    yields_m3s
        24 h yield of each of its wells [m³/s].
    minutes
        How many more minutes, rising.

    Notes
    -----
    Some wells are taken in turn for the truth; their further readings, with the error of the method and the well's
    own scatter, reweight all the wells; widths are averaged over the truths. Nothing is expected of a schedule that
    ends with an unknown rate.
    """
    ahead = further_problem(fit, minutes[-1])
    if ahead is None or float(yields_m3s.min()) <= 0:
        return ()
    problem, at_min = ahead
    rows = fit.wells.rows
    predicted = problem.explain(rows).predicted
    error = np.array([reading.error for reading in problem.readings])
    scatter = np.exp(rows[:, SCATTER])[:, None]
    scale = np.hypot(scatter * error, problem.floor * (predicted - fit.wells.rest_m[:, None]))
    rng = np.random.default_rng(len(at_min))
    truths = rng.choice(fit.wells.count, min(TRUTHS, fit.wells.count), replace=False)
    log_yield = np.log(yields_m3s)
    widths = np.empty((len(truths), len(minutes)))
    for place, truth in enumerate(truths):
        read = predicted[truth] + scale[truth] * rng.normal(size=len(at_min))
        explained = _log_law((read - predicted) / scale) - np.log(scale)
        for column, more in enumerate(minutes):
            total = explained[:, at_min <= more + 1e-9].sum(axis=1)
            low, _, high = weighted_quantiles(log_yield, _weights(total))
            widths[place, column] = high - low
    return tuple((more, float(width)) for more, width in zip(minutes, widths.mean(axis=0), strict=True))


def _log_law(z: Floats) -> Floats:
    good = (1 - _WRONG) * np.exp(-0.5 * z * z) / sqrt(2 * pi)
    law: Floats = np.log(good + _WRONG / (pi * _WIDE * (1 + (z / _WIDE) ** 2)))
    return law


def _weights(fit: Floats) -> Floats:
    """Return weights of wells; where too few would decide, the readings count for less until enough do."""
    power = 1.0
    while True:
        weights: Floats = np.exp(power * (fit - fit.max()))
        if weights.sum() ** 2 / (weights**2).sum() >= min(LEAST_WEIGHT, len(fit) / 4) or power < 1e-3:
            return weights
        power *= 0.8


def further_problem(fit: Fit, minutes: float) -> tuple[FitProblem, Floats] | None:
    """Return the test with its last stretch going on and the readings due then, and their minutes from now.

    Parameters
    ----------
    fit
        The fit.
    minutes
        How long the last stretch goes on [min].
    """
    layout, problem = fit.layout, fit.layout.problem
    last = layout.timeline.stretches[-1]
    if last.held_m is not None or (last.rate_m3s is None and last.held_m is None):
        return None
    spans = list(problem.steps.spans)
    spans[-1] = replace(spans[-1], seconds=spans[-1].seconds + minutes * 60.0)
    now = last.end_min
    due = readings_due(now, now + minutes, last.start_min)
    error = float(np.median([level.error_m for level in layout.levels])) if layout.levels else 0.05
    readings = tuple(Reading(at_s=layout.timeline.seconds_at(at), value=0.0, error=error) for at in due)
    steps = steps_for(spans, FIRST_STEP_S)
    return replace(problem, steps=steps, readings=readings), np.array(due) - now
