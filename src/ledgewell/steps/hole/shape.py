"""From the hole as recorded to the bucket the physics knows: free area by depth, and what could not be counted.

This is the only bridge between `ledgewell.record.HoleOnDay` and `ledgewell.physics.hole.HoleShape`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi, sqrt

from ledgewell.errors import InputError, Problem
from ledgewell.physics.hole import HoleShape, Interval, shape_from_intervals
from ledgewell.record import DropPipe, HoleInterval, HoleOnDay
from ledgewell.steps.findings import Amount, Phrase, phrase

SLACK_M = 0.01
"""Depths this close are one depth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsure:
    """A length of hole of which something is not known.

    Parameters
    ----------
    where
        Place in the record of what would tell it.
    say
        What is not known, and what was done instead.
    top_m, bottom_m
        Ends of the length [m].
    """

    where: str
    say: Phrase
    top_m: float
    bottom_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleInside:
    """What is known of the inside of the hole.

    Parameters
    ----------
    shape
        Free area by depth from `known_from_m` to the bottom; None when not even the bottom is known.
    known_from_m
        Depth from which the hole is known down to its bottom without a break [m], or None.
    hung
        Drop pipes taken off `shape`, as (top, bottom, outside diameter) [m].
    unknown
        Lengths whose inside is not known, from the top down.
    uncounted
        What may hold or take up water and is not in `shape`.
    """

    shape: HoleShape | None
    known_from_m: float | None
    hung: tuple[Interval, ...] = ()
    unknown: tuple[Unsure, ...]
    uncounted: tuple[Unsure, ...]


def inside_of(hole: HoleOnDay) -> HoleInside:
    """Find the free inside of a hole: casing and bore, open annulus, less the drop pipe.

    Parameters
    ----------
    hole
        The hole as it stood on a day.

    Returns
    -------
    HoleInside

    Notes
    -----
    A(z) = π/4 (D² + Dₒ² − Dᵢ² − d²): inside diameter D, annulus between Dᵢ and Dₒ where it is recorded as open,
    drop pipe of outside diameter d. An annulus not said to be open, a pipe of unknown size, the pump's body and
    cables are left out; the first two are said in `uncounted`.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> well = read_well('format = 1\\nunits = "us"\\n[[bore]]\\ntop = 0\\nbottom = 400\\ndiameter = 6')
    >>> inside = inside_of(hole_on(well))
    >>> round(inside.shape.volume_between(100 * 0.3048, 101 * 0.3048) / 0.003785411784, 3)  # gallons in a foot
    1.469
    """
    recorded = intervals_within(hole)
    known = _known_to_bottom(recorded)
    uncounted = [_uncounted_annulus(each) for each in known]
    hung: list[Interval] = []
    for pipe in hole.drop_pipes:
        length_m = pipe.length_m if pipe.length_m is not None else hole.pump_setting_m
        uncounted.append(_hang(pipe, length_m, known, hung))
    intervals = [(each.top_m, each.bottom_m, _full_diameter_m(each)) for each in known]
    return HoleInside(
        shape=shape_from_intervals(intervals, hung) if intervals else None,
        known_from_m=known[0].top_m if known else None,
        hung=tuple(hung),
        unknown=_unknown(hole, recorded),
        uncounted=tuple(each for each in uncounted if each is not None),
    )


def shape_on(hole: HoleOnDay, *, from_m: float | None = None) -> HoleShape:
    """Build the shape of a hole that must be known from a depth down to its bottom.

    Parameters
    ----------
    hole
        The hole as it stood on a day; `hole_at_test` hangs the test's own drop pipe in it.
    from_m
        Shallowest depth at which the shape will be used [m], such as the static level; None for all of it.

    Returns
    -------
    HoleShape
        From the depth down to which everything is known, at or above `from_m`.

    Raises
    ------
    InputError
        With every length at or below `from_m` whose inside is not known.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> well = read_well('format = 1\\nunits = "si"\\n[[bore]]\\ntop = 12\\nbottom = 120\\ndiameter = 152')
    >>> shape_on(hole_on(well), from_m=20.0).bounds_m
    (12.0, 120.0)
    """
    inside = inside_of(hole)
    needed = [each for each in inside.unknown if from_m is None or each.bottom_m > from_m]
    if needed or inside.shape is None:
        raise InputError([_problem(each) for each in needed] or [_no_hole()])
    return inside.shape


def _no_hole() -> Problem:
    right = "a [[bore]] with top, bottom and diameter, and the [[casing]] above it"
    return Problem(where="bore", given="nothing", say="no hole is recorded", right=right)


def _problem(unsure: Unsure) -> Problem:
    say = f"{unsure.say.text('us')} ({unsure.top_m:.2f} to {unsure.bottom_m:.2f} m)"
    return Problem(where=unsure.where, given="nothing", say=say, right="its inside diameter there")


