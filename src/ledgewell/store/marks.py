"""The mark of an entry: what it says, by SHA-256, the same before and after its value is withheld."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import datetime
from typing import Any

from ledgewell.record import Entry, entry_to_json

_NOT_SAID = ("value", "typed", "offset_s", "withheld")
_WHOLE_BELOW = 2.0**53


def value_mark(entry: Entry) -> str:
    """Name the value of an entry.

    Parameters
    ----------
    entry
        The entry, its value withheld or not.

    Returns
    -------
    str
        SHA-256 of value and typed text.

    Examples
    --------
    >>> entry = entry_of('{"id": "1", "well": "w", "device": "d", "sequence": 1, "author": "Ann", "change": "c",'
    ...     ' "at": "2026-09-14T09:10:00-04:00", "kind": "set", "path": "well/well/name", "value": "Upper field"}')
    >>> value_mark(entry) == value_mark(without_value(entry))
    True
    """
    return entry.withheld or _sha256({"value": entry.value, "typed": entry.typed})


def content_mark(entry: Entry) -> str:
    """Name what an entry says.

    Parameters
    ----------
    entry
        The entry.

    Returns
    -------
    str
        SHA-256 of its keys, the value by its own mark. The clock's offset is not part of it: it is measured
        anew in each exchange, and the first one is kept.

    Examples
    --------
    >>> entry = entry_of('{"id": "1", "well": "w", "device": "d", "sequence": 1, "author": "Ann", "change": "c",'
    ...     ' "at": "2026-09-14T09:10:00-04:00", "kind": "set", "path": "well/well/name", "value": "Upper field"}')
    >>> content_mark(entry) == content_mark(replace(entry, author="Bob"))
    False
    """
    said = {key: value for key, value in entry_to_json(entry).items() if key not in _NOT_SAID}
    return _sha256({**said, "value_mark": value_mark(entry)})


def without_value(entry: Entry) -> Entry:
    """Take the value out of an entry and leave its mark.

    Parameters
    ----------
    entry
        The entry.

    Returns
    -------
    Entry

    Examples
    --------
    >>> entry = entry_of('{"id": "1", "well": "w", "device": "d", "sequence": 1, "author": "Ann", "change": "c",'
    ...     ' "at": "2026-09-14T09:10:00-04:00", "kind": "set", "path": "well/well/name", "value": "Upper field"}')
    >>> without_value(entry).value is None
    True
    """
    return replace(entry, value=None, typed=None, withheld=value_mark(entry))


def body_of(entry: Entry) -> str:
    """Write an entry as the store keeps it.

    Parameters
    ----------
    entry
        The entry.

    Returns
    -------
    str
        JSON in ASCII, so that either database takes any text.

    Examples
    --------
    >>> entry = entry_of('{"id": "1", "well": "w", "device": "d", "sequence": 1, "author": "Ann", "change": "c",'
    ...     ' "at": "2026-09-14T09:10:00-04:00", "kind": "set", "path": "well/well/name", "value": "Upper field"}')
    >>> entry_of(body_of(entry)) == entry
    True
    """
    return json.dumps(entry_to_json(entry), separators=(",", ":"), allow_nan=False)


def entry_of(body: str) -> Entry:
    """Read an entry that the store keeps; it was checked before it was kept, and the fold checks it again.

    Parameters
    ----------
    body
        As `body_of` wrote it.

    Returns
    -------
    Entry

    Examples
    --------
    >>> entry_of('{"id": "1", "well": "w", "device": "d", "sequence": 1, "author": "Ann", "change": "c",'
    ...     ' "at": "2026-09-14T09:10:00-04:00", "kind": "set", "path": "well/well/name", "value": "A"}').at.hour
    9
    """
    given: dict[str, Any] = json.loads(body)
    given["at"] = datetime.fromisoformat(given["at"])
    given["saw"] = tuple(given.get("saw", ()))
    return Entry(**given)


def _sha256(given: dict[str, Any]) -> str:
    text = json.dumps(_plain(given), sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(given: Any) -> Any:
    """Write 5.0 as 5: a browser does, and the entry is the same."""
    if isinstance(given, dict):
        return {key: _plain(value) for key, value in given.items()}
    if isinstance(given, (list, tuple)):
        return [_plain(value) for value in given]
    if isinstance(given, float) and given.is_integer() and abs(given) < _WHOLE_BELOW:
        return int(given)
    return given
