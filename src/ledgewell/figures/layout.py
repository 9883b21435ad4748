"""A figure laid out as a drawing of a given width: words, key, panels on their shared axis, caption."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledgewell.errors import RangeError
from ledgewell.figures.axes import (
    TICK_GAP,
    TICK_LENGTH,
    bottom_axis_height,
    bottom_axis_shapes,
    label_width,
    left_axis_shapes,
)
from ledgewell.figures.canvas import Drawing, Shape, block, block_height, rectangle
from ledgewell.figures.key import key_of
from ledgewell.figures.panels import panel_drawn
from ledgewell.figures.scale import Plot
from ledgewell.figures.spec import Axis, Figure, Panel
from ledgewell.figures.theme import LETTERING, TextStyle
from ledgewell.figures.typeface import Box, text_width, wrap_text

DEFAULT_WIDTH = 720.0
NARROW_BELOW = 560.0
LEAST_WIDTH = 280.0
MARGIN_WIDE = 18.0
MARGIN_NARROW = 12.0
PANEL_GAP = 16.0
COLUMN_GAP = 26.0
STACKED_ASPECT = 0.50
STACKED_HEIGHTS = (230.0, 400.0)
SIDE_ASPECT = 0.72
SIDE_HEIGHTS = (340.0, 560.0)
ROW_HEIGHT = 38.0
"""Height given to one row of a category axis [drawing units]."""
LABELS_AT_MOST = 0.4
"""Share of the width that tick labels at the left may take."""


@dataclass(slots=True)
class Sheet:
    """A drawing being filled from the top down."""

    width: float
    shapes: list[Shape] = field(default_factory=list)
    top: float = 0.0
    text_scale: float = 1.0

    @property
    def narrow(self) -> bool:
        """Whether it is for a phone."""
        return self.width < NARROW_BELOW

    @property
    def margin(self) -> float:
        """Room left free at either side."""
        return MARGIN_NARROW if self.narrow else MARGIN_WIDE

    @property
    def room(self) -> float:
        """Width between the margins."""
        return self.width - 2 * self.margin

    def size(self, style: TextStyle) -> float:
        """Font size of a kind of text.

        Parameters
        ----------
        style
            Kind of text.

        Returns
        -------
        float
            Size [drawing units].

        Examples
        --------
        >>> Sheet(390.0).size("tick")
        12.5
        """
        return LETTERING[style].size(self.narrow) * self.text_scale

    def write(self, text: str, style: TextStyle, *, after: float = 0.0) -> None:
        """Set text across the sheet and move down past it.

        Parameters
        ----------
        text
            Text, wrapped to the room; nothing happens when it is empty.
        style
            How it is set.
        after
            Room left below it [drawing units].
        """
        size = self.size(style)
        lines = wrap_text(text, size, self.room, bold=LETTERING[style].bold)
        if lines:
            self.shapes += block(lines, self.margin, self.top, style, size)
            self.top += block_height(len(lines), size) + after


def drawing_from_figure(
    figure: Figure, width: float = DEFAULT_WIDTH, *, words: bool = True, text_scale: float = 1.0
) -> Drawing:
    """Lay a figure out.

    Parameters
    ----------
    figure
        What to show.
    width
        Width of the drawing [drawing units, one a CSS pixel]; under 560 it is laid out for a phone.
    words
        Whether title, sentence, caption and source note are part of the drawing; a page that prints them
        itself leaves them out. A notice is always drawn.
    text_scale
        Factor on every font size; 1.45 gives the 18 px asked for on field pages.

    Returns
    -------
    Drawing
        Shapes at fixed places; the height follows from the content.

    Raises
    ------
    RangeError
        When the width is under 280.

    Examples
    --------
    >>> from ledgewell.figures.stored import AirliftByDepth, StoredByDepth, stored_figure
    >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
    >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
    >>> drawing_from_figure(figure, 390.0).width
    390.0
    """
    if not width >= LEAST_WIDTH:
        raise RangeError("width", width, f"at least {LEAST_WIDTH:g} drawing units")
    sheet = Sheet(width, text_scale=text_scale)
    sheet.top = sheet.margin
    if words:
        sheet.write(figure.title, "title", after=3)
        sheet.write(figure.sentence, "sentence", after=6)
    sheet.write(figure.notice, "notice", after=6)
    key = key_of(figure, sheet.margin, sheet.top + 2, sheet.room, sheet.size("note"))
    sheet.shapes += key.shapes
    sheet.top += key.height + (14 if key.height else 4)
    left_over = _stacked(sheet, figure) if figure.arrangement == "stacked" else _side_by_side(sheet, figure)
    for text in left_over:
        sheet.write(text, "note", after=2)
    if words:
        sheet.write(figure.caption, "caption", after=3)
        sheet.write(figure.source_note, "caption", after=0)
    height = sheet.top + sheet.margin
    page = rectangle(Box(0.0, 0.0, width, height), "page")
    return Drawing(
        name=figure.name,
        title=figure.title,
        description=figure.alt,
        width=width,
        height=height,
        shapes=(page, *sheet.shapes),
    )


def _stacked(sheet: Sheet, figure: Figure) -> list[str]:
    """Draw panels under one another on one horizontal axis."""
    tick_size = sheet.size("tick")
    labels = _label_room(sheet, [panel.axis for panel in figure.panels])
    left = sheet.margin + labels + TICK_LENGTH + TICK_GAP
    right = sheet.width - sheet.margin - _overhang(figure.shared, tick_size)
    left_over: list[str] = []
    for index, panel in enumerate(figure.panels):
        last = index == len(figure.panels) - 1
        sheet.write(panel.axis.heading, "heading", after=8)
        box = Box(left, sheet.top, right, sheet.top + _panel_height(panel, right - left))
        plot = Plot(box, *figure.axes(panel))
        drawn = panel_drawn(panel, plot, sheet.size("label"))
        left_over += drawn.left_over
        sheet.shapes += [*drawn.shapes, *left_axis_shapes(plot, tick_size, labels)]
        sheet.shapes += bottom_axis_shapes(plot, tick_size, labelled=last)
        sheet.top = box.bottom + bottom_axis_height(tick_size, labelled=last) + (4 if last else PANEL_GAP)
    _write_centered(sheet, figure.shared.heading, left, right)
    sheet.top += 8
    return left_over


def _side_by_side(sheet: Sheet, figure: Figure) -> list[str]:
    """Draw panels beside one another on one vertical axis."""
    tick_size = sheet.size("tick")
    labels = _label_room(sheet, [figure.shared])
    left = sheet.margin + labels + TICK_LENGTH + TICK_GAP
    right = sheet.width - sheet.margin - _overhang(figure.panels[-1].axis, tick_size)
    count = len(figure.panels)
    gaps = [_column_gap(a, b, tick_size) for a, b in zip(figure.panels, figure.panels[1:], strict=False)]
    column = (right - left - sum(gaps)) / count
    sheet.write(figure.shared.heading, "heading", after=8)
    height = min(max(sheet.room * SIDE_ASPECT, SIDE_HEIGHTS[0]), SIDE_HEIGHTS[1])
    box = Box(left, sheet.top, left + column, sheet.top + height)
    left_over: list[str] = []
    below = box.bottom + bottom_axis_height(tick_size) + 3
    lowest = below
    for panel, gap in zip(figure.panels, [*gaps, 0.0], strict=True):
        plot = Plot(box, *figure.axes(panel))
        drawn = panel_drawn(panel, plot, sheet.size("label"))
        left_over += drawn.left_over
        sheet.shapes += [*drawn.shapes, *bottom_axis_shapes(plot, tick_size)]
        if box.left == left:
            sheet.shapes += left_axis_shapes(plot, tick_size, labels)
        lines = wrap_text(panel.axis.heading, sheet.size("heading"), column, bold=True)
        sheet.shapes += block(lines, box.left, below, "heading", sheet.size("heading"))
        lowest = max(lowest, below + block_height(len(lines), sheet.size("heading")))
        box = Box(box.right + gap, box.top, box.right + gap + column, box.bottom)
    sheet.top = lowest + 8
    return left_over


def _write_centered(sheet: Sheet, text: str, left: float, right: float) -> None:
    """Set a heading under a plot, centered on it."""
    size = sheet.size("heading")
    lines = wrap_text(text, size, right - left, bold=True)
    for line in block(lines, left, sheet.top, "heading", size):
        indent = (right - left - text_width(line.text, size, bold=True)) / 2
        sheet.shapes += block((line.text,), left + indent, sheet.top, "heading", size)
        sheet.top += block_height(1, size)


def _panel_height(panel: Panel, width: float) -> float:
    if panel.axis.kind == "category":
        return ROW_HEIGHT * (panel.axis.high - panel.axis.low)
    return min(max(width * STACKED_ASPECT, STACKED_HEIGHTS[0]), STACKED_HEIGHTS[1]) * panel.share


def _label_room(sheet: Sheet, axes: list[Axis]) -> float:
    widest = max(label_width(axis, sheet.size("tick")) for axis in axes)
    return min(widest, sheet.width * LABELS_AT_MOST)


def _overhang(axis: Axis, size: float) -> float:
    """How far the last tick label may reach past the right end of its axis."""
    return max((text_width(tick.label, size) / 2 for tick in axis.ticks[-1:]), default=0.0)


def _column_gap(before: Panel, after: Panel, size: float) -> float:
    last = _overhang(before.axis, size)
    first = max((text_width(tick.label, size) / 2 for tick in after.axis.ticks[:1]), default=0.0)
    return max(COLUMN_GAP, last + first + 10)
