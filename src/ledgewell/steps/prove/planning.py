"""Plan a yield test before it: rate, minutes, water to be rid of, readings due, the width to expect, and the held variant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil, hypot, log

import numpy as np
from numpy.typing import NDArray

from ledgewell.errors import InputError, Problem
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.problem import FitProblem, Reading
from ledgewell.physics.schedule import Span, steps_for
from ledgewell.record import HoleOnDay, Well, hole_on
from ledgewell.steps.findings import Amount, Estimate, JsonTable, Warned
from ledgewell.steps.hole.shape import shape_on
from ledgewell.steps.prove.fractures import Mouths, mouths_of
from ledgewell.steps.prove.laws import Normal
from ledgewell.steps.prove.layout import FIRST_STEP_S
from ledgewell.steps.prove.levels import reading_error
from ledgewell.steps.prove.posterior import Beliefs, TestTarget, Wells, wells_from_rows
from ledgewell.steps.prove.priors import STATIC_UNREST_M, Priors
from ledgewell.steps.prove.repeating import delivered_rates
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.rules import readings_due
from ledgewell.steps.prove.sampler import tempered
from ledgewell.steps.prove.spread import weighted_quantiles
from ledgewell.units import System, si_from

Floats = NDArray[np.float64]

WANTED_S = 3600.0
"""A rate is chosen that brings the level down in about an hour. Source: common practice, no source."""
LONGEST_S = 6 * 3600.0
PRIOR_WELLS = 600
SIMULATED = 8
"""Wells simulated for the width to expect."""
RECOVERY_MIN = 30.0
AIRLIFT_SPREAD = 0.7
"""ln spread of a blown flow about an hour's yield at the bottom. Source: common practice, no source."""
BUCKET_GAL = 5.0
ABOVE_PUMP_M = 10 * 0.3048
_STEP_GPM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPlan:
    """A planned yield test.

    Parameters
    ----------
    level_m, static_m
        Level in question and static level [m].
    rate_m3s
        Pump rate to set [m³/s].
    minutes
        Minutes to reach the level: low, middle, high; the last counts wells that never get there as the longest time.
    never
        Share of likely wells whose level does not get there at this rate within six hours.
    water_m3
        Water to be rid of, low to high [m³].
    due
        Minutes at which readings are due while pumping, and after the stop.
    width
        Expected ln(high/low) of the 24 h yield after it.
    simulated
        Number of wells simulated for the width.
    held
        Flow a bucket may show while the level is held.
    warned
        What was assumed, and cautions.
    """

    __test__ = False

    level_m: float
    static_m: float
    rate_m3s: float
    minutes: tuple[float, float, float]
    never: float
    water_m3: Estimate
    due: tuple[float, ...]
    due_after: tuple[float, ...]
    width: float
    simulated: int
    held: Estimate
    warned: tuple[Warned, ...]

    def sentence(self, system: System) -> str:
        """Return the plan in a sentence."""
        rate, level = Amount(self.rate_m3s, "flow").show(system), Amount(self.level_m, "depth").show(system)
        low, mid, high = self.minutes
        water = self.water_m3.show(system)
        return (
            f"Pump {rate}: the level should reach {level} in about {mid:.0f} min ({low:.0f} to {high:.0f}), with "
            f"{water.mid} {water.unit} ({water.low} to {water.high}) to be led away; then read {RECOVERY_MIN:.0f} min of "
            f"recovery. Expect the high figure of the 24 h yield to be about {np.exp(self.width):.2g} times the low one."
        )

    def lines(self, system: System) -> Iterator[str]:
        """Yield the plan for a terminal, its sentence first."""
        yield self.sentence(system)
        yield ""
        yield f"Readings due while pumping, minutes: {_listed(self.due)}"
        yield f"Readings due after the stop, minutes: {_listed(self.due_after)}"
        if self.never > 0.02:
            yield f"In {self.never:.0%} of likely wells the level will not get there at this rate: then raise the rate."
        yield ""
        yield from self.held_lines(system)
        yield f"The width is from {self.simulated} simulated wells."
        if self.warned:
            yield ""
            yield "Take care"
            yield from (f"  {each.where}: {each.text(system)}" for each in self.warned)

    def held_lines(self, system: System) -> Iterator[str]:
        """Yield the hold-the-level variant, the most direct proof of a weak well."""
        level = Amount(self.level_m, "depth").show(system)
        yield (
            f"Or hold the level: draw down to {level}, then throttle until the level stands still for 30 min, time the "
            f"bucket every 5 min, and write level and flow. Expect {self.held.show(system)}"
            f"{_bucket(self.held, system)}."
        )

    def to_json(self, system: System) -> JsonTable:
        """Write the plan, numbers not rounded."""
        low, mid, high = self.minutes
        return {
            "say": self.sentence(system),
            "level": Amount(self.level_m, "depth").to_json(system),
            "rate": Amount(self.rate_m3s, "flow").to_json(system),
            "minutes": {"low": low, "mid": mid, "high": high, "unit": "min", "probability": 0.9},
            "not_reached": self.never,
            "water": self.water_m3.to_json(system),
            "readings": list(self.due),
            "readings_after_stop": list(self.due_after),
            "width": self.width,
            "simulated": self.simulated,
            "hold": {"say": " ".join(self.held_lines(system)), "flow": self.held.to_json(system)},
            "warnings": [each.to_json(system) for each in self.warned],
        }


