"""Marks turned into shapes: hand-plotted rings for readings, smooth lines for the engine."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ledgewell.figures.canvas import Disc, Point, Shape, Stroke, rectangle, segment
from ledgewell.figures.marks import Band, Estimates, Ink, Limit, Line, Marker, Points, Region, Status
from ledgewell.figures.scale import Plot
from ledgewell.figures.typeface import Box

RING = 4.0
SMALL_RING = 2.4
CROWD = 140
"""More points than this in one series are drawn small."""
BAR_HALF = 7.0
CAP_HALF = 10.0


def line_pen(status: Status, ink: Ink) -> str:
    """Name the pen a line is drawn with.

    Parameters
    ----------
    status
        What stands behind it.
    ink
        Its color.

    Returns
    -------
    str
        Name of the pen.

    Examples
    --------
    >>> line_pen("untested", "water")
    'untested-water'
    """
    return f"{status}-{ink}"


def band_pen(status: Status, ink: Ink) -> str:
    """Name the pen a band is filled with: flat where tested, hatched where not.

    Parameters
    ----------
    status
        What stands behind it.
    ink
        Its color.

    Returns
    -------
    str
        Name of the pen.

    Examples
    --------
    >>> band_pen("modelled", "water"), band_pen("projection", "water")
    ('band-water', 'band-untested-water')
    """
    return f"band-{ink}" if status in {"modelled", "computed"} else f"band-untested-{ink}"


def bar_pen(status: Status, ink: Ink) -> str:
    """Name the pen the bar of a single estimate is drawn with: open and dashed when it is a projection.

    Parameters
    ----------
    status
        What stands behind it.
    ink
        Its color.

    Returns
    -------
    str
        Name of the pen.

    Examples
    --------
    >>> bar_pen("modelled", "clay"), bar_pen("projection", "clay")
    ('bar-clay', 'bar-apart-clay')
    """
    return f"bar-{ink}" if status in {"modelled", "computed"} else f"bar-apart-{ink}"


def marker_shapes(marker: Marker, ink: Ink, at: Point, radius: float) -> list[Shape]:
    """Draw one measured point.

    Parameters
    ----------
    marker
        Its form.
    ink
        Its color.
    at
        Its place [drawing units].
    radius
        Its size [drawing units].

    Returns
    -------
    list
        Shapes centered on ``at``.

    Examples
    --------
    >>> [type(shape).__name__ for shape in marker_shapes("ring", "ink", (0.0, 0.0), 4.0)]
    ['Disc', 'Disc']
    """
    x, y = at
    r = radius
    if marker == "ring":
        core: list[Shape] = [Disc(at, 0.7, f"solid-{ink}")] if r >= RING else []
        return [Disc(at, r, f"measured-{ink}"), *core]
    if marker == "dot":
        return [Disc(at, 0.8 * r, f"solid-{ink}")]
    if marker == "square":
        return [rectangle(Box(x - 0.85 * r, y - 0.85 * r, x + 0.85 * r, y + 0.85 * r), f"measured-{ink}")]
    if marker == "cross":
        pen = f"measured-{ink}"
        return [segment((x - r, y - r), (x + r, y + r), pen), segment((x - r, y + r), (x + r, y - r), pen)]
    if marker == "triangle":
        corners = ((x, y - 1.15 * r), (x + r, y + 0.75 * r), (x - r, y + 0.75 * r))
        return [Stroke(corners, f"measured-{ink}", closed=True)]
    # The bar stands where the level was read; the arrow says the water is at least that deep.
    head = ((x, y + 2.6 * r), (x + 0.8 * r, y + 1.2 * r), (x - 0.8 * r, y + 1.2 * r))
    bar = segment((x - r, y), (x + r, y), f"measured-{ink}")
    shaft = segment(at, (x, y + 1.2 * r), f"measured-{ink}")
    return [bar, shaft, Stroke(head, f"solid-{ink}", closed=True)]


def points_shapes(points: Points, plot: Plot) -> list[Shape]:
    """Draw measured points, with their stems under them.

    Parameters
    ----------
    points
        The points.
    plot
        Where its axes lie.

    Returns
    -------
    list
        Shapes, stems first.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> [type(shape).__name__ for shape in points_shapes(Points(name="", x=(5.0,), y=(2.0,)), plot)]
    ['Disc', 'Disc']
    """
    radius = RING if len(points.x) <= CROWD else SMALL_RING
    places = [plot.at(x, y) for x, y in zip(points.x, points.y, strict=True)]
    shapes: list[Shape] = []
    if points.stem is not None:
        base = plot.y(points.stem)
        shapes += [segment((x, base), (x, y), "stem") for x, y in places]
    for place in places:
        shapes += marker_shapes(points.marker, points.ink, place, radius)
    return shapes


def line_shapes(line: Line, plot: Plot) -> list[Shape]:
    """Draw a line.

    Parameters
    ----------
    line
        The line.
    plot
        Where its axes lie.

    Returns
    -------
    list
        One stroke; nothing for a single position.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> line_shapes(Line(name="", x=(0.0, 5.0), y=(0.0, 2.0)), plot)[0].points
    ((0.0, 100.0), (50.0, 80.0))
    """
    corners = tuple(plot.at(x, y) for x, y in line.corners())
    return [Stroke(corners, line_pen(line.status, line.ink))] if len(corners) > 1 else []


def band_shapes(band: Band, plot: Plot) -> list[Shape]:
    """Draw a band.

    Parameters
    ----------
    band
        The band.
    plot
        Where its axes lie.

    Returns
    -------
    list
        One closed outline; nothing for a single position.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> band = Band(name="", along="x", at=(0.0, 5.0), low=(1.0, 1.0), high=(2.0, 3.0))
    >>> band_shapes(band, plot)[0].points
    ((0.0, 90.0), (50.0, 90.0), (50.0, 70.0), (0.0, 80.0))
    """
    corners = tuple(plot.at(x, y) for x, y in band.positions())
    return [Stroke(corners, band_pen(band.status, band.ink), closed=True)] if len(band.at) > 1 else []


RUNGS = 24


def rungs(band: Band) -> list[tuple[Point, Point]]:
    """Cut a band across at its positions and at even steps between them.

    Parameters
    ----------
    band
        The band.

    Returns
    -------
    list of (point, point)
        Low and high end of each cut, as (x, y) [the axes' units].

    Examples
    --------
    >>> rungs(Band(name="", along="y", at=(0.0, 24.0), low=(1.0, 1.0), high=(2.0, 2.0)))[1]
    ((1.0, 1.0), (2.0, 1.0))
    """
    stations = list(zip(band.at, band.low, band.high, strict=True))
    cuts = stations[:1]
    steps = max(1, RUNGS // max(1, len(stations) - 1))
    for start, end in pairwise(stations):
        shares = [step / steps for step in range(1, steps + 1)]
        cuts += [_between(start, end, share) for share in shares]
    if band.along == "x":
        return [((at, low), (at, high)) for at, low, high in cuts]
    return [((low, at), (high, at)) for at, low, high in cuts]


def _between(
    start: tuple[float, float, float], end: tuple[float, float, float], share: float
) -> tuple[float, float, float]:
    at, low, high = (first + share * (last - first) for first, last in zip(start, end, strict=True))
    return at, low, high


@dataclass(frozen=True, slots=True)
class Bar:
    """One estimate on the drawing: where it stands across, and where low, middle and high lie."""

    upright: bool
    across: float
    low: float
    mid: float
    high: float

    def point(self, along: float, sideways: float = 0.0) -> Point:
        """Give a point on the bar, at a place along it and a step sideways."""
        return (self.across + sideways, along) if self.upright else (along, self.across + sideways)


def bars_of(estimates: Estimates, plot: Plot) -> list[Bar]:
    """Place single estimates on a plot.

    Parameters
    ----------
    estimates
        The estimates.
    plot
        The plot.

    Returns
    -------
    list of Bar
        One each, in order.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> mark = Estimates(name="", along="x", at=(5.0,), low=(1.0,), mid=(2.0,), high=(4.0,))
    >>> bars_of(mark, plot)
    [Bar(upright=True, across=50.0, low=90.0, mid=80.0, high=60.0)]
    """
    upright = estimates.along == "x"
    across, value = (plot.x, plot.y) if upright else (plot.y, plot.x)
    columns = zip(estimates.at, estimates.low, estimates.mid, estimates.high, strict=True)
    return [Bar(upright, across(at), value(low), value(mid), value(high)) for at, low, mid, high in columns]


def bar_shapes(
    bar: Bar, status: Status, ink: Ink, *, half: float = BAR_HALF, cap: float = CAP_HALF
) -> list[Shape]:
    """Draw one estimate: a bar from low to high and a heavy stroke across it at the middle.

    Parameters
    ----------
    bar
        Where it lies.
    status
        What stands behind it.
    ink
        Its color.
    half
        Half its thickness [drawing units].
    cap
        Half the length of the middle stroke [drawing units].

    Returns
    -------
    list
        Outline and middle stroke.

    Examples
    --------
    >>> outline, middle = bar_shapes(Bar(True, 50.0, 90.0, 80.0, 60.0), "modelled", "water")
    >>> middle.points
    ((40.0, 80.0), (60.0, 80.0))
    """
    corners = (
        bar.point(bar.low, -half),
        bar.point(bar.high, -half),
        bar.point(bar.high, half),
        bar.point(bar.low, half),
    )
    middle = segment(bar.point(bar.mid, -cap), bar.point(bar.mid, cap), f"modelled-{ink}")
    return [Stroke(corners, bar_pen(status, ink), closed=True), middle]


def estimates_shapes(estimates: Estimates, plot: Plot) -> list[Shape]:
    """Draw single estimates.

    Parameters
    ----------
    estimates
        The estimates.
    plot
        Where its axes lie.

    Returns
    -------
    list
        Two shapes for each.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> mark = Estimates(name="", along="x", at=(5.0,), low=(1.0,), mid=(2.0,), high=(4.0,))
    >>> len(estimates_shapes(mark, plot))
    2
    """
    shapes: list[Shape] = []
    for bar in bars_of(estimates, plot):
        shapes += bar_shapes(bar, estimates.status, estimates.ink)
    return shapes


def limit_shapes(limit: Limit, plot: Plot) -> list[Shape]:
    """Draw a limit right across the plot.

    Parameters
    ----------
    limit
        The limit.
    plot
        Where its axes lie.

    Returns
    -------
    list
        One line.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> limit_shapes(Limit(axis="y", value=2.0, label="need"), plot)[0].points
    ((0.0, 80.0), (100.0, 80.0))
    """
    box = plot.box
    pen = "limit-faint" if limit.faint else "limit"
    if limit.axis == "x":
        x = plot.x(limit.value)
        return [segment((x, box.top), (x, box.bottom), pen)]
    y = plot.y(limit.value)
    return [segment((box.left, y), (box.right, y), pen)]


def region_box(region: Region, plot: Plot) -> Box:
    """Give the part of the plot a region covers.

    Parameters
    ----------
    region
        The region.
    plot
        The plot.

    Returns
    -------
    Box
        Right across the plot in the other direction.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> region_box(Region(axis="x", low=6.0, high=10.0, label="projection"), plot)
    Box(left=60.0, top=0.0, right=100.0, bottom=100.0)
    """
    box = plot.box
    if region.axis == "x":
        return Box(plot.x(region.low), box.top, plot.x(region.high), box.bottom)
    top, bottom = sorted((plot.y(region.low), plot.y(region.high)))
    return Box(box.left, top, box.right, bottom)


def region_shapes(region: Region, plot: Plot) -> list[Shape]:
    """Draw a hatched region, with a dashed edge where it begins and ends inside the plot.

    Parameters
    ----------
    region
        The region.
    plot
        Where its axes lie.

    Returns
    -------
    list
        The hatched part, then its edges.

    Examples
    --------
    >>> from ledgewell.figures.spec import Axis
    >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
    >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
    >>> [shape.pen for shape in region_shapes(Region(axis="x", low=6.0, high=10.0, label=""), plot)]
    ['region', 'region-edge']
    """
    covered = region_box(region, plot)
    shapes: list[Shape] = [rectangle(covered, "region")]
    if region.axis == "x":
        edges = [x for x in (covered.left, covered.right) if plot.box.left + 1 < x < plot.box.right - 1]
        shapes += [segment((x, covered.top), (x, covered.bottom), "region-edge") for x in edges]
    else:
        rows = [y for y in (covered.top, covered.bottom) if plot.box.top + 1 < y < plot.box.bottom - 1]
        shapes += [segment((covered.left, y), (covered.right, y), "region-edge") for y in rows]
    return shapes
