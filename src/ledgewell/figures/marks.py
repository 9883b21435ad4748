"""What a chart shows inside a panel: measured points, lines, bands, single estimates, limits and notes.

Every number is in the unit of the axis it belongs to. ``along`` names the axis a band or estimate stands on:
a band along ``x`` has its low and high on the vertical axis, one along ``y`` on the horizontal axis.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from ledgewell.errors import InputError, Problem
from ledgewell.figures.columns import Numbers, check_columns, check_order

Direction = Literal["x", "y"]
Ink = Literal["ink", "water", "clay"]
"""Which of three voices draws it: ink for what was measured, water for the engine (and "after"),
clay for what it is set against ("before", a derivative)."""
Marker = Literal["ring", "dot", "square", "triangle", "cross", "deeper"]
"""``deeper`` is an arrow down: the level was at least that deep."""
Status = Literal["computed", "modelled", "untested", "projection"]
"""``computed`` follows from what is known (a volume, a set rate); ``modelled`` from a fit within the test;
``untested`` lies below the deepest level tested; ``projection`` beyond ten times the test."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """Measured points; with ``stem`` each is tied to that base value by a thin line."""

    name: str
    x: Numbers
    y: Numbers
    marker: Marker = "ring"
    ink: Ink = "ink"
    stem: float | None = None

    def __post_init__(self) -> None:
        check_columns(self.name, x=self.x, y=self.y)

    def positions(self) -> Iterator[tuple[float, float]]:
        """Give every position the mark takes up, as (x, y)."""
        yield from zip(self.x, self.y, strict=True)
        if self.stem is not None:
            yield from ((x, self.stem) for x in self.x)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line through positions in order; ``stairs`` holds each value until the next position."""

    name: str
    x: Numbers
    y: Numbers
    status: Status = "modelled"
    ink: Ink = "water"
    stairs: Direction | None = None

    def __post_init__(self) -> None:
        check_columns(self.name, x=self.x, y=self.y)

    def positions(self) -> Iterator[tuple[float, float]]:
        """Give every position the mark takes up, as (x, y)."""
        yield from zip(self.x, self.y, strict=True)

    def corners(self) -> tuple[tuple[float, float], ...]:
        """Give the corners to join, with the treads of stairs put in.

        Returns
        -------
        tuple of (float, float)
            Positions in drawing order.

        Examples
        --------
        >>> Line(name="rate", x=(0.0, 5.0), y=(7.0, 0.0), stairs="x").corners()
        ((0.0, 7.0), (5.0, 7.0), (5.0, 0.0))
        """
        plain = tuple(zip(self.x, self.y, strict=True))
        if self.stairs is None or not plain:
            return plain
        corners = [plain[0]]
        for (x, y), (next_x, next_y) in pairwise(plain):
            corners.append((next_x, y) if self.stairs == "x" else (x, next_y))
            corners.append((next_x, next_y))
        return tuple(corners)


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A band between low and high at positions along one axis, and the share of chance it holds."""

    name: str
    along: Direction
    at: Numbers
    low: Numbers
    high: Numbers
    probability: float | None = None
    status: Status = "modelled"
    ink: Ink = "water"

    def __post_init__(self) -> None:
        check_columns(self.name, at=self.at, low=self.low, high=self.high)
        check_order(self.name, low=self.low, high=self.high)

    def positions(self) -> Iterator[tuple[float, float]]:
        """Give the corners of the band's polygon, as (x, y): out along low, back along high."""
        out = zip(self.at, self.low, strict=True)
        back = zip(reversed(self.at), reversed(self.high), strict=True)
        for at, value in (*out, *back):
            yield (at, value) if self.along == "x" else (value, at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimates:
    """Single estimates, each with its band, standing at positions along one axis; ``labels`` may be empty."""

    name: str
    along: Direction
    at: Numbers
    low: Numbers
    mid: Numbers
    high: Numbers
    labels: tuple[str, ...] = ()
    probability: float | None = None
    status: Status = "modelled"
    ink: Ink = "water"

    def __post_init__(self) -> None:
        check_columns(self.name, at=self.at, low=self.low, mid=self.mid, high=self.high)
        check_order(self.name, low=self.low, mid=self.mid, high=self.high)
        if self.labels and len(self.labels) != len(self.at):
            raise _problem(
                self.name, f"{len(self.labels)} labels", "a label is missing or left over", "one each"
            )

    def positions(self) -> Iterator[tuple[float, float]]:
        """Give low, middle and high of each estimate, as (x, y)."""
        for at, low, mid, high in zip(self.at, self.low, self.mid, self.high, strict=True):
            for value in (low, mid, high):
                yield (at, value) if self.along == "x" else (value, at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A line across the panel at one value of an axis, with its name; faint for a fracture."""

    axis: Direction
    value: float
    label: str
    faint: bool = False

    def __post_init__(self) -> None:
        check_columns(self.label, value=(self.value,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A hatched stretch of an axis where something else holds, with its name: not tested, projection."""

    axis: Direction
    low: float
    high: float
    label: str

    def __post_init__(self) -> None:
        check_columns(self.label, low=(self.low,), high=(self.high,))
        check_order(self.label, low=(self.low,), high=(self.high,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Annotation:
    """A few words at a position."""

    x: float
    y: float
    text: str

    def __post_init__(self) -> None:
        check_columns(self.text, x=(self.x,), y=(self.y,))

    def positions(self) -> Iterator[tuple[float, float]]:
        """Give the position, as (x, y)."""
        yield (self.x, self.y)


Mark = Points | Line | Band | Estimates | Limit | Region | Annotation


def _problem(name: str, given: str, say: str, right: str) -> InputError:
    return InputError([Problem(where=name, given=given, say=say, right=right)])
