"""What the section of a hole shows, in SI: the one thing its drawing on screen and paper is made from."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ledgewell.errors import InputError, Problem

Datum = Literal["ground", "measuring point"]
CasingKind = Literal["casing", "liner", "screen"]
Annulus = Literal["sealed", "open", "unknown"]
LevelKind = Literal["static", "pumping"]
LEAST_EXTENT_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionCasing:
    """A string of casing, a liner or a screen; a diameter may be unknown."""

    top_m: float
    bottom_m: float
    inside_diameter_m: float | None = None
    outside_diameter_m: float | None = None
    kind: CasingKind = "casing"
    shoe: bool = False
    annulus: Annulus = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionBore:
    """A stretch of bore; its diameter may be unknown."""

    top_m: float
    bottom_m: float
    diameter_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionStratum:
    """A stratum: its rock in words, and its FGDC pattern code when one was given."""

    top_m: float
    bottom_m: float
    rock: str = ""
    symbol: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionFracture:
    """A fracture or fractured zone, and the total flow blown by air with the bit at a depth."""

    top_m: float
    bottom_m: float
    airlift_m3s: float | None = None
    bit_depth_m: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionCamera:
    """What a camera saw at a depth or over a stretch."""

    top_m: float
    bottom_m: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSeat:
    """A place where a packer was or may be set."""

    top_m: float
    length_m: float | None = None
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionLevel:
    """A level of the water."""

    depth_m: float
    kind: LevelKind
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPump:
    """The pump hung in the hole, and its drop pipe; dimensions may be unknown."""

    intake_m: float
    diameter_m: float | None = None
    length_m: float | None = None
    pipe_outside_diameter_m: float | None = None
    label: str = ""


Part = (
    SectionCasing
    | SectionBore
    | SectionStratum
    | SectionFracture
    | SectionCamera
    | SectionSeat
    | SectionLevel
    | SectionPump
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSpec:
    """The hole in section.

    Parameters
    ----------
    title, sentence, caption, source_note, notice
        Words around the drawing; any may be empty, the title then being the plain one.
    datum
        What depths are measured from.
    ground_m
        Depth of the ground surface below the datum [m]; the stickup when depths run from the measuring point.
    bottom_m
        Depth of the hole [m], when known.
    casings, bores, strata, fractures, cameras, seats, levels
        What is in the hole and beside it; any may be empty.
    pump
        The pump, when one hangs in the hole.

    Raises
    ------
    InputError
        When a depth is no finite number, a bottom lies above its top, or a diameter is not above zero. What
        merely contradicts something else is drawn as recorded.

    Examples
    --------
    >>> bore = SectionBore(top_m=0.0, bottom_m=154.0, diameter_m=0.159)
    >>> SectionSpec(bottom_m=154.0, bores=(bore,)).extent_m()
    (0.0, 154.0)
    """

    title: str = ""
    sentence: str = ""
    caption: str = ""
    source_note: str = ""
    notice: str = ""
    datum: Datum = "measuring point"
    ground_m: float = 0.0
    bottom_m: float | None = None
    casings: tuple[SectionCasing, ...] = ()
    bores: tuple[SectionBore, ...] = ()
    strata: tuple[SectionStratum, ...] = ()
    fractures: tuple[SectionFracture, ...] = ()
    cameras: tuple[SectionCamera, ...] = ()
    seats: tuple[SectionSeat, ...] = ()
    levels: tuple[SectionLevel, ...] = ()
    pump: SectionPump | None = None

    def __post_init__(self) -> None:
        problems = [problem for where, part in self._parts() for problem in _problems(where, part)]
        for name, value in (("ground_m", self.ground_m), ("bottom_m", self.bottom_m)):
            if value is not None and not math.isfinite(value):
                problems.append(_problem(name, value, "not a finite number", "a depth in meters"))
        if problems:
            raise InputError(problems)

    def _parts(self) -> Iterator[tuple[str, Part]]:
        for name in ("casings", "bores", "strata", "fractures", "cameras", "seats", "levels"):
            for index, part in enumerate(getattr(self, name)):
                yield f"{name}[{index}]", part
        if self.pump is not None:
            yield "pump", self.pump

    def extent_m(self) -> tuple[float, float]:
        """Give the shallowest and the deepest depth of anything to be drawn.

        Returns
        -------
        tuple of float
            Top and bottom [m], at least a meter apart even when nothing is recorded.

        Examples
        --------
        >>> SectionSpec(ground_m=0.5, bottom_m=30.0).extent_m()
        (0.0, 30.0)
        """
        depths = [0.0, self.ground_m]
        depths += [] if self.bottom_m is None else [self.bottom_m]
        for _, part in self._parts():
            names = ("top_m", "bottom_m", "depth_m", "intake_m")
            depths += [value for name in names if (value := getattr(part, name, None)) is not None]
        top, bottom = min(depths), max(depths)
        return top, max(bottom, top + LEAST_EXTENT_M)

    def depth_m(self) -> float:
        """Give the depth of the hole: as recorded, else of the deepest bore or casing [m].

        Returns
        -------
        float
            Depth [m].

        Examples
        --------
        >>> SectionSpec(bores=(SectionBore(top_m=0.0, bottom_m=44.0),)).depth_m()
        44.0
        """
        if self.bottom_m is not None:
            return self.bottom_m
        deepest = [*(bore.bottom_m for bore in self.bores), *(casing.bottom_m for casing in self.casings)]
        return max(deepest, default=self.extent_m()[1])


def _problems(where: str, part: Part) -> list[Problem]:
    problems = []
    values = {
        field.name: getattr(part, field.name)
        for field in dataclasses.fields(part)
        if field.name.endswith(("_m", "_m3s"))
    }
    for name, value in values.items():
        if value is not None and not math.isfinite(value):
            problems.append(_problem(f"{where}.{name}", value, "not a finite number", "a number in SI units"))
        elif value is not None and name.endswith(("diameter_m", "length_m")) and not value > 0:
            problems.append(
                _problem(f"{where}.{name}", value, "not above zero", "a length above zero, or nothing")
            )
    top, bottom = values.get("top_m"), values.get("bottom_m")
    if top is not None and bottom is not None and bottom < top:
        problems.append(_problem(f"{where}.bottom_m", bottom, "lies above the top", f"{top!r} or deeper"))
    return problems


def _problem(where: str, given: float, say: str, right: str) -> Problem:
    return Problem(where=where, given=repr(given), say=say, right=right)
