"""The levels of a test, placed in meters below the measuring point, each with the error its method usually has."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

from ledgewell.record import Datum, HoleOnDay, Test, Well
from ledgewell.steps.findings import Warned
from ledgewell.steps.prove.priors import READING_ERROR_M, UNSTATED_ERROR_M

DOUBTED = 10.0
"""How much wider the error of a reading that is hard to believe is taken. Source: common practice, no source."""
AT_PUMP_ERROR_M = 0.3
"""How well a level "at pump" is known [m]. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLevel:
    """A level as it was read.

    Parameters
    ----------
    minute
        Minutes since the start of the test.
    depth_m
        Depth to water below the measuring point [m].
    deeper
        True when the level is only known to be deeper than this.
    error_m
        One standard deviation of the reading [m].
    where
        Its place in the record.
    doubted
        True when it is hard to believe: it counts for little, and never as the deepest level tested.
    """

    minute: float
    depth_m: float
    deeper: bool
    error_m: float
    where: str
    doubted: bool = False


def reading_error(method: str | None, resolution_m: float) -> float:
    """Return one standard deviation of a level [m]: the method's own and the rounding of what was written.

    Notes
    -----
    √(method² + resolution²/12). Source: see `ledgewell.steps.prove.priors.READING_ERROR_M`.

    Examples
    --------
    >>> round(reading_error("air line", 0.3048), 3)  # to the foot
    0.203
    """
    usual = READING_ERROR_M.get(method, UNSTATED_ERROR_M) if method else UNSTATED_ERROR_M
    return hypot(usual, resolution_m / sqrt(12))


def placed_levels(
    well: Well, test: Test, hole: HoleOnDay, where: str, doubted: frozenset[str]
) -> tuple[tuple[PlacedLevel, ...], tuple[Warned, ...]]:
    """Place every level of a test; say which could not be.

    Parameters
    ----------
    well, test, hole
        The record, the test, and the hole as it stood.
    where
        Place of the test in the record.
    doubted
        Places of readings that are hard to believe.
    """
    datum = Datum(well, test.start)
    placed: list[PlacedLevel] = []
    warned: list[Warned] = []
    for index, reading in enumerate(test.levels):
        here = f"{where}.levels[{index}]"
        if reading.level is None:
            if hole.pump_setting_m is None:
                warned.append(
                    Warned(where=here, say='"at pump" says no depth: no pump setting is written; left out')
                )
                continue
            placed.append(
                PlacedLevel(
                    minute=reading.minute,
                    depth_m=hole.pump_setting_m,
                    deeper=False,
                    error_m=AT_PUMP_ERROR_M,
                    where=here,
                )
            )
            continue
        depth = datum.depth_m(reading.level, test.depths_from, test.start)
        if depth is None:
            continue
        error = reading_error(reading.method or test.method, reading.level.resolution_si)
        placed.append(
            PlacedLevel(
                minute=reading.minute,
                depth_m=depth,
                deeper=reading.state == "below",
                error_m=error * (DOUBTED if here in doubted else 1.0),
                where=here,
                doubted=here in doubted,
            )
        )
    return tuple(sorted(placed, key=lambda level: (level.minute, level.where))), tuple(warned)
