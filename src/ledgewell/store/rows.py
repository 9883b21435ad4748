"""All rows of one database into another, and the proof that both hold the same."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from ledgewell.store.kept import in_parts
from ledgewell.store.tables import contents, metadata

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection, Table

_AT_A_TIME = 1_000


def copy_rows(source: Connection, target: Connection) -> None:
    """Write every row of a database into another that has the same tables, empty.

    Parameters
    ----------
    source
        In a reading transaction.
    target
        In a writing transaction.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as one, sa.create_engine("sqlite://").begin() as other:
    ...     migrate(one)
    ...     migrate(other)
    ...     copy_rows(one, other)
    ...     print(first_difference(one, other))
    None
    """
    for table in metadata.sorted_tables:
        for part in in_parts(_rows(source, table), _size(table)):
            target.execute(table.insert(), part)


def first_difference(one: Connection, other: Connection) -> str | None:
    """Compare two databases row by row, value by value.

    Parameters
    ----------
    one, other
        In transactions of their own.

    Returns
    -------
    str or None
        Table and key of the first row that differs; None when they hold the same.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as one, sa.create_engine("sqlite://").begin() as other:
    ...     migrate(one)
    ...     migrate(other)
    ...     print(first_difference(one, other))
    None
    """
    for table in metadata.sorted_tables:
        for mine, theirs in zip_longest(_rows(one, table), _rows(other, table)):
            if mine != theirs:
                row = mine or theirs or {}
                return f"{table.name} {', '.join(str(row[key.name]) for key in table.primary_key)}"
    return None


def counts(connection: Connection) -> dict[str, int]:
    """Count the rows of each table.

    Parameters
    ----------
    connection
        Of a store.

    Returns
    -------
    dict
        By name of the table.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(counts(connection)["entry"])
    0
    """
    return {
        table.name: connection.execute(sa.select(sa.func.count()).select_from(table)).scalar_one()
        for table in metadata.sorted_tables
    }


def _rows(connection: Connection, table: Table) -> Iterator[dict[str, Any]]:
    asked = sa.select(table).order_by(*table.primary_key)
    result = connection.execution_options(yield_per=_size(table)).execute(asked)
    return (dict(row) for row in result.mappings())


def _size(table: Table) -> int:
    return 1 if table is contents else _AT_A_TIME
