"""The record of one well, and how a document becomes one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from ledgewell.errors import InputError, Problem
from ledgewell.record.construction import (
    Bore,
    CameraNote,
    Casing,
    Closure,
    Fracture,
    MeasuringPoint,
    Neighbor,
    Photo,
    Site,
    StandingLevel,
    Stratum,
)
from ledgewell.record.edge import Reader, shorten
from ledgewell.record.fields import Key, Part
from ledgewell.record.readings import place_readings
from ledgewell.record.specs import ChoiceSpec, NumberSpec
from ledgewell.record.supply import Dosing, Need, Pipe, Pump, Sample, Tank, Wire
from ledgewell.record.times import Clockwork
from ledgewell.record.trials import READING_LISTS, Stage, Stimulation, Test
from ledgewell.record.walk import TableSpec, TablesSpec, read_table

FORMAT = 1
"""Format this package writes."""

UPGRADES: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""From each earlier format, the step to the next one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Well(Part):
    """Everything known of one well."""

    format: Annotated[int, NumberSpec(1, FORMAT, whole=True), "format of the document"] = FORMAT
    units: Annotated[str | None, ChoiceSpec(("us", "si")), "unit system of bare numbers in the file"] = None
    well: Annotated[Site, TableSpec(Site), "the well and its place"] = field(default_factory=Site)
    measuring_points: Annotated[
        tuple[MeasuringPoint, ...],
        TablesSpec(MeasuringPoint, "measuring_point"),
        Key("measuring_point"),
        "measuring points, where they changed",
    ] = ()
    casings: Annotated[tuple[Casing, ...], TablesSpec(Casing, "casing"), Key("casing"), "casing"] = ()
    bores: Annotated[tuple[Bore, ...], TablesSpec(Bore, "bore"), Key("bore"), "drilled hole"] = ()
    strata: Annotated[tuple[Stratum, ...], TablesSpec(Stratum, "stratum"), Key("stratum"), "layers"] = ()
    fractures: Annotated[
        tuple[Fracture, ...], TablesSpec(Fracture, "fracture"), Key("fracture"), "where water comes in"
    ] = ()
    camera: Annotated[tuple[CameraNote, ...], TablesSpec(CameraNote, "camera"), "what a camera showed"] = ()
    levels: Annotated[
        tuple[StandingLevel, ...], TablesSpec(StandingLevel, "level"), Key("level"), "depths to water at rest"
    ] = ()
    neighbors: Annotated[
        tuple[Neighbor, ...], TablesSpec(Neighbor, "neighbor"), Key("neighbor"), "what stands near"
    ] = ()
    tests: Annotated[tuple[Test, ...], TablesSpec(Test, "test"), Key("test"), "yield tests"] = ()
    stimulations: Annotated[
        tuple[Stimulation, ...], TablesSpec(Stimulation, "stimulation"), Key("stimulation"), "stimulations"
    ] = ()
    need: Annotated[Need | None, TableSpec(Need), "whom and what it must serve"] = None
    pumps: Annotated[tuple[Pump, ...], TablesSpec(Pump, "pump"), Key("pump"), "pumps"] = ()
    pipes: Annotated[tuple[Pipe, ...], TablesSpec(Pipe, "pipe"), Key("pipe"), "pipes"] = ()
    wires: Annotated[tuple[Wire, ...], TablesSpec(Wire, "wire"), Key("wire"), "cables"] = ()
    tanks: Annotated[tuple[Tank, ...], TablesSpec(Tank, "tank"), Key("tank"), "tanks"] = ()
    doses: Annotated[tuple[Dosing, ...], TablesSpec(Dosing, "dose"), Key("dose"), "disinfections"] = ()
    samples: Annotated[
        tuple[Sample, ...], TablesSpec(Sample, "sample"), Key("sample"), "laboratory results"
    ] = ()
    photos: Annotated[tuple[Photo, ...], TablesSpec(Photo, "photo"), Key("photo"), "photos"] = ()
    closure: Annotated[Closure | None, TableSpec(Closure), "how the hole was given up and sealed"] = None


def upgrade(document: dict[str, Any]) -> dict[str, Any]:
    """Bring a document of an earlier format to the present one.

    Parameters
    ----------
    document
        A well file or JSON record as plain tables.

    Returns
    -------
    dict
        The document in the present format; the same one when it already is.

    Raises
    ------
    InputError
        When it says no format, or one this package does not know.

    Examples
    --------
    >>> upgrade({"format": 1})["format"]
    1
    """
    said = document.get("format")
    if isinstance(said, int) and not isinstance(said, bool) and 1 <= said <= FORMAT:
        while said < FORMAT:
            document = UPGRADES[said](document)
            said = document["format"]
        return document
    say = "the document does not say its format" if said is None else "this format is not known"
    if isinstance(said, int) and said > FORMAT:
        say = "this was written by a later version of Ledgewell"
    given = "nothing" if said is None else shorten(said)
    raise InputError([Problem(where="format", given=given, say=say, right=f"format = {FORMAT} at the top")])


def read_document(document: object) -> Well:
    """Read a record out of plain tables, as TOML or JSON give them.

    Parameters
    ----------
    document
        Keys and values, named as in the well file.

    Returns
    -------
    Well

    Raises
    ------
    InputError
        With everything that cannot be read, together.

    Examples
    --------
    >>> read_document({"format": 1, "units": "us", "bore": [{"bottom": 405}]}).bores[0].bottom.typed
    '405 ft'
    """
    if not isinstance(document, dict):
        right = "keys and values, named as in the well file"
        raise InputError(
            [Problem(where="record", given=shorten(document), say="this is not a record", right=right)]
        )
    document = upgrade(document)
    units = document.get("units")
    reader = Reader(system=units if units in ("us", "si") else None)
    well = read_table(Well, document, "", reader)
    if well is not None and not reader.problems:
        well = place_all(well, reader)
    reader.check()
    if well is None:
        raise InputError([])
    return well


def place_all(well: Well, reader: Reader) -> Well:
    """Resolve every time of every test and stage to minutes since its start.

    Parameters
    ----------
    well
        The record as read.
    reader
        Takes the problems.

    Returns
    -------
    Well

    Examples
    --------
    >>> place_all(Well(), Reader()).tests
    ()
    """
    zone = ZoneInfo(well.well.zone) if well.well.zone else None
    tests = tuple(place_test(test, zone, f"test[{i}]", reader) for i, test in enumerate(well.tests))
    stimulations = []
    for i, job in enumerate(well.stimulations):
        stages = (
            _place_stage(stage, zone, f"stimulation[{i}].stage[{j}]", reader)
            for j, stage in enumerate(job.stages)
        )
        stimulations.append(replace(job, stages=tuple(stages)))
    return replace(well, tests=tests, stimulations=tuple(stimulations))


def place_test(test: Test, zone: ZoneInfo | None, where: str, reader: Reader) -> Test:
    """Resolve every time of one test.

    Parameters
    ----------
    test
        The test as read.
    zone
        Zone of the well, or None when local time is assumed.
    where
        Place of the test.
    reader
        Takes the problems.

    Returns
    -------
    Test

    Examples
    --------
    >>> place_test(Test(name="after"), None, "test[0]", Reader()).levels
    ()
    """
    works = Clockwork(test.start, zone)
    lists: dict[str, Any] = {
        name: place_readings(getattr(test, name), works, f"{where}.{name}", reader, before=name == "before")
        for name in READING_LISTS
    }
    return replace(test, **lists)


def _place_stage(stage: Stage, zone: ZoneInfo | None, where: str, reader: Reader) -> Stage:
    works = Clockwork(stage.start, zone)
    lists: dict[str, Any] = {
        name: place_readings(getattr(stage, name), works, f"{where}.{name}", reader)
        for name in ("readings", "events")
    }
    return replace(stage, **lists)
