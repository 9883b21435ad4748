"""The key above a chart: a small sample of each mark with its name."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.figures.canvas import Shape, Stroke, block, block_height, rectangle
from ledgewell.figures.marks import Band, Estimates, Line, Points
from ledgewell.figures.spec import Figure
from ledgewell.figures.strokes import RING, Bar, band_pen, bar_shapes, line_pen, marker_shapes
from ledgewell.figures.typeface import LINE_EM, Box, text_width, wrap_text

Named = Points | Line | Band | Estimates
SAMPLE = 30.0
SAMPLE_GAP = 7.0
ENTRY_GAP = 20.0


@dataclass(frozen=True, slots=True)
class Key:
    """A drawn key and its height."""

    shapes: tuple[Shape, ...]
    height: float


def named_marks(figure: Figure) -> tuple[Named, ...]:
    """List the marks a key must explain, each look and name once.

    Parameters
    ----------
    figure
        The chart.

    Returns
    -------
    tuple
        In order of appearance; marks without a name explain themselves.

    Examples
    --------
    >>> from ledgewell.figures.stored import AirliftByDepth, StoredByDepth, stored_figure
    >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
    >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
    >>> [mark.name for mark in named_marks(figure)]
    ["stored, from the hole's dimensions"]
    """
    seen: dict[tuple[str, ...], Named] = {}
    for panel in figure.panels:
        for mark in panel.marks:
            if isinstance(mark, Points | Line | Band | Estimates) and mark.name:
                style = mark.marker if isinstance(mark, Points) else mark.status
                seen.setdefault((type(mark).__name__, mark.name, style, mark.ink), mark)
    return tuple(seen.values())


def key_of(figure: Figure, left: float, top: float, width: float, size: float) -> Key:
    """Draw the key of a figure in rows that fit a width.

    Parameters
    ----------
    figure
        The chart.
    left, top
        Upper left corner [drawing units].
    width
        Room for a row [drawing units].
    size
        Font size [drawing units].

    Returns
    -------
    Key
        Shapes and height; nothing, zero high, when no mark has a name.

    Examples
    --------
    >>> from ledgewell.figures.stored import AirliftByDepth, StoredByDepth, stored_figure
    >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
    >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
    >>> key_of(figure, 0.0, 0.0, 300.0, 10.0).height
    12.8
    """
    shapes: list[Shape] = []
    x, y, row_height = left, top, 0.0
    text_room = width - SAMPLE - SAMPLE_GAP
    for mark in named_marks(figure):
        lines = wrap_text(mark.name, size, text_room)
        taken = SAMPLE + SAMPLE_GAP + max(text_width(line, size) for line in lines)
        if x > left and x + taken > left + width:
            x, y, row_height = left, y + row_height + 4, 0.0
        middle = y + LINE_EM * size / 2
        shapes += sample_shapes(mark, x, middle)
        shapes += block(lines, x + SAMPLE + SAMPLE_GAP, y, "note", size)
        row_height = max(row_height, block_height(len(lines), size))
        x += taken + ENTRY_GAP
    return Key(tuple(shapes), y + row_height - top)


def sample_shapes(mark: Named, left: float, middle: float) -> list[Shape]:
    """Draw a small sample of a mark.

    Parameters
    ----------
    mark
        The mark.
    left, middle
        Left end and middle height of the sample, 30 units long [drawing units].

    Returns
    -------
    list
        Shapes.

    Examples
    --------
    >>> sample_shapes(Line(name="fit", x=(0.0,), y=(0.0,)), 0.0, 5.0)[0].points
    ((1.0, 5.0), (29.0, 5.0))
    """
    right = left + SAMPLE
    if isinstance(mark, Points):
        drop = RING if mark.marker == "deeper" else 0.0
        middle -= drop
        return [
            shape
            for share in (0.25, 0.75)
            for shape in marker_shapes(mark.marker, mark.ink, (left + share * SAMPLE, middle), RING)
        ]
    if isinstance(mark, Line):
        return [Stroke(((left + 1, middle), (right - 1, middle)), line_pen(mark.status, mark.ink))]
    if isinstance(mark, Band):
        return [rectangle(Box(left, middle - 6, right, middle + 6), band_pen(mark.status, mark.ink))]
    bar = Bar(False, middle, left + 1, left + SAMPLE / 2, right - 1)
    return bar_shapes(bar, mark.status, mark.ink, half=5.0, cap=7.5)
