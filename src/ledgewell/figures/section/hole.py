"""The hole in section: bore walls, casing with its shoe, and the water standing in it."""

from __future__ import annotations

from ledgewell.figures.canvas import Shape, Stroke, rectangle, segment
from ledgewell.figures.section.scale import SectionScale, inner_diameter, outer_diameter
from ledgewell.figures.section.shaft import Stretch
from ledgewell.figures.section.spec import SectionCasing, SectionLevel, SectionSpec
from ledgewell.figures.typeface import Box

LEAST_WALL = 1.4
SHOE_HEIGHT = 8.0
SHOE_FLARE = 3.0
LEVEL_ARM = 16.0
LEVEL_MARK = 8.0


def bore_shapes(stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Clear the ground out of the hole.

    Parameters
    ----------
    stretches
        The hole.
    scale
        Where depths and widths lie.

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
    >>> bore_shapes(stretches_of(SectionSpec(bores=(bore,))), scale)[0].points[0]
    (35.0, 0.0)
    """
    return [rectangle(_stretch_box(stretch, scale, stretch.bore_m), "hole") for stretch in stretches]


def wall_shapes(stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Draw the wall and the steps of the hole, dashed where its width is not recorded.

    Parameters
    ----------
    stretches
        The hole.
    scale
        Where depths and widths lie.

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
    >>> wall_shapes(stretches_of(SectionSpec(bores=(bore,))), scale)[0].points
    ((35.0, 0.0), (35.0, 200.0), (50.0, 200.0))
    """
    shapes: list[Shape] = []
    for index, stretch in enumerate(stretches):
        pen = "wall" if stretch.known else "wall-unknown"
        half = scale.half(stretch.bore_m)
        top, bottom = scale.y(stretch.top_m), scale.y(stretch.bottom_m)
        below = scale.half(stretches[index + 1].bore_m) if index + 1 < len(stretches) else 0.0
        for side in (-1, 1):
            x, step = scale.center + side * half, scale.center + side * below
            shapes.append(Stroke(((x, top), (x, bottom), (step, bottom)), pen))
    return shapes


def _stretch_box(stretch: Stretch, scale: SectionScale, diameter_m: float) -> Box:
    half = scale.half(diameter_m)
    return Box(scale.center - half, scale.y(stretch.top_m), scale.center + half, scale.y(stretch.bottom_m))


def water_shapes(spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Fill the hole with water below its level, lightly between the static and the pumping level.

    Parameters
    ----------
    spec
        The section.
    stretches
        The hole.
    scale
        Where depths and widths lie.

    Returns
    -------
    list
        Shapes; none when no level is recorded.

    Examples
    --------
    >>> from ledgewell.figures.section.shaft import stretches_of
    >>> from ledgewell.figures.section.spec import SectionBore
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> spec = SectionSpec(bores=(bore,), levels=(SectionLevel(depth_m=20.0, kind="static"),))
    >>> water_shapes(spec, stretches_of(spec), scale)[0].points[0]
    (35.0, 40.0)
    """
    static = [level.depth_m for level in spec.levels if level.kind == "static"]
    pumping = [level.depth_m for level in spec.levels if level.kind == "pumping"]
    shapes: list[Shape] = []
    if pumping:
        shapes += _filled(stretches, scale, max(pumping), None, "water")
        if static:
            shapes += _filled(stretches, scale, min(static), max(pumping), "water-drawn")
    elif static:
        shapes += _filled(stretches, scale, max(static), None, "water")
    return shapes


def _filled(
    stretches: tuple[Stretch, ...], scale: SectionScale, from_m: float, to_m: float | None, pen: str
) -> list[Shape]:
    shapes: list[Shape] = []
    for stretch in stretches:
        top = max(stretch.top_m, from_m)
        bottom = stretch.bottom_m if to_m is None else min(stretch.bottom_m, to_m)
        if bottom <= top:
            continue
        width = stretch.bore_m if stretch.open_annulus else stretch.inside_m
        half = scale.half(width)
        shapes.append(
            rectangle(Box(scale.center - half, scale.y(top), scale.center + half, scale.y(bottom)), pen)
        )
    return shapes


def casing_shapes(spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Draw casing, liner and screen, the seal outside them, and the drive shoe.

    Parameters
    ----------
    spec
        The section.
    stretches
        The hole.
    scale
        Where depths and widths lie.

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
    >>> casing = SectionCasing(top_m=0.0, bottom_m=20.0, inside_diameter_m=0.1, outside_diameter_m=0.12)
    >>> spec = SectionSpec(bores=(bore,), casings=(casing,))
    >>> [shape.points[0][0] for shape in casing_shapes(spec, stretches_of(spec), scale)]
    [38.0, 60.0]
    """
    shapes: list[Shape] = []
    for casing in spec.casings:
        if casing.annulus == "sealed":
            shapes += _seal(casing, spec, stretches, scale)
    for casing in spec.casings:
        shapes += _string(casing, scale)
    return shapes


def _walls(casing: SectionCasing, scale: SectionScale) -> tuple[float, float]:
    """Half widths outside and inside, with a wall that can be seen."""
    outside = scale.half(outer_diameter(casing))
    return outside, min(scale.half(inner_diameter(casing)), outside - LEAST_WALL)


def _string(casing: SectionCasing, scale: SectionScale) -> list[Shape]:
    outside, inside = _walls(casing, scale)
    top, bottom = scale.y(casing.top_m), scale.y(casing.bottom_m)
    shapes: list[Shape] = []
    for side in (-1, 1):
        inner, outer = scale.center + side * inside, scale.center + side * outside
        if casing.kind == "screen":
            middle = (inner + outer) / 2
            shapes.append(segment((middle, top), (middle, bottom), "screen"))
            continue
        shapes.append(rectangle(Box(min(inner, outer), top, max(inner, outer), bottom), "casing"))
        if casing.shoe:
            flare = outer + side * SHOE_FLARE
            corners = (
                (inner, bottom),
                (outer, bottom - SHOE_HEIGHT),
                (flare, bottom - SHOE_HEIGHT / 2),
                (outer, bottom),
            )
            shapes.append(Stroke(corners, "casing", closed=True))
    return shapes


def _seal(
    casing: SectionCasing, spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale
) -> list[Shape]:
    outside, _ = _walls(casing, scale)
    shapes: list[Shape] = []
    for stretch in stretches:
        top = max(stretch.top_m, casing.top_m, spec.ground_m)
        bottom = min(stretch.bottom_m, casing.bottom_m)
        half = scale.half(stretch.bore_m)
        if bottom <= top or half - outside < 0.5:
            continue
        for side in (-1, 1):
            edges = sorted((scale.center + side * outside, scale.center + side * half))
            shapes.append(rectangle(Box(edges[0], scale.y(top), edges[1], scale.y(bottom)), "seal"))
    return shapes


def level_shapes(level: SectionLevel, scale: SectionScale, half: float) -> list[Shape]:
    """Draw a water level: a line across the hole and the inverted triangle of the trade at its left.

    Parameters
    ----------
    level
        The level; open for static, filled for pumping.
    scale
        Where depths lie.
    half
        Half the width of the hole there [drawing units].

    Returns
    -------
    list
        Shapes.

    Examples
    --------
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> level_shapes(SectionLevel(depth_m=20.0, kind="static"), scale, 10.0)[0].points
    ((24.0, 40.0), (60.0, 40.0))
    """
    y = scale.y(level.depth_m)
    left = scale.center - half - LEVEL_ARM
    tip = left + LEVEL_MARK / 2 + 1
    mark = ((tip - LEVEL_MARK / 2, y - LEVEL_MARK), (tip + LEVEL_MARK / 2, y - LEVEL_MARK), (tip, y))
    pen = "level-solid" if level.kind == "pumping" else "level"
    return [segment((left, y), (scale.center + half, y), "level-line"), Stroke(mark, pen, closed=True)]
