"""The seal of a backup: one digest of all it holds, so that a bit that fell over is found before it is restored."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from ledgewell.store.failure import StoreError

APPLICATION_ID = 0x4C776C62
"""Marks the file as a backup of this program, in the header that SQLite keeps for this."""

_RIGHT = "a backup that this program wrote, unchanged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """What a backup says of itself.

    Parameters
    ----------
    version
        Version of the program that wrote it.
    made
        When, ISO 8601 in UTC.
    digest
        SHA-256 over all rows of all tables.
    """

    version: str
    made: str
    digest: str


def seal(path: Path, *, version: str, made: str) -> Seal:
    """Seal a finished backup.

    Parameters
    ----------
    path
        The file.
    version
        Version of the program.
    made
        When.

    Returns
    -------
    Seal

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = seal(Path(folder) / "b", version="0.1.0", made="2026-09-14T13:10:00Z")
    ...     print(sealed(Path(folder) / "b").version)
    0.1.0
    """
    with closing(sqlite3.connect(path)) as database:
        made_seal = Seal(version=version, made=made, digest=_digest(database))
        database.execute("CREATE TABLE seal (version TEXT, made TEXT, digest TEXT)")
        database.execute(
            "INSERT INTO seal VALUES (?, ?, ?)", (made_seal.version, made_seal.made, made_seal.digest)
        )
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.commit()
    return made_seal


def sealed(path: Path) -> Seal:
    """Read a backup's seal, and hold everything in the file to it.

    Parameters
    ----------
    path
        The file; it is not changed.

    Returns
    -------
    Seal

    Raises
    ------
    StoreError
        When it is no backup, or not as it was written.

    Examples
    --------
    >>> sealed(Path("no-such-file"))
    Traceback (most recent call last):
    ledgewell.store.failure.StoreError: no-such-file: there is no such file ...
    """
    if not path.is_file():
        raise StoreError(str(path), "there is no such file", _RIGHT)
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as database:
            if database.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                raise StoreError(str(path), "this is not a backup", _RIGHT)
            found = Seal(**dict(zip(("version", "made", "digest"), _row(database), strict=True)))
            sound = database.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
            same = sound and _digest(database) == found.digest
    except (sqlite3.DatabaseError, UnicodeDecodeError, TypeError) as error:
        raise StoreError(str(path), f"this is not a backup, or it is damaged: {error}", _RIGHT) from error
    if not same:
        raise StoreError(str(path), "the backup is not as it was written", _RIGHT)
    return found


def _row(database: sqlite3.Connection) -> tuple[str, str, str]:
    row: tuple[str, str, str] = database.execute("SELECT version, made, digest FROM seal").fetchone()
    return row


def _digest(database: sqlite3.Connection) -> str:
    """Digest rows as they lie in the file, by whatever tables its version has."""
    names = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT IN ('seal') ORDER BY name"
    digest = hashlib.sha256()
    for (name,) in database.execute(names).fetchall():
        keys = [row[1] for row in database.execute(f'PRAGMA table_info("{name}")') if row[5]] or ["rowid"]
        digest.update(f"table {name}\n".encode())
        order = ", ".join(f'"{key}"' if key != "rowid" else key for key in keys)
        for row in database.execute(f'SELECT * FROM "{name}" ORDER BY {order}'):
            for value in row:
                content = value if isinstance(value, bytes) else repr(value).encode()
                digest.update(f"{type(value).__name__} {len(content)}\n".encode())
                digest.update(content)
    return digest.hexdigest()
