"""What was done to the well and read while doing it: yield tests and stimulations."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from ledgewell.record import fields
from ledgewell.record.fields import Datum, Item, Key, Part
from ledgewell.record.readings import (
    METHODS,
    EarlierReading,
    EventReading,
    FlowReading,
    LevelReading,
    MeterReading,
    RateReading,
    ReadingsSpec,
    StageReading,
    VolumeReading,
)
from ledgewell.record.specs import ChoiceSpec, FlagSpec
from ledgewell.record.walk import TableSpec, TablesSpec

OCCASIONS = ("before stimulation", "after stimulation", "drilling", "return visit", "other")
"""On what occasion a well is tested."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Test(Item):
    """A yield test: what was pumped, what was measured, when."""

    __test__: ClassVar[bool] = False
    IDENTITY: ClassVar[tuple[str, ...]] = ("name", "when", "start")

    name: Annotated[fields.Text, "name of the test"] = None
    when: Annotated[str | None, ChoiceSpec(OCCASIONS), "on what occasion"] = None
    start: Annotated[fields.Moment, "when it started; minutes count from here"] = None
    static_level: Annotated[fields.SignedDepth, "depth to water before pumping; below zero it is flowing"] = (
        None
    )
    method: Annotated[str | None, ChoiceSpec(METHODS), "how the levels were measured"] = None
    pump_setting: Annotated[fields.Depth, "depth of the intake, if a pump hung in the hole"] = None
    drop_pipe_outside_diameter: Annotated[fields.Diameter, "outside diameter of the drop pipe"] = None
    drop_pipe_inside_diameter: Annotated[fields.Diameter, "inside diameter of the drop pipe"] = None
    drain_back: Annotated[
        bool | str | None, FlagSpec(unknown=True), "does the drop pipe empty into the hole at shut-off"
    ] = None
    before: Annotated[
        tuple[EarlierReading, ...],
        ReadingsSpec(EarlierReading, "rate", before=True),
        "pumping, airlifting or injection (below zero) that came before",
    ] = ()
    rates: Annotated[
        tuple[RateReading, ...],
        ReadingsSpec(RateReading, "rate"),
        "what the pump was set to, from that minute on",
    ] = ()
    flows: Annotated[tuple[FlowReading, ...], ReadingsSpec(FlowReading, "flow"), "flows measured"] = ()
    meter: Annotated[
        tuple[MeterReading, ...], ReadingsSpec(MeterReading, "meter"), "readings of a totalizer"
    ] = ()
    levels: Annotated[tuple[LevelReading, ...], ReadingsSpec(LevelReading, "level"), "depths to water"] = ()
    bailed: Annotated[
        tuple[VolumeReading, ...], ReadingsSpec(VolumeReading, "volume"), "water taken out at once"
    ] = ()
    poured_in: Annotated[
        tuple[VolumeReading, ...], ReadingsSpec(VolumeReading, "volume"), "water put in at once"
    ] = ()
    events: Annotated[tuple[EventReading, ...], ReadingsSpec(EventReading, "event"), "what happened"] = ()
    rule: Annotated[fields.Text, "key of the rule that sets how long to test"] = None
    file: Annotated[fields.Text, "logger file, instead of or beside the lists"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
    depths_from: Datum = None


READING_LISTS = ("before", "rates", "flows", "meter", "levels", "bailed", "poured_in", "events")
"""The lists of readings of a test."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratings(Part):
    """What the equipment is rated for, copied from the company's own record at the time."""

    pump_pressure: Annotated[fields.Pressure, "most pressure the pump may make"] = None
    pump_flow: Annotated[fields.Flow, "most flow the pump can make"] = None
    power: Annotated[fields.Power, "power of its engine"] = None
    relief_setting: Annotated[fields.Pressure, "setting of the relief valve"] = None
    hose_pressure: Annotated[fields.Pressure, "working pressure of the hose"] = None
    hose_inside_diameter: Annotated[fields.Diameter, "inside diameter of the hose"] = None
    hose_length: Annotated[fields.Length, "length of the hose"] = None
    string_pressure: Annotated[fields.Pressure, "working pressure of the string"] = None
    string_tension: Annotated[fields.Force, "most pull the string may carry"] = None
    string_inside_diameter: Annotated[fields.Diameter, "inside diameter of the string"] = None
    string_outside_diameter: Annotated[fields.Diameter, "outside diameter of the string"] = None
    packer_pressure: Annotated[fields.Pressure, "most difference of pressure the packer may hold"] = None
    packer_diameter: Annotated[fields.Diameter, "outside diameter of the packer, deflated"] = None
    packer_length: Annotated[fields.Length, "sealing length of the packer"] = None
    packer_max_bore: Annotated[fields.Diameter, "widest bore the packer may be set in"] = None
    inflation: Annotated[str | None, ChoiceSpec(("gas", "water")), "what inflates the packer"] = None
    inflation_pressure: Annotated[fields.Pressure, "most inflation pressure"] = None
    wellhead_pressure: Annotated[fields.Pressure, "working pressure of wellhead and fittings"] = None
    gauge_pressure: Annotated[fields.Pressure, "full scale of the gauge"] = None
    tank: Annotated[fields.Volume, "volume of the water tank"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage(Item):
    """One setting of the packer and what was read while pumping below it."""

    IDENTITY: ClassVar[tuple[str, ...]] = ("packer_top", "lower_packer_top", "start")

    packer_top: Annotated[fields.Depth, "depth of the top of the packer"] = None
    packer_length: Annotated[fields.Length, "sealing length of the packer"] = None
    lower_packer_top: Annotated[fields.Depth, "depth of the top of the lower packer of a straddle"] = None
    start: Annotated[fields.Moment, "when it started; minutes count from here"] = None
    readings: Annotated[
        tuple[StageReading, ...], ReadingsSpec(StageReading, None), "pressures, flows and levels"
    ] = ()
    events: Annotated[tuple[EventReading, ...], ReadingsSpec(EventReading, "event"), "what happened"] = ()
    file: Annotated[fields.Text, "logger file, instead of or beside the readings"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


STIMULATIONS = ("single packer", "straddle", "open hole")
"""How the rock was shut off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stimulation(Item):
    """A job of opening the rock with water under pressure."""

    IDENTITY: ClassVar[tuple[str, ...]] = ("date", "kind")

    date: Annotated[fields.Day, "day of the job"] = None
    kind: Annotated[str | None, ChoiceSpec(STIMULATIONS), "how the rock was shut off"] = None
    water_source: Annotated[fields.Text, "where the water came from"] = None
    free_chlorine: Annotated[fields.Concentration, "free chlorine in the water"] = None
    injected: Annotated[fields.Volume, "water put in"] = None
    recovered: Annotated[fields.Volume, "water pumped back out"] = None
    gauge_height: Annotated[fields.Height, "height of the gauge above ground"] = None
    ratings: Annotated[Ratings | None, TableSpec(Ratings), "what the equipment is rated for"] = None
    stages: Annotated[
        tuple[Stage, ...], TablesSpec(Stage, "stage"), Key("stage"), "stages, as they were run"
    ] = ()
    note: Annotated[fields.Note, "anything worth saying"] = None
    depths_from: Datum = None
