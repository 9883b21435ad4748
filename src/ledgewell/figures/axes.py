"""Axes on the drawing: grid, ticks and tick labels that never touch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from ledgewell.figures.canvas import Shape, Stroke, Text, segment
from ledgewell.figures.placing import fit_text
from ledgewell.figures.scale import Plot
from ledgewell.figures.spec import Axis
from ledgewell.figures.ticks import Tick, is_decade
from ledgewell.figures.typeface import ASCENT_EM, DESCENT_EM, text_width

TICK_LENGTH = 5.0
TICK_GAP = 3.0
LABEL_ROOM = 4.0
"""Least room between two tick labels [drawing units]."""
THINNINGS = (1, 2, 5, 10, 20, 50, 100)


def kept_ticks(axis: Axis, spans: Callable[[Tick], tuple[float, float]]) -> tuple[Tick, ...]:
    """Choose the ticks whose labels fit beside each other.

    Parameters
    ----------
    axis
        The axis, its ticks in rising order.
    spans
        The stretch of the axis a tick's label takes [drawing units].

    Returns
    -------
    tuple of Tick
        All of them when they fit. Else, on a linear axis, every second, fifth, tenth … counted from zero
        when it is among them; on a logarithmic one the decades, or every second, fifth … of them; named
        durations as many as fit.

    Examples
    --------
    >>> ticks = tuple(Tick(float(value), str(value)) for value in range(0, 60, 10))
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=50.0, ticks=ticks)
    >>> [tick.label for tick in kept_ticks(axis, lambda tick: (tick.value - 6, tick.value + 6))]
    ['0', '20', '40']
    """
    if _apart(axis.ticks, spans):
        return axis.ticks
    if axis.kind == "duration":
        return _as_many_as_fit(axis.ticks, spans)
    candidates = [tick for tick in axis.ticks if axis.scale != "log" or is_decade(tick.value)]
    zero = next((index for index, tick in enumerate(candidates) if tick.value == 0), 0)
    for every in THINNINGS:
        kept = tuple(tick for index, tick in enumerate(candidates) if (index - zero) % every == 0)
        if len(kept) > 1 and _apart(kept, spans):
            return kept
    return _as_many_as_fit(axis.ticks, spans)


def _as_many_as_fit(ticks: Sequence[Tick], spans: Callable[[Tick], tuple[float, float]]) -> tuple[Tick, ...]:
    """Keep each tick that stands clear of the one kept before it."""
    kept: list[Tick] = []
    for tick in ticks:
        if _apart([*kept[-1:], tick], spans):
            kept.append(tick)
    return tuple(kept)


def _apart(ticks: Sequence[Tick], spans: Callable[[Tick], tuple[float, float]]) -> bool:
    reached = [tuple(sorted(spans(tick))) for tick in ticks]
    reached.sort()
    return all(after[0] - before[1] >= LABEL_ROOM for before, after in pairwise(reached))


def label_width(axis: Axis, size: float) -> float:
    """Give the width of an axis's widest tick label.

    Parameters
    ----------
    axis
        The axis.
    size
        Font size [drawing units].

    Returns
    -------
    float
        Width [drawing units]; 0 without ticks.

    Examples
    --------
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=9.0, ticks=(Tick(5.0, "5"),))
    >>> label_width(axis, 10.0)
    6.36
    """
    return max((text_width(tick.label, size) for tick in axis.ticks), default=0.0)


def grid_shapes(plot: Plot) -> list[Shape]:
    """Draw the grid under the data: minor lines faint, lines at the ticks stronger.

    Parameters
    ----------
    plot
        The plot.

    Returns
    -------
    list
        Upright lines, then level ones.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=(Tick(5.0, "5"),))
    >>> from ledgewell.figures.typeface import Box
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> [shape.points for shape in grid_shapes(plot)]
    [((50.0, 0.0), (50.0, 100.0)), ((0.0, 50.0), (100.0, 50.0))]
    """
    box = plot.box
    shapes: list[Shape] = []
    shapes += [
        segment((plot.x(v), box.top), (plot.x(v), box.bottom), "grid-minor") for v in plot.horizontal.minor
    ]
    shapes += [
        segment((box.left, plot.y(v)), (box.right, plot.y(v)), "grid-minor") for v in plot.vertical.minor
    ]
    if plot.horizontal.kind != "category":
        columns = [plot.x(tick.value) for tick in plot.horizontal.ticks]
        shapes += [segment((x, box.top), (x, box.bottom), "grid") for x in columns]
    if plot.vertical.kind != "category":
        rows = [plot.y(tick.value) for tick in plot.vertical.ticks]
        shapes += [segment((box.left, y), (box.right, y), "grid") for y in rows]
    return shapes


def left_axis_shapes(plot: Plot, size: float, room: float) -> list[Shape]:
    """Draw the vertical axis at the left of a plot, with an arrow head where depth runs down.

    Parameters
    ----------
    plot
        The plot.
    size
        Font size [drawing units].
    room
        Room for a label left of the ticks [drawing units].

    Returns
    -------
    list
        Shapes.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=(Tick(5.0, "5"),))
    >>> from ledgewell.figures.typeface import Box
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> left_axis_shapes(plot, 10.0, 40.0)[-1].text
    '5'
    """
    box, axis = plot.box, plot.vertical
    shapes: list[Shape] = [segment((box.left, box.top), (box.left, box.bottom), "axis")]
    if axis.scale == "depth" and axis.kind != "category":
        x, y = box.left, box.bottom
        shapes.append(Stroke(((x - 4, y - 7), (x, y), (x + 4, y - 7)), "axis"))
    middle = (ASCENT_EM - DESCENT_EM) / 2 * size

    def span(tick: Tick) -> tuple[float, float]:
        baseline = plot.y(tick.value) + middle
        return baseline - ASCENT_EM * size + 3, baseline + DESCENT_EM * size - 3

    right = box.left - TICK_LENGTH - TICK_GAP
    for tick in kept_ticks(axis, span):
        y = plot.y(tick.value)
        if axis.kind != "category":
            shapes.append(segment((box.left - TICK_LENGTH, y), (box.left, y), "tick"))
        shapes.append(Text(fit_text(tick.label, size, room), (right, y + middle), "tick", size, "end"))
    return shapes


def bottom_axis_shapes(plot: Plot, size: float, *, labelled: bool = True) -> list[Shape]:
    """Draw the horizontal axis under a plot.

    Parameters
    ----------
    plot
        The plot.
    size
        Font size [drawing units].
    labelled
        Whether ticks carry their labels; a panel above another one leaves them to the last.

    Returns
    -------
    list
        Shapes.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=(Tick(5.0, "5"),))
    >>> from ledgewell.figures.typeface import Box
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> bottom_axis_shapes(plot, 10.0)[-1].at
    (50.0, 116.0)
    """
    box, axis = plot.box, plot.horizontal
    shapes: list[Shape] = [segment((box.left, box.bottom), (box.right, box.bottom), "axis")]

    def span(tick: Tick) -> tuple[float, float]:
        half = text_width(tick.label, size) / 2
        return plot.x(tick.value) - half, plot.x(tick.value) + half

    baseline = box.bottom + TICK_LENGTH + TICK_GAP + ASCENT_EM * size
    for tick in kept_ticks(axis, span):
        x = plot.x(tick.value)
        shapes.append(segment((x, box.bottom), (x, box.bottom + TICK_LENGTH), "tick"))
        if labelled:
            shapes.append(Text(tick.label, (x, baseline), "tick", size, "middle"))
    return shapes


def bottom_axis_height(size: float, *, labelled: bool = True) -> float:
    """Give the height of the horizontal axis under a plot.

    Parameters
    ----------
    size
        Font size [drawing units].
    labelled
        Whether ticks carry their labels.

    Returns
    -------
    float
        Height [drawing units].

    Examples
    --------
    >>> bottom_axis_height(10.0), bottom_axis_height(10.0, labelled=False)
    (18.4, 5.0)
    """
    return TICK_LENGTH + (TICK_GAP + (ASCENT_EM + DESCENT_EM) * size if labelled else 0.0)
