"""What is not known of a hole, and what in its record does not fit together."""

from __future__ import annotations

from collections.abc import Iterator

from ledgewell.record import Doubt, HoleOnDay, Well, implausible
from ledgewell.steps.findings import Amount, Warned, phrase, warned_from_doubt
from ledgewell.steps.hole.shape import SLACK_M, HoleInside
from ledgewell.steps.hole.standing import Standing

_OF_THE_HOLE = (
    "well", "measuring_point", "casing", "bore", "stratum", "fracture", "camera", "level", "neighbor", "pump",
    "pipe",
)  # fmt: skip
_OF_A_TEST = ("static_level", "pump_setting", "drop_pipe_outside_diameter")


def missing_from(well: Well, hole: HoleOnDay, inside: HoleInside, standing: Standing) -> tuple[Warned, ...]:
    """Say what is not known of a hole and would sharpen every later answer.

    Parameters
    ----------
    well
        The record.
    hole
        The hole as it stood on a day.
    inside
        What is known of its inside.
    standing
        Its water.

    Returns
    -------
    tuple of Warned
        In the order a crew would fill it in; places that do not exist yet are named by their table.

    Examples
    --------
    >>> from ledgewell.record import hole_on
    >>> hole = hole_on(Well())
    >>> [each.where for each in missing_from(Well(), hole, HoleInside(
    ...     shape=None, known_from_m=None, unknown=(), uncounted=()), Standing(state="unknown"))]
    ['bore', 'casing', 'level', 'fracture', 'stratum']
    """
    return tuple(_missing(well, hole, inside, standing))


def _missing(well: Well, hole: HoleOnDay, inside: HoleInside, standing: Standing) -> Iterator[Warned]:
    if hole.bottom_m is None:
        yield Warned("bore", "the depth of the hole is not recorded")
    for each in inside.unknown:
        yield Warned(each.where, each.say)
    if hole.shoe_m is None:
        yield Warned("casing", "no casing is recorded")
    level_m = standing.level.si if standing.level is not None else None
    for each in inside.uncounted:
        if level_m is None or each.bottom_m > level_m:
            yield Warned(each.where, each.say)
    yield from _about_level(standing)
    if not hole.fractures:
        yield Warned("fracture", "no fracture is recorded, so where water comes in is not known")
    elif all(each.airlift_m3s is None for each in hole.fractures):
        yield Warned("fracture", "no flow blown while drilling is recorded")
    if not well.strata:
        yield Warned("stratum", "what rock was drilled is not recorded")


def _about_level(standing: Standing) -> Iterator[Warned]:
    if standing.state == "unknown":
        yield Warned(
            "level", "no depth to water at rest is recorded, so what stands in the hole is not known"
        )
    elif standing.while_drilling:
        yield Warned(
            standing.where,
            "the only level was noted while drilling; a level at rest since then would tell more",
        )
    elif standing.at is None:
        yield Warned(standing.where, "when this level was read is not recorded")


def contradictions_in(well: Well, hole: HoleOnDay, inside: HoleInside) -> tuple[Warned, ...]:
    """Say what in the record of a hole is hard to believe, or had to be assumed.

    Parameters
    ----------
    well
        The record.
    hole
        The hole as it stood on a day.
    inside
        What is known of its inside; lengths of which nothing is known are told by `missing_from`.

    Returns
    -------
    tuple of Warned
        Of the hole and what hangs in it; readings of tests and stimulations speak in their own steps.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> from ledgewell.steps.hole.shape import inside_of
    >>> well = read_well('''
    ... format = 1
    ... units = "us"
    ... bore = [{top = 0, bottom = 300, diameter = 6}]
    ... fracture = [{depth = 320}]
    ... ''')
    >>> [each.where for each in contradictions_in(well, hole_on(well), inside_of(hole_on(well)))]
    ['fracture[0]']
    """
    told = {each.where for each in inside.unknown}
    doubts = dict.fromkeys((*hole.doubts, *implausible(well)))
    found = [warned_from_doubt(each) for each in doubts if _speaks_here(each) and not _told(each, told)]
    return (*found, *_too_deep_casings(hole))


def _speaks_here(doubt: Doubt) -> bool:
    table, _, rest = doubt.where.partition("[")
    if table == "test":
        return rest.partition(".")[2] in _OF_A_TEST
    return table.partition(".")[0] in _OF_THE_HOLE


def _told(doubt: Doubt, told: set[str]) -> bool:
    """Whether `missing_from` says the same in the reader's units."""
    return doubt.where in told and "not known" in doubt.say


def _too_deep_casings(hole: HoleOnDay) -> Iterator[Warned]:
    for each in hole.intervals:
        if hole.bottom_m is not None and each.bottom_m > hole.bottom_m + SLACK_M:
            say = "this goes down to {depth}, below the bottom of the hole at {bottom}. Which depth is right?"
            amounts = {"depth": Amount(each.bottom_m, "depth"), "bottom": Amount(hole.bottom_m, "depth")}
            yield Warned(each.where, phrase(say, **amounts))
