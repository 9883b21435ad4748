"""What can be read in a record but is hard to believe: kept, warned about and asked, never refused."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import fields
from itertools import pairwise

from ledgewell.record.construction import Bore, CameraNote, Casing, Fracture, MeasuringPoint, Stratum
from ledgewell.record.datum import Datum, local_time
from ledgewell.record.doubt import Doubt
from ledgewell.record.fields import Part
from ledgewell.record.hole import HoleOnDay, hole_at_test, hole_on, inside_diameter_m, outside_diameter_m
from ledgewell.record.plausible_levels import timed_doubts
from ledgewell.record.plausible_water import stimulation_doubts, water_doubts
from ledgewell.record.supply import Pipe, Pump
from ledgewell.record.well import Well
from ledgewell.units import Quantity

_PROVINCES = re.compile(
    r"\b(canada|alberta|british columbia|manitoba|new brunswick|newfoundland|labrador|nova scotia|ontario|"
    r"prince edward island|quebec|québec|saskatchewan|yukon|nunavut|northwest territories)\b"
)
_PROVINCE_CODE = re.compile(r",\s*(AB|BC|MB|NB|NL|NS|ON|PE|PEI|QC|SK|YT|NU|NT)\b")
_BARE_GALLON = re.compile(r"(?<!imp )(?<!imp\. )(?<!imperial )(?<!us )(?<!uk )\b(gal|gallons?|gpm|gph|gpd)\b")
_CALLED = {"stratum": "stratum", "fracture": "fracture", "camera": "camera note"}
_SLACK_M = 0.01
_LESS = 0.8
"""An airlift is a rough measure: a total this share of the one above is not asked about; a judgment."""
_STRONGEST = 0.8
"""Chlorine products hold up to some 75 % available chlorine; common practice, no source."""


def implausible(well: Well) -> tuple[Doubt, ...]:
    """Find everything in a record that is hard to believe.

    Parameters
    ----------
    well
        The record.

    Returns
    -------
    tuple of Doubt
        Each with its place, what is odd, what to ask, and whether to trust the reading less.

    Examples
    --------
    >>> from ledgewell.record.faces import read_well
    >>> well = read_well('format = 1\\nunits = "us"\\n[[test]]\\nlevels = [[2, 40], [1, 41]]')
    >>> [(doubt.where, doubt.say) for doubt in implausible(well)]
    [('test[0].levels[1]', 'minute 1 stands after minute 2: time runs backwards')]
    """
    hole = hole_on(well)
    found = [*hole.doubts, *_site(well), *_below_bottom(well, hole), *_casings(well), *_airlifts(hole)]
    found += [*_dates(well), *_statics(hole), *_equipment(well, hole)]
    for i, test in enumerate(well.tests):
        then, datum = hole_at_test(well, test), Datum(well, test.start)
        found += then.doubts
        found += _test_setting(i, then)
        found += timed_doubts(test, f"test[{i}]", then, datum)
        found += water_doubts(test, f"test[{i}]", then, datum)
    for i, job in enumerate(well.stimulations):
        bottom_m = hole_on(well, job.date).bottom_m
        found += stimulation_doubts(job, f"stimulation[{i}]", bottom_m, Datum(well, job.date))
    return tuple(dict.fromkeys(found))


def quantities_of(part: object) -> Iterator[Quantity]:
    """Walk every quantity of a record or of one of its tables.

    Parameters
    ----------
    part
        A dataclass of the record, or a tuple of them.

    Yields
    ------
    Quantity

    Examples
    --------
    >>> list(quantities_of(Well()))
    []
    """
    if isinstance(part, Quantity):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from quantities_of(each)
    elif isinstance(part, Part):
        for spec in fields(part):
            yield from quantities_of(getattr(part, spec.name))


def _site(well: Well) -> Iterator[Doubt]:
    site = well.well
    half = (site.latitude is None) != (site.longitude is None)
    if half or (site.latitude, site.longitude) == (0.0, 0.0):
        yield Doubt(where="well.latitude", say="half a position, or zero for both", ask="Where is the well?")
    place = site.place or ""
    if _PROVINCES.search(place.casefold()) or _PROVINCE_CODE.search(place):
        texts = (each.typed.casefold() for each in quantities_of(well) if each.kind in ("volume", "flow"))
        if any(_BARE_GALLON.search(typed) for typed in texts):
            say = "gallons in this record are US gallons, and the well is in Canada"
            ask = "Are they US gallons, or imperial ones (imp gal, igpm)?"
            yield Doubt(where="well.place", say=say, ask=ask)


def _below_bottom(well: Well, hole: HoleOnDay) -> Iterator[Doubt]:
    """Strata, fractures and camera notes must lie within the hole, tops above bottoms."""
    datum = Datum(well, None)
    tables: tuple[tuple[str, Sequence[Stratum | Fracture | CameraNote]], ...] = (
        ("stratum", well.strata),
        ("fracture", well.fractures),
        ("camera", well.camera),
    )
    for table, items in tables:
        for i, item in enumerate(items):
            where = f"{table}[{i}]"
            depths = {
                name: datum.depth_m(getattr(item, name, None), item.depths_from)
                for name in ("top", "depth", "bottom")
            }
            deepest = max((depth for depth in depths.values() if depth is not None), default=None)
            top, bottom = depths["top"], depths["bottom"]
            if top is not None and bottom is not None and bottom <= top:
                say = "its bottom is not below its top"
                yield Doubt(where=f"{where}.bottom", say=say, ask="Were the two exchanged?")
            if deepest is not None and hole.bottom_m is not None and deepest > hole.bottom_m + _SLACK_M:
                say = f"this {_CALLED[table]} is below the bottom of the hole"
                yield Doubt(
                    where=where, say=say, ask="Is the depth right, or is the hole deeper than written?"
                )
            if not any(depth is not None for depth in depths.values()):
                yield Doubt(where=where, say="no depth was written down", ask="How deep is it?")


def _casings(well: Well) -> Iterator[Doubt]:
    """A casing must fit into the bore around it, and its inside into its outside."""
    datum = Datum(well, None)
    for i, casing in enumerate(well.casings):
        inside, outside = inside_diameter_m(casing), outside_diameter_m(casing)
        where = f"casing[{i}]"
        if inside is not None and outside is not None and inside >= outside:
            say = "its inside is not narrower than its outside"
            yield Doubt(where=f"{where}.inside_diameter", say=say, ask="What are its two diameters?")
        widest = outside if outside is not None else inside
        top = datum.depth_m(casing.top, casing.depths_from, casing.since)
        bottom = datum.depth_m(casing.bottom, casing.depths_from, casing.since)
        for j, bore in enumerate(well.bores):
            if widest is None or bottom is None or bore.diameter is None or bore.diameter.si >= widest:
                continue
            bore_top = datum.depth_m(bore.top, bore.depths_from, bore.since)
            bore_bottom = datum.depth_m(bore.bottom, bore.depths_from, bore.since)
            if bore_top is None or bore_bottom is None:
                continue
            if min(bottom, bore_bottom) - max(top or 0.0, bore_top) > _SLACK_M:
                say = f"this casing is wider than the bore it stands in, bore[{j}]"
                yield Doubt(where=where, say=say, ask="What are the diameters of casing and bore?")


def _airlifts(hole: HoleOnDay) -> Iterator[Doubt]:
    """The total blown cannot grow less as the bit goes deeper, and the bit was at or below the fracture."""
    blown = [each for each in hole.fractures if each.airlift_m3s is not None and each.bit_depth_m is not None]
    blown.sort(key=lambda each: each.bit_depth_m or 0.0)
    for above, below in pairwise(blown):
        if (below.airlift_m3s or 0.0) < _LESS * (above.airlift_m3s or 0.0):
            say = f"less was blown here than with the bit higher up, at {above.where}"
            yield Doubt(
                where=f"{below.where}.airlift", say=say, ask="Is airlift the total flow, not the gain?"
            )
    for each in hole.fractures:
        if each.bit_depth_m is not None and each.depth_m is not None and each.bit_depth_m < each.depth_m:
            say = "the bit was above the fracture when it was blown"
            yield Doubt(where=f"{each.where}.bit_depth", say=say, ask="Where was the bit?")


def _dates(well: Well) -> Iterator[Doubt]:
    zone = well.well.zone
    tables: tuple[tuple[str, Sequence[Casing | Bore | Pump | Pipe | MeasuringPoint]], ...] = (
        ("casing", well.casings),
        ("bore", well.bores),
        ("pump", well.pumps),
        ("pipe", well.pipes),
        ("measuring_point", well.measuring_points),
    )
    for table, items in tables:
        for i, item in enumerate(items):
            if item.since is None or item.until is None:
                continue
            if local_time(item.until, zone) <= local_time(item.since, zone):
                say = "it ended before it began"
                yield Doubt(where=f"{table}[{i}].until", say=say, ask="When was it so?")


def _statics(hole: HoleOnDay) -> Iterator[Doubt]:
    for level in hole.statics:
        if level.depth_m < 0 and level.where.startswith("level"):
            say = "this level is above the measuring point"
            yield Doubt(where=level.where, say=say, ask="Is the well flowing?")
        if hole.bottom_m is not None and level.depth_m > hole.bottom_m + _SLACK_M:
            say = "this level is below the bottom of the hole"
            yield Doubt(where=level.where, say=say, ask="Is the level right?", down_weight=True)
        elif hole.pump_setting_m is not None and level.depth_m > hole.pump_setting_m + _SLACK_M:
            say = "the water at rest stands below the installed pump"
            yield Doubt(where=level.where, say=say, ask="Is the level right, and the setting of the pump?")


def _test_setting(index: int, hole: HoleOnDay) -> Iterator[Doubt]:
    if hole.pump_setting_m is not None and hole.bottom_m is not None and hole.pump_setting_m > hole.bottom_m:
        say = "the pump of this test hung below the bottom of the hole"
        yield Doubt(where=f"test[{index}].pump_setting", say=say, ask="How deep did it hang?")
    for pipe in hole.drop_pipes:
        narrow = [
            each for each in hole.intervals if each.diameter_m is not None and pipe.outside_m is not None
        ]
        if any((pipe.outside_m or 0.0) >= (each.diameter_m or 0.0) for each in narrow):
            where = f"test[{index}].drop_pipe_outside_diameter"
            yield Doubt(
                where=where, say="the drop pipe is wider than the hole", ask="How wide is the drop pipe?"
            )


def _equipment(well: Well, hole: HoleOnDay) -> Iterator[Doubt]:
    for i, pump in enumerate(well.pumps):
        setting = Datum(well, None).depth_m(pump.setting, pump.depths_from, pump.since)
        if setting is not None and hole.bottom_m is not None and setting > hole.bottom_m:
            say = "this pump is set below the bottom of the hole"
            yield Doubt(where=f"pump[{i}].setting", say=say, ask="How deep is it set?")
        points = sorted((flow.si, head.si) for flow, head in pump.curve)
        if any(after[1] > before[1] for before, after in pairwise(points)):
            say = "the head of this pump grows with its flow"
            yield Doubt(where=f"pump[{i}].curve", say=say, ask="Are flow and head in their places?")
    for i, tank in enumerate(well.tanks):
        if tank.cut_in is not None and tank.cut_out is not None and tank.cut_in.si >= tank.cut_out.si:
            say = "the pump starts at no lower pressure than it stops"
            yield Doubt(where=f"tank[{i}].cut_in", say=say, ask="Were cut-in and cut-out exchanged?")
        if tank.precharge is not None and tank.cut_in is not None and tank.precharge.si > tank.cut_in.si:
            say = "the precharge is above the cut-in pressure"
            yield Doubt(where=f"tank[{i}].precharge", say=say, ask="What is the precharge?")
    for i, dose in enumerate(well.doses):
        if dose.strength is not None and dose.strength.si > _STRONGEST:
            say = "no chlorine product is this strong"
            yield Doubt(where=f"dose[{i}].strength", say=say, ask="What does its label say?")
