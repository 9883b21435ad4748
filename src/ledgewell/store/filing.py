"""Keep files and find them again."""

from __future__ import annotations

import hashlib
import re
from datetime import datetime
from typing import TYPE_CHECKING, BinaryIO

import sqlalchemy as sa

from ledgewell.errors import InputError, Problem
from ledgewell.store.attachment import Attachment
from ledgewell.store.failure import StoreError
from ledgewell.store.filenames import plain_name
from ledgewell.store.filetypes import MEGABYTE, MOST_BYTES, type_of
from ledgewell.store.tables import attachments, contents, files

if TYPE_CHECKING:
    from sqlalchemy import Connection

_SHA256 = re.compile(r"[0-9a-f]{64}")


def whole(source: bytes | BinaryIO, name: str) -> bytes:
    """Read a file to its end, and no further than any file may go.

    Parameters
    ----------
    source
        Bytes, or a stream of them.
    name
        Name of the file, for error text.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        When it is longer than any file that is kept.

    Examples
    --------
    >>> whole(b"minute,level", "logger.csv")
    b'minute,level'
    """
    content = source if isinstance(source, bytes) else source.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        say, right = "the file is too long", f"at most {MOST_BYTES // MEGABYTE} MB"
        raise InputError([Problem(where=name, given=f"over {MOST_BYTES} bytes", say=say, right=right)])
    return content


def put(
    connection: Connection, content: bytes, name: str, *, well: str, author: str, received: datetime
) -> Attachment:
    """Keep a file; the same one again is the same file.

    Parameters
    ----------
    connection
        In a writing transaction.
    content
        Its bytes.
    name
        Its name.
    well
        Id of the well it belongs to.
    author
        Who sent it.
    received
        When it came.

    Returns
    -------
    Attachment

    Raises
    ------
    InputError
        When its name or its bytes are refused, or an administrator withheld it.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    ...     put(connection, b"minute,level", "a.csv", well="w", author="Ann", received=now).size
    12
    """
    name = plain_name(name)
    kind = type_of(content, name)
    sha256 = hashlib.sha256(content).hexdigest()
    known = connection.execute(sa.select(files.c.withheld).where(files.c.sha256 == sha256)).scalar()
    if known:
        say = "an administrator withheld this file"
        raise InputError([Problem(where=name, given=sha256, say=say, right="another file")])
    if known is None:
        row = {"sha256": sha256, "size": len(content), "type": kind, "received": received, "withheld": 0}
        connection.execute(files.insert().values(row))
        connection.execute(contents.insert().values(sha256=sha256, content=content))
    _attach(connection, {"well": well, "sha256": sha256, "name": name}, author, received)
    return next(each for each in attached(connection, well) if (each.sha256, each.name) == (sha256, name))


def put_withheld(connection: Connection, known: Attachment) -> None:
    """Keep what is known of a file whose bytes were withheld elsewhere; bytes that are kept here stay.

    Parameters
    ----------
    connection
        In a writing transaction.
    known
        What the other store said of it.

    Raises
    ------
    InputError
        When its name or its mark is none.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    >>> known = Attachment(well="w", sha256="ab" * 32, name="a.csv", size=12, type="text/plain", author="Ann",
    ...     received=now, withheld=True)
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     put_withheld(connection, known)
    ...     print(attached(connection, "w") == (known,), content_of(connection, "ab" * 32))
    True None
    """
    name = plain_name(known.name)
    if not _SHA256.fullmatch(known.sha256):
        raise InputError(
            [Problem(where=name, given=known.sha256[:120], say="this is no SHA-256", right="64 hexadecimals")]
        )
    if connection.execute(sa.select(files.c.sha256).where(files.c.sha256 == known.sha256)).first() is None:
        row = {"sha256": known.sha256, "size": known.size, "type": known.type, "received": known.received}
        connection.execute(files.insert().values(**row, withheld=1))
    key = {"well": known.well, "sha256": known.sha256, "name": name}
    _attach(connection, key, known.author, known.received)


def _attach(connection: Connection, key: dict[str, str], author: str, received: datetime) -> None:
    same = sa.and_(*(attachments.c[column] == value for column, value in key.items()))
    if connection.execute(sa.select(sa.func.count()).where(same)).scalar() == 0:
        connection.execute(attachments.insert().values(**key, author=author, received=received))


def attached(connection: Connection, well: str) -> tuple[Attachment, ...]:
    """List the files of a well, in the order in which they came.

    Parameters
    ----------
    connection
        Of the store.
    well
        Id of the well.

    Returns
    -------
    tuple of Attachment

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(attached(connection, "w"))
    ()
    """
    asked = (
        sa.select(attachments, files.c.size, files.c.type, files.c.withheld)
        .join(files, files.c.sha256 == attachments.c.sha256)
        .where(attachments.c.well == well)
        .order_by(attachments.c.received, attachments.c.name, attachments.c.sha256)
    )
    return tuple(
        Attachment(**{**row, "withheld": bool(row["withheld"])})
        for row in connection.execute(asked).mappings()
    )


def content_of(connection: Connection, sha256: str) -> bytes | None:
    """Read the bytes of a file, and hold them to its name.

    Parameters
    ----------
    connection
        Of the store.
    sha256
        Of its bytes.

    Returns
    -------
    bytes or None
        None when there is no such file, or its bytes were withheld.

    Raises
    ------
    StoreError
        When they are no longer the bytes that were kept.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(content_of(connection, "00" * 32))
    None
    """
    asked = sa.select(contents.c.content).where(contents.c.sha256 == sha256)
    found = connection.execute(asked).scalar()
    if found is not None and hashlib.sha256(found).hexdigest() != sha256:
        say, right = f"the bytes of file {sha256} are damaged", "a backup, restored"
        raise StoreError(connection.engine.url.render_as_string(), say, right)
    return None if found is None else bytes(found)


def find(known: tuple[Attachment, ...], said: str) -> Attachment:
    """Find the file that a record means by a name or by the SHA-256 of its bytes.

    Parameters
    ----------
    known
        The files of the well.
    said
        What stands in the record.

    Returns
    -------
    Attachment

    Raises
    ------
    InputError
        When there is none, or several files have that name.

    Examples
    --------
    >>> find((), "logger.csv")
    Traceback (most recent call last):
    ledgewell.errors.InputError: file: this well has no such file ...
    """
    by_mark = bool(_SHA256.fullmatch(said))
    found = {each.sha256: each for each in known if said == (each.sha256 if by_mark else each.name)}
    if len(found) == 1:
        return next(iter(found.values()))
    names = ", ".join(sorted({each.name for each in known})) or "a file kept with the well first"
    if found:
        say, names = f"{len(found)} files of this well have that name", "one of " + ", ".join(sorted(found))
    else:
        say = "this well has no such file"
    raise InputError([Problem(where="file", given=repr(said[:120]), say=say, right=names)])
