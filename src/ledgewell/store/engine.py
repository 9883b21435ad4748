"""The connection to either database: one writer at a time, and a commit that is on the disk before it returns."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa
from sqlalchemy import event, exc

from ledgewell.store.failure import StoreError
from ledgewell.store.migrate import NEWEST, migrate, version_of

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine
    from sqlalchemy.engine import URL

_WAIT_S = 30
_WRITER_LOCK = 0x4C65646765
"""Key of the advisory lock that a writer holds on PostgreSQL, in the application's own name space."""


def open_engine(url: URL) -> Engine:
    """Connect to a database and bring its tables up to date.

    Parameters
    ----------
    url
        As `url_of` gives it. A database file and its folder are made when they are not there.

    Returns
    -------
    sqlalchemy.Engine

    Raises
    ------
    StoreError
        When there is no connection, a later version wrote it, or the server does not promise that what it
        acknowledged is on its disk.

    Examples
    --------
    >>> import tempfile
    >>> from ledgewell.store.address import url_of
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     engine = open_engine(url_of(Path(folder) / "wells.sqlite3"))
    ...     with reading(engine) as connection:
    ...         print(connection.execute(sa.text("PRAGMA journal_mode")).scalar())
    ...     engine.dispose()
    wal
    """
    engine = _sqlite_engine(url) if url.drivername.startswith("sqlite") else _postgresql_engine(url)
    with ExitStack() as on_failure:
        on_failure.callback(engine.dispose)
        with reading(engine) as connection:
            if engine.dialect.name == "postgresql":
                _require_durable(connection)
            present = version_of(connection)
        if present != NEWEST:
            with writing(engine) as connection:
                migrate(connection)
        on_failure.pop_all()
    return engine


def _sqlite_engine(url: URL) -> Engine:
    folder = Path(str(url.database)).parent
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise StoreError(str(folder), f"the folder cannot be made: {error}", "a folder that can") from error
    engine = sa.create_engine(url, connect_args={"timeout": _WAIT_S})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(raw: Any, _record: object) -> None:
    """Set what SQLite keeps per connection. The driver's own BEGIN is switched off: ours says who writes."""
    raw.isolation_level = None
    cursor = raw.cursor()
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",
        "fullfsync = ON",
        "foreign_keys = ON",
        "secure_delete = ON",
    ):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("ledgewell_writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _postgresql_engine(url: URL) -> Engine:
    engine = sa.create_engine(
        url,
        pool_pre_ping=True,
        connect_args={"connect_timeout": 10, "application_name": "ledgewell", "options": "-c timezone=UTC"},
    )
    event.listen(engine, "connect", _prepare_postgresql)
    return engine


def _prepare_postgresql(raw: Any, _record: object) -> None:
    with raw.cursor() as cursor:
        cursor.execute("SET synchronous_commit = on")
        cursor.execute(f"SET lock_timeout = '{_WAIT_S}s'")
    raw.commit()


def _require_durable(connection: Connection) -> None:
    for setting in ("fsync", "full_page_writes"):
        if connection.execute(sa.text(f"SHOW {setting}")).scalar() != "on":
            say = f"the server has {setting} off: what it says it kept can be lost with the power"
            raise StoreError(_name(connection.engine), say, f"{setting} = on in its configuration")


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Read in one transaction that sees one state of the database throughout.

    Parameters
    ----------
    engine
        The database.

    Yields
    ------
    sqlalchemy.Connection

    Raises
    ------
    StoreError
        When the database cannot be read.

    Examples
    --------
    >>> with reading(sa.create_engine("sqlite://")) as connection:
    ...     print(connection.execute(sa.text("SELECT 1")).scalar())
    1
    """
    with _said(engine), engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Write in one transaction, alone; on leaving it is on the disk, or nothing of it was done.

    Parameters
    ----------
    engine
        The database.

    Yields
    ------
    sqlalchemy.Connection

    Raises
    ------
    StoreError
        When the database has no room, is gone, or another writer keeps it too long.

    Notes
    -----
    Writers wait for each other on both databases, so that positions are given in the order of the commits and
    whoever has read up to a position never misses an earlier one that was committed later.

    Examples
    --------
    >>> with writing(sa.create_engine("sqlite://")) as connection:
    ...     print(connection.execute(sa.text("SELECT 1")).scalar())
    1
    """
    with _said(engine), engine.connect() as connection:
        connection.execution_options(ledgewell_writes=True)
        with connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_WRITER_LOCK)))
            yield connection


@contextmanager
def _said(engine: Engine) -> Iterator[None]:
    """Say what the driver says in words a crew can act on."""
    try:
        yield
    except (exc.OperationalError, exc.InternalError, exc.InterfaceError, exc.TimeoutError) as error:
        raise StoreError(_name(engine), *_words(str(getattr(error, "orig", error)).strip())) from error
    except exc.DatabaseError as error:
        if type(error) is not exc.DatabaseError:
            raise  # a constraint or a statement: our fault, shown as such
        raise StoreError(_name(engine), f"the file is damaged: {error.orig}", "a backup, restored") from error


def _words(driver: str) -> tuple[str, str]:
    lowered = driver.lower()
    if "full" in lowered or "no space" in lowered or "could not extend" in lowered or "disk i/o" in lowered:
        return f"there is no room, or the disk fails: {driver}", "room on the disk; then the same again"
    if "locked" in lowered or "lock timeout" in lowered:
        return f"another writer keeps the store busy: {driver}", "the same again in a moment"
    return f"the database does not answer: {driver}", "a database that runs and may be written to"


def _name(engine: Engine) -> str:
    return engine.url.render_as_string(hide_password=True)
