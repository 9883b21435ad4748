"""After something was withheld: have the database let go of the bytes it still holds of it."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

import sqlalchemy as sa

from ledgewell.store.tables import contents, entries

if TYPE_CHECKING:
    from sqlalchemy import Engine


def scrub(engine: Engine) -> None:
    """Clear old versions of rows out of the database's own files.

    Parameters
    ----------
    engine
        The database.

    Notes
    -----
    SQLite overwrites what is deleted (``secure_delete``) and here empties its write-ahead log; while someone reads
    on for longer than a writer waits, that is left to the next checkpoint. PostgreSQL frees the old rows
    (``VACUUM``); its log holds them until it is recycled. A backup made before holds them still.

    Examples
    --------
    >>> scrub(sa.create_engine("sqlite://"))
    """
    if engine.dialect.name == "sqlite":
        with closing(engine.raw_connection()) as raw:
            raw.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
        return
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        for table in (entries, contents):
            connection.execute(sa.text(f"VACUUM {table.name}"))
