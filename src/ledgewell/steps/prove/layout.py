"""A test of a record laid out for the fit: the hole as it stood, the schedule, the readings, and what is unknown."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, log

from ledgewell.errors import InputError, Problem
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.problem import DEEPER_THAN, FLOW_READ, LEVEL_READ, FitProblem, Reading
from ledgewell.physics.schedule import steps_for
from ledgewell.record import HoleOnDay, Test, Well, hole_at_test, implausible
from ledgewell.steps.findings import Warned
from ledgewell.steps.hole.shape import shape_on
from ledgewell.steps.prove.fractures import Mouths, mouths_of
from ledgewell.steps.prove.laws import Law, Normal, Uniform
from ledgewell.steps.prove.levels import PlacedLevel, placed_levels, reading_error
from ledgewell.steps.prove.posterior import Beliefs
from ledgewell.steps.prove.priors import STATIC_UNREST_M, Priors
from ledgewell.steps.prove.timeline import Timeline, drain_area, timeline_of

FIRST_STEP_S = 10.0
FLOW_ERROR = 0.03
"""One standard deviation of one bucket or meter reading, as a share. Source: common practice, no source."""
MOST_READINGS = 150
"""A logger's readings are thinned to this many for the fit: neighbors say the same."""
_FT = 0.3048


@dataclass(frozen=True, kw_only=True)
class Layout:
    """One test, ready for the fit.

    Parameters
    ----------
    name, where
        Name of the test and its place in the record.
    hole, shape
        The hole as it stood at the start, and its free area by depth.
    levels
        All levels that could be placed.
    used
        Place in the record of each reading of ``problem``.
    timeline
        What was done, minute by minute.
    static_m, static_known
        Recorded static level [m], and whether it was recorded.
    problem, beliefs
        What the fit takes.
    mouths
        The fractures.
    warned
        What was assumed or left out.
    """

    name: str
    where: str
    hole: HoleOnDay
    shape: HoleShape
    levels: tuple[PlacedLevel, ...]
    used: tuple[str, ...]
    timeline: Timeline
    static_m: float
    static_known: bool
    problem: FitProblem
    beliefs: Beliefs
    mouths: Mouths
    warned: tuple[Warned, ...]

    @property
    def deepest_m(self) -> float:
        """Deepest level tested [m]."""
        return deepest_of(self.levels, self.static_m)

    @property
    def read_count(self) -> int:
        """Number of readings that count; a first level to which an unwritten pumping went is one."""
        return len(self.problem.readings) + int(self.problem.ramped)

    @property
    def minutes(self) -> float:
        """Length of the test [min]."""
        return max(stretch.end_min for stretch in self.timeline.stretches)


