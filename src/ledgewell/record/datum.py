"""Dates and depths on one footing: what was so on a day, and meters below the measuring point."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo

from ledgewell.record.well import Well
from ledgewell.units import Quantity

Occasion = date | datetime | None


class Dated(Protocol):
    """Anything that was so from one day until another."""

    @property
    def since(self) -> Occasion:
        """Day or moment from which it was so."""

    @property
    def until(self) -> Occasion:
        """Day or moment until which it was so."""


DatedItem = TypeVar("DatedItem", bound=Dated)


def local_time(moment: date | datetime, zone: str | None) -> datetime:
    """Bring a day, or a day and time, to the well's local clock.

    Parameters
    ----------
    moment
        A day counts from its first minute.
    zone
        IANA zone of the well, or None.

    Returns
    -------
    datetime
        Without an offset.

    Examples
    --------
    >>> local_time(date(2026, 9, 14), None)
    datetime.datetime(2026, 9, 14, 0, 0)
    """
    if not isinstance(moment, datetime):
        return datetime(moment.year, moment.month, moment.day)
    if moment.tzinfo is not None and zone is not None:
        moment = moment.astimezone(ZoneInfo(zone))
    return moment.replace(tzinfo=None)


def in_effect(item: Dated, when: Occasion, zone: str | None) -> bool:
    """Tell whether something was so on a day.

    Parameters
    ----------
    item
        Anything with `since` and `until`.
    when
        The day or moment; None for the present, after every change.
    zone
        IANA zone of the well, or None.

    Returns
    -------
    bool
        True from `since` on and before `until`.

    Examples
    --------
    >>> from ledgewell.record.supply import Pipe
    >>> in_effect(Pipe(since=date(2026, 9, 14)), date(2026, 9, 13), None)
    False
    """
    if when is None:
        return item.until is None
    now = local_time(when, zone)
    begun = item.since is None or local_time(item.since, zone) <= now
    return begun and (item.until is None or now < local_time(item.until, zone))


def latest(items: Iterable[DatedItem], zone: str | None) -> DatedItem | None:
    """Choose the one that began last.

    Parameters
    ----------
    items
        Things that were so at the same time.
    zone
        IANA zone of the well, or None.

    Returns
    -------
    Dated or None

    Examples
    --------
    >>> from ledgewell.record.supply import Pipe
    >>> latest([Pipe(size="1"), Pipe(size="2", since=date(2026, 9, 14))], None).size
    '2'
    """
    return max(
        items,
        key=lambda item: datetime.min if item.since is None else local_time(item.since, zone),
        default=None,
    )


@dataclass(frozen=True, slots=True)
class Datum:
    """Turns depths as recorded into meters below the measuring point of one day.

    Parameters
    ----------
    well
        The record.
    when
        The day or moment whose measuring point counts; None for the present.
    """

    well: Well
    when: Occasion

    def stickup_m(self, at: Occasion) -> float | None:
        """Find the height of the measuring point above ground.

        Parameters
        ----------
        at
            Day or moment; None for the present.

        Returns
        -------
        float or None
            Height [m]; None when nobody wrote it down.

        Examples
        --------
        >>> Datum(Well(), None).stickup_m(None) is None
        True
        """
        zone = self.well.well.zone
        point = latest([p for p in self.well.measuring_points if in_effect(p, at, zone)], zone)
        stickup = point.stickup if point is not None else self.well.well.stickup
        return stickup.si if stickup is not None else None

    def from_ground(self, said: str | None) -> bool:
        """Tell whether a table's depths are from ground.

        Parameters
        ----------
        said
            The table's own `depths_from`, or None.

        Returns
        -------
        bool

        Examples
        --------
        >>> Datum(Well(), None).from_ground("ground")
        True
        """
        return (said or self.well.well.depths_from or "measuring point") == "ground"

    def depth_m(self, depth: Quantity | None, said: str | None = None, at: Occasion = None) -> float | None:
        """Convert a depth to meters below the measuring point.

        Parameters
        ----------
        depth
            The depth as recorded, or None.
        said
            The table's own `depths_from`, or None.
        at
            When it was measured; None for as long as the record goes back.

        Returns
        -------
        float or None
            Depth below the measuring point [m]; a stickup nobody wrote down counts as zero.

        Notes
        -----
        Depth below the measuring point is depth below ground plus the stickup.

        Examples
        --------
        >>> from ledgewell.units import parse_quantity
        >>> from ledgewell.record.construction import Site
        >>> well = Well(well=Site(stickup=parse_quantity("0.5 m", "height")))
        >>> Datum(well, None).depth_m(parse_quantity("10 m", "depth"), "ground")
        10.5
        """
        if depth is None:
            return None
        here = self.stickup_m(self.when) or 0.0
        if self.from_ground(said):
            return depth.si + here
        site = self.well.well.stickup
        there = self.stickup_m(at) if at is not None else (site.si if site is not None else None)
        if at is None and not self.well.measuring_points:
            return depth.si
        return depth.si + (here - (there or 0.0))
