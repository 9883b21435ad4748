"""What was done to the well, minute by minute: spans of set rate, of unknown rate, or of held level."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import pi

from ledgewell.physics.schedule import Span
from ledgewell.record import HoleOnDay, Test
from ledgewell.steps.findings import Amount, Warned, phrase
from ledgewell.steps.prove.levels import PlacedLevel

Levels = list[tuple[float, float]]
"""Minute and depth [m] of each level that says where the water stood."""
MINUTE_S = 60.0
STEADY_FLOW = 0.10
"""Measured flows that stay this close to their mean are one rate. Source: common practice, no source."""
HELD_SHARE = 0.03
"""Levels that stay within this share of the drawdown are held. Source: common practice, no source."""
UNKNOWN_HISTORY_S = 3600.0
"""Assumed length of a pumping that nobody wrote down, stretched by the fit [s]."""
USUAL_PIPE_INSIDE_M = 0.02664
"""Inside diameter of 1 in schedule 40 pipe [m], when a pipe drains back and its size is not written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of time between changes.

    Parameters
    ----------
    start_min, end_min
        Minutes since the start of the test.
    rate_m3s
        Pump rate [m³/s]; None when unknown.
    held_m
        Depth at which the level was held [m], or None.
    taken_m3
        Volume taken out at once as it begins [m³].
    drains
        Whether the drop pipe may empty into the hole as it begins.
    """

    start_min: float
    end_min: float
    rate_m3s: float | None
    held_m: float | None = None
    taken_m3: float = 0.0
    drains: bool = False

    @property
    def pumping(self) -> bool:
        """True when water is or may be taken."""
        return self.rate_m3s is None or self.rate_m3s > 0 or self.held_m is not None


@dataclass(frozen=True, slots=True)
class Timeline:
    """The stretches of a test, what was assumed of them, and whether what came before is unknown."""

    stretches: tuple[Stretch, ...]
    unknown_history: bool
    assumed: tuple[Warned, ...]

    @property
    def first_min(self) -> float:
        """Minute at which the schedule begins, 0 or earlier."""
        return self.stretches[0].start_min

    @property
    def last_pump_off_min(self) -> float | None:
        """Minute at which pumping last stopped, None when it never did."""
        stops = [b.start_min for a, b in pairwise(self.stretches) if a.pumping and not b.pumping]
        return stops[-1] if stops else None

    def seconds_at(self, minute: float) -> float:
        """Return the time since the schedule began [s]."""
        return (minute - self.first_min) * MINUTE_S

    def spans(self, drain_m2: float) -> tuple[list[Span], tuple[int, ...], tuple[int, ...]]:
        """Return spans for the march, the places of unknown rates, and of spans of unknown length.

        A pumping that nobody wrote down lowers the level on a straight line, to the first level read.
        """
        spans = [
            Span(
                seconds=(s.end_min - s.start_min) * MINUTE_S,
                rate_m3s=s.rate_m3s or 0.0,
                level_m=None if s.held_m is None else (s.held_m, s.held_m),
                taken_m3=s.taken_m3,
                drain_m2=drain_m2 if s.drains else 0.0,
            )
            for s in self.stretches
        ]
        unknown = tuple(i for i, s in enumerate(self.stretches) if s.rate_m3s is None and s.held_m is None)
        if self.unknown_history:
            spans[0] = Span(seconds=spans[0].seconds, level_m=(0.0, 0.0))
            return spans, unknown[1:], (0,)
        return spans, unknown, ()


def timeline_of(
    test: Test, placed: tuple[PlacedLevel, ...], where: str, tolerance_m: float
) -> Timeline | None:
    """Read the timeline of a test from its rates, flows, meter, bails and earlier pumping.

    Parameters
    ----------
    test
        The test.
    placed
        Its levels.
    where
        Its place in the record.
    tolerance_m
        How far apart levels may lie and still be one held level [m].

    Returns
    -------
    Timeline or None
        None when nothing was read that a time could be laid to.
    """
    last = _last_minute(test)
    if last is None:
        return None
    assumed: list[Warned] = []
    levels = [(level.minute, level.depth_m) for level in placed if not level.deeper]
    changes, unknown_history = _rate_changes(test, levels, where, last, assumed)
    moved = _moved(test)
    cuts = sorted({*changes, *moved, 0.0, last})
    if unknown_history:
        cuts = [-UNKNOWN_HISTORY_S / MINUTE_S, *cuts]
    stretches = []
    for start, end in pairwise(cuts):
        rate = _rate_at(changes, start, unknown_history)
        stretches.append(Stretch(start_min=start, end_min=end, rate_m3s=rate, taken_m3=moved.get(start, 0.0)))
    stretches = _with_flows(test, _with_drains(stretches))
    stretches = _with_held(test, levels, stretches, tolerance_m, where, assumed)
    return Timeline(tuple(stretches), unknown_history, tuple(assumed))


def _last_minute(test: Test) -> float | None:
    minutes = [r.minute for r in (*test.levels, *test.flows, *test.meter, *test.rates) if r.minute > 0]
    return max(minutes, default=None)


def _moved(test: Test) -> dict[float, float]:
    moved: dict[float, float] = {}
    for sign, readings in ((1.0, test.bailed), (-1.0, test.poured_in)):
        for reading in readings:
            if reading.volume is not None:
                moved[reading.minute] = moved.get(reading.minute, 0.0) + sign * reading.volume.si
    return moved


def _rate_changes(
    test: Test, levels: Levels, where: str, last: float, assumed: list[Warned]
) -> tuple[dict[float, float | None], bool]:
    """Return rate from each minute on (None: unknown) and whether an unknown pumping came before."""
    changes: dict[float, float | None] = {}
    for earlier in test.before:
        changes[earlier.minute] = earlier.rate.si if earlier.rate is not None else None
    if test.rates:
        for reading in test.rates:
            changes[reading.minute] = reading.rate.si if reading.rate is not None else None
        return changes, False
    metered = _metered(test)
    if metered:
        assumed.append(Warned(where=f"{where}.rates", say="no rates were written; the meter's are taken"))
        return changes | metered, False
    if test.flows:
        assumed.append(
            Warned(where=f"{where}.rates", say="no rates were written; the measured flows are taken")
        )
        return changes | {0.0: None} | _stop_at_deepest(test, levels, last), False
    if test.bailed or test.poured_in or test.before:
        return changes, False
    return changes | _guessed(test, levels, where, last, assumed), _starts_recovering(levels)


def _metered(test: Test) -> dict[float, float | None]:
    readings = [r for r in test.meter if r.meter is not None]
    rates: dict[float, float | None] = {}
    for before, after in pairwise(readings):
        if before.meter is not None and after.meter is not None and after.minute > before.minute:
            rates[before.minute] = (after.meter.si - before.meter.si) / (
                (after.minute - before.minute) * MINUTE_S
            )
    if rates and readings:
        first = next(iter(rates.values()))
        rates = {0.0: first} | rates | {readings[-1].minute: 0.0}
    return rates


def _starts_recovering(levels: Levels) -> bool:
    return bool(levels) and max(levels, key=lambda each: each[1]) == levels[0]


def _stop_at_deepest(test: Test, levels: Levels, last: float) -> dict[float, float | None]:
    """Stop the pump at the deepest level, when levels after the last flow rise from there."""
    if not levels:
        return {}
    deepest = max(levels, key=lambda each: each[1])
    flowing = max((r.minute for r in test.flows), default=0.0)
    if deepest[0] >= last or flowing > deepest[0]:
        return {}
    return {max(deepest[0], flowing): 0.0}


def _guessed(
    test: Test, levels: Levels, where: str, last: float, assumed: list[Warned]
) -> dict[float, float | None]:
    """Return a rate of unknown size up to the deepest level, and none after it."""
    if _starts_recovering(levels):
        say = "no pumping was written; it is taken to have stopped at the first level, at an unknown rate"
        assumed.append(Warned(where=f"{where}.rates", say=say))
        return {0.0: 0.0}
    stop = _stop_at_deepest(test, levels, last)
    say = "no rates were written; one steady unknown rate is taken"
    if stop:
        say += f", stopped at minute {next(iter(stop)):g}"
    assumed.append(Warned(where=f"{where}.rates", say=say))
    return {0.0: None} | stop


def _rate_at(changes: dict[float, float | None], minute: float, unknown_history: bool) -> float | None:
    known = [m for m in changes if m <= minute + 1e-9]
    if known:
        return changes[max(known)]
    return None if unknown_history and minute < 0 else 0.0


def _with_drains(stretches: list[Stretch]) -> list[Stretch]:
    marked = stretches[:1]
    for before, after in pairwise(stretches):
        stops = before.pumping and not after.pumping and after.start_min > 0
        marked.append(replace(after, drains=stops))
    return marked


def _with_flows(test: Test, stretches: list[Stretch]) -> list[Stretch]:
    """Put measured flows in the place of set or unknown rates: their mean when steady, else each in its turn."""
    found: list[Stretch] = []
    for stretch in stretches:
        flows = [
            (r.minute, r.flow.si)
            for r in test.flows
            if r.flow is not None and stretch.start_min < r.minute <= stretch.end_min + 1e-9
        ]
        if not flows or not stretch.pumping:
            found.append(stretch)
            continue
        mean = sum(flow for _, flow in flows) / len(flows)
        if all(abs(flow - mean) <= STEADY_FLOW * mean for _, flow in flows):
            found.append(replace(stretch, rate_m3s=mean))
            continue
        bounds = [stretch.start_min, *((a[0] + b[0]) / 2 for a, b in pairwise(flows)), stretch.end_min]
        for place, (start, end) in enumerate(pairwise(bounds)):
            piece = replace(stretch, start_min=start, end_min=end, rate_m3s=flows[place][1])
            found.append(piece if place == 0 else replace(piece, taken_m3=0.0, drains=False))
    return found


def _with_held(
    test: Test,
    levels: Levels,
    stretches: list[Stretch],
    tolerance_m: float,
    where: str,
    assumed: list[Warned],
) -> list[Stretch]:
    """Mark the end of pumping as held where the level stood still while its flow was measured."""
    static = (
        test.static_level.si
        if test.static_level is not None
        else min((level for _, level in levels), default=0.0)
    )
    found: list[Stretch] = []
    index = 0
    while index < len(stretches):
        run = _pumped_run(stretches, index)
        held = _held_part(test, levels, stretches[index:run], static, tolerance_m) if run > index else None
        if held is None:
            found += stretches[index : max(run, index + 1)]
            index = max(run, index + 1)
            continue
        start, level = held
        for stretch in stretches[index:run]:
            if stretch.end_min <= start:
                found.append(stretch)
            elif stretch.start_min < start:
                found.append(replace(stretch, end_min=start))
        end = stretches[run - 1].end_min
        found.append(Stretch(start_min=start, end_min=end, rate_m3s=None, held_m=level))
        say = phrase(
            f"the level was held at {{level}} from minute {start:g} to {end:g}; the outflow measured then is used",
            level=Amount(level, "depth"),
        )
        assumed.append(Warned(where=f"{where}.levels", say=say))
        index = run
    return found


def _pumped_run(stretches: list[Stretch], index: int) -> int:
    end = index
    while end < len(stretches) and stretches[end].pumping and stretches[end].start_min >= 0:
        end += 1
    return end


def _held_part(
    test: Test, read: Levels, run: list[Stretch], static: float, tolerance_m: float
) -> tuple[float, float] | None:
    """Return the minute from which, and the depth at which, the level stood still with measured outflow."""
    start, end = run[0].start_min, run[-1].end_min
    levels = [(m, level) for m, level in read if start < m <= end + 1e-9]
    flows = [r.minute for r in test.flows if r.flow is not None and start < r.minute <= end + 1e-9]
    count = 0
    while count < len(levels):
        depths = [level for _, level in levels[-count - 1 :]]
        middle = sum(depths) / len(depths)
        if max(depths) - min(depths) > max(2 * tolerance_m, HELD_SHARE * (middle - static)):
            break
        count += 1
    if count < 3:
        return None
    still = levels[-count:]
    if not any(minute > still[0][0] for minute in flows):
        return None
    return still[0][0], sum(level for _, level in still) / count


def drain_area(test: Test, hole: HoleOnDay, where: str) -> tuple[float, bool, tuple[Warned, ...]]:
    """Return the inside area of a drop pipe that may drain back [m²], whether the share is unknown, and warnings."""
    inside = next((pipe.inside_m for pipe in hole.drop_pipes if pipe.inside_m is not None), None)
    if test.drain_back is False or (test.drain_back is not True and inside is None):
        return 0.0, False, ()
    warned: tuple[Warned, ...] = ()
    if inside is None:
        inside = USUAL_PIPE_INSIDE_M
        say = "the drop pipe drains back and its inside diameter is not written; 1 in pipe is taken"
        warned = (Warned(where=f"{where}.drop_pipe_inside_diameter", say=say),)
    return pi * inside**2 / 4, test.drain_back is not True, warned
