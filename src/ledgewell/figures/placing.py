"""Labels put where they fit: inside the plot, apart from each other, and off the data when there is room."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from ledgewell.figures.canvas import Anchor, Point, Text
from ledgewell.figures.theme import TextStyle
from ledgewell.figures.typeface import ASCENT_EM, DESCENT_EM, Box, text_width

LABEL_GAP = 3.0
INK_PITCH = 5.0
REACHES = (8.0, 16.0, 28.0, 44.0)
"""Distances from a point at which a label for it is tried [drawing units]."""

Place = tuple[Point, Anchor]


@dataclass(slots=True)
class Placer:
    """What is already on a plot, and how to find room beside it.

    Parameters
    ----------
    bounds
        Labels stay inside.
    taken
        Boxes of labels already placed; never overlapped.
    ink
        Points of drawn marks; covered as little as can be.
    """

    bounds: Box
    taken: list[Box] = field(default_factory=list)
    ink: list[Point] = field(default_factory=list)

    def add_path(self, points: Sequence[Point]) -> None:
        """Remember a drawn line as points at a short pitch.

        Parameters
        ----------
        points
            Its corners [drawing units].

        Examples
        --------
        >>> placer = Placer(Box(0.0, 0.0, 100.0, 100.0))
        >>> placer.add_path([(0.0, 0.0), (10.0, 0.0)])
        >>> len(placer.ink)
        4
        """
        self.ink.extend(points)
        for (x0, y0), (x1, y1) in pairwise(points):
            pieces = int(math.hypot(x1 - x0, y1 - y0) / INK_PITCH)
            shares = [index / (pieces + 1) for index in range(1, pieces + 1)]
            self.ink.extend((x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in shares)

    def place(self, text: str, places: Iterable[Place], style: TextStyle, size: float) -> Text | None:
        """Set a label at the best of several places.

        Parameters
        ----------
        text
            One line.
        places
            Baseline points with their anchors, the best liked first.
        style, size
            How it is set.

        Returns
        -------
        Text or None
            The label, now remembered as taken; None when no place is free.

        Examples
        --------
        >>> placer = Placer(Box(0.0, 0.0, 100.0, 100.0))
        >>> placer.place("static", [((5.0, 50.0), "start")], "label", 10.0).at
        (5.0, 50.0)
        >>> placer.place("again", [((5.0, 50.0), "start")], "label", 10.0) is None
        True
        """
        best: tuple[int, int, Text, Box] | None = None
        for rank, (at, anchor) in enumerate(places):
            label = Text(text, at, style, size, anchor)
            box = label.box()
            if not box.inside(self.bounds) or any(box.overlaps(other, LABEL_GAP) for other in self.taken):
                continue
            covered = self._covered(box)
            if best is None or (covered, rank) < best[:2]:
                best = (covered, rank, label, box)
            if covered == 0:
                break
        if best is None:
            return None
        self.taken.append(best[3])
        return best[2]

    def _covered(self, box: Box) -> int:
        return sum(1 for x, y in self.ink if box.left <= x <= box.right and box.top <= y <= box.bottom)


def places_around(point: Point, size: float) -> list[Place]:
    """List places for a label around a point, near ones first.

    Parameters
    ----------
    point
        What the label belongs to [drawing units].
    size
        Font size [drawing units].

    Returns
    -------
    list of (point, anchor)
        Right, left, above and below, at growing distance.

    Examples
    --------
    >>> places_around((0.0, 0.0), 10.0)[0]
    ((8.0, 2.8000000000000003), 'start')
    """
    x, y = point
    center = (ASCENT_EM - DESCENT_EM) / 2 * size
    places: list[Place] = []
    for reach in REACHES:
        above, below = y - reach - DESCENT_EM * size, y + reach + ASCENT_EM * size
        places += [
            ((x + reach, y + center), "start"),
            ((x - reach, y + center), "end"),
            ((x, above), "middle"),
            ((x, below), "middle"),
            ((x + reach, above), "start"),
            ((x + reach, below), "start"),
            ((x - reach, above), "end"),
            ((x - reach, below), "end"),
        ]
    return places


def places_along_row(box: Box, y: float, size: float) -> list[Place]:
    """List places for a label above and below a level line across a plot.

    Parameters
    ----------
    box
        The plot.
    y
        Height of the line [drawing units].
    size
        Font size [drawing units].

    Returns
    -------
    list of (point, anchor)
        At the right end, the left end, then between.

    Examples
    --------
    >>> places_along_row(Box(0, 0, 100, 100), 50.0, 10.0)[0]
    ((94, 43.6), 'end')
    """
    above, below = y - 4.0 - DESCENT_EM * size, y + 4.0 + ASCENT_EM * size
    left, right = box.left + 6, box.right - 6
    places: list[Place] = []
    for row in (above, below):
        places += [((right, row), "end"), ((left, row), "start")]
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        x = left + share * (right - left)
        places += [((x, above), "middle"), ((x, below), "middle")]
    return places


def places_along_column(box: Box, x: float, size: float) -> list[Place]:
    """List places for a label beside an upright line across a plot.

    Parameters
    ----------
    box
        The plot.
    x
        Place of the line [drawing units].
    size
        Font size [drawing units].

    Returns
    -------
    list of (point, anchor)
        To the right and the left, from the top down.

    Examples
    --------
    >>> places_along_column(Box(0, 0, 100, 100), 50.0, 10.0)[0]
    ((55.0, 14.0), 'start')
    """
    places: list[Place] = []
    row = box.top + 6 + ASCENT_EM * size
    while row <= box.bottom - 4 - DESCENT_EM * size:
        places += [((x + 5, row), "start"), ((x - 5, row), "end")]
        row += size * 1.3
    return places


def places_inside(box: Box, size: float) -> list[Place]:
    """List places for a label inside a stretch of a plot, from its middle outward.

    Parameters
    ----------
    box
        The stretch.
    size
        Font size [drawing units].

    Returns
    -------
    list of (point, anchor)
        Centered in rows, middle rows first; the label may be wider than a narrow stretch.

    Examples
    --------
    >>> places_inside(Box(0, 0, 100, 20), 10.0)
    [((50.0, 12.8), 'middle'), ((6, 12.8), 'start'), ((94, 12.8), 'end')]
    """
    middle_x = (box.left + box.right) / 2
    center = (ASCENT_EM - DESCENT_EM) / 2 * size
    middle_y = (box.top + box.bottom) / 2 + center
    pitch = size * 1.3
    rows = int((box.bottom - box.top) / 2 / pitch)
    places: list[Place] = []
    for index in range(rows + 1):
        for sign in (-1, 1) if index else (1,):
            y = middle_y + sign * index * pitch
            places += [((middle_x, y), "middle"), ((box.left + 6, y), "start"), ((box.right - 6, y), "end")]
    return places


def fit_text(text: str, size: float, width: float) -> str:
    """Shorten a label that is too long for its room, ending it in an ellipsis.

    Parameters
    ----------
    text
        One line.
    size
        Font size [drawing units].
    width
        Room [drawing units].

    Returns
    -------
    str
        The text, or as much of its beginning as fits.

    Examples
    --------
    >>> fit_text("after stimulation", 10.0, 60.0)
    'after stim…'
    """
    if text_width(text, size) <= width:
        return text
    kept = text
    while kept and text_width(kept + "…", size) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"
