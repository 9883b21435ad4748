"""A drawing as plain shapes at fixed places, before it is written as SVG; what the geometry tests look at."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from ledgewell.figures.theme import LETTERING, TextStyle
from ledgewell.figures.typeface import ASCENT_EM, DESCENT_EM, LINE_EM, Box, text_width

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points or a closed outline, drawn with one pen; ``tile`` fills it with rock."""

    points: tuple[Point, ...]
    pen: str
    closed: bool = False
    tile: str = ""


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle drawn with one pen."""

    center: Point
    radius: float
    pen: str


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; its baseline begins, is centered or ends ``at``; ``lead`` letters are bold."""

    text: str
    at: Point
    style: TextStyle
    size: float
    anchor: Anchor = "start"
    lead: int = 0

    def box(self) -> Box:
        """Give the room the line takes.

        Returns
        -------
        Box
            Room reserved [drawing units].

        Examples
        --------
        >>> Text("100", (50.0, 20.0), "tick", 10.0, "end").box()
        Box(left=30.92, top=12.0, right=50.0, bottom=22.4)
        """
        bold = LETTERING[self.style].bold
        lead, rest = self.text[: self.lead], self.text[self.lead :]
        width = text_width(lead, self.size, bold=True) + text_width(rest, self.size, bold=bold)
        x, baseline = self.at
        left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]
        return Box(left, baseline - ASCENT_EM * self.size, left + width, baseline + DESCENT_EM * self.size)


Shape = Stroke | Disc | Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A whole drawing: its size, its shapes in painting order, and its words for a screen reader."""

    name: str
    title: str
    description: str
    width: float
    height: float
    shapes: tuple[Shape, ...]
    data: tuple[tuple[str, str], ...] = field(default=())

    def texts(self) -> tuple[Text, ...]:
        """Give every line of text."""
        return tuple(shape for shape in self.shapes if isinstance(shape, Text))


def rectangle(box: Box, pen: str, tile: str = "") -> Stroke:
    """Draw a rectangle.

    Parameters
    ----------
    box
        Its edges.
    pen
        Name of the pen.
    tile
        Rock pattern to fill it with, or none.

    Returns
    -------
    Stroke
        A closed outline.

    Examples
    --------
    >>> rectangle(Box(0, 0, 2, 1), "sheet").points
    ((0, 0), (2, 0), (2, 1), (0, 1))
    """
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    return Stroke(corners, pen, closed=True, tile=tile)


def segment(start: Point, end: Point, pen: str) -> Stroke:
    """Draw a straight line.

    Parameters
    ----------
    start, end
        Its ends.
    pen
        Name of the pen.

    Returns
    -------
    Stroke
        An open line.

    Examples
    --------
    >>> segment((0, 0), (1, 1), "grid").points
    ((0, 0), (1, 1))
    """
    return Stroke((start, end), pen)


def block(lines: tuple[str, ...], left: float, top: float, style: TextStyle, size: float) -> list[Text]:
    """Set lines of text under one another.

    Parameters
    ----------
    lines
        Text, one string a line.
    left, top
        Upper left corner of the block [drawing units].
    style, size
        How it is set.

    Returns
    -------
    list of Text
        The lines; the block is ``block_height(len(lines), size)`` high.

    Examples
    --------
    >>> [line.at for line in block(("a", "b"), 0.0, 0.0, "note", 10.0)]
    [(0.0, 9.200000000000001), (0.0, 22.0)]
    """
    # The first baseline leaves half the leading above the letters.
    first = top + (ASCENT_EM + (LINE_EM - ASCENT_EM - DESCENT_EM) / 2) * size
    return [
        Text(line, (left, first + index * LINE_EM * size), style, size) for index, line in enumerate(lines)
    ]


def block_height(lines: int, size: float) -> float:
    """Give the height of lines of text under one another.

    Parameters
    ----------
    lines
        How many.
    size
        Font size [drawing units].

    Returns
    -------
    float
        Height [drawing units].

    Examples
    --------
    >>> block_height(2, 10.0)
    25.6
    """
    return lines * LINE_EM * size


def number(value: float) -> str:
    """Write a coordinate the same way every time.

    Parameters
    ----------
    value
        Coordinate [drawing units].

    Returns
    -------
    str
        At most two decimals, no trailing zeros, never ``-0``.

    Raises
    ------
    ValueError
        When it is no finite number.

    Examples
    --------
    >>> number(3.14159), number(2.0), number(-0.001)
    ('3.14', '2', '0')
    """
    if not math.isfinite(value):
        raise ValueError(f"a coordinate is {value!r}; it must be finite")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
