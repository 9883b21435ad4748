"""Paths of the journal: ``table/item-id/field``, never an index; a record taken apart by path and put together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from ledgewell.errors import InputError, Problem
from ledgewell.record.edge import Reader, Writer, nearest, shorten
from ledgewell.record.fields import Part, field_specs
from ledgewell.record.readings import ReadingsSpec
from ledgewell.record.specs import IdSpec, Spec
from ledgewell.record.walk import TableSpec, TablesSpec, write_table
from ledgewell.record.well import FORMAT, Well

_SINGLE = ("well", "need", "closure")
"""Tables of which there is one; their item id is the name of the table."""
_TOP = "record"
"""Table and item id of the keys beginning ``x_`` that stand at the top of a record."""


@dataclass(frozen=True, slots=True)
class Place:
    """What a path points at.

    Parameters
    ----------
    path
        The path.
    kind
        ``"item"``, ``"field"`` or ``"reading"``.
    spec
        Sort of value of a field; None for an item, a reading, or a key beginning ``x_``.
    readings
        The list a reading belongs to.
    items
        Paths of the items it lies in, outermost first; its own, for an item.
    """

    path: str
    kind: Literal["item", "field", "reading"]
    spec: Spec | None
    readings: ReadingsSpec | None
    items: tuple[str, ...]


@lru_cache(maxsize=65_536)
def locate(path: str) -> Place:
    """Find what a path points at.

    Parameters
    ----------
    path
        Such as ``casing/9f…/bottom``, ``test/0a…/levels/77…``, ``stimulation/1c…/stage/2d…/packer_top``,
        ``well/well/name``.

    Returns
    -------
    Place

    Raises
    ------
    InputError
        When no part of a record has that path.

    Examples
    --------
    >>> locate("test/t1/levels/r1").kind, locate("casing/c1/bottom").items
    ('reading', ('casing/c1',))
    """
    parts = path.split("/") if isinstance(path, str) and len(path) < 1000 else []
    if len(parts) < 2 or not all(parts):
        raise _unknown(path, "this is no path", "table/item-id/field, such as casing/…/bottom")
    if parts[:2] == [_TOP, _TOP] and len(parts) == 3 and parts[2].startswith("x_"):
        return Place(path, "field", None, None, ())
    table: type[Part] = Well
    items: tuple[str, ...] = ()
    done = 0
    while done < len(parts):
        name = parts[done]
        field = field_specs(table).get(name)
        if field is None and name.startswith("x_") and table is not Well and done == len(parts) - 1:
            return Place(path, "field", None, None, items)
        if field is None or (table is Well and not isinstance(field.spec, (TableSpec, TablesSpec))):
            raise _unknown(path, f"{name} is not known here", nearest(name, field_specs(table)))
        spec, left = field.spec, len(parts) - done - 1
        if isinstance(spec, ReadingsSpec) and left == 1:
            _check_id(path, parts[done + 1])
            return Place(path, "reading", None, spec, items)
        if isinstance(spec, TablesSpec) or (table is Well and isinstance(spec, TableSpec)):
            if left == 0 or (isinstance(spec, TableSpec) and parts[done + 1] != name):
                raise _unknown(path, f"{name} needs the id of an item", f"{name}/item-id/field")
            _check_id(path, parts[done + 1])
            done += 2
            table, items = spec.table, (*items, "/".join(parts[:done]))
            continue
        if isinstance(spec, TableSpec):
            table, done = spec.table, done + 1
            if left == 0:
                raise _unknown(path, f"{name} is a table", f"one of its fields, {name}/…")
            continue
        if left or isinstance(spec, (ReadingsSpec, IdSpec)):
            raise _unknown(
                path, f"{name} has nothing below it, or needs the id of a reading", "a field or reading"
            )
        return Place(path, "field", spec, None, items)
    return Place(path, "item", None, None, items)


def _check_id(path: str, given: str) -> None:
    reader = Reader()
    if IdSpec().read(given, path, reader) is None:
        raise InputError(reader.problems)


def _unknown(path: object, say: str, right: str) -> InputError:
    return InputError([Problem(where=shorten(path), given=shorten(path), say=say, right=right)])


def values_by_path(well: Well) -> dict[str, Any]:
    """Take a record apart into its values by path.

    Parameters
    ----------
    well
        The record.

    Returns
    -------
    dict
        JSON values by path; a reading is one value; an item with nothing in it is an empty table.

    Examples
    --------
    >>> from ledgewell.record.faces import read_well
    >>> well = read_well('format = 1\\n[[bore]]\\nid = "b1"\\nmethod = "air rotary"')
    >>> values_by_path(well)
    {'bore/b1/method': 'air rotary'}
    """
    document = write_table(well, Writer(face="json", system="us"))
    found: dict[str, Any] = {}
    for key, value in document.items():
        field = field_specs(Well).get(key)
        if field is None:
            found[f"{_TOP}/{_TOP}/{key}"] = value
        elif isinstance(field.spec, TableSpec):
            _take_apart(field.spec.table, value, f"{key}/{key}", found)
        elif isinstance(field.spec, TablesSpec):
            for item in value:
                _take_apart(field.spec.table, item, f"{key}/{item['id']}", found)
    return found


def _take_apart(table: type[Part], item: dict[str, Any], path: str, found: dict[str, Any]) -> None:
    content = {key: value for key, value in item.items() if key != "id"}
    if not content:
        found[path] = {}
    for key, value in content.items():
        field = field_specs(table).get(key)
        spec = field.spec if field is not None else None
        if isinstance(spec, TableSpec):
            _take_apart(spec.table, value, f"{path}/{key}", found)
        elif isinstance(spec, TablesSpec):
            for inner in value:
                _take_apart(spec.table, inner, f"{path}/{key}/{inner['id']}", found)
        elif isinstance(spec, ReadingsSpec):
            for reading in value:
                kept = {name: inner for name, inner in reading.items() if name != "id"}
                found[f"{path}/{key}/{reading['id']}"] = kept
        else:
            found[f"{path}/{key}"] = value


def document_from_values(values: dict[str, Any]) -> dict[str, Any]:
    """Put a record's document together from its values by path.

    Parameters
    ----------
    values
        JSON values by path.

    Returns
    -------
    dict
        A document that `read_document` reads; items in the order of their ids.

    Raises
    ------
    InputError
        When a path is not one of a record.

    Examples
    --------
    >>> document_from_values({"bore/b1/method": "air rotary"})
    {'format': 1, 'bore': [{'method': 'air rotary', 'id': 'b1'}]}
    """
    tree: dict[str, Any] = {}
    for path in sorted(values):
        locate(path)
        parts = path.split("/")
        node = tree
        for part in parts[:-1]:
            node = node.setdefault(part, {})
        if isinstance(values[path], dict) and not values[path]:
            node.setdefault(parts[-1], {})
        else:
            node[parts[-1]] = values[path]
    document: dict[str, Any] = {"format": FORMAT}
    for key, branch in tree.items():
        if key == _TOP:
            document.update(branch[_TOP])
        elif key in _SINGLE:
            document[key] = _put_together(Well, {key: branch[key]})[key]
        else:
            document.update(_put_together(Well, {key: branch}))
    return document


def _put_together(table: type[Part], node: dict[str, Any]) -> dict[str, Any]:
    item: dict[str, Any] = {}
    for key, value in node.items():
        field = field_specs(table).get(key)
        spec = field.spec if field is not None else None
        if isinstance(spec, TableSpec):
            item[key] = _put_together(spec.table, value)
        elif isinstance(spec, TablesSpec):
            item[key] = [{**_put_together(spec.table, inner), "id": name} for name, inner in value.items()]
        elif isinstance(spec, ReadingsSpec):
            item[key] = _ordered(value)
        else:
            item[key] = value
    return item


def _ordered(readings: dict[str, Any]) -> list[dict[str, Any]]:
    """Order readings by the minute they carry, so that clock times find their day; the day is then theirs.

    The minute beside a clock time or instant is left out: it may be older than a corrected start.
    """
    rows = sorted(readings.items(), key=lambda row: (_minute_of(row[1]), row[0]))
    return [
        {
            **{key: value for key, value in reading.items() if key != "minute" or not _timed(reading)},
            "id": name,
        }
        for name, reading in rows
    ]


def _timed(reading: dict[str, Any]) -> bool:
    return "clock" in reading or "at" in reading


def _minute_of(reading: dict[str, Any]) -> float:
    minute = reading.get("minute")
    if isinstance(minute, (int, float)) and not isinstance(minute, bool):
        return float(minute)
    return float("inf")
