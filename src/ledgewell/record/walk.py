"""The one walk over the record: document to dataclass, dataclass to document, dataclass to JSON Schema."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from datetime import time as clock_time
from decimal import Decimal
from typing import Any, TypeVar

from ledgewell.record.edge import Reader, Writer, nearest
from ledgewell.record.fields import Item, Part, field_specs
from ledgewell.record.quantities import StatedQuantitySpec
from ledgewell.record.specs import clean_text

Table = TypeVar("Table", bound=Part)
Row = TypeVar("Row", bound=Item)

_MAX_DEPTH = 12
_MAX_ITEMS = 20_000
_CANONICAL = Writer(face="canonical", ids=False)


def read_table(table: type[Table], given: Any, where: str, reader: Reader) -> Table | None:
    """Read one table of a document.

    Parameters
    ----------
    table
        Dataclass to make.
    given
        Table out of a document.
    where
        Its place.
    reader
        Takes the problems.

    Returns
    -------
    Item or None
        None when it is not a table at all; fields that cannot be read are left at their default.

    Examples
    --------
    >>> reader = Reader()
    >>> read_table(Item, {"idd": "a"}, "casing[0]", reader).id
    ''
    >>> reader.problems[0].right
    'the nearest known one is id'
    """
    if not isinstance(given, dict):
        reader.problem(where, given, "this must be a table", "keys and values")
        return None
    specs = field_specs(table)
    values: dict[str, Any] = {}
    extras: dict[str, Any] = {}
    for key, value in given.items():
        place = f"{where}.{key}" if where else str(key)
        spec = specs.get(key)
        if spec is not None:
            found = spec.spec.read(value, place, reader)
            if isinstance(spec.spec, StatedQuantitySpec):
                values[spec.name], values["state"] = found
            elif found is not None:
                values[spec.name] = found
        elif isinstance(key, str) and key.startswith("x_"):
            extras[key] = read_extra(value, place, reader)
        else:
            reader.problem(place[:200], value, "this key is not known here", nearest(str(key), specs))
    return table(extras=extras, **values)


def read_extra(given: Any, where: str, reader: Reader, depth: int = 0) -> Any:
    """Read what stands under a key beginning ``x_``: any plain value, kept as it came.

    Parameters
    ----------
    given
        Value out of a document.
    where
        Its place.
    reader
        Takes the problems.
    depth
        How deep it already is nested.

    Returns
    -------
    object
        The value in plain types.

    Examples
    --------
    >>> read_extra([1, {"a": "b"}], "x_mine", Reader())
    [1, {'a': 'b'}]
    """
    if depth > _MAX_DEPTH:
        reader.problem(where, given, "this is nested too deeply", f"at most {_MAX_DEPTH} levels")
        return None
    if isinstance(given, dict):
        return {
            str(key): read_extra(value, f"{where}.{key}"[:200], reader, depth + 1)
            for key, value in given.items()
        }
    if isinstance(given, (list, tuple)):
        return [read_extra(value, f"{where}[{i}]"[:200], reader, depth + 1) for i, value in enumerate(given)]
    if isinstance(given, str):
        return clean_text(given, where, reader, 1_000_000) or ""
    if isinstance(given, Decimal):
        given = float(given)
    if isinstance(given, float) and not math.isfinite(given):
        reader.problem(where, given, "this is not a finite number", "a number, or text")
        return None
    if isinstance(given, (bool, float, date, datetime, clock_time)):
        return given
    if isinstance(given, int) and abs(given) < 2**63:
        return given
    reader.problem(
        where, given, "this value cannot be kept", "text, a number of usual size, a date, a list or a table"
    )
    return None


def write_table(item: Part, writer: Writer) -> dict[str, Any]:
    """Write one table.

    Parameters
    ----------
    item
        Dataclass of the record.
    writer
        Knows the face.

    Returns
    -------
    dict
        Keys in the order declared; what is not known is left out.

    Examples
    --------
    >>> write_table(Item(id="a"), Writer(face="json"))
    {'id': 'a'}
    """
    document: dict[str, Any] = {}
    for key, spec in field_specs(type(item)).items():
        value = getattr(item, spec.name)
        if isinstance(spec.spec, StatedQuantitySpec):
            value = (value, getattr(item, "state", None))
            if value == (None, None):
                continue
        elif value is None or (key == "id" and not (writer.ids and value)):
            continue
        written = spec.spec.write(value, writer)
        if written is not None:
            document[key] = written
    for key, value in item.extras.items():
        document[key] = value if writer.face == "file" else _plain(value)
    return document


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner) for inner in value]
    if isinstance(value, (date, datetime, clock_time)):
        return value.isoformat()
    return value


def table_schema(table: type[Part]) -> dict[str, Any]:
    """Describe a table as JSON Schema.

    Parameters
    ----------
    table
        Dataclass of the record.

    Returns
    -------
    dict

    Examples
    --------
    >>> table_schema(Item)["additionalProperties"]
    False
    """
    properties = {
        key: {"description": spec.about, **spec.spec.schema()} for key, spec in field_specs(table).items()
    }
    return {
        "type": "object",
        "properties": properties,
        "patternProperties": {"^x_": {}},
        "additionalProperties": False,
    }


def content_mark(item: Item) -> tuple[str, str]:
    """Name an item by its content, ids left out; by its name and date where those tell it from others.

    Parameters
    ----------
    item
        Dataclass of the record.

    Returns
    -------
    tuple
        Ten hexadecimal digits of a SHA-256 of what tells it from others, and the whole content as text.

    Examples
    --------
    >>> content_mark(Item()) == content_mark(Item(id="other"))
    True
    """
    document = write_table(item, _CANONICAL)
    content = json.dumps(document, sort_keys=True, ensure_ascii=False)
    identity = {key: document[key] for key in getattr(item, "IDENTITY", ()) if key in document}
    told = json.dumps(identity, sort_keys=True, ensure_ascii=False) if identity else content
    return hashlib.sha256(told.encode()).hexdigest()[:10], content


def with_ids(items: Iterable[Row], prefix: str, where: str, reader: Reader) -> tuple[Row, ...]:
    """Give an id to every item that has none, the same one for the same content in any order; refuse doubles.

    Parameters
    ----------
    items
        Items of one table.
    prefix
        Word the made ids begin with.
    where
        Place of the table.
    reader
        Takes the problems.

    Returns
    -------
    tuple

    Examples
    --------
    >>> with_ids([Item(), Item()], "casing", "casing", Reader())[1].id[-2:]
    '-2'
    """
    kept = list(items)
    taken: dict[str, int] = {}
    for i, item in enumerate(kept):
        if item.id and item.id in taken:
            right = f"another id than {where}[{taken[item.id]}] has"
            reader.problem(f"{where}[{i}].id", item.id, "this id is used twice", right)
        elif item.id:
            taken[item.id] = i
    nameless = sorted((*content_mark(item), i) for i, item in enumerate(kept) if not item.id)
    copies: dict[str, int] = {}
    for mark, _, i in nameless:
        name = f"{prefix}-{mark}"
        while name in taken:
            copies[mark] = copies.get(mark, 1) + 1
            name = f"{prefix}-{mark}-{copies[mark]}"
        taken[name] = i
        kept[i] = replace(kept[i], id=name)
    return tuple(kept)


@dataclass(frozen=True, slots=True)
class TableSpec:
    """A table inside a table; one with nothing in it counts as not given."""

    table: type[Part]

    def read(self, given: Any, where: str, reader: Reader, /) -> Part | None:
        part = read_table(self.table, given, where, reader)
        return None if part == self.table() else part

    def write(self, value: Part, writer: Writer, /) -> dict[str, Any] | None:
        return write_table(value, writer) or None

    def schema(self) -> dict[str, Any]:
        return {"$ref": f"#/$defs/{self.table.__name__}"}


@dataclass(frozen=True, slots=True)
class TablesSpec:
    """A list of tables inside a table or at the top."""

    table: type[Item]
    prefix: str

    def read(self, given: Any, where: str, reader: Reader, /) -> tuple[Item, ...] | None:
        if not isinstance(given, (list, tuple)):
            reader.problem(where, given, "this must be a list of tables", f"[[{self.prefix}]] in a well file")
            return None
        if len(given) > _MAX_ITEMS:
            reader.problem(where, given, "this list is too long", f"at most {_MAX_ITEMS} items")
            return None
        read = [read_table(self.table, one, f"{where}[{i}]", reader) for i, one in enumerate(given)]
        return with_ids([item for item in read if item is not None], self.prefix, where, reader)

    def write(self, value: Sequence[Item], writer: Writer, /) -> list[dict[str, Any]] | None:
        items = sorted(value, key=order_key) if writer.face == "canonical" else value
        return [write_table(item, writer) for item in items] or None

    def schema(self) -> dict[str, Any]:
        return {"type": "array", "items": {"$ref": f"#/$defs/{self.table.__name__}"}}


def order_key(item: Item) -> tuple[str, float, str]:
    """Give the computed order of an item: by its day and time, then by depth or minute, then by id.

    Parameters
    ----------
    item
        Item of a table.

    Returns
    -------
    tuple
        Day and time as text, depth [m] or time [min], the id.

    Examples
    --------
    >>> order_key(Item(id="a"))
    ('', -inf, 'a')
    """
    moments = (getattr(item, name, None) for name in ("start", "at", "date", "taken"))
    moment = next((each.isoformat() for each in moments if each is not None), "")
    for name in ("minute", "top", "depth", "packer_top", "setting"):
        value = getattr(item, name, None)
        if value is not None:
            return moment, value if isinstance(value, (int, float)) else value.si, item.id
    return moment, -math.inf, item.id
