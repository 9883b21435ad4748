"""What is written beside the section: every depth with what is there, in order."""

from __future__ import annotations

from ledgewell.figures.heading import depth_text, flow_text
from ledgewell.figures.section.column import Note
from ledgewell.figures.section.scale import SectionScale
from ledgewell.figures.section.shaft import Stretch, bore_at
from ledgewell.figures.section.spec import SectionCasing, SectionFracture, SectionLevel, SectionSpec
from ledgewell.figures.words import say
from ledgewell.units import System, show


def span_text(top_m: float, bottom_m: float, units: System) -> str:
    """Write a depth, or a stretch of depths.

    Parameters
    ----------
    top_m, bottom_m
        Ends [m].
    units
        Unit system.

    Returns
    -------
    str
        One depth when both ends are the same.

    Examples
    --------
    >>> span_text(94.488, 94.488, "us"), span_text(18.8976, 94.488, "us")
    ('310 ft', '62 to 310 ft')
    """
    if top_m == bottom_m:
        return depth_text(top_m, units)
    return f"{depth_text(top_m, units).rsplit(' ', 1)[0]} to {depth_text(bottom_m, units)}"


def stratum_notes(spec: SectionSpec, units: System, from_x: float) -> list[Note]:
    """Write a note for each stratum, at its middle.

    Parameters
    ----------
    spec
        The section.
    units
        Unit system.
    from_x
        Where lines start [drawing units].

    Returns
    -------
    list of Note
        In order of depth.

    Examples
    --------
    >>> from ledgewell.figures.section.spec import SectionStratum
    >>> spec = SectionSpec(strata=(SectionStratum(top_m=0.0, bottom_m=5.0, rock="till"),))
    >>> [(note.lead, note.text) for note in stratum_notes(spec, "si", 0.0)]
    [('0 to 5 m', 'till')]
    """
    notes = []
    for stratum in spec.strata:
        rock = stratum.rock or say("section.stratum.unnamed")
        lead = span_text(stratum.top_m, stratum.bottom_m, units)
        middle = (stratum.top_m + stratum.bottom_m) / 2
        notes.append(Note(depth_m=middle, lead=lead, text=rock, from_x=from_x))
    return sorted(notes, key=lambda note: note.depth_m)


def hole_notes(
    spec: SectionSpec, units: System, scale: SectionScale, stretches: tuple[Stretch, ...], edge: float
) -> list[Note]:
    """Write a note for everything in the hole and on its wall.

    Parameters
    ----------
    spec
        The section.
    units
        Unit system.
    scale
        Where depths and widths lie.
    stretches
        The hole.
    edge
        Right edge of the drawn ground [drawing units].

    Returns
    -------
    list of Note
        In order of depth; notes at one depth stay in the order casing, bore, level, fracture, camera, seat,
        pump, bottom.

    Examples
    --------
    >>> from ledgewell.figures.section.shaft import stretches_of
    >>> scale = SectionScale(0.0, 100.0, 0.0, 200.0, 50.0, 100.0)
    >>> spec = SectionSpec(bottom_m=100.0)
    >>> [note.text for note in hole_notes(spec, "si", scale, stretches_of(spec), 100.0)]
    ['bottom of hole']
    """

    def wall(depth_m: float) -> float:
        return scale.center + scale.half(bore_at(stretches, depth_m))

    notes = [_casing_note(casing, units, wall(casing.bottom_m)) for casing in spec.casings]
    for bore in spec.bores:
        if bore.diameter_m is not None:
            text = say(
                "section.bore",
                diameter=show(bore.diameter_m, "diameter", units),
                top=depth_text(bore.top_m, units),
                bottom=depth_text(bore.bottom_m, units),
            )
            middle = (bore.top_m + bore.bottom_m) / 2
            notes.append(Note(depth_m=middle, lead="", text=text, from_x=wall(middle)))
    notes += [_level_note(spec, level, units, wall(level.depth_m)) for level in spec.levels]
    notes += [_fracture_note(fracture, units, edge) for fracture in spec.fractures]
    for camera in spec.cameras:
        lead = span_text(camera.top_m, camera.bottom_m, units)
        text = say("section.camera", text=camera.text)
        notes.append(Note(depth_m=camera.top_m, lead=lead, text=text, from_x=wall(camera.top_m)))
    for seat in spec.seats:
        text = seat.label or say("section.seat")
        lead = depth_text(seat.top_m, units)
        notes.append(Note(depth_m=seat.top_m, lead=lead, text=text, from_x=wall(seat.top_m)))
    if spec.pump is not None:
        depth = spec.pump.intake_m
        text = ", ".join(part for part in (say("section.pump"), spec.pump.label) if part)
        notes.append(Note(depth_m=depth, lead=depth_text(depth, units), text=text, from_x=wall(depth)))
    if spec.bottom_m is not None:
        depth, text = spec.bottom_m, say("section.bottom")
        notes.append(Note(depth_m=depth, lead=depth_text(depth, units), text=text, from_x=wall(depth)))
    return sorted(notes, key=lambda note: note.depth_m)


def _casing_note(casing: SectionCasing, units: System, from_x: float) -> Note:
    bottom = depth_text(casing.bottom_m, units)
    name: str = casing.kind
    if casing.inside_diameter_m is not None:
        name += f" {show(casing.inside_diameter_m, 'diameter', units)} inside"
    elif casing.outside_diameter_m is not None:
        name += f" {show(casing.outside_diameter_m, 'diameter', units)} outside"
    parts = [say("section.ends", name=name)]
    if casing.shoe:
        parts.append(say("section.shoe"))
    if casing.annulus != "unknown":
        parts.append(say(f"section.casing.{casing.annulus}"))
    return Note(depth_m=casing.bottom_m, lead=bottom, text=", ".join(parts), from_x=from_x)


def _level_note(spec: SectionSpec, level: SectionLevel, units: System, from_x: float) -> Note:
    if level.label:
        text = level.label
    elif level.kind == "pumping":
        text = say("section.pumping")
    elif level.depth_m < 0:
        text = say("section.flowing", datum=say(f"section.datum.{spec.datum}"))
    else:
        text = say("section.static")
    return Note(depth_m=level.depth_m, lead=depth_text(level.depth_m, units), text=text, from_x=from_x)


def _fracture_note(fracture: SectionFracture, units: System, from_x: float) -> Note:
    parts = [say("section.fracture")]
    if fracture.airlift_m3s is not None:
        flow = flow_text(fracture.airlift_m3s, units)
        if fracture.bit_depth_m is None:
            parts.append(say("section.airlift", flow=flow))
        else:
            parts.append(say("section.airlift.bit", flow=flow, depth=depth_text(fracture.bit_depth_m, units)))
    if fracture.note:
        parts.append(fracture.note)
    lead = span_text(fracture.top_m, fracture.bottom_m, units)
    middle = (fracture.top_m + fracture.bottom_m) / 2
    return Note(depth_m=middle, lead=lead, text=", ".join(parts), from_x=from_x)
