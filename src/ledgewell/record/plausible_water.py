"""Doubts about the water of one test or stimulation: more than was stored, pumped or given."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from ledgewell.record.datum import Datum
from ledgewell.record.doubt import Doubt
from ledgewell.record.hole import HoleOnDay
from ledgewell.record.plausible_levels import PlacedLevel, off_m, placed_levels, rate_m3s
from ledgewell.record.trials import Stage, Stimulation, Test
from ledgewell.units import si_from

_MARGIN = 1.3
"""Share by which water may exceed its source before it is asked about; a judgment, no source."""
_LITERS_PER_GALLON = si_from(1, "gal") / si_from(1, "L")
_UNIT_TOLERANCE = 0.04
_FAR = 2.0
"""Measured flow and pump setting this many times apart are asked about; a judgment, no source."""


def stored_m3(hole: HoleOnDay, top_m: float, bottom_m: float) -> float | None:
    """Find the volume of the hole between two depths.

    Parameters
    ----------
    hole
        The hole.
    top_m, bottom_m
        Depths below the measuring point [m].

    Returns
    -------
    float or None
        Volume [m³]; None when a diameter or a stretch between them is not known.

    Examples
    --------
    >>> from ledgewell.record.faces import read_well
    >>> from ledgewell.record.hole import hole_on
    >>> well = read_well('format = 1\\nunits = "si"\\n[[bore]]\\ntop = 0\\nbottom = 120\\ndiameter = 152')
    >>> round(stored_m3(hole_on(well), 20.0, 120.0), 3)
    1.815
    """
    total, covered = 0.0, 0.0
    for each in hole.intervals:
        length_m = min(bottom_m, each.bottom_m) - max(top_m, each.top_m)
        if length_m <= 0:
            continue
        if each.diameter_m is None:
            return None
        total += math.pi / 4 * each.diameter_m**2 * length_m
        covered += length_m
    return total if covered >= (bottom_m - top_m) * (1 - 1e-9) else None


def water_doubts(test: Test, where: str, hole: HoleOnDay, datum: Datum) -> Iterator[Doubt]:
    """Find readings of a test that need more water than there was.

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
    >>> list(water_doubts(Test(), "test[0]", hole_on(Well()), Datum(Well(), None)))
    []
    """
    yield from _bailed(test, where, hole, datum)
    yield from _faster_than_pumped(test, _with_static(test, where, datum), hole)
    yield from _flow_against_rate(test, where)
    for i, (before, after) in enumerate(pairwise(test.meter), start=1):
        if before.meter is not None and after.meter is not None and after.meter.si < before.meter.si:
            say = "the totalizer shows less than before"
            yield Doubt(where=f"{where}.meter[{i}]", say=say, ask="Is the reading right?", down_weight=True)


def _with_static(test: Test, where: str, datum: Datum) -> list[PlacedLevel]:
    """The level readings, and the static level as one more, taken when the pump was first started."""
    levels = placed_levels(test, where, datum)
    static_m = datum.depth_m(test.static_level, test.depths_from, test.start)
    starts = [each.minute for each in test.rates if each.rate is None or each.rate.si > 0]
    if static_m is None or test.static_level is None or not starts:
        return levels
    off = off_m(test.static_level, test.method)
    return [PlacedLevel(f"{where}.static_level", min(starts), static_m, off, bound=False), *levels]


def _bailed(test: Test, where: str, hole: HoleOnDay, datum: Datum) -> Iterator[Doubt]:
    static_m = datum.depth_m(test.static_level, test.depths_from, test.start)
    if static_m is None or hole.bottom_m is None or static_m >= hole.bottom_m:
        return
    stored = stored_m3(hole, static_m, hole.bottom_m)
    for i, reading in enumerate(test.bailed):
        if stored is not None and reading.volume is not None and reading.volume.si > _MARGIN * stored:
            yield Doubt(
                where=f"{where}.bailed[{i}]",
                say="more was taken out at once than the hole stores",
                ask="Is the volume right, and the hole's diameter and depth?",
                down_weight=True,
            )


def _faster_than_pumped(test: Test, levels: Sequence[PlacedLevel], hole: HoleOnDay) -> Iterator[Doubt]:
    """The level cannot fall faster than the pump empties the hole, unless water was poured in before."""
    ordered = sorted((level for level in levels if not level.bound), key=lambda each: each.minute)
    moved = [each.minute for each in (*test.bailed, *test.poured_in)]
    for before, after in pairwise(ordered):
        if after.depth_m <= before.depth_m or any(minute <= after.minute for minute in moved):
            continue
        taken = _pumped_m3(test, before.minute, after.minute)
        slack_m = math.hypot(before.off_m, after.off_m)
        if not taken or before.depth_m + slack_m >= after.depth_m:
            continue
        lost = stored_m3(hole, before.depth_m + slack_m, after.depth_m)
        if lost is not None and lost > _MARGIN * taken:
            yield Doubt(
                where=after.where,
                say="the level fell faster than the pump could empty the hole",
                ask="Are the level, the rate and the diameter of the hole right?",
                down_weight=True,
            )


def _pumped_m3(test: Test, begin: float, end: float) -> float | None:
    """Volume pumped between two minutes [m³]; None when a rate is not known."""
    changes = sorted({begin, end, *(each.minute for each in test.rates if begin < each.minute < end)})
    total = 0.0
    for left, right in pairwise(changes):
        rate = rate_m3s(test.rates, left)
        if rate is None:
            return None
        total += rate * (right - left) * 60
    return total


def _flow_against_rate(test: Test, where: str) -> Iterator[Doubt]:
    for i, reading in enumerate(test.flows):
        rate = rate_m3s(test.rates, reading.minute)
        if not rate or reading.flow is None or reading.flow.si == 0:
            continue
        ratio = max(rate / reading.flow.si, reading.flow.si / rate)
        if ratio < _FAR:
            continue
        mixed = abs(ratio / _LITERS_PER_GALLON - 1) < _UNIT_TOLERANCE
        ask = "Were gallons and liters mixed up?" if mixed else "Are the flow and the rate set right?"
        say = f"the flow measured and the rate set are {ratio:.1f} times apart"
        yield Doubt(where=f"{where}.flows[{i}]", say=say, ask=ask, down_weight=True)


def stimulation_doubts(job: Stimulation, where: str, bottom_m: float | None, datum: Datum) -> Iterator[Doubt]:
    """Find what is hard to believe in a stimulation.

    Parameters
    ----------
    job
        The stimulation.
    where
        Its place in the record.
    bottom_m
        Bottom of the hole that day [m], or None.
    datum
        Measuring point of that day.

    Yields
    ------
    Doubt

    Examples
    --------
    >>> from ledgewell.record.well import Well
    >>> list(stimulation_doubts(Stimulation(), "stimulation[0]", None, Datum(Well(), None)))
    []
    """
    total = 0.0
    for i, stage in enumerate(job.stages):
        place = f"{where}.stage[{i}]"
        total += _injected_m3(stage)
        top_m = datum.depth_m(stage.packer_top, job.depths_from, job.date)
        lower_m = datum.depth_m(stage.lower_packer_top, job.depths_from, job.date)
        for name, depth_m in (("packer_top", top_m), ("lower_packer_top", lower_m)):
            if depth_m is not None and bottom_m is not None and depth_m > bottom_m:
                say = "this packer is below the bottom of the hole"
                yield Doubt(where=f"{place}.{name}", say=say, ask="Where was it set?")
        if top_m is not None and lower_m is not None and lower_m <= top_m:
            say = "the lower packer is not below the upper one"
            yield Doubt(where=f"{place}.lower_packer_top", say=say, ask="Where were the two packers?")
        yield from _stage_backwards(stage, place)
    if job.injected is not None and total > _MARGIN * job.injected.si:
        say = "the stage readings put more water in than was given as injected"
        yield Doubt(where=f"{where}.injected", say=say, ask="How much water went in?")


def _stage_backwards(stage: Stage, where: str) -> Iterator[Doubt]:
    latest = float("-inf")
    for i, reading in enumerate(stage.readings):
        if reading.minute < latest:
            say = f"minute {reading.minute:g} stands after minute {latest:g}: time runs backwards"
            yield Doubt(where=f"{where}.readings[{i}]", say=say, ask="Is the time right?", down_weight=True)
        latest = max(latest, reading.minute)


def _injected_m3(stage: Stage) -> float:
    readings = sorted(
        (each for each in stage.readings if each.flow is not None), key=lambda each: each.minute
    )
    total = 0.0
    for before, after in pairwise(readings):
        flow = before.flow.si if before.flow is not None else 0.0
        total += max(flow, 0.0) * (after.minute - before.minute) * 60
    return total
