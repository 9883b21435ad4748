"""The widths of the hole, as typed where they were typed in the reader's units, and what each length holds."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise

from ledgewell.record import HoleInterval, HoleOnDay, Well
from ledgewell.steps.findings import Amount, JsonTable, Quotient
from ledgewell.steps.hole.shape import SLACK_M, HoleInside, intervals_within, open_annulus_m2
from ledgewell.units import Quantity, System

_PLACE = re.compile(r"(?P<table>bore|casing)\[(?P<index>\d+)\]")
_ENDING = {
    "us": re.compile(r"""(?:\b(?:in|inch|inches|ft|foot|feet)\.?|["'”″′])$"""),
    "si": re.compile(r"(?:mm|cm|m|meters?|metres?)\.?$"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """A length of the hole of one free area.

    Parameters
    ----------
    top, bottom
        Its ends.
    inside
        Inside diameter, or None.
    typed
        That diameter as typed, or None when it was computed.
    holds
        Water in a unit of its length, or None.
    kind
        ``"casing"`` or ``"bore"``.
    open_annulus, pipe
        Whether an open annulus is counted in `holds`, and a drop pipe taken off.
    where
        Place in the record.
    """

    top: Amount
    bottom: Amount
    inside: Amount | None
    typed: str | None
    holds: Quotient | None
    kind: str
    open_annulus: bool
    pipe: bool
    where: str

    @property
    def words(self) -> str:
        """What it is, and what is counted besides the inside."""
        annulus = ", open annulus counted" if self.open_annulus else ""
        return f"{self.kind}{annulus}{', drop pipe taken off' if self.pipe else ''}"

    def inside_text(self, system: System) -> str:
        """Write the inside diameter, as typed where that is in the reader's units.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
            Empty when it is not known.
        """
        if self.inside is None:
            return ""
        return in_readers_units(self.typed, system) or self.inside.show(system)

    def to_json(self, system: System) -> JsonTable:
        """Write it as a JSON object.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"top", "bottom", "kind", "inside_diameter", "holds", "open_annulus", "drop_pipe", "where"}``.
        """
        return {
            "top": self.top.to_json(system),
            "bottom": self.bottom.to_json(system),
            "kind": self.kind,
            "inside_diameter": self.inside.to_json(system) if self.inside is not None else None,
            "holds": self.holds.to_json(system) if self.holds is not None else None,
            "open_annulus": self.open_annulus,
            "drop_pipe": self.pipe,
            "where": self.where,
        }


def in_readers_units(typed: str | None, system: System) -> str | None:
    """Give a typed length back when it ends in a unit of the reader's system.

    Parameters
    ----------
    typed
        Text as typed, or None.
    system
        Unit system.

    Returns
    -------
    str or None

    Examples
    --------
    >>> in_readers_units("6 1/4 in", "us"), in_readers_units("159 mm", "us")
    ('6 1/4 in', None)
    """
    return typed if typed is not None and _ENDING[system].search(typed.casefold()) else None


def lengths_of(well: Well, hole: HoleOnDay, inside: HoleInside) -> tuple[Length, ...]:
    """Cut the hole wherever its free area changes and say what each length holds.

    Parameters
    ----------
    well
        The record.
    hole
        The hole as it stood on a day.
    inside
        What is known of its inside.

    Returns
    -------
    tuple of Length
        From the top down; a length of unknown width holds nothing known.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> from ledgewell.steps.hole.shape import inside_of
    >>> well = read_well('format = 1\\nunits = "us"\\n[[bore]]\\ntop = 0\\nbottom = 400\\ndiameter = "6 1/4 in"')
    >>> [length] = lengths_of(well, hole_on(well), inside_of(hole_on(well)))
    >>> length.inside_text("us"), length.holds.show("us")
    ('6 1/4 in', '1.59 gal/ft')
    """
    found: list[Length] = []
    for interval in intervals_within(hole):
        cuts = [interval.top_m, *_cuts_within(interval, inside), interval.bottom_m]
        for top_m, low_m in pairwise(cuts):
            length = _length(well, interval, inside, top_m, low_m)
            if found and replace(length, top=found[-1].top) == replace(found[-1], bottom=length.bottom):
                length = replace(length, top=found.pop().top)
            found.append(length)
    return tuple(found)


def _cuts_within(interval: HoleInterval, inside: HoleInside) -> list[float]:
    bounds = inside.shape.bounds_m if inside.shape is not None else ()
    return [each for each in bounds if interval.top_m + SLACK_M < each < interval.bottom_m - SLACK_M]


def _length(well: Well, interval: HoleInterval, inside: HoleInside, top_m: float, bottom_m: float) -> Length:
    shape, middle_m = inside.shape, (top_m + bottom_m) / 2
    counted = shape is not None and inside.known_from_m is not None and middle_m > inside.known_from_m
    area_m2 = shape.area_at(middle_m) if shape is not None and counted else None
    typed = typed_diameter(well, interval.where)
    return Length(
        top=Amount(top_m, "depth"),
        bottom=Amount(bottom_m, "depth"),
        inside=Amount(interval.diameter_m, "diameter") if interval.diameter_m is not None else None,
        typed=typed.typed if typed is not None else None,
        holds=Quotient(area_m2, "volume", "depth") if area_m2 is not None else None,
        kind=interval.kind,
        open_annulus=open_annulus_m2(interval) > 0,
        pipe=any(top < middle_m < bottom for top, bottom, _ in inside.hung),
        where=interval.where,
    )


def typed_diameter(well: Well, where: str) -> Quantity | None:
    """Find the inside diameter that was typed for a length of hole.

    Parameters
    ----------
    well
        The record.
    where
        Place of a bore or casing.

    Returns
    -------
    Quantity or None
        None when it was not typed, or follows from outside diameter and wall.

    Examples
    --------
    >>> typed_diameter(Well(), "bore[0]") is None
    True
    """
    place = _PLACE.fullmatch(where)
    if place is None:
        return None
    index = int(place["index"])
    typed = [bore.diameter for bore in well.bores]
    if place["table"] == "casing":
        typed = [casing.inside_diameter for casing in well.casings]
    return typed[index] if index < len(typed) else None