def _listed(minutes: tuple[float, ...]) -> str:
    return ", ".join(f"{minute:g}" for minute in minutes)


def _bucket(flow: Estimate, system: System) -> str:
    if system != "us" or flow.low <= 0:
        return ""
    fast, slow = (BUCKET_GAL * 0.003785411784 / value for value in (flow.high, flow.low))
    return f": {BUCKET_GAL:g} gal in {fast:.0f} to {slow:.0f} s"


def plan_test(
    well: Well, *, level_m: float | None = None, when: datetime | None = None, seed: int = 1
) -> TestPlan:
    """Plan the next yield test of a well from its hole, its airlift notes and what is believed of any rock.

    Parameters
    ----------
    well
        The record.
    level_m
        Level in question [m]; 10 ft above the pump, or above the bottom, when not given.
    when
        Day of the test; the present when not given.
    seed
        Seed of the simulated wells.

    Raises
    ------
    InputError
        When there is no hole or no static level, or the level is not between static and bottom.
    """
    hole = hole_on(well, when)
    static = _static(hole)
    assert hole.bottom_m is not None
    end = hole.pump_setting_m if hole.pump_setting_m is not None else hole.bottom_m
    level = end - ABOVE_PUMP_M if level_m is None else level_m
    if not static < level <= hole.bottom_m:
        right = f"deeper than the static level at {static:.1f} m and not below the bottom at {hole.bottom_m:.1f} m"
        raise InputError(
            [Problem(where="--level", given=f"{level:.1f} m", say="no test can reach it", right=right)]
        )
    shape, priors = shape_on(hole), Priors()
    mouths = mouths_of(hole, static, level, priors)
    rng = np.random.default_rng(seed)
    target = _target(shape, hole, mouths, static, level, priors, [Span(seconds=WANTED_S, rate_m3s=1e-4)], ())
    rows = target.start(rng, PRIOR_WELLS)
    wells = wells_from_rows(target, rows, rng)
    weights = _airlift_weights(hole, wells)
    rate = _chosen_rate(shape, wells, weights, level)
    predicted, at_s = _drawdowns(shape, hole, mouths, static, level, priors, rate, rows)
    reached = _reached(predicted, at_s, level)
    never = float(np.sum(weights[np.isinf(reached)]) / np.sum(weights))
    minutes = weighted_quantiles(np.minimum(reached, LONGEST_S), weights)
    low, mid, high = (value / 60.0 for value in minutes)
    water = Estimate(low=rate * low * 60, mid=rate * mid * 60, high=rate * high * 60, kind="volume")
    held = rock_yields(wells, np.array([level]), np.array([3600.0]))[:, 0, 0]
    held_low, held_mid, held_high = weighted_quantiles(held, weights)
    due = readings_due(0.0, mid, 0.0)
    after = readings_due(0.0, RECOVERY_MIN, 0.0)
    chosen = rng.choice(len(rows), SIMULATED, p=weights / weights.sum(), replace=True)
    width = _expected_width(
        shape, hole, mouths, static, level, priors, rate, mid, due, after, rows[chosen], rng
    )
    return TestPlan(
        level_m=level,
        static_m=static,
        rate_m3s=rate,
        minutes=(low, mid, high),
        never=never,
        water_m3=water,
        due=due,
        due_after=after,
        width=width,
        simulated=SIMULATED,
        held=Estimate(low=held_low, mid=held_mid, high=held_high, kind="flow"),
        warned=(*mouths.warned, *_cautions()),
    )


def _static(hole: HoleOnDay) -> float:
    if hole.bottom_m is None or not hole.intervals:
        right = "a [[bore]] with top, bottom and diameter"
        raise InputError([Problem(where="bore", given="nothing", say="no hole is written", right=right)])
    if not hole.statics:
        right = "a [[level]] with its depth, read after the well has rested"
        raise InputError(
            [Problem(where="level", given="nothing", say="no static level is written", right=right)]
        )
    return hole.statics[-1].depth_m


def _cautions() -> tuple[Warned, ...]:
    return (
        Warned(
            "",
            "a generator stands outdoors and away from openings; electricity on a wet site is for a licensed electrician",
        ),
        Warned(
            "",
            "lead the water where it may go: not to a septic system, nor where it freezes on a road; local rules decide",
        ),
        Warned("", "nobody drinks the water until a laboratory says so"),
    )


