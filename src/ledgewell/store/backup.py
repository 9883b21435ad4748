"""Backup in one file, the same from either database, and its restoring into either."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa
from sqlalchemy.engine import URL

from ledgewell.store.address import url_of
from ledgewell.store.engine import open_engine, reading, writing
from ledgewell.store.failure import StoreError
from ledgewell.store.migrate import NEWEST, migrate, version_of
from ledgewell.store.rows import copy_rows, counts, first_difference
from ledgewell.store.seal import seal, sealed

if TYPE_CHECKING:
    from sqlalchemy import Engine


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What a restoring brought back.

    Parameters
    ----------
    made
        When the backup was made, ISO 8601 in UTC.
    wells, entries, files
        How many.
    """

    made: str
    wells: int
    entries: int
    files: int


def write_backup(engine: Engine, path: Path) -> Path:
    """Write a backup, read it back, and only then give it its name.

    Parameters
    ----------
    engine
        Of a store; others may go on writing meanwhile, the backup holds one moment.
    path
        The file; it must not be there yet.

    Returns
    -------
    pathlib.Path

    Raises
    ------
    StoreError
        When it is there already, or there is no room.

    Examples
    --------
    >>> from ledgewell.store import Store
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "wells.sqlite3") as store:
    ...     write_backup(store.engine, Path(folder) / "backup").name
    'backup'
    """
    if path.exists():
        raise StoreError(str(path), "a file is there already", "a new name: a backup never replaces another")
    try:
        # a folder of its own: what the database writes beside the file goes with it, whatever happens
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=f".{path.name}-") as folder:
            part = Path(folder) / path.name
            _fill(engine, part)
            seal(part, version=version("ledgewell"), made=datetime.now(UTC).isoformat(timespec="seconds"))
            sealed(part)
            _to_disk(part)
            part.replace(path)
        _to_disk(path.parent)
    except (OSError, sqlite3.OperationalError) as error:
        say = f"there is no room, or it cannot be written: {error}"
        raise StoreError(str(path), say, "a folder with room") from error
    return path


def _fill(engine: Engine, part: Path) -> None:
    with _container(part) as container, writing(container) as target:
        migrate(target)
        with reading(engine) as source:
            copy_rows(source, target)


def _to_disk(path: Path) -> None:
    """Have the system write a file, or the names in a folder, to the disk."""
    if path.is_dir() and os.name == "nt":
        return
    opened = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


@contextmanager
def _container(path: Path) -> Iterator[Engine]:
    """Open a backup as a database: one file, nothing beside it."""
    engine = sa.create_engine(URL.create("sqlite+pysqlite", database=str(path)), poolclass=sa.pool.NullPool)
    try:
        yield engine
    finally:
        engine.dispose()


def restore(path: str | Path, where: str | Path | None = None) -> Restored:
    """Bring a backup back into an empty store, and compare the two before it counts.

    Parameters
    ----------
    path
        The backup.
    where
        Path or URL of the store; as for `Store.open`.

    Returns
    -------
    Restored

    Raises
    ------
    StoreError
        When the backup is not as it was written, or the store is not empty. Nothing was written then.

    Examples
    --------
    >>> from ledgewell.store import Store
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "wells.sqlite3") as store:
    ...     restore(store.backup(Path(folder) / "backup"), Path(folder) / "again.sqlite3").entries
    0
    """
    found = sealed(Path(path))
    with _of_newest_version(Path(path)) as container, reading(container) as source:
        engine = open_engine(url_of(where))
        try:
            with writing(engine) as target:
                if any(counts(target).values()):
                    right = "an empty one; archives of single wells can be imported into this one"
                    raise StoreError(engine.url.render_as_string(), "the store is not empty", right)
                copy_rows(source, target)
                different = first_difference(source, target)
                if different is not None:
                    raise StoreError(str(path), f"{different} did not come back as it was", "another try")
                held = counts(target)
        finally:
            engine.dispose()
    return Restored(made=found.made, wells=held["well"], entries=held["entry"], files=held["file"])


@contextmanager
def _of_newest_version(path: Path) -> Iterator[Engine]:
    """Open a backup; one of an earlier version is brought up to date in a copy, never in the file itself."""
    with _container(path) as engine:
        with reading(engine) as connection:
            present = version_of(connection)
        if present == NEWEST:
            yield engine
            return
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        shutil.copyfile(path, copy)
        with _container(copy) as engine:
            with writing(engine) as connection:
                migrate(connection)
            yield engine
