"""Plan a yield test before it: rate, minutes, water to be rid of, readings due, the width to expect, the held variant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from math import ceil, exp, floor, inf, isfinite

import numpy as np

from ledgewell.errors import InputError, Problem
from ledgewell.physics.schedule import Span
from ledgewell.record import Datum, HoleOnDay, Pump, Well, hole_on, in_effect
from ledgewell.steps.findings import Amount, Estimate, JsonTable, Warned, phrase
from ledgewell.steps.hole.shape import shape_on
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.fractures import mouths_of
from ledgewell.steps.prove.outlook import (
    LIKELY_WELLS,
    LONGEST_S,
    Likely,
    Outlook,
    likely_wells,
    times_to_level,
    widths_to_expect,
)
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.repeating import HOUR_S, delivered_rates
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.rulebook import reading_schedule, readings_due
from ledgewell.steps.prove.timeline import MINUTE_S
from ledgewell.units import System, si_from

WANTED_S = HOUR_S
"""A rate is chosen that brings the level down in about an hour. Source: common practice, no source."""
SIMULATED = 9
"""Tests simulated for the width to expect."""
RECOVERY_MIN = 30.0
HOLD_MIN = 30.0
HOLD_EVERY_MIN = 5.0
ABOVE_PUMP_M = si_from(10, "ft")
BUCKET_M3 = si_from(5, "gal")
RATE_STEP_M3S = si_from(0.5, "gpm")
USUAL_LIMIT_M3S = si_from(15, "gpm")
"""Most that a test pump is taken to give when no curve is on record. Source: common practice, no source."""
SELDOM = 0.02
"""Share of likely wells under which it is not said that the level may not get there."""


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
        Minutes to reach the level: low, middle, high; a well that never gets there counts as the longest time followed.
    never
        Share of likely wells whose level does not get there at this rate within six hours.
    water_m3
        Water to be rid of while pumping [m³].
    due, due_after
        Minutes at which readings are due while pumping, and after the stop.
    width, width_range
        ln(high/low) of the 24 h yield to expect after it, the middle of the simulated tests and their middle half;
        infinite when the low figure would be nothing.
    simulated
        Number of tests simulated for the width.
    held
        Flow a bucket may show while the level is held; never more than the pump rate.
    held_water_m3
        Water to be rid of in the held variant [m³].
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
    width_range: tuple[float, float]
    simulated: int
    held: Estimate
    held_water_m3: Estimate
    warned: tuple[Warned, ...]

    def sentence(self, system: System) -> str:
        """Return the plan in two sentences.

        Parameters
        ----------
        system
            Unit system.
        """
        rate, level = Amount(self.rate_m3s, "flow").show(system), Amount(self.level_m, "depth").show(system)
        low, mid, high = self.minutes
        water = self.water_m3.show(system)
        expect = (
            f"Expect the high figure of the 24 h yield to be about {exp(self.width):.2g} times the low one"
            if isfinite(self.width)
            else "Expect a low figure of nothing"
        )
        ends = tuple("any" if not isfinite(width) else f"{exp(width):.2g}" for width in self.width_range)
        return (
            f"Pump {rate}: the level should reach {level} in about {mid:.0f} min ({low:.0f} to {high:.0f}), with "
            f"{water.mid} {water.unit} ({water.low} to {water.high}) to be led away; then read {RECOVERY_MIN:.0f} min of "
            f"recovery. {expect}: {ends[0]} to {ends[1]} times in half of such tests."
        )

    def lines(self, system: System) -> Iterator[str]:
        """Yield the plan for a terminal, its sentence first.

        Parameters
        ----------
        system
            Unit system.
        """
        before = reading_schedule()
        yield self.sentence(system)
        yield ""
        yield (
            f"Before: let the well rest {before.idle_hours:g} h, and read the level {before.static_readings} times at least "
            f"{before.static_apart_minutes:g} min apart before the pump starts ({before.citation})."
        )
        yield f"Readings due while pumping, minutes: {_listed(self.due)}"
        yield f"Readings due after the stop, minutes: {_listed(self.due_after)}"
        if self.never > SELDOM:
            yield f"In {self.never:.0%} of likely wells the level will not get there at this rate: hold it where it settles."
        yield ""
        yield from self.held_lines(system)
        yield (
            f"Minutes and flows are from {LIKELY_WELLS} likely wells, the width from {self.simulated} simulated tests "
            "read with an electric tape."
        )
        if self.warned:
            yield ""
            yield "Take care"
            yield from (
                f"  {each.where}: {each.text(system)}" if each.where else f"  {each.text(system)}"
                for each in self.warned
            )

    def held_lines(self, system: System) -> Iterator[str]:
        """Yield the hold-the-level variant, the most direct proof of a weak well.

        Parameters
        ----------
        system
            Unit system.
        """
        level, water = Amount(self.level_m, "depth").show(system), self.held_water_m3.show(system)
        yield (
            f"Or hold the level: draw down to {level}, then throttle until the level stands still for {HOLD_MIN:.0f} min, "
            f"time the bucket every {HOLD_EVERY_MIN:.0f} min, and write level and flow. Expect {self.held.show(system)}"
            f"{_bucket(self.held, system)}, and {water.mid} {water.unit} ({water.low} to {water.high}) to be led away."
        )

    def to_json(self, system: System) -> JsonTable:
        """Write the plan, numbers not rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"say", "level", "rate", "minutes", "not_reached", "water", "readings", "readings_after_stop", "width",
            "width_range", "simulated", "hold", "warnings"}``; a width is None when it is infinite.
        """
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
            "width": _finite(self.width),
            "width_range": [_finite(width) for width in self.width_range],
            "simulated": self.simulated,
            "hold": {
                "say": " ".join(self.held_lines(system)),
                "minutes": HOLD_MIN,
                "flow": self.held.to_json(system),
                "water": self.held_water_m3.to_json(system),
            },
            "warnings": [each.to_json(system) for each in self.warned],
        }


def _finite(width: float) -> float | None:
    return width if isfinite(width) else None


def _listed(minutes: tuple[float, ...]) -> str:
    return ", ".join(f"{minute:g}" for minute in minutes) or "none"


def _bucket(flow: Estimate, system: System) -> str:
    """Return how long a five-gallon bucket takes to fill, where buckets are in gallons."""
    if system != "us" or flow.low <= 0:
        return ""
    fast, slow = (BUCKET_M3 / value for value in (flow.high, flow.low))
    return f": 5 gal in {fast:.0f} to {slow:.0f} s"


def plan_test(
    well: Well,
    *,
    level_m: float | None = None,
    when: datetime | None = None,
    rate_m3s: float | None = None,
    fit: Fit | None = None,
    seed: int = 1,
) -> TestPlan:
    """Plan the next yield test of a well from its hole, its airlift notes or an earlier fit, and its pump.

    Parameters
    ----------
    well
        The record.
    level_m
        Level in question [m]; 10 ft above the pump, or above the bottom, when not given.
    when
        Day of the test; the present when not given.
    rate_m3s
        Pump rate wanted [m³/s]; chosen when not given.
    fit
        Settled fit of an earlier test, whose wells then take the place of priors and airlift notes.
    seed
        Seed of the likely wells: same record and seed, same plan.

    Returns
    -------
    TestPlan
        The chosen rate, to half a gallon a minute, brings the level of three in four likely wells down in an hour, or is
        the most the pump gives from that depth.

    Raises
    ------
    InputError
        When there is no hole, no static level or no water above the level.
    """
    hole, datum = hole_on(well, when), Datum(well, when)
    static = _static(hole)
    pump = _test_pump(well, hole, when)
    setting = None if pump is None else datum.depth_m(pump.setting, pump.depths_from, pump.since)
    level = _level(hole, static, setting, level_m)
    mouths = mouths_of(hole, static, level, Priors())
    outlook = Outlook(
        hole=hole, shape=shape_on(hole), mouths=mouths, static_m=static, level_m=level, priors=Priors()
    )
    rng = np.random.default_rng(seed)
    likely = likely_wells(outlook, fit, rng)
    limit, warned = pump_limit(pump, level)
    rate = rate_m3s if rate_m3s is not None else _chosen_rate(outlook, likely, limit)
    reached = times_to_level(outlook, likely, rate)
    never = float(likely.weights[np.isinf(reached)].sum())
    low, mid, high = (
        likely.quantile(np.minimum(reached, LONGEST_S), share) / MINUTE_S for share in (0.05, 0.5, 0.95)
    )
    held = np.minimum(rock_yields(likely.wells, np.array([level]), np.array([HOUR_S]))[:, 0, 0], rate)
    due, after = readings_due(0.0, mid, 0.0), readings_due(0.0, RECOVERY_MIN, 0.0)
    chosen = rng.choice(len(likely.rows), SIMULATED, p=likely.weights)
    spans = [Span(seconds=mid * MINUTE_S, rate_m3s=rate), Span(seconds=RECOVERY_MIN * MINUTE_S)]
    at_min = (*due, *(mid + minute for minute in after))
    widths = np.sort(widths_to_expect(outlook, likely.rows[chosen], spans, at_min, rng))
    return TestPlan(
        level_m=level,
        static_m=static,
        rate_m3s=rate,
        minutes=(low, mid, high),
        never=never,
        water_m3=Estimate(rate * low * MINUTE_S, rate * mid * MINUTE_S, rate * high * MINUTE_S, "volume"),
        due=due,
        due_after=after,
        width=float(widths[SIMULATED // 2]),
        width_range=(float(widths[SIMULATED // 4]), float(widths[-1 - SIMULATED // 4])),
        simulated=SIMULATED,
        held=_band(likely, held, "flow"),
        held_water_m3=_band(
            likely, rate * np.minimum(reached, LONGEST_S) + held * HOLD_MIN * MINUTE_S, "volume"
        ),
        warned=(
            *_pump_warnings(hole, setting, level),
            *warned,
            *_asked_too_much(rate_m3s, limit),
            *_cautions(),
        ),
    )


def _band(likely: Likely, values: np.ndarray[tuple[int], np.dtype[np.float64]], kind: str) -> Estimate:
    low, mid, high = (likely.quantile(values, share) for share in (0.05, 0.5, 0.95))
    return Estimate(low, mid, high, "flow" if kind == "flow" else "volume")


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


def _test_pump(well: Well, hole: HoleOnDay, when: datetime | None) -> Pump | None:
    """Return the pump the test will be run with: one kept for tests, else the one that hangs there."""
    kept = [pump for pump in well.pumps if pump.role == "test" and in_effect(pump, when, well.well.zone)]
    return kept[-1] if kept else hole.pump


def _level(hole: HoleOnDay, static_m: float, setting_m: float | None, asked_m: float | None) -> float:
    bottom = hole.bottom_m if hole.bottom_m is not None else static_m
    intake = hole.pump_setting_m if hole.pump_setting_m is not None else setting_m
    level = (intake if intake is not None else bottom) - ABOVE_PUMP_M if asked_m is None else asked_m
    if static_m < level <= bottom:
        return level
    ends = tuple(Amount(depth, "depth").show("us") for depth in (static_m, bottom))
    if asked_m is None:
        say = f"there is too little water to pump: it stands at {ends[0]}"
        right = "a hole with more water; in a hole without it, pour some in and read its fall"
        raise InputError([Problem(where="level", given=ends[0], say=say, right=right)])
    right = f"deeper than the static level at {ends[0]} and not below the bottom at {ends[1]}"
    given = Amount(level, "depth").show("us")
    raise InputError([Problem(where="--level", given=given, say="no test can reach it", right=right)])


def pump_limit(pump: Pump | None, level_m: float) -> tuple[float, tuple[Warned, ...]]:
    """Return the most a pump gives with the water at a level [m³/s], and what was assumed.

    Parameters
    ----------
    pump
        The pump, None when none is on record.
    level_m
        Depth to water [m], taken for the total head: friction and a lift above ground are left out.

    Examples
    --------
    >>> limit, warned = pump_limit(None, 90.0)
    >>> round(limit / RATE_STEP_M3S), warned[0].where
    (30, 'pump')
    """
    points = sorted((head.si, flow.si) for flow, head in pump.curve) if pump is not None else []
    if len(points) < 2:
        say = phrase(
            "no curve of a test pump is on record; it is taken to give no more than {most}",
            most=Amount(USUAL_LIMIT_M3S, "flow"),
        )
        return USUAL_LIMIT_M3S, (Warned("pump", say),)
    if level_m > points[-1][0]:
        say = phrase("by its curve the pump cannot lift water from {level}", level=Amount(level_m, "depth"))
        return points[-1][1], (Warned("pump", say),)
    heads, flows = zip(*points, strict=True)
    most = float(np.interp(level_m, heads, flows))
    say = phrase(
        "from {level} the pump gives no more than {most} by its curve, friction and lift above ground left out",
        level=Amount(level_m, "depth"),
        most=Amount(most, "flow"),
    )
    return most, (Warned("pump", say),)


def _chosen_rate(outlook: Outlook, likely: Likely, limit_m3s: float) -> float:
    """Return the rate, to the half gallon a minute, that brings three of four likely wells down in an hour."""
    wanted = likely.quantile(
        delivered_rates(likely.wells, outlook.shape, outlook.level_m, WANTED_S).rate_m3s, 0.75
    )
    steps = ceil(wanted / RATE_STEP_M3S)
    if steps * RATE_STEP_M3S > limit_m3s:
        steps = floor(limit_m3s / RATE_STEP_M3S + 1e-9)
    return max(1, steps) * RATE_STEP_M3S


def _asked_too_much(asked_m3s: float | None, limit_m3s: float) -> tuple[Warned, ...]:
    if asked_m3s is None or asked_m3s <= limit_m3s * (1 + 1e-9):
        return ()
    say = phrase(
        "{asked} is asked, and the pump gives {most} there",
        asked=Amount(asked_m3s, "flow"),
        most=Amount(limit_m3s, "flow"),
    )
    return (Warned("pump", say),)


def _pump_warnings(hole: HoleOnDay, setting_m: float | None, level_m: float) -> tuple[Warned, ...]:
    found = []
    if setting_m is not None and level_m > setting_m:
        say = phrase(
            "the pump hangs at {setting}, above the level in question: hang it deeper, or the level stops there",
            setting=Amount(setting_m, "depth"),
        )
        found.append(Warned("pump", say))
    cut_off = hole.cut_off_m if hole.cut_off_m is not None else inf
    if level_m > cut_off:
        say = phrase(
            "the low-level cut-off stops the installed pump at {cut_off}, above the level in question",
            cut_off=Amount(cut_off, "depth"),
        )
        found.append(Warned("pump", say))
    last = max((f.depth_m for f in hole.fractures if f.depth_m is not None), default=None)
    if last is not None and level_m > last:
        say = phrase(
            "the level in question is below the deepest recorded fracture at {last}: pulling deeper than that adds stored "
            "water, not yield",
            last=Amount(last, "depth"),
        )
        found.append(Warned("fracture", say))
    return tuple(found)


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
