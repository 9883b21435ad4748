"""Wells that may be one well entered twice: at the same place, or of the same owner."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from ledgewell.store.summary import WellSummary, alike

NEAR_M = 50.0
"""Two positions closer than this may be one well: what a phone finds and what a map shows differ by about as much."""

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
    An owner may have many wells: a likeness is a question for a person, never an answer.

    Examples
    --------
    >>> duplicates([])
    ()
    """
    shared: dict[tuple[str, str], set[str]] = defaultdict(set)
    known = sorted(wells, key=lambda well: (well.first_received, well.id))
    by_id = {well.id: (place, well) for place, well in enumerate(known)}
    for same in ("place", "owner"):
        groups = defaultdict(list)
        for well in known:
            words = alike(getattr(well, same) or "")
            if words:
                groups[words].append(well.id)
        for group in groups.values():
            for place, first in enumerate(group):
                for second in group[place + 1 :]:
                    shared[first, second].add(same)
    for first, second in _near(known):
        shared[first, second].add("position")
    found = [
        Likeness(
            first=first,
            second=second,
            same=tuple(sorted(same)),
            apart_m=apart_m(by_id[first][1], by_id[second][1]),
        )
        for (first, second), same in shared.items()
    ]
    return tuple(sorted(found, key=lambda each: _order(each, by_id)))


def _order(found: Likeness, by_id: dict[str, tuple[int, WellSummary]]) -> tuple[int, float, int, int]:
    apart = math.inf if found.apart_m is None else found.apart_m
    return -len(found.same), apart, by_id[found.first][0], by_id[found.second][0]


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


def _near(known: list[WellSummary]) -> Iterable[tuple[str, str]]:
    """Pairs of near positions: compared within a band of latitude only, so thousands of wells take no time."""
    bands: dict[int, list[WellSummary]] = defaultdict(list)
    for well in known:
        if well.latitude is None:
            continue
        band = math.floor(well.latitude / _CELL_DEGREES)
        for earlier in (*bands[band - 1], *bands[band], *bands[band + 1]):
            apart = apart_m(earlier, well)
            if apart is not None and apart <= NEAR_M:
                yield earlier.id, well.id
        bands[band].append(well)
