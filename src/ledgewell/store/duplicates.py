"""Wells that may be one well entered twice: at the same place, or of the same owner."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from ledgewell.store.summary import WellSummary, alike

NEAR_M = 50.0
"""Two positions closer than this may be one well: what a phone finds and what a map shows differ by about as much."""

MOST_ALIKE = 12
"""A town, or an owner, of more wells than this is no sign that two of them are one."""

_EARTH_RADIUS_M = 6_371_008.8
_CELL_DEGREES = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Likeness:
    """Two wells that may be one.

    Parameters
    ----------
    first, second
        Ids of the wells; the first is the one kept earlier.
    same
        What they share: ``"place"``, ``"owner"``, ``"position"``.
    apart_m
        Distance of their positions [m]; None when one has none.
    """

    first: str
    second: str
    same: tuple[str, ...]
    apart_m: float | None = None


def duplicates(wells: Iterable[WellSummary]) -> tuple[Likeness, ...]:
    """Find wells that may be one: same words for place or owner, or positions within `NEAR_M`.

    Parameters
    ----------
    wells
        The list of wells.

    Returns
    -------
    tuple of Likeness
        Those that share most come first, then the nearest.

    Notes
    -----
    A likeness is a question for a person, never an answer. A builder or a town has many wells: words that more
    than `MOST_ALIKE` wells share count only beside something else that two of them share.

    Examples
    --------
    >>> duplicates([])
    ()
    """
    known = sorted(wells, key=lambda well: (well.first_received, well.id))
    place_of = {well.id: place for place, well in enumerate(known)}
    pairs = {(one.id, other.id): (one, other) for one, other in (*_of_same_words(known), *_near(known))}
    found = [
        Likeness(first=one.id, second=other.id, same=_same(one, other), apart_m=apart_m(one, other))
        for one, other in pairs.values()
    ]
    return tuple(sorted(found, key=lambda each: _order(each, place_of)))


def _same(one: WellSummary, other: WellSummary) -> tuple[str, ...]:
    words = [
        same for same in ("owner", "place") if _words(one, same) and _words(one, same) == _words(other, same)
    ]
    apart = apart_m(one, other)
    return (*words, "position") if apart is not None and apart <= NEAR_M else tuple(words)


def _words(well: WellSummary, *of: str) -> str:
    """The words of some fields, in one spelling; none when one of the fields has none."""
    words = [alike(getattr(well, field) or "") for field in of]
    return "\n".join(words) if all(words) else ""


def _of_same_words(known: list[WellSummary]) -> Iterator[tuple[WellSummary, WellSummary]]:
    for fields in (("owner",), ("place",), ("owner", "place")):
        groups: dict[str, list[WellSummary]] = defaultdict(list)
        for well in known:
            groups[_words(well, *fields)].append(well)
        for words, group in groups.items():
            if words and len(group) <= MOST_ALIKE:
                yield from combinations(group, 2)


def _order(found: Likeness, place_of: dict[str, int]) -> tuple[int, float, int, int]:
    apart = math.inf if found.apart_m is None else found.apart_m
    return -len(found.same), apart, place_of[found.first], place_of[found.second]


def apart_m(one: WellSummary, other: WellSummary) -> float | None:
    """Measure how far two wells are apart.

    Parameters
    ----------
    one, other
        The wells.

    Returns
    -------
    float or None
        Along the ground [m]; None when one has no position.

    Notes
    -----
    Haversine on a sphere of the mean radius of the Earth (IUGG), 6 371 008.8 m: within 0.6 % of the ellipsoid.

    Examples
    --------
    >>> from datetime import datetime, UTC
    >>> from dataclasses import replace
    >>> now = datetime(2026, 9, 14, tzinfo=UTC)
    >>> here = WellSummary(id="a", name=None, owner=None, place=None, permit=None, latitude=0.0, longitude=0.0,
    ...     position=1, revision=0, entries=1, first_received=now, last_received=now)
    >>> round(apart_m(here, replace(here, longitude=1.0)))
    111195
    """
    if one.latitude is None or one.longitude is None or other.latitude is None or other.longitude is None:
        return None
    first, second = math.radians(one.latitude), math.radians(other.latitude)
    east = math.radians(other.longitude - one.longitude)
    half = math.sin((second - first) / 2) ** 2 + math.cos(first) * math.cos(second) * math.sin(east / 2) ** 2
    return 2 * _EARTH_RADIUS_M * math.asin(min(1.0, math.sqrt(half)))


def _near(known: list[WellSummary]) -> Iterator[tuple[WellSummary, WellSummary]]:
    """Pairs of near positions: compared within a band of latitude only, so thousands of wells take no time."""
    bands: dict[int, list[WellSummary]] = defaultdict(list)
    for well in known:
        if well.latitude is None:
            continue
        band = math.floor(well.latitude / _CELL_DEGREES)
        for earlier in (*bands[band - 1], *bands[band], *bands[band + 1]):
            apart = apart_m(earlier, well)
            if apart is not None and apart <= NEAR_M:
                yield earlier, well
        bands[band].append(well)
