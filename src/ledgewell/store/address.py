"""Where a store is: a path for SQLite, a URL for PostgreSQL, the platform's data folder by default."""

from __future__ import annotations

import os
from pathlib import Path

from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from ledgewell.store.failure import StoreError

VARIABLE = "LEDGEWELL_STORE"
"""Environment variable that names the store."""

_RIGHT = "a path, sqlite:///path, or postgresql://user@host/database"


def default_path() -> Path:
    """Name the database in the platform's data folder.

    Returns
    -------
    pathlib.Path

    Examples
    --------
    >>> default_path().name
    'ledgewell.sqlite3'
    """
    from platformdirs import user_data_path

    return user_data_path("ledgewell", appauthor=False) / "ledgewell.sqlite3"


def url_of(given: str | Path | None) -> URL:
    """Read where a store is.

    Parameters
    ----------
    given
        A path, ``sqlite:///path``, ``postgresql://user@host/database``; None for the environment's
        `VARIABLE`, or else the platform's data folder.

    Returns
    -------
    sqlalchemy.engine.URL

    Raises
    ------
    StoreError
        When it is another kind of database, or no address at all.

    Examples
    --------
    >>> url_of("postgres://ann@office/wells").render_as_string()
    'postgresql+psycopg://ann@office/wells'
    >>> url_of("wells.sqlite3").drivername
    'sqlite+pysqlite'
    """
    given = given or os.environ.get(VARIABLE) or default_path()
    if isinstance(given, Path) or "://" not in given:
        return _sqlite(Path(given))
    try:
        url = make_url(given)
    except ArgumentError:
        raise StoreError("the address of the store", "this is no address", _RIGHT) from None
    kind = url.drivername.split("+")[0]
    if kind == "sqlite" and url.database and url.database != ":memory:":
        return _sqlite(Path(url.database))
    if kind in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    say = "nothing is kept there" if kind == "sqlite" else f"{kind} is not supported"
    raise StoreError(url.render_as_string(), say, _RIGHT)


def _sqlite(path: Path) -> URL:
    return URL.create("sqlite+pysqlite", database=str(path.expanduser().absolute()))