def layout_of(well: Well, index: int, priors: Priors, set_aside: frozenset[str] = frozenset()) -> Layout:
    """Lay out a test of a record.

    Parameters
    ----------
    well
        The record.
    index
        Which of its tests.
    priors
        What is believed of any well.
    set_aside
        Places of readings found wrong by an earlier fit, doubted like those the record itself doubts.

    Raises
    ------
    InputError
        When the test has nothing a fit could use: no hole, no level, no time.
    """
    test, where = well.tests[index], f"test[{index}]"
    hole = hole_at_test(well, test)
    if hole.bottom_m is None or not hole.intervals:
        raise _missing(
            "bore", "no bottom or diameter of the hole is written", "a [[bore]] with top, bottom and diameter"
        )
    shape = shape_on(hole)
    doubted = frozenset(doubt.where for doubt in implausible(well) if doubt.down_weight) | set_aside
    levels, warned = placed_levels(well, test, hole, where, doubted)
    if not levels and not test.flows:
        raise _missing(f"{where}.levels", "no level was read", "at least two levels with their minutes")
    static_m, static_law, static_known, said = _static(test, hole, levels, where)
    tolerance = max((level.error_m for level in levels), default=0.1)
    timeline = timeline_of(test, levels, where, tolerance)
    if timeline is None:
        raise _missing(
            f"{where}.levels",
            "no reading has a time after the start",
            "minutes since the start, such as [5, 58.9]",
        )
    drain_m2, drain_unknown, drain_said = drain_area(test, hole, where)
    deepest = deepest_of(levels, static_m)
    mouths = mouths_of(hole, static_m, deepest, priors)
    spans, unknown, stretched = timeline.spans(drain_m2)
    readings, used = _readings(test, levels, timeline, static_m, static_known and bool(test.before), where)
    intake = hole.pump_setting_m if hole.pump_setting_m is not None else hole.bottom_m
    problem = FitProblem(
        shape=shape,
        radius_m=hole.intervals[-1].diameter_m / 2 if hole.intervals[-1].diameter_m else 0.0762,
        static_m=static_m,
        fracture_depths_m=mouths.depths_m,
        spare_heads_m=mouths.spare_heads_m,
        steps=steps_for(spans, FIRST_STEP_S),
        readings=readings,
        reference_s=_reference(timeline),
        deepest_m=deepest if static_known else _middle_level(levels, deepest),
        unknown_spans=unknown,
        stretched_spans=stretched,
        unknown_drain=drain_m2 > 0 and drain_unknown,
        ramped=timeline.unknown_history,
        intake_m=max(intake, deepest),
    )
    beliefs = Beliefs(
        static=static_law,
        shares=mouths.share_laws,
        drain=Uniform(0.0, 1.0) if problem.unknown_drain else None,
        ramp=Normal(levels[0].depth_m, levels[0].error_m) if timeline.unknown_history else None,
        rates=tuple(_rate_law(problem, span, shape, static_m, deepest) for span in unknown),
        stretch=Normal(0.0, 1.0) if stretched else None,
    )
    return Layout(
        name=test.name or where,
        where=where,
        hole=hole,
        shape=shape,
        levels=levels,
        used=used,
        timeline=timeline,
        static_m=static_m,
        static_known=static_known,
        problem=problem,
        beliefs=beliefs,
        mouths=mouths,
        warned=(*warned, *said, *timeline.assumed, *drain_said, *mouths.warned),
    )


def deepest_of(levels: tuple[PlacedLevel, ...], static_m: float) -> float:
    """Return the deepest level that can be believed [m]; the static level when there is none."""
    return max([level.depth_m for level in levels if not level.doubted], default=static_m)


def _middle_level(levels: tuple[PlacedLevel, ...], deepest_m: float) -> float:
    """Return the level about which a test without a static level tells the inflow: the middle of what was read [m]."""
    depths = [level.depth_m for level in levels if not level.doubted and not level.deeper]
    return (min(depths) + max(depths)) / 2 if depths else deepest_m


def _missing(where: str, say: str, right: str) -> InputError:
    return InputError([Problem(where=where, given="nothing", say=say, right=right)])


def _static(
    test: Test, hole: HoleOnDay, levels: tuple[PlacedLevel, ...], where: str
) -> tuple[float, Law, bool, tuple[Warned, ...]]:
    """Return the static level [m], the law of the true one about it, whether it was read, and what is to be said."""
    if test.static_level is not None:
        read = hole_level(test, hole)
        error = reading_error(test.method, test.static_level.resolution_si)
        if not test.before:
            return read, Normal(0.0, hypot(error, STATIC_UNREST_M)), True, ()
        say = "water was moved before the test: the static level had perhaps not settled, and is fitted"
        return read, Normal(0.0, 5 * _FT), True, (Warned(where=f"{where}.static_level", say=say),)
    if hole.statics:
        latest = hole.statics[-1]
        say = "no static level was read for this test; the last one on record is taken, within a few feet"
        return latest.depth_m, Normal(0.0, 3 * _FT), True, (Warned(where=f"{where}.static_level", say=say),)
    shallowest = min(level.depth_m for level in levels) if levels else hole.bottom_m or 0.0
    top = min(0.0, shallowest)
    middle, half = (top + shallowest) / 2, max((shallowest - top) / 2, 0.5)
    say = "no static level is known: it may lie anywhere above the shallowest level read, and the band is wide for it"
    return middle, Uniform(-half, half), False, (Warned(where=f"{where}.static_level", say=say),)


