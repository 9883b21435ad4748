"""The section of the hole laid out as a drawing: axis, ground, hole, fittings, and notes beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ledgewell.errors import RangeError
from ledgewell.figures.axes import TICK_GAP, TICK_LENGTH, label_width, left_axis_shapes
from ledgewell.figures.canvas import Drawing, Shape, Text, rectangle, segment
from ledgewell.figures.layout import Sheet
from ledgewell.figures.lithology import PATTERNS, code_of_rock
from ledgewell.figures.quantity import display_unit, plain_text
from ledgewell.figures.scale import Plot
from ledgewell.figures.section.column import SetNote, note_column, set_note, widest_line
from ledgewell.figures.section.fittings import camera_shapes, pump_shapes, seat_shapes, symbolic_parts
from ledgewell.figures.section.ground import fracture_shapes, ground_shapes, surface_shapes
from ledgewell.figures.section.hole import (
    bore_shapes,
    casing_shapes,
    level_shapes,
    wall_shapes,
    water_shapes,
)
from ledgewell.figures.section.notes import hole_notes, stratum_notes
from ledgewell.figures.section.scale import SectionScale, has_width, round_factor, scale_of, widest_m
from ledgewell.figures.section.shaft import Stretch, bore_at, stretches_of
from ledgewell.figures.section.spec import SectionSpec
from ledgewell.figures.spec import Axis, axis_from_ladder
from ledgewell.figures.ticks import linear_ladder
from ledgewell.figures.typeface import ASCENT_EM, Box, text_width
from ledgewell.figures.words import say
from ledgewell.units import System

DEFAULT_WIDTH = 720.0
STRIP_BELOW = 280.0
STRIP_TEXT = 0.85
LEAST_WIDTH = 96.0
HEIGHT_WIDE = 760.0
HEIGHT_NARROW = 620.0
TICKS = 12
SKY = 14.0
FLOOR = 10.0
COLUMN_GAP = 24.0
GROUND_WIDE = 220.0
GROUND_NARROW_SHARE = 0.29
LEFT_COLUMN_SHARE = 0.19
BAR_REACH = 4.0


@dataclass(frozen=True, slots=True)
class _Frame:
    """Columns of the drawing."""

    axis: float
    left: float
    right: float
    notes: float
    end: float
    strata: float | None


def drawing_from_section(
    spec: SectionSpec,
    *,
    units: System,
    width: float = DEFAULT_WIDTH,
    height: float | None = None,
    words: bool = True,
    text_scale: float = 1.0,
) -> Drawing:
    """Lay the section of a hole out.

    Parameters
    ----------
    spec
        The hole.
    units
        Unit system of depths, widths and flows.
    width
        Width of the drawing [drawing units, one a CSS pixel]; under 560 it is laid out for a phone, under
        280 it is a strip: the drawing and its depth axis without notes.
    height
        Height of the drawn stretch of depth [drawing units]; it grows when the notes need more.
    words
        Whether title, sentence, caption and source note are part of the drawing. A notice is always drawn.
    text_scale
        Factor on every font size.

    Returns
    -------
    Drawing
        Shapes at fixed places. Its data tell a page where depths lie: ``top-m`` and ``bottom-m`` at ``top``
        and ``bottom``.

    Raises
    ------
    RangeError
        When the width is under 96.

    Examples
    --------
    >>> from ledgewell.figures.section.spec import SectionBore
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> drawing_from_section(SectionSpec(bores=(bore,)), units="si").data[1]
    ('bottom-m', '100')
    """
    if not width >= LEAST_WIDTH:
        raise RangeError("width", width, f"at least {LEAST_WIDTH:g} drawing units")
    sheet = Sheet(width, text_scale=text_scale * (STRIP_TEXT if width < STRIP_BELOW else 1.0))
    sheet.top = sheet.margin if width >= STRIP_BELOW else 8.0
    strip = width < STRIP_BELOW
    title = spec.title or say("section.title")
    datum = say(f"section.datum.{spec.datum}")
    if words and not strip:
        sheet.write(title, "title", after=3)
        sheet.write(spec.sentence, "sentence", after=6)
    sheet.write(spec.notice, "notice", after=6)
    if not strip:
        heading = f"{say('section.depth', datum=datum)} ({display_unit('depth', units).symbol})"
        sheet.write(heading, "heading", after=4)
    stretches = stretches_of(spec)
    scale = _draw_body(sheet, spec, units, stretches, height, strip)
    if words and not strip:
        sheet.write(_caption(spec, scale), "caption", after=3)
        sheet.write(spec.source_note, "caption")
    bottom = sheet.top + (8.0 if strip else sheet.margin)
    page = rectangle(Box(0.0, 0.0, width, bottom), "page")
    where = (
        ("top-m", scale.top_m),
        ("bottom-m", scale.bottom_m),
        ("top", scale.top),
        ("bottom", scale.bottom),
    )
    return Drawing(
        name="section",
        title=title,
        description=_description(spec, units),
        width=width,
        height=bottom,
        shapes=(page, *sheet.shapes),
        data=tuple((key, f"{value:.6g}") for key, value in where),
    )


def _draw_body(
    sheet: Sheet,
    spec: SectionSpec,
    units: System,
    stretches: tuple[Stretch, ...],
    height: float | None,
    strip: bool,
) -> SectionScale:
    """Draw axis, ground, hole and notes, and move the sheet past them."""
    axis, size = _axis(spec, units), sheet.size("tick")
    frame = _frame(sheet, label_width(axis, size), strip)
    tall = height or (HEIGHT_NARROW if sheet.narrow else HEIGHT_WIDE)
    top = sheet.top + SKY
    needed = 0.0 if strip else _notes_height(sheet, spec, units, stretches, frame)
    scale = scale_of(spec, top=top, height=max(tall, needed), left=frame.left, width=frame.right - frame.left)
    plot = Plot(Box(frame.axis, scale.top, frame.right, scale.bottom), axis, axis)
    sheet.shapes += _picture(spec, stretches, scale, frame)
    sheet.shapes += left_axis_shapes(plot, size, frame.axis)
    lowest = scale.bottom + FLOOR
    if not strip:
        lowest = max(lowest, _draw_notes(sheet, spec, units, stretches, scale, frame))
        lowest = _width_bar(sheet, spec, units, scale, lowest)
    sheet.top = lowest + 8
    return scale


def _axis(spec: SectionSpec, units: System) -> Axis:
    unit = display_unit("depth", units)
    ends = unit.all_from_si(spec.extent_m())
    ladder = linear_ladder(*ends, count=TICKS, snap=False)
    return axis_from_ladder("depth", "", unit.symbol, "depth", ladder)


def _frame(sheet: Sheet, labels: float, strip: bool) -> _Frame:
    margin = 6.0 if strip else sheet.margin
    axis = margin + labels + TICK_LENGTH + TICK_GAP
    if strip:
        return _Frame(axis, axis + 6, sheet.width - margin, 0.0, 0.0, None)
    end = sheet.width - margin
    if sheet.narrow:
        left = axis + 8
        right = left + GROUND_NARROW_SHARE * sheet.width
        return _Frame(axis, left, right, right + COLUMN_GAP, end, None)
    strata = axis + 10 + LEFT_COLUMN_SHARE * sheet.width
    left = strata + COLUMN_GAP
    right = left + GROUND_WIDE
    return _Frame(axis, left, right, right + COLUMN_GAP, end, strata)


def _picture(
    spec: SectionSpec, stretches: tuple[Stretch, ...], scale: SectionScale, frame: _Frame
) -> list[Shape]:
    """Draw everything that lies in the ground, from the back to the front."""
    shapes = ground_shapes(spec, scale, frame.left, frame.right)
    shapes += fracture_shapes(spec, scale, stretches, frame.left, frame.right)
    shapes += bore_shapes(stretches, scale)
    shapes += water_shapes(spec, stretches, scale)
    surface_half = scale.half(bore_at(stretches, spec.ground_m))
    shapes += surface_shapes(spec, scale, frame.left, frame.right, surface_half)
    shapes += wall_shapes(stretches, scale)
    shapes += casing_shapes(spec, stretches, scale)
    shapes += seat_shapes(spec, stretches, scale)
    shapes += pump_shapes(spec, stretches, scale)
    for level in spec.levels:
        shapes += level_shapes(level, scale, scale.half(bore_at(stretches, level.depth_m)))
    return shapes + camera_shapes(spec, stretches, scale)


def _set_notes(
    sheet: Sheet,
    spec: SectionSpec,
    units: System,
    stretches: tuple[Stretch, ...],
    scale: SectionScale,
    frame: _Frame,
) -> tuple[list[SetNote], list[SetNote]]:
    """Set the notes of the left and of the right column; a narrow drawing has the right one only."""
    size = sheet.size("note")
    strata = stratum_notes(spec, units, frame.right if frame.strata is None else frame.left)
    rest = hole_notes(spec, units, scale, stretches, frame.right)
    if frame.strata is None:
        rest = sorted([*strata, *rest], key=lambda note: note.depth_m)
        strata = []
    room_left = 0.0 if frame.strata is None else frame.strata - frame.axis - 10
    left = [set_note(note, scale.y(note.depth_m), room_left, size) for note in strata]
    right = [set_note(note, scale.y(note.depth_m), frame.end - frame.notes, size) for note in rest]
    return left, right


def _notes_height(
    sheet: Sheet, spec: SectionSpec, units: System, stretches: tuple[Stretch, ...], frame: _Frame
) -> float:
    """Find how high the taller column of notes is."""
    top_m, bottom_m = spec.extent_m()
    scale = SectionScale(top_m, bottom_m, 0.0, 1.0, 0.0, 1.0)
    columns = _set_notes(sheet, spec, units, stretches, scale, frame)
    return max(
        note_column(column, left=0, edge=0, low=0, high=0, size=sheet.size("note")).bottom
        for column in columns
    )


def _draw_notes(
    sheet: Sheet,
    spec: SectionSpec,
    units: System,
    stretches: tuple[Stretch, ...],
    scale: SectionScale,
    frame: _Frame,
) -> float:
    size = sheet.size("note")
    left, right = _set_notes(sheet, spec, units, stretches, scale, frame)
    low, high = scale.top - SKY, scale.bottom + FLOOR
    lowest = high
    if frame.strata is not None:
        end = min(frame.strata, frame.axis + 10 + widest_line(left, size))
        column = note_column(left, left=end, edge=frame.left, low=low, high=high, size=size, flip=True)
        sheet.shapes += column.shapes
        lowest = max(lowest, column.bottom)
    column = note_column(right, left=frame.notes, edge=frame.right, low=low, high=high, size=size)
    sheet.shapes += column.shapes
    return max(lowest, column.bottom)


def _width_bar(sheet: Sheet, spec: SectionSpec, units: System, scale: SectionScale, top: float) -> float:
    """Draw a bar of a round width under the hole, so that widths can be read off."""
    if not has_width(spec):
        return top
    unit = display_unit("diameter", units)
    length = round_factor(unit.from_si(widest_m(spec)))
    half = scale.half(unit.to_si(length))
    size = sheet.size("tick")
    y = top + 8
    shapes: list[Shape] = [segment((scale.center - half, y), (scale.center + half, y), "tick")]
    ends = (scale.center - half, scale.center + half)
    shapes += [segment((x, y - BAR_REACH), (x, y + BAR_REACH), "tick") for x in ends]
    label = say("section.width_bar", width=f"{plain_text(length)} {unit.symbol}")
    baseline = y + 6 + ASCENT_EM * size
    overhang = max(0.0, sheet.margin - (scale.center - text_width(label, size) / 2))
    shapes.append(Text(label, (scale.center + overhang, baseline), "tick", size, "middle"))
    sheet.shapes += shapes
    return baseline + 6


def _caption(spec: SectionSpec, scale: SectionScale) -> str:
    parts = [spec.caption]
    if not has_width(spec):
        parts.append(say("section.no_width"))
    elif scale.exaggeration == 1:
        parts.append(say("section.exaggeration.none"))
    else:
        parts.append(say("section.exaggeration", times=plain_text(scale.exaggeration, 3)))
    names = symbolic_parts(spec, scale)
    if names:
        parts.append(say("section.symbolic", names=", ".join(names)))
    if not spec.levels:
        parts.append(say("section.dry"))
    codes = [code_of_rock(stratum.rock, stratum.symbol) for stratum in spec.strata]
    if any(codes):
        parts.append(say("section.patterns"))
    unknown = sorted(
        {each.symbol for each in spec.strata if each.symbol and each.symbol.strip() not in PATTERNS}
    )
    if unknown:
        parts.append(say("section.patterns.unknown", codes=", ".join(unknown)))
    return " ".join(part for part in parts if part)


def _description(spec: SectionSpec, units: System) -> str:
    """Say in words what the drawing shows."""
    stretches = stretches_of(spec)
    top_m, bottom_m = spec.extent_m()
    scale = SectionScale(top_m, bottom_m, 0.0, 1.0, 0.0, 1.0)
    unit = display_unit("depth", units)
    parts = [say("section.alt", depth=f"{plain_text(unit.from_si(spec.depth_m()))} {unit.symbol}")]
    for key, notes in (
        ("section.alt.strata", stratum_notes(spec, units, 0.0)),
        ("section.alt.notes", hole_notes(spec, units, scale, stretches, 0.0)),
    ):
        said = "; ".join(f"{note.lead} {note.text}".strip() for note in notes)
        if said:
            parts.append(say(key, list=said))
    if not spec.levels:
        parts.append(say("section.dry"))
    return " ".join(parts)


def strip_from_section(spec: SectionSpec, *, units: System, height: float = HEIGHT_NARROW) -> Drawing:
    """Lay the section out as a narrow strip to stand beside a page on a phone.

    Parameters
    ----------
    spec
        The hole.
    units
        Unit system of the depth axis.
    height
        Height of the drawn stretch of depth [drawing units].

    Returns
    -------
    Drawing
        120 wide, without notes.

    Examples
    --------
    >>> from ledgewell.figures.section.spec import SectionBore
    >>> bore = SectionBore(top_m=0.0, bottom_m=100.0, diameter_m=0.15)
    >>> strip_from_section(SectionSpec(bores=(bore,)), units="si").width
    120.0
    """
    drawing = drawing_from_section(spec, units=units, width=120.0, height=height, words=False)
    return replace(drawing, name="section-strip")
