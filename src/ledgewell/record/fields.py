"""Declaring a field of the record: its sort of value, what it is about, and its name in a document.

A field is declared by its annotation, ``Annotated[value type, sort of value, what it is about]``; the names
below abbreviate the first two.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from datetime import date, datetime
from typing import Annotated, Any, get_type_hints

from ledgewell.record.quantities import QuantitySpec
from ledgewell.record.specs import (
    MAX_NOTE,
    ChoiceSpec,
    DateSpec,
    FlagSpec,
    IdSpec,
    NumberSpec,
    Spec,
    TextOrNumberSpec,
    TextSpec,
)
from ledgewell.units import Quantity

Text = Annotated[str | None, TextSpec()]
Note = Annotated[str | None, TextSpec(MAX_NOTE)]
TextOrNumber = Annotated[str | None, TextOrNumberSpec()]
Flag = Annotated[bool | None, FlagSpec()]
Count = Annotated[int | None, NumberSpec(0, 100_000, whole=True)]
Day = Annotated[date | None, DateSpec(day_only=True)]
Moment = Annotated[date | datetime | None, DateSpec()]

Depth = Annotated[Quantity | None, QuantitySpec(("depth",))]
SignedDepth = Annotated[Quantity | None, QuantitySpec(("depth",), negative=True)]
"""A depth that may lie above its datum and is then below zero: a flowing level, the top of a casing."""
Length = Annotated[Quantity | None, QuantitySpec(("length",))]
Height = Annotated[Quantity | None, QuantitySpec(("height",), negative=True)]
Diameter = Annotated[Quantity | None, QuantitySpec(("diameter",), positive=True)]
Area = Annotated[Quantity | None, QuantitySpec(("area",))]
Flow = Annotated[Quantity | None, QuantitySpec(("flow",))]
SignedFlow = Annotated[Quantity | None, QuantitySpec(("flow",), negative=True)]
Volume = Annotated[Quantity | None, QuantitySpec(("volume",))]
Pressure = Annotated[Quantity | None, QuantitySpec(("pressure",))]
Duration = Annotated[Quantity | None, QuantitySpec(("duration",))]
Minutes = Annotated[Quantity | None, QuantitySpec(("duration",), assumed="min")]
Penetration = Annotated[Quantity | None, QuantitySpec(("penetration",))]
Concentration = Annotated[Quantity | None, QuantitySpec(("concentration",))]
Strength = Annotated[Quantity | None, QuantitySpec(("strength",))]
Power = Annotated[Quantity | None, QuantitySpec(("power",))]
Force = Annotated[Quantity | None, QuantitySpec(("force",))]
Voltage = Annotated[Quantity | None, QuantitySpec(("voltage",), assumed="V")]
Dose = Annotated[Quantity | None, QuantitySpec(("volume", "weight"))]

DATUMS = ("ground", "measuring point")
Datum = Annotated[str | None, ChoiceSpec(DATUMS), "what depths here are measured from, where it differs"]
Since = Annotated[Moment, "day or moment from which it was so"]
Until = Annotated[Moment, "day or moment until which it was so"]


@dataclass(frozen=True, slots=True)
class Key:
    """Name of a field in a document, where it differs from the attribute."""

    name: str


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One declared field.

    Parameters
    ----------
    name
        Attribute of the dataclass.
    key
        Name in a document.
    spec
        Sort of value.
    about
        One plain phrase for the schema and the manual.
    """

    name: str
    key: str
    spec: Spec
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What every table of the record carries.

    Parameters
    ----------
    extras
        Keys beginning ``x_``, kept untouched.
    """

    extras: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item(Part):
    """What every item of a list carries.

    Parameters
    ----------
    id
        Name of the item within its table; made from its content when none is given.
    """

    id: Annotated[str, IdSpec(), "name of the item within its table; made when it is not given"] = ""


_FOUND: dict[type[Part], dict[str, FieldSpec]] = {}


def field_specs(table: type[Part]) -> dict[str, FieldSpec]:
    """List the declared fields of a table.

    Parameters
    ----------
    table
        A dataclass of the record.

    Returns
    -------
    dict
        Field by its name in a document, in the order declared, the id last.

    Examples
    --------
    >>> list(field_specs(Item))
    ['id']
    """
    found = _FOUND.get(table)
    if found is not None:
        return found
    found = _FOUND[table] = {}
    hints = get_type_hints(table, include_extras=True)
    for each in fields(table):
        said = getattr(hints[each.name], "__metadata__", None)
        if said is not None:
            key = next((word.name for word in said if isinstance(word, Key)), each.name)
            about = next((word for word in said if isinstance(word, str)), "")
            found[key] = FieldSpec(each.name, key, said[0], about)
    if "id" in found:
        found["id"] = found.pop("id")
    return found
