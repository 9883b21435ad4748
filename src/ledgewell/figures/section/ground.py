"""The ground in section: strata with their patterns, the surface, and fractures crossing to the hole."""

from __future__ import annotations

from ledgewell.figures.canvas import Shape, Stroke, rectangle, segment
from ledgewell.figures.lithology import code_of_rock
from ledgewell.figures.section.scale import SectionScale
from ledgewell.figures.section.shaft import Stretch, bore_at
from ledgewell.figures.section.spec import SectionFracture, SectionSpec
from ledgewell.figures.typeface import Box

ZIGZAG_PITCH = 7.0
ZIGZAG_HEIGHT = 2.2
LEAST_ARROW = 12.0
LONGEST_ARROW = 34.0
HEAD = 6.0
ZONE_STEP = 6.0
HACHURE_PITCH = 9.0
HACHURE = 5.0


def ground_shapes(spec: SectionSpec, scale: SectionScale, left: float, right: float) -> list[Shape]:
    """Draw the strata over the ground's width, and the surface.

    Parameters
    ----------
    spec
        The section.
    scale
        Where depths lie.
    left, right
        Edges of the drawn ground [drawing units].

    Returns
    -------
    list
        Shapes; where no stratum is recorded the ground stays plain.

    Examples
    --------
    >>> from ledgewell.figures.section.spec import SectionStratum
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> spec = SectionSpec(strata=(SectionStratum(top_m=0.0, bottom_m=50.0, rock="gneiss"),))
    >>> ground_shapes(spec, scale, 0.0, 100.0)[1].tile
    '708'
    """
    surface = scale.y(spec.ground_m)
    shapes: list[Shape] = [rectangle(Box(left, surface, right, scale.bottom), "ground")]
    for stratum in spec.strata:
        box = Box(left, scale.y(stratum.top_m), right, scale.y(stratum.bottom_m))
        shapes.append(rectangle(box, "stratum", tile=code_of_rock(stratum.rock, stratum.symbol)))
    contacts = sorted({depth for stratum in spec.strata for depth in (stratum.top_m, stratum.bottom_m)})
    shapes += [segment((left, scale.y(depth)), (right, scale.y(depth)), "contact") for depth in contacts]
    return shapes


def surface_shapes(
    spec: SectionSpec, scale: SectionScale, left: float, right: float, half: float
) -> list[Shape]:
    """Draw the surface of the ground on both sides of the hole, with short strokes where no stratum is known.

    Parameters
    ----------
    spec
        The section.
    scale
        Where depths lie.
    left, right
        Edges of the drawn ground [drawing units].
    half
        Half the width of the hole at the surface [drawing units].

    Returns
    -------
    list
        Shapes.

    Examples
    --------
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> surface_shapes(SectionSpec(), scale, 0.0, 100.0, 10.0)[0].points
    ((0.0, 0.0), (40.0, 0.0))
    """
    y = scale.y(spec.ground_m)
    covered = any(stratum.top_m <= spec.ground_m < stratum.bottom_m for stratum in spec.strata)
    shapes: list[Shape] = []
    for start, end in ((left, scale.center - half), (scale.center + half, right)):
        shapes.append(segment((start, y), (end, y), "surface"))
        count = 0 if covered else int((end - start) / HACHURE_PITCH)
        for index in range(count):
            x = start + (index + 0.8) * HACHURE_PITCH
            shapes.append(segment((x, y), (x - HACHURE, y + HACHURE), "hachure"))
    return shapes


def fracture_shapes(
    spec: SectionSpec, scale: SectionScale, stretches: tuple[Stretch, ...], left: float, right: float
) -> list[Shape]:
    """Draw fractures as jagged lines to the wall of the hole, with an arrow as long as its flow is great.

    Parameters
    ----------
    spec
        The section.
    scale
        Where depths and widths lie.
    stretches
        The hole.
    left, right
        Edges of the drawn ground [drawing units].

    Returns
    -------
    list
        Shapes.

    Examples
    --------
    >>> from ledgewell.figures.section.shaft import stretches_of
    >>> from ledgewell.figures.section.spec import SectionBore
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> fracture = SectionFracture(top_m=50.0, bottom_m=50.0)
    >>> spec = SectionSpec(bores=(bore,), fractures=(fracture,))
    >>> [shape.points[0] for shape in fracture_shapes(spec, scale, stretches_of(spec), 0.0, 100.0)]
    [(0.0, 100.0), (65.0, 100.0)]
    """
    most = max((fracture.airlift_m3s or 0.0 for fracture in spec.fractures), default=0.0)
    lines: list[Shape] = []
    arrows: list[Shape] = []
    for fracture in spec.fractures:
        middle = (fracture.top_m + fracture.bottom_m) / 2
        half = scale.half(bore_at(stretches, middle))
        for y in _rows(fracture, scale):
            lines.append(jagged(left, scale.center - half, y))
            lines.append(jagged(scale.center + half, right, y))
        if fracture.airlift_m3s is not None and fracture.airlift_m3s > 0:
            length = LEAST_ARROW + (LONGEST_ARROW - LEAST_ARROW) * fracture.airlift_m3s / most
            arrows += arrow(scale.center + half, scale.y(middle), min(length, right - scale.center - half))
    return [*lines, *arrows]


def _rows(fracture: SectionFracture, scale: SectionScale) -> list[float]:
    """One line for a fracture, several over the height of a zone."""
    top, bottom = scale.y(fracture.top_m), scale.y(fracture.bottom_m)
    gaps = max(1, int((bottom - top) / ZONE_STEP))
    if bottom - top < ZONE_STEP / 2:
        return [(top + bottom) / 2]
    return [top + (bottom - top) * index / gaps for index in range(gaps + 1)]


def jagged(start: float, end: float, y: float) -> Stroke:
    """Draw a jagged line at a height.

    Parameters
    ----------
    start, end
        Its ends [drawing units].
    y
        Its height [drawing units].

    Returns
    -------
    Stroke
        The line, always with the same teeth.

    Examples
    --------
    >>> jagged(0.0, 10.0, 5.0).points
    ((0.0, 5.0), (5.0, 2.8), (10.0, 5.0))
    """
    teeth = max(2, round((end - start) / ZIGZAG_PITCH))
    teeth += teeth % 2
    turns = (0.0, -ZIGZAG_HEIGHT, 0.0, ZIGZAG_HEIGHT)
    points = tuple(
        (start + (end - start) * index / teeth, y + turns[index % 4]) for index in range(teeth + 1)
    )
    return Stroke(points, "fracture")


def arrow(tip: float, y: float, length: float) -> list[Shape]:
    """Draw an arrow pointing left.

    Parameters
    ----------
    tip
        Where it points to [drawing units].
    y
        Its height [drawing units].
    length
        Its length [drawing units].

    Returns
    -------
    list
        Shaft and head.

    Examples
    --------
    >>> [len(shape.points) for shape in arrow(0.0, 0.0, 20.0)]
    [2, 3]
    """
    head = ((tip, y), (tip + HEAD, y - HEAD / 2), (tip + HEAD, y + HEAD / 2))
    return [segment((tip + HEAD, y), (tip + length, y), "flow"), Stroke(head, "flow", closed=True)]
