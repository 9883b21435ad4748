"""Withhold the value of an entry or the bytes of a file: these go; hash, reason and who remain."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal

import sqlalchemy as sa

from ledgewell.errors import InputError, Problem
from ledgewell.store.kept import in_parts
from ledgewell.store.marks import body_of, entry_of, value_mark, without_value
from ledgewell.store.posting import summarize
from ledgewell.store.tables import attachments, contents, entries, files, wells, withholdings

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True, kw_only=True)
class Withholding:
    """What was withheld.

    Parameters
    ----------
    subject
        Id of the entry, or SHA-256 of the file.
    kind
        ``"entry"`` or ``"file"``.
    hash
        SHA-256 of the value, or of the bytes.
    by
        The administrator.
    at
        When.
    reason
        Why.
    """

    subject: str
    kind: Literal["entry", "file"]
    hash: str
    by: str
    at: datetime
    reason: str


def withhold_entry(connection: Connection, id_: str, *, by: str, at: datetime, reason: str) -> Withholding:
    """Withhold the value of an entry; a second time changes nothing.

    Parameters
    ----------
    connection
        In a writing transaction.
    id_
        Id of the entry.
    by, at, reason
        Who, when and why.

    Returns
    -------
    Withholding

    Raises
    ------
    InputError
        When there is no such entry, or no reason.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    ...     withhold_entry(connection, "0", by="Office", at=now, reason="asked by the owner")
    Traceback (most recent call last):
    ledgewell.errors.InputError: id: no entry has this id ...
    """
    _require(by, reason)
    body = connection.execute(sa.select(entries.c.body).where(entries.c.id == id_)).scalar()
    if body is None:
        raise _wrong("id", id_, "no entry has this id", "the id of an entry that is kept")
    entry = entry_of(body)
    made = Withholding(subject=id_, kind="entry", hash=value_mark(entry), by=by, at=at, reason=reason.strip())
    if entry.withheld is None:
        changed = {"body": body_of(without_value(entry)), "withheld": made.hash}
        connection.execute(entries.update().where(entries.c.id == id_).values(changed))
        _mark_changed(connection, [entry.well])
        summarize(connection, [entry.well])
    return _note(connection, made)


def withhold_file(connection: Connection, sha256: str, *, by: str, at: datetime, reason: str) -> Withholding:
    """Withhold the bytes of a file; a second time changes nothing.

    Parameters
    ----------
    connection
        In a writing transaction.
    sha256
        Of its bytes.
    by, at, reason
        Who, when and why.

    Returns
    -------
    Withholding

    Raises
    ------
    InputError
        When there is no such file, or no reason.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    ...     withhold_file(connection, "00" * 32, by="Office", at=now, reason="")
    Traceback (most recent call last):
    ledgewell.errors.InputError: reason: withholding needs its reason and who does it ...
    """
    _require(by, reason)
    if not connection.execute(files.update().where(files.c.sha256 == sha256).values(withheld=1)).rowcount:
        raise _wrong("sha256", sha256, "no file has this mark", "the SHA-256 of a file that is kept")
    connection.execute(contents.delete().where(contents.c.sha256 == sha256))
    asked = sa.select(attachments.c.well).where(attachments.c.sha256 == sha256)
    _mark_changed(connection, connection.execute(asked).scalars())
    made = Withholding(subject=sha256, kind="file", hash=sha256, by=by, at=at, reason=reason.strip())
    return _note(connection, made)


def withheld_of(connection: Connection, well: str) -> tuple[Withholding, ...]:
    """List what was withheld of a well.

    Parameters
    ----------
    connection
        Of the store.
    well
        Id of the well.

    Returns
    -------
    tuple of Withholding

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(withheld_of(connection, "w"))
    ()
    """
    of_entries = sa.select(entries.c.id).where(entries.c.well == well, entries.c.withheld.is_not(None))
    of_files = sa.select(attachments.c.sha256).where(attachments.c.well == well)
    asked = sa.select(withholdings).where(
        withholdings.c.subject.in_(of_entries) | withholdings.c.subject.in_(of_files)
    )
    rows = connection.execute(asked.order_by(withholdings.c.subject)).mappings()
    return tuple(Withholding(**row) for row in rows)


def note_withheld(connection: Connection, found: Iterable[Withholding]) -> None:
    """Keep by whom and why, for what came withheld already; an earlier note stays.

    Parameters
    ----------
    connection
        In a writing transaction.
    found
        Withholdings of entries and files that are kept here, and withheld here.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     note_withheld(connection, [])
    """
    for made in found:
        asked = (
            sa.select(entries.c.withheld).where(entries.c.id == made.subject)
            if made.kind == "entry"
            else sa.select(files.c.sha256).where(files.c.sha256 == made.subject, files.c.withheld == 1)
        )
        if connection.execute(asked).scalar() == made.hash:
            _note(connection, made)


def _note(connection: Connection, made: Withholding) -> Withholding:
    """Keep the note, or give back the earlier one."""
    asked = sa.select(withholdings).where(withholdings.c.subject == made.subject)
    earlier = connection.execute(asked).mappings().first()
    if earlier is not None:
        return Withholding(**earlier)
    connection.execute(withholdings.insert().values(asdict(made)))
    return made


def _mark_changed(connection: Connection, changed: Iterable[str]) -> None:
    """Count up the revision of wells, so that no fold made before is shown again."""
    for part in in_parts(sorted(set(changed))):
        raised = wells.update().where(wells.c.id.in_(part)).values(revision=wells.c.revision + 1)
        connection.execute(raised)


def _require(by: str, reason: str) -> None:
    if not by.strip() or not reason.strip():
        raise _wrong(
            "reason", reason, "withholding needs its reason and who does it", "a few words, and a name"
        )


def _wrong(where: str, given: str, say: str, right: str) -> InputError:
    return InputError([Problem(where=where, given=repr(given[:120]), say=say, right=right)])
