"""Fields that hold quantities, and quantities that may instead be a state ("at pump", "unknown")."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ledgewell.errors import InputError
from ledgewell.record.edge import Reader, Writer
from ledgewell.record.specs import MAX_LIST, Spec, is_number, number_text
from ledgewell.units import DEFAULT_UNIT, DIMENSION, EXAMPLE, Quantity, find_unit, parse_quantity, value_in

_NUMBER_AND_UNIT = re.compile(r"(-?(?:0|[1-9][0-9]{0,14})(?:\.[0-9]{1,15})?) (\S+)")
_AGREE = 1e-9


@dataclass(frozen=True, slots=True)
class QuantitySpec:
    """A quantity of one kind, or the first that fits of several (a dose by volume or by weight).

    Parameters
    ----------
    kinds
        Kinds of quantity allowed; a bare number is of the first.
    negative
        Whether it may be below zero.
    positive
        Whether it must be above zero.
    assumed
        Unit of a bare number where the field's name already says it (``minutes``), whatever the system.
    """

    kinds: tuple[str, ...]
    negative: bool = False
    positive: bool = False
    assumed: str | None = None

    def read(self, given: Any, where: str, reader: Reader, /) -> Quantity | None:
        try:
            if isinstance(given, dict):
                quantity = self._from_table(given, where, reader)
            else:
                quantity = self._from_value(given, where, reader.system)
        except InputError as error:
            reader.take(error)
            return None
        if quantity is not None and self.positive and quantity.si <= 0:
            reader.problem(where, given, f"this {quantity.kind} must be above zero", EXAMPLE[quantity.kind])
            return None
        return quantity

    def _from_value(self, given: Any, where: str, system: str | None) -> Quantity:
        if self.assumed is not None and is_number(given):
            given = f"{number_text(given) or given} {self.assumed}"
        for kind in self.kinds[:-1]:
            try:
                return parse_quantity(given, kind, system=system, where=where, negative=self.negative)
            except InputError:
                continue
        return parse_quantity(given, self.kinds[-1], system=system, where=where, negative=self.negative)

    def _from_table(self, given: dict[str, Any], where: str, reader: Reader) -> Quantity | None:
        right = '{"value": 4.1, "unit": "gpm"}'
        unknown = sorted(str(key) for key in set(given) - {"value", "unit", "typed"})
        if unknown:
            reader.problem(f"{where}.{unknown[0]}", given[unknown[0]], "this key is not known here", right)
            return None
        value, unit, typed = given.get("value"), given.get("unit"), given.get("typed")
        if typed is not None and not isinstance(typed, str):
            reader.problem(f"{where}.typed", typed, "this must be text", right)
            return None
        if value is None and unit is None and typed is not None:
            return self._from_value(typed, where, None)
        if value is None or not is_number(value) or not isinstance(unit, str):
            reader.problem(where, given, "a quantity needs a number and its unit", right)
            return None
        plain = self._from_value(f"{number_text(value) or value} {unit}", where, None)
        if typed is None:
            return plain
        quantity = self._from_value(typed, where, None)
        if abs(quantity.si - plain.si) > _AGREE * max(abs(quantity.si), abs(plain.si)):
            reader.problem(
                where, typed, f"the typed text is not {plain.typed}", "a value that agrees with it"
            )
            return None
        return quantity

    def write(self, value: Quantity, writer: Writer, /) -> Any:
        if writer.face == "canonical":
            return value.typed
        unit = self.assumed or DEFAULT_UNIT[writer.system or "us"][value.kind]
        match = _NUMBER_AND_UNIT.fullmatch(value.typed)
        plain = match[1] if match is not None and match[2] == unit else None
        if writer.face == "json":
            number = float(plain) if plain is not None else value_in(value.si, _unit(unit, value.kind))
            return {"value": number, "unit": unit, "typed": value.typed}
        if plain is None or (writer.system is None and self.assumed is None) or value.kind != self.kinds[0]:
            return value.typed
        return Decimal(plain) if "." in plain else int(plain)

    def schema(self) -> dict[str, Any]:
        if len(self.kinds) == 1:
            return {"$ref": f"#/$defs/{self.kinds[0]}"}
        return {"anyOf": [{"$ref": f"#/$defs/{kind}"} for kind in self.kinds]}


def _unit(symbol: str, kind: str) -> Any:
    return find_unit(symbol, DIMENSION[kind]) or symbol


@dataclass(frozen=True, slots=True)
class StatedQuantitySpec:
    """A quantity, or words that say what was seen instead; read gives the pair (quantity, state).

    Parameters
    ----------
    quantity
        The quantity's own spec.
    words
        States that stand alone, such as ``"unknown"``.
    bounds
        States that come before a quantity, such as ``"below"``.
    """

    quantity: QuantitySpec
    words: tuple[str, ...]
    bounds: tuple[str, ...] = ()

    def read(self, given: Any, where: str, reader: Reader, /) -> tuple[Quantity | None, str | None]:
        if isinstance(given, str):
            text = " ".join(given.split()).casefold().replace("at the pump", "at pump")
            if text in self.words:
                return None, text
            for bound in self.bounds:
                if text.startswith(f"{bound} "):
                    return self.quantity.read(given.strip()[len(bound) :].strip(), where, reader), bound
        return self.quantity.read(given, where, reader), None

    def write(self, value: tuple[Quantity | None, str | None], writer: Writer, /) -> Any:
        quantity, state = value
        if quantity is None:
            return state
        if state is None:
            return self.quantity.write(quantity, writer)
        return f"{state} {quantity.typed}"

    def schema(self) -> dict[str, Any]:
        states: list[dict[str, Any]] = [{"enum": list(self.words)}]
        states += [{"type": "string", "pattern": f"^{bound} "} for bound in self.bounds]
        return {"anyOf": [*states, self.quantity.schema()]}


@dataclass(frozen=True, slots=True)
class RowsSpec:
    """Short rows such as ``[["horse", 3]]`` or the points of a pump curve."""

    columns: tuple[Spec, ...]
    example: str

    def read(self, given: Any, where: str, reader: Reader, /) -> tuple[tuple[Any, ...], ...] | None:
        if not isinstance(given, (list, tuple)):
            reader.problem(where, given, "this must be a list of rows", self.example)
            return None
        if len(given) > MAX_LIST:
            reader.problem(where, given, "this list is too long", f"at most {MAX_LIST} rows")
            return None
        rows = [self._row(row, f"{where}[{i}]", reader) for i, row in enumerate(given)]
        return tuple(row for row in rows if row is not None)

    def _row(self, given: Any, where: str, reader: Reader) -> tuple[Any, ...] | None:
        if not isinstance(given, (list, tuple)) or len(given) != len(self.columns):
            reader.problem(where, given, f"a row here has {len(self.columns)} entries", self.example)
            return None
        return tuple(spec.read(cell, where, reader) for spec, cell in zip(self.columns, given, strict=True))

    def write(self, value: Sequence[Sequence[Any]], writer: Writer, /) -> list[list[Any]] | None:
        rows = [
            [spec.write(cell, writer) for spec, cell in zip(self.columns, row, strict=True)] for row in value
        ]
        return rows or None

    def schema(self) -> dict[str, Any]:
        width = len(self.columns)
        row = {
            "type": "array",
            "prefixItems": [spec.schema() for spec in self.columns],
            "minItems": width,
            "maxItems": width,
        }
        return {"type": "array", "items": row, "maxItems": MAX_LIST}


@dataclass(frozen=True, slots=True)
class PatternSpec:
    """A daily pattern: the name of a published one, or 24 shares, the first from midnight to one."""

    def read(self, given: Any, where: str, reader: Reader, /) -> str | tuple[float, ...] | None:
        right = "the name of a pattern, or 24 numbers from midnight on, none below zero and not all zero"
        if isinstance(given, str) and given.strip():
            return given.strip()[:80]
        if not isinstance(given, (list, tuple)) or len(given) != 24 or not all(map(is_number, given)):
            reader.problem(where, given, "this is not a daily pattern", right)
            return None
        shares = tuple(float(share) for share in given)
        if not all(0 <= share < 1e9 for share in shares) or sum(shares) == 0:
            reader.problem(where, given, "these are not 24 shares of a day", right)
            return None
        return shares

    def write(self, value: str | tuple[float, ...], _writer: Writer, /) -> str | list[float]:
        return value if isinstance(value, str) else list(value)

    def schema(self) -> dict[str, Any]:
        share = {"type": "number", "minimum": 0}
        hours = {"type": "array", "items": share, "minItems": 24, "maxItems": 24}
        return {"anyOf": [{"type": "string"}, hours]}
