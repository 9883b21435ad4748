"""The section of a hole as recorded, ready to be drawn."""

from __future__ import annotations

from collections.abc import Iterator

from ledgewell.figures import (
    SectionBore,
    SectionCamera,
    SectionCasing,
    SectionFracture,
    SectionLevel,
    SectionPump,
    SectionSpec,
    SectionStratum,
)
from ledgewell.record import Datum, Fracture, Well, in_effect, inside_diameter_m, outside_diameter_m
from ledgewell.steps.hole import HoleFindings
from ledgewell.units import Quantity, System


def section_of(found: HoleFindings, system: System) -> SectionSpec:
    """Put a hole and what is known of it into a section.

    Parameters
    ----------
    found
        Findings of the hole step.
    system
        Unit system of the words around it.

    Returns
    -------
    SectionSpec
        What has no depth, or ends above where it begins, is left out; the findings say so.

    Examples
    --------
    >>> from ledgewell.record import read_well
    >>> from ledgewell.steps.hole import describe_hole
    >>> well = read_well('format = 1\\nunits = "si"\\n[[bore]]\\ntop = 0\\nbottom = 120\\ndiameter = 152')
    >>> section_of(describe_hole(well), "si").bores
    (SectionBore(top_m=0.0, bottom_m=120.0, diameter_m=0.152),)
    """
    well, hole = found.well, found.hole
    datum = Datum(well, hole.when)
    return SectionSpec(
        sentence=found.sentence(system),
        notice=well.well.note or "",
        ground_m=hole.stickup_m or 0.0,
        bottom_m=hole.bottom_m,
        casings=tuple(_casings(well, datum, hole.shoe_m)),
        bores=tuple(_bores(well, datum)),
        strata=tuple(_strata(well, datum)),
        fractures=tuple(_fractures(found)),
        cameras=tuple(_cameras(well, datum)),
        levels=tuple(_levels(found)),
        pump=_pump(found),
    )


def _casings(well: Well, datum: Datum, shoe_m: float | None) -> Iterator[SectionCasing]:
    for each in well.casings:
        bottom_m = datum.depth_m(each.bottom, each.depths_from, each.since)
        top_m = datum.depth_m(each.top, each.depths_from, each.since) or 0.0
        if bottom_m is None or bottom_m <= top_m or not in_effect(each, datum.when, well.well.zone):
            continue
        annulus = each.annulus or "unknown"
        kind = each.kind or "casing"
        yield SectionCasing(
            top_m=top_m,
            bottom_m=bottom_m,
            inside_diameter_m=inside_diameter_m(each),
            outside_diameter_m=outside_diameter_m(each),
            kind="liner" if kind == "liner" else "screen" if kind == "screen" else "casing",
            shoe=bool(each.shoe) or (each.shoe is None and kind == "casing" and bottom_m == shoe_m),
            annulus="open" if annulus == "open" else "sealed" if annulus == "sealed" else "unknown",
        )


def _bores(well: Well, datum: Datum) -> Iterator[SectionBore]:
    """Bores from the shallowest bottom down; one without a top begins where the one above it ends."""
    placed = [
        (bottom_m, index)
        for index, each in enumerate(well.bores)
        if in_effect(each, datum.when, well.well.zone)
        and (bottom_m := datum.depth_m(each.bottom, each.depths_from, each.since)) is not None
    ]
    above_m = 0.0
    for bottom_m, index in sorted(placed):
        bore = well.bores[index]
        top_m = datum.depth_m(bore.top, bore.depths_from, bore.since)
        top_m = above_m if top_m is None else top_m
        if bottom_m > top_m:
            yield SectionBore(top_m=top_m, bottom_m=bottom_m, diameter_m=_si(bore.diameter))
            above_m = bottom_m


def _strata(well: Well, datum: Datum) -> Iterator[SectionStratum]:
    above_m = 0.0
    for each in well.strata:
        top_m, bottom_m = (
            datum.depth_m(each.top, each.depths_from),
            datum.depth_m(each.bottom, each.depths_from),
        )
        top_m = above_m if top_m is None else top_m
        if bottom_m is not None and bottom_m > top_m:
            yield SectionStratum(
                top_m=top_m, bottom_m=bottom_m, rock=each.rock or "", symbol=each.symbol or ""
            )
            above_m = bottom_m


def _fractures(found: HoleFindings) -> Iterator[SectionFracture]:
    notes: dict[str, Fracture] = {f"fracture[{i}]": each for i, each in enumerate(found.well.fractures)}
    for each in found.hole.fractures:
        if each.depth_m is None:
            continue
        ends = [end for end in (each.top_m, each.bottom_m) if end is not None]
        ends = ends if len(ends) == 2 else [each.depth_m]
        yield SectionFracture(
            top_m=min(ends),
            bottom_m=max(ends),
            airlift_m3s=each.airlift_m3s,
            bit_depth_m=each.bit_depth_m,
            note=notes[each.where].note or "",
        )


def _cameras(well: Well, datum: Datum) -> Iterator[SectionCamera]:
    for each in well.camera:
        given = (each.depth, each.top, each.bottom)
        depths = [depth for one in given if (depth := datum.depth_m(one, each.depths_from)) is not None]
        words = ", ".join([*each.observed, *([each.note] if each.note else [])])
        if depths and words:
            yield SectionCamera(top_m=min(depths), bottom_m=max(depths), text=words)


def _levels(found: HoleFindings) -> Iterator[SectionLevel]:
    level = found.standing.level
    if level is not None and found.standing.state in ("standing", "flowing"):
        yield SectionLevel(depth_m=level.si, kind="static")


def _pump(found: HoleFindings) -> SectionPump | None:
    hole = found.hole
    if hole.pump_setting_m is None:
        return None
    pipes = [each.outside_m for each in hole.drop_pipes if each.outside_m is not None]
    return SectionPump(
        intake_m=hole.pump_setting_m,
        diameter_m=_si(hole.pump.diameter) if hole.pump is not None else None,
        pipe_outside_diameter_m=pipes[0] if pipes else None,
        label=(hole.pump.name or "") if hole.pump is not None else "",
    )


def _si(quantity: Quantity | None) -> float | None:
    return quantity.si if quantity is not None else None
