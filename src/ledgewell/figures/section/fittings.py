"""What hangs or was done in the hole: pump and drop pipe, packer seats, places a camera saw."""

from __future__ import annotations

from ledgewell.figures.canvas import Shape, rectangle, segment
from ledgewell.figures.section.scale import SectionScale
from ledgewell.figures.section.shaft import Stretch, bore_at, inside_at
from ledgewell.figures.section.spec import SectionPump, SectionSeat, SectionSpec
from ledgewell.figures.typeface import Box
from ledgewell.figures.words import say

SYMBOL_PUMP_M = 0.1
SYMBOL_PIPE_M = 0.0334
"""Widths drawn when none is recorded: a 4 in pump and 1 in pipe (1.315 in outside); the drawing says so."""
LEAST_PUMP_HEIGHT = 22.0
LEAST_PIPE = 2.6
LEAST_SEAT_HEIGHT = 10.0
CAMERA_MARK = 6.0
INTAKE_SHARE = 0.55
"""How far down its body a pump takes water in: between pump end and motor (common practice, no source)."""


def pump_shapes(spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Draw the pump with its intake at the recorded depth, and the drop pipe up to the top of the hole.

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
        Shapes; none without a pump.

    Examples
    --------
    >>> from ledgewell.figures.section.shaft import stretches_of
    >>> from ledgewell.figures.section.spec import SectionBore, SectionPump
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> spec = SectionSpec(bores=(bore,), pump=SectionPump(intake_m=80.0))
    >>> [shape.pen for shape in pump_shapes(spec, stretches_of(spec), scale)]
    ['pipe', 'pump', 'slot', 'slot', 'slot']
    """
    pump = spec.pump
    if pump is None:
        return []
    room = scale.half(inside_at(stretches, pump.intake_m)) - 1.5
    half = max(min(scale.half(pump.diameter_m or SYMBOL_PUMP_M), room), 2.0)
    height = max(LEAST_PUMP_HEIGHT, (pump.length_m or 0.0) * scale.per_meter)
    intake = scale.y(pump.intake_m)
    top = intake - INTAKE_SHARE * height
    pipe_half = min(max(scale.half(pump.pipe_outside_diameter_m or SYMBOL_PIPE_M), LEAST_PIPE / 2), half)
    head = scale.y(min(stretches[0].top_m, pump.intake_m))
    center = scale.center
    shapes: list[Shape] = [
        rectangle(Box(center - pipe_half, min(head, top), center + pipe_half, top), "pipe"),
        rectangle(Box(center - half, top, center + half, top + height), "pump"),
    ]
    # Three slots mark the intake.
    reach = max(half - 2.0, 1.0)
    shapes += [
        segment((center - reach, intake + step), (center + reach, intake + step), "slot")
        for step in (-2.5, 0, 2.5)
    ]
    return shapes


def symbolic_parts(spec: SectionSpec, scale: SectionScale) -> list[str]:
    """Name what is drawn as a symbol because its size is unknown or too small to see.

    Parameters
    ----------
    spec
        The section.
    scale
        Where depths and widths lie.

    Returns
    -------
    list of str
        Names, for the caption.

    Examples
    --------
    >>> from ledgewell.figures.section.shaft import stretches_of
    >>> from ledgewell.figures.section.spec import SectionBore, SectionPump
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> symbolic_parts(SectionSpec(bores=(bore,), pump=SectionPump(intake_m=80.0)), scale)
    ['pump', 'drop pipe']
    """
    names = []
    if spec.pump is not None:
        if _pump_is_symbol(spec.pump, scale):
            names.append(say("section.symbol.pump"))
        pipe = spec.pump.pipe_outside_diameter_m
        if pipe is None or 2 * scale.half(pipe) < LEAST_PIPE:
            names.append(say("section.pipe"))
    if any(_seat_is_symbol(seat, scale) for seat in spec.seats):
        names.append(say("section.symbol.seats"))
    if any(fracture.airlift_m3s for fracture in spec.fractures):
        names.append(say("section.symbol.flows"))
    return names


def _pump_is_symbol(pump: SectionPump, scale: SectionScale) -> bool:
    known = pump.diameter_m is not None and pump.length_m is not None
    return not known or (pump.length_m or 0.0) * scale.per_meter < LEAST_PUMP_HEIGHT


def _seat_is_symbol(seat: SectionSeat, scale: SectionScale) -> bool:
    return (seat.length_m or 0.0) * scale.per_meter < LEAST_SEAT_HEIGHT


def seat_shapes(spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Draw packer seats: a block against either wall of the hole, its top at the recorded depth.

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
    >>> from ledgewell.figures.section.spec import SectionBore, SectionSeat
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> spec = SectionSpec(bores=(bore,), seats=(SectionSeat(top_m=50.0),))
    >>> seat_shapes(spec, stretches_of(spec), scale)[0].points[0][1]
    100.0
    """
    shapes: list[Shape] = []
    for seat in spec.seats:
        half = scale.half(bore_at(stretches, seat.top_m))
        top = scale.y(seat.top_m)
        bottom = top + max(LEAST_SEAT_HEIGHT, (seat.length_m or 0.0) * scale.per_meter)
        inner = half * 0.35
        for side in (-1, 1):
            edges = sorted((scale.center + side * inner, scale.center + side * half))
            shapes.append(rectangle(Box(edges[0], top, edges[1], bottom), "seat"))
    return shapes


def camera_shapes(spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale) -> list[Shape]:
    """Mark what a camera saw: a small square on the wall, or a bar over a stretch.

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
    >>> from ledgewell.figures.section.spec import SectionBore, SectionCamera
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> seen = SectionCamera(top_m=50.0, bottom_m=50.0, text="smooth")
    >>> spec = SectionSpec(bores=(bore,), cameras=(seen,))
    >>> camera_shapes(spec, stretches_of(spec), scale)[0].points[0]
    (62.0, 97.0)
    """
    shapes: list[Shape] = []
    for camera in spec.cameras:
        top, bottom = scale.y(camera.top_m), scale.y(camera.bottom_m)
        middle = (top + bottom) / 2
        reach = max(CAMERA_MARK, bottom - top) / 2
        x = scale.center + scale.half(bore_at(stretches, (camera.top_m + camera.bottom_m) / 2))
        half = CAMERA_MARK / 2
        shapes.append(rectangle(Box(x - half, middle - reach, x + half, middle + reach), "camera"))
    return shapes
