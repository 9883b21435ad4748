"""What the water is for and what brings it to the house: need, pumps, pipes, wires, tanks, doses, samples."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from ledgewell.record import fields
from ledgewell.record.fields import Datum, Item, Part, Since, Until
from ledgewell.record.quantities import PatternSpec, QuantitySpec, RowsSpec
from ledgewell.record.specs import ChoiceSpec, NumberSpec, TextSpec
from ledgewell.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Need(Part):
    """Whom and what the well must serve."""

    people: Annotated[fields.Count, "people in the house"] = None
    bedrooms: Annotated[fields.Count, "bedrooms"] = None
    garden_area: Annotated[fields.Area, "garden to be watered"] = None
    stock: Annotated[
        tuple[tuple[str, int], ...],
        RowsSpec((TextSpec(), NumberSpec(0, 1_000_000, whole=True)), '[["horse", 3]]'),
        "animals and how many",
    ] = ()
    daily_pattern: Annotated[
        str | tuple[float, ...] | None, PatternSpec(), "name of a pattern, or 24 hourly shares"
    ] = None
    peak: Annotated[fields.Flow, "most that is drawn at once"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump(Item):
    """A pump: in the well, thought of, boosting, or used for a test."""

    IDENTITY: ClassVar[tuple[str, ...]] = ("role", "name")

    role: Annotated[
        str | None, ChoiceSpec(("installed", "candidate", "booster", "test")), "what it is here for"
    ] = None
    name: Annotated[fields.Text, "maker's name for it"] = None
    horsepower: Annotated[fields.Power, "power of its motor"] = None
    voltage: Annotated[fields.Voltage, "voltage of its motor"] = None
    phase: Annotated[int | None, NumberSpec(1, 3, whole=True), "phases of its motor, 1 or 3"] = None
    setting: Annotated[fields.Depth, "depth of its intake"] = None
    diameter: Annotated[fields.Diameter, "outside diameter"] = None
    curve: Annotated[
        tuple[tuple[Quantity, Quantity], ...],
        RowsSpec(
            (QuantitySpec(("flow",)), QuantitySpec(("height",))),
            '[["5 gpm", "320 ft"], ["10 gpm", "240 ft"]]',
        ),
        "points of its curve: flow and total head",
    ] = ()
    cut_off: Annotated[fields.Depth, "depth to water at which the low-level cut-off stops it"] = None
    depths_from: Datum = None
    since: Since = None
    until: Until = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipe(Item):
    """A run of pipe."""

    role: Annotated[str | None, ChoiceSpec(("drop", "service")), "in the well, or to the house"] = None
    material: Annotated[fields.Text, "material"] = None
    size: Annotated[fields.TextOrNumber, "nominal size"] = None
    inside_diameter: Annotated[fields.Diameter, "inside diameter"] = None
    outside_diameter: Annotated[fields.Diameter, "outside diameter"] = None
    pressure_rating: Annotated[fields.Pressure, "working pressure"] = None
    length: Annotated[fields.Length, "length"] = None
    fittings: Annotated[
        tuple[tuple[str, int], ...],
        RowsSpec((TextSpec(), NumberSpec(0, 10_000, whole=True)), '[["90 elbow", 3]]'),
        "fittings and how many",
    ] = ()
    rise: Annotated[fields.Height, "how much higher its far end is"] = None
    since: Since = None
    until: Until = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire(Item):
    """A run of pump cable."""

    gauge: Annotated[fields.TextOrNumber, "gauge or cross-section, such as 12 AWG"] = None
    material: Annotated[fields.Text, "copper or aluminum"] = None
    length: Annotated[fields.Length, "length, one way"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank(Item):
    """A pressure tank or a vented storage tank."""

    kind: Annotated[str | None, ChoiceSpec(("pressure", "vented")), "pressure or vented"] = None
    volume: Annotated[fields.Volume, "whole volume"] = None
    precharge: Annotated[fields.Pressure, "air pressure when empty"] = None
    cut_in: Annotated[fields.Pressure, "pressure at which the pump starts"] = None
    cut_out: Annotated[fields.Pressure, "pressure at which the pump stops"] = None
    elevation: Annotated[fields.Height, "height above the wellhead"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dosing(Item):
    """A disinfection: table ``[[dose]]``."""

    date: Annotated[fields.Day, "day"] = None
    product: Annotated[fields.Text, "product used"] = None
    strength: Annotated[fields.Strength, "available chlorine of the product"] = None
    target: Annotated[fields.Concentration, "concentration aimed at"] = None
    amount: Annotated[fields.Dose, "how much was used, by volume or by weight"] = None
    contact: Annotated[fields.Duration, "how long it stood"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample(Item):
    """A laboratory result."""

    date: Annotated[fields.Day, "day the sample was taken"] = None
    laboratory: Annotated[fields.Text, "who analyzed it"] = None
    analyte: Annotated[fields.Text, "what was looked for"] = None
    value: Annotated[fields.TextOrNumber, "result as reported; <0.5, ND and present too"] = None
    unit: Annotated[fields.Text, "unit as reported"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
