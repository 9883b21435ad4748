"""Flow by depth from what was blown while drilling: totals with the bit at a depth, and what each stretch added."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from ledgewell.record import HoleFracture
from ledgewell.steps.findings import Amount, JsonTable, Warned, phrase
from ledgewell.steps.hole.shape import SLACK_M
from ledgewell.units import System

CAVEAT = Warned(
    "fracture",
    "flows blown by air are rough: air holds water back, weak zones can be masked, and the first minutes empty "
    "the hole; only a yield test proves a flow (common practice, no source)",
)
"""Stands beside every flow by depth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blown:
    """The total flow blown with the bit at one depth, and what was gained since the depth before.

    Parameters
    ----------
    bit_depth_m
        Depth of the bit [m].
    above_m
        Depth of the bit at the note before [m]; 0 for the first.
    total_m3s
        Flow of all the hole above the bit [m³/s].
    gain_m3s
        Total less the total before [m³/s]; below zero where the totals fall.
    where
        Place in the record.
    bit_assumed
        Whether the bit's depth was not written down and the fracture's own is taken.
    """

    bit_depth_m: float
    above_m: float
    total_m3s: float
    gain_m3s: float
    where: str
    bit_assumed: bool = False

    @property
    def falls(self) -> bool:
        """Whether less was blown than with the bit higher up."""
        return self.gain_m3s < 0

    def to_json(self, system: System) -> JsonTable:
        """Write it as a JSON object.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"bit_depth", "above", "total", "gain", "falls", "where"}``.
        """
        return {
            "bit_depth": Amount(self.bit_depth_m, "depth").to_json(system),
            "above": Amount(self.above_m, "depth").to_json(system),
            "total": Amount(self.total_m3s, "flow").to_json(system),
            "gain": Amount(self.gain_m3s, "flow").to_json(system),
            "falls": self.falls,
            "where": self.where,
        }


def blown_by_depth(fractures: Iterable[HoleFracture]) -> tuple[Blown, ...]:
    """Order airlift notes by depth of the bit and take the gain of each.

    Parameters
    ----------
    fractures
        Fractures with their notes; those without a flow, or without any depth, are left out.

    Returns
    -------
    tuple of Blown
        From the top down, one for each depth of the bit. Where two notes share a depth the larger total counts.

    Notes
    -----
    gain = total with the bit here − total with the bit at the note above. Source: common practice, no source.

    Examples
    --------
    >>> from ledgewell.record import hole_on, read_well
    >>> well = read_well('''
    ... format = 1
    ... units = "us"
    ... fracture = [{depth = 120, airlift = 1, bit_depth = 140}, {depth = 250, airlift = 4, bit_depth = 260}]
    ... ''')
    >>> [round(each.gain_m3s * 15850.323) for each in blown_by_depth(hole_on(well).fractures)]  # gpm
    [1, 3]
    """
    notes = sorted((note for each in fractures if (note := _note(each)) is not None), key=lambda n: n[0])
    found: list[Blown] = []
    for _, group in groupby(notes, key=lambda note: round(note[0] / SLACK_M)):
        depth_m, total_m3s, where, assumed = max(group, key=lambda note: note[1])
        before = found[-1] if found else None
        found.append(
            Blown(
                bit_depth_m=depth_m,
                above_m=before.bit_depth_m if before else 0.0,
                total_m3s=total_m3s,
                gain_m3s=total_m3s - (before.total_m3s if before else 0.0),
                where=where,
                bit_assumed=assumed,
            )
        )
    return tuple(found)


def _note(fracture: HoleFracture) -> tuple[float, float, str, bool] | None:
    """Depth of the bit, total, place, and whether that depth is only assumed; None when nothing was blown."""
    if fracture.airlift_m3s is None:
        return None
    if fracture.bit_depth_m is not None:
        return fracture.bit_depth_m, fracture.airlift_m3s, fracture.where, False
    depth_m = fracture.bottom_m if fracture.bottom_m is not None else fracture.depth_m
    return None if depth_m is None else (depth_m, fracture.airlift_m3s, fracture.where, True)


def airlift_warnings(blown: Iterable[Blown]) -> tuple[Warned, ...]:
    """Say what to be careful about in flows blown while drilling.

    Parameters
    ----------
    blown
        The notes, from the top down.

    Returns
    -------
    tuple of Warned
        The general caution, bits whose depth was assumed, and totals that fall; none without a note.

    Examples
    --------
    >>> airlift_warnings(())
    ()
    """
    noted = tuple(blown)
    found = [CAVEAT] if noted else []
    for each in noted:
        if each.bit_assumed:
            say = "how deep the bit was is not recorded; the fracture's own depth, {depth}, is taken"
            found.append(
                Warned(f"{each.where}.bit_depth", phrase(say, depth=Amount(each.bit_depth_m, "depth")))
            )
        if each.falls:
            say = (
                "{less} less was blown with the bit here, at {depth}, than above it: the totals do not add up"
            )
            amounts = {"less": Amount(-each.gain_m3s, "flow"), "depth": Amount(each.bit_depth_m, "depth")}
            found.append(Warned(f"{each.where}.airlift", phrase(say, **amounts)))
    return tuple(found)
