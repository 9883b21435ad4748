"""The record described as JSON Schema 2020-12, made from the same declarations that read it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ledgewell.record.company import CompanyRecord
from ledgewell.record.fields import Part, field_specs
from ledgewell.record.readings import Reading, ReadingsSpec, reading_schema
from ledgewell.record.walk import TableSpec, TablesSpec, table_schema
from ledgewell.record.well import Well
from ledgewell.units import DEFAULT_UNIT, DIMENSION, EXAMPLE


def schema() -> dict[str, Any]:
    """Describe a well's record as JSON Schema 2020-12.

    Returns
    -------
    dict
        Holds for the JSON face, and for a well file once its dates are text.

    Examples
    --------
    >>> schema()["required"]
    ['format']
    """
    return _schema_of(Well, "Ledgewell well record")


def company_schema() -> dict[str, Any]:
    """Describe a company's record as JSON Schema 2020-12.

    Returns
    -------
    dict

    Examples
    --------
    >>> sorted(company_schema()["properties"])
    ['company', 'format', 'units']
    """
    return _schema_of(CompanyRecord, "Ledgewell company record")


def _schema_of(top: type[Part], title: str) -> dict[str, Any]:
    definitions: dict[str, Any] = {kind: _quantity_schema(kind) for kind in DIMENSION}
    for table in dict.fromkeys(_tables_under(top)):
        described = reading_schema(table) if issubclass(table, Reading) else table_schema(table)
        definitions[table.__name__] = {"description": _first_line(table), **described}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "description": _first_line(top),
        **table_schema(top),
        "required": ["format"],
        "$defs": definitions,
    }


def _first_line(table: type[Part]) -> str:
    return (table.__doc__ or "").strip().splitlines()[0]


def _tables_under(table: type[Part]) -> Iterator[type[Part]]:
    for field in field_specs(table).values():
        if isinstance(field.spec, (TableSpec, TablesSpec)):
            yield field.spec.table
            yield from _tables_under(field.spec.table)
        elif isinstance(field.spec, ReadingsSpec):
            yield field.spec.reading


def _quantity_schema(kind: str) -> dict[str, Any]:
    us, si = DEFAULT_UNIT["us"][kind], DEFAULT_UNIT["si"][kind]
    table = {
        "type": "object",
        "properties": {
            "value": {"type": "number"},
            "unit": {"type": "string"},
            "typed": {"type": "string", "description": "text as typed; rules over value and unit"},
        },
        "anyOf": [{"required": ["value", "unit"]}, {"required": ["typed"]}],
        "additionalProperties": False,
    }
    bare = f"A bare number is in {us} (units us) or {si} (units si)."
    return {
        "description": f"A {kind}, such as {EXAMPLE[kind]}. {bare}",
        "anyOf": [{"type": "string"}, {"type": "number"}, table],
    }
