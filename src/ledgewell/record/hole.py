"""The hole as it stood on a day: every depth in meters below the measuring point of that day."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ledgewell.record.construction import Bore, Casing
from ledgewell.record.datum import Datum, Occasion, in_effect, latest, local_time
from ledgewell.record.doubt import Doubt
from ledgewell.record.lining import HoleInterval, Span, line_hole
from ledgewell.record.supply import Pump
from ledgewell.record.trials import Test
from ledgewell.record.well import Well
from ledgewell.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFracture:
    """A fracture placed in the hole.

    Parameters
    ----------
    depth_m
        Depth [m], the middle of a zone; None when no depth was written down.
    top_m, bottom_m
        Ends of a zone [m], or None.
    airlift_m3s
        Total flow blown when the bit was at `bit_depth_m` [m³/s], or None.
    bit_depth_m
        Where the bit was then [m], or None.
    blown_s
        How long it was blown [s], or None.
    static_level_m
        Depth to water at rest then [m], or None.
    where, id
        Place in the record, and the item's id.
    """

    depth_m: float | None
    top_m: float | None
    bottom_m: float | None
    airlift_m3s: float | None
    bit_depth_m: float | None
    blown_s: float | None
    static_level_m: float | None
    where: str
    id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleLevel:
    """A depth to water at rest.

    Parameters
    ----------
    at
        When, or None.
    depth_m
        Depth below the measuring point [m]; below zero it was flowing.
    resolution_m
        Resolution of the reading [m].
    method
        How it was measured, or None.
    where
        Place in the record.
    """

    at: Occasion
    depth_m: float
    resolution_m: float
    method: str | None
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DropPipe:
    """A drop pipe hanging in the hole; diameters and length [m], None when not known."""

    inside_m: float | None
    outside_m: float | None
    length_m: float | None
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleOnDay:
    """The hole as it stood on a day, depths in meters below the measuring point.

    Parameters
    ----------
    when
        The day or moment; None for the present.
    intervals
        The hole's inside from the top down, in order, none overlapping.
    gaps
        Depths at which nothing is known, as (top, bottom) [m].
    bottom_m
        Bottom of the hole [m], or None.
    shoe_m
        Bottom of the casing that ends in a shoe, or else of the deepest casing [m]; None without casing.
    stickup_m
        Height of the measuring point above ground [m], or None.
    fractures
        Fractures with their airlift notes, from the top down.
    pump
        The installed pump, or None.
    pump_setting_m
        Depth of its intake [m], or None.
    cut_off_m
        Depth to water at which its cut-off stops it [m], or None.
    drop_pipes
        Drop pipes installed.
    statics
        Depths to water at rest, by time.
    doubts
        What is missing, was assumed, or contradicts itself.
    """

    when: Occasion
    intervals: tuple[HoleInterval, ...]
    gaps: tuple[tuple[float, float], ...]
    bottom_m: float | None
    shoe_m: float | None
    stickup_m: float | None
    fractures: tuple[HoleFracture, ...]
    pump: Pump | None
    pump_setting_m: float | None
    cut_off_m: float | None
    drop_pipes: tuple[DropPipe, ...]
    statics: tuple[HoleLevel, ...]
    doubts: tuple[Doubt, ...]


def hole_on(well: Well, when: Occasion = None) -> HoleOnDay:
    """Find the hole as it stood on a day.

    Parameters
    ----------
    well
        The record.
    when
        Day, or day and time; None for the present, after every change.

    Returns
    -------
    HoleOnDay
        What is not known is None, and what was assumed is among its doubts.

    Examples
    --------
    >>> from ledgewell.record.faces import read_well
    >>> well = read_well('format = 1\\nunits = "si"\\n[[bore]]\\ntop = 0\\nbottom = 120\\ndiameter = 152')
    >>> hole_on(well).bottom_m
    120.0
    """
    datum = Datum(well, when)
    zone = well.well.zone
    doubts: list[Doubt] = []
    casings = _casing_spans(well, datum, doubts)
    bores = _bore_spans(well, datum, doubts)
    intervals, gaps, found = line_hole(casings, bores)
    pump = latest([p for p in well.pumps if p.role == "installed" and in_effect(p, when, zone)], zone)
    bottoms = [span.bottom_m for span in bores or casings]
    return HoleOnDay(
        when=when,
        intervals=intervals,
        gaps=gaps,
        bottom_m=max(bottoms, default=None),
        shoe_m=_shoe_m(casings),
        stickup_m=datum.stickup_m(when),
        fractures=_fractures(well, datum),
        pump=pump,
        pump_setting_m=datum.depth_m(pump.setting, pump.depths_from, pump.since) if pump else None,
        cut_off_m=datum.depth_m(pump.cut_off, pump.depths_from, pump.since) if pump else None,
        drop_pipes=_drop_pipes(well, when),
        statics=_statics(well, datum),
        doubts=(*_stickup_doubts(well, datum), *doubts, *found),
    )


def hole_at_test(well: Well, test: Test) -> HoleOnDay:
    """Find the hole as it stood when a test started, with the pump and drop pipe of that test.

    Parameters
    ----------
    well
        The record.
    test
        One of its tests.

    Returns
    -------
    HoleOnDay
        The test's own pump setting and drop pipe rule over those installed.

    Examples
    --------
    >>> from ledgewell.units import parse_quantity
    >>> test = Test(pump_setting=parse_quantity("120 m", "depth"))
    >>> hole_at_test(Well(), test).pump_setting_m
    120.0
    """
    hole = hole_on(well, test.start)
    setting_m = Datum(well, test.start).depth_m(test.pump_setting, test.depths_from, test.start)
    inside, outside = test.drop_pipe_inside_diameter, test.drop_pipe_outside_diameter
    if setting_m is None and inside is None and outside is None:
        return hole
    index = next((i for i, each in enumerate(well.tests) if each is test), None)
    where = "test" if index is None else f"test[{index}]"
    length_m = setting_m if setting_m is not None else hole.pump_setting_m
    pipe = DropPipe(inside_m=_si(inside), outside_m=_si(outside), length_m=length_m, where=where)
    pipes = hole.drop_pipes if inside is None and outside is None else (pipe,)
    return replace(hole, pump_setting_m=length_m, drop_pipes=pipes)


def _si(quantity: Quantity | None) -> float | None:
    return quantity.si if quantity is not None else None


def _casing_spans(well: Well, datum: Datum, doubts: list[Doubt]) -> list[Span]:
    spans = []
    for i, casing in enumerate(well.casings):
        if not in_effect(casing, datum.when, well.well.zone):
            continue
        where = f"casing[{i}]"
        top_m = datum.depth_m(casing.top, casing.depths_from, casing.since)
        if top_m is None:
            top_m = 0.0
            doubts.append(_assumed_top(where, "the measuring point"))
        bottom_m = datum.depth_m(casing.bottom, casing.depths_from, casing.since)
        if bottom_m is None or bottom_m <= top_m:
            doubts.append(_no_bottom(where, casing))
            continue
        spans.append(
            Span(
                where=where,
                kind=casing.kind or "casing",
                top_m=top_m,
                bottom_m=bottom_m,
                inside_m=inside_diameter_m(casing),
                outside_m=outside_diameter_m(casing),
                annulus=casing.annulus,
                shoe=casing.shoe,
            )
        )
    return spans


def inside_diameter_m(casing: Casing) -> float | None:
    """Find the inside diameter of a casing, from its outside and wall when it was not written down.

    Parameters
    ----------
    casing
        The casing.

    Returns
    -------
    float or None
        Inside diameter [m].

    Examples
    --------
    >>> from ledgewell.units import parse_quantity as read
    >>> pipe = Casing(outside_diameter=read("168.3 mm", "diameter"), wall=read("7.1 mm", "diameter"))
    >>> round(inside_diameter_m(pipe), 4)
    0.1541
    """
    if casing.inside_diameter is not None:
        return casing.inside_diameter.si
    if casing.outside_diameter is None or casing.wall is None:
        return None
    inside = casing.outside_diameter.si - 2 * casing.wall.si
    return inside if inside > 0 else None


def outside_diameter_m(casing: Casing) -> float | None:
    """Find the outside diameter of a casing, from its inside and wall when it was not written down.

    Parameters
    ----------
    casing
        The casing.

    Returns
    -------
    float or None
        Outside diameter [m].

    Examples
    --------
    >>> outside_diameter_m(Casing()) is None
    True
    """
    if casing.outside_diameter is not None:
        return casing.outside_diameter.si
    if casing.inside_diameter is None or casing.wall is None:
        return None
    return casing.inside_diameter.si + 2 * casing.wall.si


def _bore_spans(well: Well, datum: Datum, doubts: list[Doubt]) -> list[Span]:
    placed: list[tuple[float, int, Bore]] = []
    for i, bore in enumerate(well.bores):
        if in_effect(bore, datum.when, well.well.zone):
            bottom_m = datum.depth_m(bore.bottom, bore.depths_from, bore.since)
            if bottom_m is None:
                doubts.append(_no_bottom(f"bore[{i}]", bore))
            else:
                placed.append((bottom_m, i, bore))
    spans: list[Span] = []
    for bottom_m, i, bore in sorted(placed, key=lambda each: each[:2]):
        where = f"bore[{i}]"
        top_m = datum.depth_m(bore.top, bore.depths_from, bore.since)
        if top_m is None:
            top_m = max((span.bottom_m for span in spans), default=0.0)
            doubts.append(_assumed_top(where, "the bottom of the bore above, or the measuring point"))
        if bottom_m <= top_m:
            doubts.append(_no_bottom(where, bore))
            continue
        spans.append(
            Span(where=where, kind="bore", top_m=top_m, bottom_m=bottom_m, inside_m=_si(bore.diameter))
        )
    return spans


def _assumed_top(where: str, taken: str) -> Doubt:
    return Doubt(where=f"{where}.top", say=f"no top was given; {taken} is taken", ask="Where is its top?")


def _no_bottom(where: str, item: Casing | Bore) -> Doubt:
    say = "its bottom is not known" if item.bottom is None else "its bottom is not below its top"
    return Doubt(where=f"{where}.bottom", say=f"{say}, so it is left out", ask="Where is its bottom?")


def _shoe_m(casings: list[Span]) -> float | None:
    shod = [span.bottom_m for span in casings if span.shoe]
    plain = [span.bottom_m for span in casings if span.kind == "casing"]
    return max(shod or plain, default=None)


def _fractures(well: Well, datum: Datum) -> tuple[HoleFracture, ...]:
    found = []
    for i, item in enumerate(well.fractures):
        depth_m = datum.depth_m(item.depth, item.depths_from)
        top_m = datum.depth_m(item.top, item.depths_from)
        bottom_m = datum.depth_m(item.bottom, item.depths_from)
        ends = [end for end in (top_m, bottom_m) if end is not None]
        if depth_m is None and ends:
            depth_m = sum(ends) / len(ends)
        found.append(
            HoleFracture(
                depth_m=depth_m,
                top_m=top_m,
                bottom_m=bottom_m,
                airlift_m3s=_si(item.airlift),
                bit_depth_m=datum.depth_m(item.bit_depth, item.depths_from),
                blown_s=_si(item.minutes),
                static_level_m=datum.depth_m(item.static_level, item.depths_from),
                where=f"fracture[{i}]",
                id=item.id,
            )
        )
    return tuple(sorted(found, key=lambda each: (each.depth_m is None, each.depth_m or 0.0)))


def _drop_pipes(well: Well, when: Occasion) -> tuple[DropPipe, ...]:
    return tuple(
        DropPipe(
            inside_m=_si(pipe.inside_diameter),
            outside_m=_si(pipe.outside_diameter),
            length_m=_si(pipe.length),
            where=f"pipe[{i}]",
        )
        for i, pipe in enumerate(well.pipes)
        if pipe.role == "drop" and in_effect(pipe, when, well.well.zone)
    )


def _statics(well: Well, datum: Datum) -> tuple[HoleLevel, ...]:
    found = []
    for i, level in enumerate(well.levels):
        depth_m = datum.depth_m(level.depth, level.depths_from, level.at)
        if level.depth is not None and depth_m is not None:
            found.append((level.at, depth_m, level.depth, level.method, f"level[{i}].depth"))
    for i, test in enumerate(well.tests):
        depth_m = datum.depth_m(test.static_level, test.depths_from, test.start)
        if test.static_level is not None and depth_m is not None:
            found.append((test.start, depth_m, test.static_level, test.method, f"test[{i}].static_level"))
    zone = well.well.zone
    found.sort(
        key=lambda each: (
            ("", each[4]) if each[0] is None else (local_time(each[0], zone).isoformat(), each[4])
        )
    )
    return tuple(
        HoleLevel(at=at, depth_m=depth_m, resolution_m=depth.resolution_si, method=method, where=where)
        for at, depth_m, depth, method, where in found
    )


def _stickup_doubts(well: Well, datum: Datum) -> list[Doubt]:
    if datum.stickup_m(datum.when) is not None:
        return []
    said = [each.depths_from for each in well.casings] + [each.depths_from for each in well.bores]
    said += [each.depths_from for each in well.strata] + [each.depths_from for each in well.fractures]
    said += [each.depths_from for each in well.levels] + [each.depths_from for each in well.tests]
    said += [each.depths_from for each in well.pumps] + [each.depths_from for each in well.camera]
    if not any(datum.from_ground(each) for each in said):
        return []
    say = (
        "depths are from ground, and how high the measuring point stands is not known; taken as level with it"
    )
    return [Doubt(where="well.stickup", say=say, ask="How high above ground is the measuring point?")]