def intervals_within(hole: HoleOnDay) -> list[HoleInterval]:
    """Cut the recorded intervals off at the bottom: a casing said to go deeper than the bore adds no hole.

    Parameters
    ----------
    hole
        The hole as it stood on a day.

    Returns
    -------
    list of HoleInterval
        From the top down.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> well = read_well('''
    ... format = 1
    ... units = "si"
    ... casing = [{top = 0, bottom = 120, inside_diameter = 102}]
    ... bore = [{top = 0, bottom = 100}]
    ... ''')
    >>> [each.bottom_m for each in intervals_within(hole_on(well))]
    [100.0]
    """
    deepest = hole.bottom_m if hole.bottom_m is not None else float("inf")
    return [
        each if each.bottom_m <= deepest else replace(each, bottom_m=deepest)
        for each in hole.intervals
        if each.top_m < deepest - SLACK_M
    ]


def _known_to_bottom(intervals: list[HoleInterval]) -> list[HoleInterval]:
    known: list[HoleInterval] = []
    for each in reversed(intervals):
        if each.diameter_m is None or (known and known[0].top_m - each.bottom_m > 1e-6):
            break
        known.insert(0, each)
    return known


def _unknown(hole: HoleOnDay, intervals: list[HoleInterval]) -> tuple[Unsure, ...]:
    found = [
        _unsure(each.where, "its diameter is not known from {top} to {bottom}", each.top_m, each.bottom_m)
        for each in intervals
        if each.diameter_m is None
    ]
    gaps = list(hole.gaps)
    begin_m = max(hole.stickup_m or 0.0, 0.0)
    if intervals and intervals[0].top_m > begin_m + SLACK_M:
        gaps.insert(0, (begin_m, intervals[0].top_m))
    say = "neither casing nor bore is recorded from {top} to {bottom}"
    found += [_unsure("bore", say, top_m, bottom_m) for top_m, bottom_m in gaps]
    return tuple(sorted(found, key=lambda each: each.top_m))


def _unsure(where: str, say: str, top_m: float, bottom_m: float) -> Unsure:
    words = phrase(say, top=Amount(top_m, "depth"), bottom=Amount(bottom_m, "depth"))
    return Unsure(where=where, say=words, top_m=top_m, bottom_m=bottom_m)


def open_annulus_m2(interval: HoleInterval) -> float:
    """Find the area of an open annulus [m²].

    Parameters
    ----------
    interval
        A length of the hole.

    Returns
    -------
    float
        0 where the annulus is not known to be open, or how wide it is is not known.

    Notes
    -----
    A = π/4 (Dₒ² − Dᵢ²).

    Examples
    --------
    >>> open_annulus_m2(HoleInterval(top_m=0.0, bottom_m=12.0, diameter_m=0.154, kind="casing", annulus="sealed",
    ...     annulus_inner_m=0.168, annulus_outer_m=0.254, where="casing[0]"))
    0.0
    """
    inner_m, outer_m = interval.annulus_inner_m, interval.annulus_outer_m
    if interval.annulus != "open" or inner_m is None or outer_m is None or outer_m <= inner_m:
        return 0.0
    return pi / 4 * (outer_m**2 - inner_m**2)


def _full_diameter_m(interval: HoleInterval) -> float:
    """Diameter of the circle as large as the inside and its open annulus together [m]."""
    return sqrt((interval.diameter_m or 0.0) ** 2 + 4 / pi * open_annulus_m2(interval))


def _uncounted_annulus(interval: HoleInterval) -> Unsure | None:
    if interval.kind == "bore" or interval.annulus == "sealed" or open_annulus_m2(interval) > 0:
        return None
    say = "whether the space outside the casing is sealed is not recorded from {top} to {bottom}"
    if interval.annulus == "open":
        say = (
            "the space outside the casing is open from {top} to {bottom}, but how wide it is is not recorded"
        )
    where = f"{interval.where}.annulus"
    return _unsure(where, f"{say}; water in it is not counted", interval.top_m, interval.bottom_m)


def _hang(
    pipe: DropPipe, length_m: float | None, known: list[HoleInterval], hung: list[Interval]
) -> Unsure | None:
    """Hang a drop pipe in the hole, or say why it is not counted."""
    if not known or (length_m is not None and length_m <= known[0].top_m):
        return None
    name = "drop_pipe_outside_diameter" if pipe.where.startswith("test") else "outside_diameter"
    top_m = known[0].top_m
    bottom_m = known[-1].bottom_m if length_m is None else min(length_m, known[-1].bottom_m)
    if length_m is None:
        say = "how deep the drop pipe hangs is not recorded; the room it takes up is not counted"
        return Unsure(where=f"{pipe.where}.length", say=Phrase(say), top_m=top_m, bottom_m=bottom_m)
    if pipe.outside_m is None:
        say = "how wide the drop pipe is outside is not recorded; the room it takes up is not counted"
        return Unsure(where=f"{pipe.where}.{name}", say=Phrase(say), top_m=top_m, bottom_m=bottom_m)
    if not _fits(pipe.outside_m, bottom_m, known, hung):
        say = "the drop pipe is wider than the hole; the room it takes up is not counted"
        return Unsure(where=f"{pipe.where}.{name}", say=Phrase(say), top_m=top_m, bottom_m=bottom_m)
    hung.append((top_m, bottom_m, pipe.outside_m))
    return None


def _fits(outside_m: float, bottom_m: float, known: list[HoleInterval], hung: list[Interval]) -> bool:
    taken = outside_m**2 + sum(diameter**2 for _, _, diameter in hung)
    return all((each.diameter_m or 0.0) ** 2 > taken for each in known if each.top_m < bottom_m)