def hole_level(test: Test, hole: HoleOnDay) -> float:
    """Return the test's static level below the measuring point [m]."""
    assert test.static_level is not None
    shift = (hole.stickup_m or 0.0) if test.depths_from == "ground" else 0.0
    return test.static_level.si + shift


def _readings(
    test: Test,
    levels: tuple[PlacedLevel, ...],
    timeline: Timeline,
    static_m: float,
    static_is_reading: bool,
    where: str,
) -> tuple[tuple[Reading, ...], tuple[str, ...]]:
    found: list[tuple[Reading, str]] = []
    held = [stretch for stretch in timeline.stretches if stretch.held_m is not None]
    if static_is_reading:
        at = timeline.seconds_at(0.0)
        found.append((Reading(at_s=at, value=static_m, error=0.05), f"{where}.static_level"))
    for level in levels:
        if any(stretch.start_min < level.minute <= stretch.end_min for stretch in held):
            continue
        kind = DEEPER_THAN if level.deeper else LEVEL_READ
        at = timeline.seconds_at(level.minute)
        if at < 0 or level.minute <= 0:
            continue
        found.append((Reading(at_s=at, value=level.depth_m, error=level.error_m, kind=kind), level.where))
    for index, flow in enumerate(test.flows):
        if flow.flow is None or not any(s.start_min < flow.minute <= s.end_min + 1e-9 for s in held):
            continue
        error = hypot(FLOW_ERROR * flow.flow.si, flow.flow.resolution_si / 2)
        at = timeline.seconds_at(flow.minute)
        reading = Reading(at_s=at, value=flow.flow.si, error=error, kind=FLOW_READ)
        found.append((reading, f"{where}.flows[{index}]"))
    found.sort(key=lambda each: each[0].at_s)
    kept = _thinned(found)
    return tuple(reading for reading, _ in kept), tuple(place for _, place in kept)


def _thinned(found: list[tuple[Reading, str]]) -> list[tuple[Reading, str]]:
    """Keep readings even in the logarithm of time, and always the last and the deepest."""
    if len(found) <= MOST_READINGS:
        return found
    count = len(found)
    keep = {0, count - 1, max(range(count), key=lambda i: found[i][0].value)}
    start, end = found[0][0].at_s + 1.0, found[-1][0].at_s + 1.0
    at, index = start, 0
    ratio = (end / start) ** (1 / (MOST_READINGS / 2))
    stride = max(1, count // (MOST_READINGS // 2))
    while at <= end and index < count:
        while index < count and found[index][0].at_s + 1.0 < at:
            index += 1
        if index < count:
            keep.add(index)
        at *= ratio
    keep |= set(range(0, count, stride))
    return [found[i] for i in sorted(keep)]


def _reference(timeline: Timeline) -> float:
    """Return the time at which response and slope are best known: the last pumping's length, or the whole."""
    pumped = [s.end_min - s.start_min for s in timeline.stretches if s.pumping and s.end_min > 0]
    minutes = max(pumped, default=0.0) or timeline.stretches[-1].end_min
    return max(minutes, 1.0) * 60.0


def _rate_law(problem: FitProblem, span: int, shape: HoleShape, static_m: float, deepest_m: float) -> Normal:
    """Return the law of an unknown rate: about twice what empties the hole to the deepest level in that span."""
    volume = max(shape.volume_between(static_m, deepest_m), 1e-3)
    seconds = problem.steps.spans[span].seconds
    return Normal(log(1.5 * volume / seconds), 1.0)
