"""Entries as a crew's devices send them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from ledgewell.record import Entry, id_at

NOW = datetime(2026, 9, 14, 13, 0, tzinfo=UTC)
BOTTOM = "bore/b1/bottom"


def entry(number: int, path: str = BOTTOM, typed: str | None = None, **more: Any) -> Entry:
    """The entry that a device made as its number so many, one act each."""
    fields: dict[str, Any] = {
        "id": id_at(number, number),
        "well": "w",
        "device": "phone",
        "sequence": number,
        "author": "Ann",
        "at": NOW + timedelta(minutes=number),
        "change": f"c{number}",
        "kind": "set",
        "path": path,
        "typed": typed,
    }
    return Entry(**{**fields, **more})


def named(number: int, name: str, *, well: str = "w", field: str = "name", **more: Any) -> Entry:
    """An entry of what the well is called, or another field of its place."""
    return entry(number, f"well/well/{field}", value=name, well=well, **more)


def reading(number: int, minute: float, level: str, *, well: str = "w", **more: Any) -> Entry:
    """An entry of one level of a test."""
    path = f"test/t1/levels/r{number}"
    return entry(number, path, value={"minute": minute, "level": level}, well=well, **more)
