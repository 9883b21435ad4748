"""The water that stands in the hole now: the latest level at rest, or that it flows, or that it is dry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from ledgewell.record import HoleLevel, HoleOnDay, local_time
from ledgewell.steps.findings import Amount, JsonTable
from ledgewell.steps.hole.shape import SLACK_M
from ledgewell.units import System

State = Literal["standing", "flowing", "dry", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The latest level at rest.

    Parameters
    ----------
    state
        Whether water stands below the measuring point, flows over it, is not there, or nobody wrote it down.
    level
        Depth to water below the measuring point; below zero when it flows; None when it is not known.
    at
        When it was measured, or None.
    method
        How, or None.
    where
        Place in the record; empty when there is none.
    while_drilling
        Whether it was only noted while drilling, before the hole was as it is.
    """

    state: State
    level: Amount | None = None
    at: date | datetime | None = None
    method: str | None = None
    where: str = ""
    while_drilling: bool = False

    def to_json(self, system: System) -> JsonTable:
        """Write it as a JSON object.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"state", "level", "at", "method", "where"}``; what is not known is None.
        """
        return {
            "state": self.state,
            "level": self.level.to_json(system) if self.level is not None else None,
            "at": self.at.isoformat() if self.at is not None else None,
            "method": self.method,
            "where": self.where,
        }

    def line(self, system: System) -> str:
        """Write level, date, method and place in one line.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
            Empty when no level is known.
        """
        if self.level is None:
            return ""
        by = f" by {self.method}" if self.method else ""
        return f"{self.level.show(system)}, read {self._day()}{by} ({self.where})"

    def _day(self) -> str:
        if self.at is None:
            return "on a day not recorded"
        return self.at.isoformat(" ", "minutes") if isinstance(self.at, datetime) else self.at.isoformat()


def standing_water(hole: HoleOnDay, zone: str | None = None) -> Standing:
    """Find the water standing in a hole on its day.

    Parameters
    ----------
    hole
        The hole as it stood on a day; levels read after that day do not count.
    zone
        IANA zone of the well, or None.

    Returns
    -------
    Standing
        From the latest dated level, else the last undated one, else the deepest note made while drilling.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> well = read_well('format = 1\\nunits = "us"\\n[[level]]\\nat = 2026-09-14\\ndepth = 38.5')
    >>> found = standing_water(hole_on(well))
    >>> found.state, found.level.show("us")
    ('standing', '38.5 ft')
    """
    read = [each for each in hole.statics if _by_then(each, hole, zone)]
    if read:
        last = read[-1]
        level = Amount(last.depth_m, "depth", last.resolution_m)
        state = _state(last.depth_m, hole)
        return Standing(state=state, level=level, at=last.at, method=last.method, where=last.where)
    noted = [each for each in hole.fractures if each.static_level_m is not None]
    if not noted:
        return Standing(state="unknown")
    deepest = max(noted, key=lambda each: each.bit_depth_m or each.depth_m or 0.0)
    level_m = deepest.static_level_m or 0.0
    return Standing(
        state=_state(level_m, hole),
        level=Amount(level_m, "depth"),
        where=f"{deepest.where}.static_level",
        while_drilling=True,
    )


def _by_then(level: HoleLevel, hole: HoleOnDay, zone: str | None) -> bool:
    if hole.when is None or level.at is None:
        return True
    if isinstance(level.at, datetime) and isinstance(hole.when, datetime):
        return local_time(level.at, zone) <= local_time(hole.when, zone)
    return local_time(level.at, zone).date() <= local_time(hole.when, zone).date()


def _state(level_m: float, hole: HoleOnDay) -> State:
    if level_m < 0:
        return "flowing"
    if hole.bottom_m is not None and level_m >= hole.bottom_m - SLACK_M:
        return "dry"
    return "standing"
