"""The findings of the hole step: what the hole is, its water, where flow came in, what is missing or odd."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from ledgewell.record import HoleOnDay, Well, hole_on
from ledgewell.steps.findings import (
    Amount,
    Estimate,
    JsonTable,
    Warned,
    Working,
    answer_head,
    cited_sources,
    text_table,
)
from ledgewell.steps.hole.airlift import Blown, airlift_warnings, blown_by_depth
from ledgewell.steps.hole.missing import contradictions_in, missing_from
from ledgewell.steps.hole.sentence import (
    airlift_words,
    doubt_words,
    hole_top_m,
    hole_words,
    stored_now,
    water_top_m,
    water_words,
)
from ledgewell.steps.hole.shape import HoleInside, inside_of
from ledgewell.steps.hole.standing import Standing, standing_water
from ledgewell.steps.hole.stored import StoredRow, stored_rows
from ledgewell.steps.hole.widths import Length, lengths_of
from ledgewell.steps.hole.working import hole_workings
from ledgewell.units import System


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFindings:
    """What the hole step answers.

    Parameters
    ----------
    well
        The record.
    hole
        The hole as it stood on the day asked.
    inside
        Its free inside as the physics knows it.
    standing
        The water in it.
    stored
        Water stored below the level, or None when a level or a width is not known.
    lengths
        Lengths of one width, with what each holds.
    airlift
        Flows blown while drilling, by depth of the bit.
    missing
        What is not known.
    contradictions
        What does not fit together or had to be assumed.
    warnings
        What to be careful about in the figures themselves.
    """

    well: Well
    hole: HoleOnDay
    inside: HoleInside
    standing: Standing
    stored: Estimate | None
    lengths: tuple[Length, ...]
    airlift: tuple[Blown, ...]
    missing: tuple[Warned, ...]
    contradictions: tuple[Warned, ...]
    warnings: tuple[Warned, ...]

    def sentence(self, system: System) -> str:
        """Answer in one plain paragraph.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
        """
        parts = (
            hole_words(self.hole, self.lengths, system),
            water_words(self.inside, self.standing, system),
            airlift_words(self.airlift, system),
            doubt_words(self.missing, self.contradictions),
        )
        return " ".join(part for part in parts if part)

    def stored_rows(self, system: System) -> tuple[StoredRow, ...]:
        """Tabulate stored water by depth, from the level down, or from the top when no level is known.

        Parameters
        ----------
        system
            Unit system in which the depths are round.

        Returns
        -------
        tuple of StoredRow
            From where the hole is known without a break.
        """
        shape = self.inside.shape
        if shape is None or self.standing.state == "dry":
            return ()
        top_m = water_top_m(self.inside, self.standing)
        top_m = hole_top_m(self.inside) if top_m is None else top_m
        return stored_rows(shape, max([top_m, *(each.bottom_m for each in self.inside.unknown)]), system)

    @property
    def workings(self) -> tuple[Working, ...]:
        """How each figure was computed."""
        return hole_workings(self.standing, self.stored, self.lengths, self.airlift, self.hole)

    def working_lines(self, system: System) -> tuple[str, ...]:
        """Write the working for reading.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        tuple of str
        """
        return tuple(line for each in self.workings for line in each.lines(system))

    def to_json(self, system: System) -> JsonTable:
        """Write everything as a JSON object, numbers not rounded.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
        """
        hole = self.hole
        depths = {"bottom": hole.bottom_m, "shoe": hole.shoe_m, "stickup": hole.stickup_m}
        return {
            **answer_head(self.well),
            "well": self.well.well.name,
            "say": self.sentence(system),
            "on": hole.when.isoformat() if hole.when is not None else None,
            **{name: _depth(depth_m, system) for name, depth_m in depths.items()},
            "standing": self.standing.to_json(system),
            "stored": self.stored.to_json(system) if self.stored is not None else None,
            "lengths": [each.to_json(system) for each in self.lengths],
            "stored_by_depth": [each.to_json(system) for each in self.stored_rows(system)],
            "airlift": [each.to_json(system) for each in self.airlift],
            "missing": [each.to_json(system) for each in self.missing],
            "contradictions": [each.to_json(system) for each in self.contradictions],
            "warnings": [each.to_json(system) for each in self.warnings],
            "working": [each.to_json(system) for each in self.workings],
            "sources": cited_sources(each.source for each in self.workings),
        }

    def say(self, system: System) -> str:
        """Write the answer for a terminal: the sentence, then tables and what to look at.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        str
            Lines of plain text.
        """
        return "\n".join([self.sentence(system), *self._sections(system)])

    def _sections(self, system: System) -> Iterator[str]:
        yield from _section("Depth to water at rest", _indented(self.standing.line(system)))
        yield from _section("The hole, in depths below the measuring point", self._length_table(system))
        yield from _section("Stored water", self._stored_table(system))
        yield from _section("Flow by depth, blown by air while drilling", self._airlift_table(system))
        yield from _section("Not known", _warned_lines(self.missing, system))
        yield from _section("Does not fit, or was assumed", _warned_lines(self.contradictions, system))
        yield from _section("Take care", _warned_lines(self.warnings, system))

    def _length_table(self, system: System) -> tuple[str, ...]:
        rows = [
            (
                each.top.show(system),
                each.bottom.show(system),
                each.inside_text(system) or "not known",
                each.holds.show(system) if each.holds is not None else "",
                each.words,
            )
            for each in self.lengths
        ]
        return text_table(("from", "to", "inside", "holds", ""), rows)

    def _stored_table(self, system: System) -> tuple[str, ...]:
        level = self.standing.level
        rows = [
            (
                (level if level is not None and each.depth.si == level.si else each.depth).show(system),
                each.above.show(system),
                each.below.show(system),
            )
            for each in self.stored_rows(system)
        ]
        return text_table(("level at", "taken out", "left"), rows)

    def _airlift_table(self, system: System) -> tuple[str, ...]:
        rows = [
            (
                Amount(each.bit_depth_m, "depth").show(system),
                Amount(each.total_m3s, "flow").show(system),
                Amount(each.gain_m3s, "flow").show(system),
                "falls" if each.falls else "",
            )
            for each in self.airlift
        ]
        return text_table(("bit at", "total", "gained", ""), rows)


def _depth(depth_m: float | None, system: System) -> JsonTable | None:
    return Amount(depth_m, "depth").to_json(system) if depth_m is not None else None


def _section(title: str, lines: tuple[str, ...]) -> tuple[str, ...]:
    return ("", title, *lines) if lines else ()


def _indented(line: str) -> tuple[str, ...]:
    return (f"  {line}",) if line else ()


def _warned_lines(warned: tuple[Warned, ...], system: System) -> tuple[str, ...]:
    return tuple(f"  {each.where}: {each.text(system)}" for each in warned)


def describe_hole(well: Well, *, when: date | datetime | None = None) -> HoleFindings:
    """Describe a hole: its shape, the water in it, where flow came in, what is missing and what does not fit.

    Parameters
    ----------
    well
        The record.
    when
        Day, or day and time; None for the present, after every change.

    Returns
    -------
    HoleFindings
        For any record that can be read; what it does not tell is among `missing`.

    Examples
    --------
    >>> from ledgewell.record import read_well
    >>> well = read_well('''
    ... format = 1
    ... units = "us"
    ... casing = [{top = 0, bottom = 40, inside_diameter = 6.065, annulus = "sealed"}]
    ... bore = [{top = 40, bottom = 400, diameter = "6 1/4 in"}]
    ... level = [{at = 2026-09-14, depth = 38.5}]
    ... ''')
    >>> describe_hole(well).sentence("us")[:97]
    '400 ft hole, 6 1/4 in below 40 ft of casing. Water stands at 38.5 ft: 580 gal (550 to 610) stored'
    """
    hole = hole_on(well, when)
    inside = inside_of(hole)
    standing = standing_water(hole, well.well.zone)
    airlift = blown_by_depth(hole.fractures)
    contradictions = contradictions_in(well, hole, inside)
    asked = {each.where for each in contradictions}
    return HoleFindings(
        well=well,
        hole=hole,
        inside=inside,
        standing=standing,
        stored=stored_now(inside, standing),
        lengths=lengths_of(well, hole, inside),
        airlift=airlift,
        missing=missing_from(well, hole, inside, standing),
        contradictions=contradictions,
        warnings=tuple(each for each in airlift_warnings(airlift) if each.where not in asked),
    )
