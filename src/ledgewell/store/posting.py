"""Take entries into the journal: each answered, an act kept whole or not at all, all of it in one commit."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from ledgewell.errors import InputError
from ledgewell.record import Entry, check_entry
from ledgewell.store.answer import Answer
from ledgewell.store.kept import in_parts
from ledgewell.store.marks import body_of, content_mark
from ledgewell.store.summary import SUMMARY_PATHS, summary_values
from ledgewell.store.tables import entries, wells

if TYPE_CHECKING:
    from sqlalchemy import Connection

LONGEST_BODY = 1_000_000
"""Characters of one entry; what is longer belongs in a file beside the record."""

_SHA256 = re.compile(r"[0-9a-f]{64}")
_LONGEST_NAME = 200
_LONGEST_PATH = 1000
_WELL_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")


@dataclass(frozen=True, slots=True)
class _Sent:
    entry: Entry
    mark: str
    body: str


def post(
    connection: Connection, sent: Sequence[Entry], received: datetime, refused: Mapping[str, str]
) -> tuple[Answer, ...]:
    """Keep what can be kept of the entries sent.

    Parameters
    ----------
    connection
        In a writing transaction.
    sent
        Entries of any wells, in the order sent.
    received
        When they came.
    refused
        Why, by id of the change, for acts of which a part could not even be read.

    Returns
    -------
    tuple of Answer
        One for each entry sent, in their order; to be told only after the commit.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(post(connection, [], datetime.fromisoformat("2026-09-14T13:10:00Z"), {}))
    ()
    """
    checked = [_check(entry) for entry in sent]
    present = _present(connection, {entry.id for entry in sent})
    first: dict[str, _Sent] = {}
    why: list[str | None] = []
    for entry, one in zip(sent, checked, strict=True):
        why.append(one if isinstance(one, str) else _clash(one, present.get(entry.id), first))
    broken = _broken_acts(sent, why, refused)
    wanted = [one for one in first.values() if one.entry.id not in present and one.entry.change not in broken]
    positions = {id_: position for id_, (position, _) in present.items()}
    positions |= _insert(connection, wanted, received)
    return tuple(
        Answer(id=entry.id, why=reason)
        if reason is not None
        else Answer(id=entry.id, position=positions[entry.id])
        if entry.id in positions
        else Answer(id=entry.id, why=broken[entry.change])
        for entry, reason in zip(sent, why, strict=True)
    )


def well_id_problem(given: str) -> str | None:
    """Say what is wrong with the id of a well.

    Parameters
    ----------
    given
        The id.

    Returns
    -------
    str or None
        None when nothing is.

    Examples
    --------
    >>> well_id_problem("018f6f2e-7b1a-7cc3-98c4-dc0c0c07398f"), well_id_problem("../w")
    (None, 'the id of a well is 1 to 64 letters, digits, dots, dashes or underscores')
    """
    if _WELL_ID.fullmatch(given):
        return None
    return "the id of a well is 1 to 64 letters, digits, dots, dashes or underscores"


def _check(entry: Entry) -> _Sent | str:
    """Weigh one entry by itself: ready to be kept, or why not."""
    say = well_id_problem(entry.well)
    if say is not None:
        return say
    if max(len(entry.device), len(entry.change)) > _LONGEST_NAME or len(entry.path.encode()) > _LONGEST_PATH:
        return f"the names of device and act must be {_LONGEST_NAME} characters at most, the path {_LONGEST_PATH}"
    if entry.withheld is not None and not _SHA256.fullmatch(entry.withheld):
        return "what is withheld is named by the SHA-256 of its value"
    try:
        check_entry(entry)
        body = body_of(entry)
    except InputError as error:
        return "; ".join(str(problem) for problem in error.problems)
    if len(body) > LONGEST_BODY:
        return f"the entry has {len(body)} characters, more than {LONGEST_BODY}; a file beside the record takes it"
    return _Sent(entry, content_mark(entry), body)


def _clash(one: _Sent, present: tuple[int, str] | None, first: dict[str, _Sent]) -> str | None:
    """Say why an id cannot be used twice; the same entry twice is one entry."""
    earlier = first.setdefault(one.entry.id, one).mark if present is None else present[1]
    if earlier == one.mark:
        return None
    return "an entry with this id is kept already and says something else; a correction is a new entry"


def _present(connection: Connection, ids: Iterable[str]) -> dict[str, tuple[int, str]]:
    found: dict[str, tuple[int, str]] = {}
    for part in in_parts(sorted(ids)):
        asked = sa.select(entries.c.id, entries.c.position, entries.c.mark).where(entries.c.id.in_(part))
        found.update({id_: (position, mark) for id_, position, mark in connection.execute(asked)})
    return found


def _broken_acts(
    sent: Sequence[Entry], why: Sequence[str | None], refused: Mapping[str, str]
) -> dict[str, str]:
    """The acts of which an entry is refused, each with the sentence its other entries are answered."""
    broken = {change: _whole(reason) for change, reason in refused.items()}
    for entry, reason in zip(sent, why, strict=True):
        if reason is not None:
            broken.setdefault(entry.change, _whole(f"{entry.path}: {reason}"))
    return broken


def _whole(reason: str) -> str:
    return f"it is part of an act that is kept whole or not at all, and another part is refused ({reason})"


def _insert(connection: Connection, wanted: Sequence[_Sent], received: datetime) -> dict[str, int]:
    if not wanted:
        return {}
    last = connection.execute(sa.select(sa.func.coalesce(sa.func.max(entries.c.position), 0))).scalar_one()
    positions = {one.entry.id: last + place for place, one in enumerate(wanted, start=1)}
    _raise_wells(connection, wanted, positions, received)
    for part in in_parts(wanted, 5_000):
        connection.execute(entries.insert(), [_row(one, positions[one.entry.id], received) for one in part])
    summarize(connection, {one.entry.well for one in wanted if one.entry.path in SUMMARY_PATHS})
    return positions


def _row(one: _Sent, position: int, received: datetime) -> dict[str, Any]:
    entry = one.entry
    return {
        "position": position,
        "id": entry.id,
        "well": entry.well,
        "change": entry.change,
        "device": entry.device,
        "sequence": entry.sequence,
        "path": entry.path,
        "received": received,
        "mark": one.mark,
        "withheld": entry.withheld,
        "body": one.body,
    }


def _raise_wells(
    connection: Connection, wanted: Sequence[_Sent], positions: Mapping[str, int], received: datetime
) -> None:
    """Bring the row of each well to the position its journal will have."""
    counts = Counter(one.entry.well for one in wanted)
    newest = {one.entry.well: positions[one.entry.id] for one in wanted}
    known: set[str] = set()
    for part in in_parts(sorted(counts)):
        known.update(connection.execute(sa.select(wells.c.id).where(wells.c.id.in_(part))).scalars())
    new = [
        {"id": well, "position": newest[well], "entries": count, "first_received": received}
        | {"last_received": received, "revision": 0, "words": ""}
        for well, count in counts.items()
        if well not in known
    ]
    if new:
        connection.execute(wells.insert(), new)
    grown = [
        {"well": well, "at": newest[well], "more": counts[well], "came": received} for well in sorted(known)
    ]
    if grown:
        statement = wells.update().where(wells.c.id == sa.bindparam("well"))
        connection.execute(
            statement.values(
                position=sa.bindparam("at"),
                entries=wells.c.entries + sa.bindparam("more"),
                last_received=sa.bindparam("came"),
            ),
            grown,
        )


def summarize(connection: Connection, changed: Iterable[str]) -> None:
    """Write anew what the list shows of wells whose name, owner or place changed.

    Parameters
    ----------
    connection
        In a writing transaction.
    changed
        Ids of the wells.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     summarize(connection, [])
    """
    values = [
        {"well": well, **summary_values(found)} for well, found in _site_entries(connection, changed).items()
    ]
    if values:
        names = [name for name in values[0] if name != "well"]
        statement = wells.update().where(wells.c.id == sa.bindparam("well"))
        connection.execute(statement.values({name: sa.bindparam(name) for name in names}), values)


def _site_entries(connection: Connection, changed: Iterable[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for part in in_parts(sorted(changed)):
        asked = sa.select(entries.c.well, entries.c.body).where(
            entries.c.well.in_(part), entries.c.path.in_(SUMMARY_PATHS)
        )
        for well, body in connection.execute(asked):
            found.setdefault(well, []).append(body)
    return found