def _target(
    shape: HoleShape,
    hole: HoleOnDay,
    mouths: Mouths,
    static: float,
    level: float,
    priors: Priors,
    spans: list[Span],
    readings: tuple[Reading, ...],
) -> TestTarget:
    diameter = hole.intervals[-1].diameter_m
    problem = FitProblem(
        shape=shape,
        radius_m=diameter / 2 if diameter else 0.0762,
        static_m=static,
        fracture_depths_m=mouths.depths_m,
        spare_heads_m=mouths.spare_heads_m,
        steps=steps_for(spans, FIRST_STEP_S),
        readings=readings,
        reference_s=WANTED_S,
        deepest_m=level,
        intake_m=max(hole.pump_setting_m or hole.bottom_m or level, level),
    )
    error = reading_error("electric tape", 0.003)
    beliefs = Beliefs(static=Normal(0.0, hypot(error, STATIC_UNREST_M)), shares=mouths.share_laws)
    return TestTarget(problem, beliefs, priors)


def _airlift_weights(hole: HoleOnDay, wells: Wells) -> Floats:
    """Weight likely wells by the total flow blown while drilling, which is rough."""
    blown = [fracture.airlift_m3s for fracture in hole.fractures if fracture.airlift_m3s]
    if not blown or hole.bottom_m is None:
        return np.ones(wells.count)
    at_bottom = rock_yields(wells, np.array([hole.bottom_m]), np.array([3600.0]))[:, 0, 0]
    off = (np.log(np.maximum(at_bottom, 1e-12)) - log(max(blown))) / AIRLIFT_SPREAD
    weights: Floats = np.exp(-0.5 * off**2)
    return weights if weights.sum() > 1e-6 else np.ones(wells.count)


def _chosen_rate(shape: HoleShape, wells: Wells, weights: Floats, level: float) -> float:
    """Return the rate, to the half gallon a minute, that brings three of four likely wells down in an hour."""
    rates = delivered_rates(wells, shape, level, WANTED_S).rate_m3s
    order = np.argsort(rates)
    place = np.cumsum(weights[order]) / weights.sum()
    wanted = float(rates[order][min(int(np.searchsorted(place, 0.75)), len(order) - 1)])
    unit = si_from(_STEP_GPM, "gpm")
    return max(1, ceil(wanted / unit)) * unit


def _drawdowns(
    shape: HoleShape,
    hole: HoleOnDay,
    mouths: Mouths,
    static: float,
    level: float,
    priors: Priors,
    rate: float,
    rows: Floats,
) -> tuple[Floats, Floats]:
    at_s = np.geomspace(60.0, LONGEST_S, 80)
    readings = tuple(Reading(at_s=float(t), value=0.0, error=1.0) for t in at_s)
    target = _target(
        shape, hole, mouths, static, level, priors, [Span(seconds=LONGEST_S, rate_m3s=rate)], readings
    )
    return replace(target.problem, intake_m=np.inf).explain(target.candidates(rows)).predicted, at_s


def _reached(predicted: Floats, at_s: Floats, level: float) -> Floats:
    """Return when each well's level passes a depth [s], infinite where it never does."""
    past = predicted >= level
    first = np.argmax(past, axis=1)
    times = np.where(past.any(axis=1), at_s[first], np.inf)
    for well in np.flatnonzero(past.any(axis=1) & (first > 0)):
        k = first[well]
        low, high = predicted[well, k - 1], predicted[well, k]
        times[well] = at_s[k - 1] + (level - low) / (high - low) * (at_s[k] - at_s[k - 1])
    return times


def _expected_width(
    shape: HoleShape,
    hole: HoleOnDay,
    mouths: Mouths,
    static: float,
    level: float,
    priors: Priors,
    rate: float,
    minutes: float,
    due: tuple[float, ...],
    after: tuple[float, ...],
    truths: Floats,
    rng: np.random.Generator,
) -> float:
    """Return the middle width of the 24 h yield over simulated tests, each read and fitted with a small population."""
    error = reading_error("electric tape", 0.003)
    minute = [*due, *(minutes + m for m in after)]
    readings = tuple(Reading(at_s=m * 60.0, value=0.0, error=error) for m in minute)
    spans = [Span(seconds=minutes * 60.0, rate_m3s=rate), Span(seconds=RECOVERY_MIN * 60.0)]
    target = _target(shape, hole, mouths, static, level, priors, spans, readings)
    widths = []
    for truth in target.problem.explain(target.candidates(truths)).predicted:
        noise = np.hypot(error, target.problem.floor * (truth - static))
        values = truth + noise * rng.normal(size=len(truth))
        read = tuple(replace(r, value=float(v)) for r, v in zip(readings, values, strict=True))
        fitted = replace(target, problem=replace(target.problem, readings=read))
        cloud = tempered(fitted, rng, count=300, sweeps=3)
        wells = wells_from_rows(fitted, cloud.rows, rng)
        yields = rock_yields(wells, np.array([level]), np.array([86400.0]))[:, 0, 0]
        low, high = np.quantile(yields, [0.05, 0.95])
        widths.append(log(high / low) if low > 0 else np.inf)
    return float(np.median(widths))
