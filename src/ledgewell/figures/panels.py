"""One panel of a chart drawn: bands under the grid, lines over it, readings on top, labels where they fit."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.figures.axes import grid_shapes
from ledgewell.figures.canvas import Shape, Stroke, rectangle, segment
from ledgewell.figures.marks import Annotation, Band, Estimates, Limit, Line, Mark, Points, Region
from ledgewell.figures.placing import (
    Place,
    Placer,
    places_along_column,
    places_along_row,
    places_around,
    places_inside,
)
from ledgewell.figures.quantity import plain_text
from ledgewell.figures.scale import Plot
from ledgewell.figures.spec import Panel
from ledgewell.figures.strokes import (
    BAR_HALF,
    RING,
    Bar,
    band_shapes,
    bars_of,
    estimates_shapes,
    limit_shapes,
    line_shapes,
    points_shapes,
    region_box,
    region_shapes,
    rungs,
)
from ledgewell.figures.typeface import ASCENT_EM, DESCENT_EM, Box

LEADER_FROM = 18.0


@dataclass(frozen=True, slots=True)
class DrawnPanel:
    """Shapes of a panel, and what could not be labelled inside it and must be said below."""

    shapes: tuple[Shape, ...]
    left_over: tuple[str, ...]


def panel_drawn(panel: Panel, plot: Plot, size: float) -> DrawnPanel:
    """Draw a panel's data and labels, without its axes.

    Parameters
    ----------
    panel
        What it shows.
    plot
        Where it lies.
    size
        Font size of labels [drawing units].

    Returns
    -------
    DrawnPanel
        Shapes, and labels for which there was no room.

    Examples
    --------
    >>> from ledgewell.figures.stored import AirliftByDepth, StoredByDepth, stored_figure
    >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
    >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
    >>> from ledgewell.figures.typeface import Box
    >>> panel = figure.panels[0]
    >>> plot = Plot(Box(0.0, 0.0, 300.0, 300.0), *figure.axes(panel))
    >>> panel_drawn(panel, plot, 12.0).left_over
    ()
    """
    marks = panel.marks
    under: list[Shape] = [rectangle(plot.box, "sheet")]
    for mark in marks:
        if isinstance(mark, Region):
            under += region_shapes(mark, plot)
    for mark in marks:
        if isinstance(mark, Band):
            under += band_shapes(mark, plot)
    over: list[Shape] = []
    for mark in marks:
        over += _over_shapes(mark, plot)
    readings = [shape for mark in marks if isinstance(mark, Points) for shape in points_shapes(mark, plot)]
    labels, left_over = _labels(marks, plot, size)
    return DrawnPanel((*under, *grid_shapes(plot), *over, *readings, *labels), tuple(left_over))


def _over_shapes(mark: Mark, plot: Plot) -> list[Shape]:
    if isinstance(mark, Limit):
        return limit_shapes(mark, plot)
    if isinstance(mark, Line):
        return line_shapes(mark, plot)
    if isinstance(mark, Estimates):
        return estimates_shapes(mark, plot)
    return []


def _labels(marks: tuple[Mark, ...], plot: Plot, size: float) -> tuple[list[Shape], list[str]]:
    placer = Placer(plot.box)
    for mark in marks:
        _remember(mark, plot, placer)
    shapes: list[Shape] = []
    left_over: list[str] = []
    # What has the fewest places to go is labelled first.
    for kind in (Estimates, Region, Limit, Annotation):
        for mark in marks:
            if isinstance(mark, kind):
                placed, unplaced = _label(mark, plot, placer, size)
                shapes += placed
                left_over += unplaced
    return shapes, left_over


def _remember(mark: Mark, plot: Plot, placer: Placer) -> None:
    """Tell the placer where data lie."""
    if isinstance(mark, Points):
        for x, y in zip(mark.x, mark.y, strict=True):
            px, py = plot.at(x, y)
            placer.ink += [(px, py), (px - RING, py), (px + RING, py), (px, py - RING), (px, py + RING)]
    elif isinstance(mark, Line):
        placer.add_path([plot.at(x, y) for x, y in mark.corners()])
    elif isinstance(mark, Band):
        for (x0, y0), (x1, y1) in rungs(mark):
            placer.add_path([plot.at(x0, y0), plot.at(x1, y1)])
    elif isinstance(mark, Limit | Region):
        for shape in limit_shapes(mark, plot) if isinstance(mark, Limit) else region_shapes(mark, plot)[1:]:
            if isinstance(shape, Stroke):
                placer.add_path(shape.points)
    elif isinstance(mark, Estimates):
        for bar in bars_of(mark, plot):
            placer.taken.append(_bar_box(bar))


def _bar_box(bar: Bar) -> Box:
    low, high = sorted((bar.low, bar.high))
    (left, top), (right, bottom) = bar.point(low, -BAR_HALF), bar.point(high, BAR_HALF)
    return Box(min(left, right), min(top, bottom), max(left, right), max(top, bottom))


def _label(mark: Mark, plot: Plot, placer: Placer, size: float) -> tuple[list[Shape], list[str]]:
    if isinstance(mark, Estimates):
        return _estimate_labels(mark, plot, placer, size)
    if isinstance(mark, Region):
        label = placer.place(mark.label, places_inside(region_box(mark, plot), size), "label", size)
        return ([label], []) if label else ([], [mark.label])
    if isinstance(mark, Limit):
        return _limit_label(mark, plot, placer, size)
    if isinstance(mark, Annotation):
        return _annotation(mark, plot, placer, size)
    return [], []


def _limit_label(limit: Limit, plot: Plot, placer: Placer, size: float) -> tuple[list[Shape], list[str]]:
    if limit.axis == "x":
        places = places_along_column(plot.box, plot.x(limit.value), size)
    else:
        places = places_along_row(plot.box, plot.y(limit.value), size)
    label = placer.place(limit.label, places, "label", size)
    return ([label], []) if label else ([], [limit.label])


def _annotation(mark: Annotation, plot: Plot, placer: Placer, size: float) -> tuple[list[Shape], list[str]]:
    point = plot.at(mark.x, mark.y)
    label = placer.place(mark.text, places_around(point, size), "label", size)
    if label is None:
        axis_x, axis_y = plot.horizontal, plot.vertical
        where = f"at {plain_text(mark.x, 2)} {axis_x.unit}, {plain_text(mark.y, 2)} {axis_y.unit}"
        return [], [f"{where}: {mark.text}"]
    box = label.box()
    near_x = min(max(point[0], box.left), box.right)
    near_y = min(max(point[1], box.top), box.bottom)
    far = max(abs(near_x - point[0]), abs(near_y - point[1])) > LEADER_FROM
    return ([segment(point, (near_x, near_y), "leader"), label] if far else [label]), []


def _estimate_labels(
    mark: Estimates, plot: Plot, placer: Placer, size: float
) -> tuple[list[Shape], list[str]]:
    shapes: list[Shape] = []
    left_over: list[str] = []
    for bar, text in zip(bars_of(mark, plot), mark.labels, strict=bool(mark.labels)):
        box = _bar_box(bar)
        middle = (ASCENT_EM - DESCENT_EM) / 2 * size
        center = (box.left + box.right) / 2
        above: Place = ((center, box.top - 5 - DESCENT_EM * size), "middle")
        below: Place = ((center, box.bottom + 5 + ASCENT_EM * size), "middle")
        right: Place = ((box.right + 7, (box.top + box.bottom) / 2 + middle), "start")
        left: Place = ((box.left - 7, (box.top + box.bottom) / 2 + middle), "end")
        places = [above, below, right, left] if bar.upright else [right, left, above, below]
        label = placer.place(text, places, "label", size)
        if label:
            shapes.append(label)
        else:
            left_over.append(f"{mark.name}: {text}" if mark.name else text)
    return shapes, left_over
