"""Columns that mean the same on both databases: an instant in UTC, a long count, a name."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import BigInteger, DateTime, Integer, Text
from sqlalchemy.types import TypeDecorator

if TYPE_CHECKING:
    from sqlalchemy.engine import Dialect

LongCount = BigInteger().with_variant(Integer, "sqlite")
"""A whole number of 64 bits; SQLite wants the plain word for a key that is its row number."""


KeyText = Text().with_variant(Text(collation="C"), "postgresql")
"""Text that names something: compared and ordered byte by byte on both databases, whatever the server's language."""


class UtcMoment(TypeDecorator[datetime]):
    """An instant, kept in UTC to the microsecond and given back as UTC.

    Notes
    -----
    SQLite has no type for instants and drops the offset of one it is given; PostgreSQL gives it back in the zone
    of the connection. A moment without an offset is refused: nobody knows which instant it is.

    Examples
    --------
    >>> from sqlalchemy.dialects import sqlite
    >>> given = datetime.fromisoformat("2026-09-14T09:10:00-04:00")
    >>> UtcMoment().process_bind_param(given, sqlite.dialect())
    datetime.datetime(2026, 9, 14, 13, 10)
    """

    impl = DateTime(timezone=True)
    cache_ok = True
    """Statements with it may be cached: it carries no state."""

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Bring an instant to UTC on its way in.

        Parameters
        ----------
        value
            An instant with its offset, or None.
        dialect
            Of the database.

        Returns
        -------
        datetime or None

        Raises
        ------
        ValueError
            When it has no offset.

        Examples
        --------
        >>> from sqlalchemy.dialects import postgresql
        >>> given = datetime.fromisoformat("2026-09-14T09:10:00-04:00")
        >>> UtcMoment().process_bind_param(given, postgresql.dialect()).isoformat()
        '2026-09-14T13:10:00+00:00'
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value.isoformat()} has no offset, so it is no instant")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give an instant back as UTC.

        Parameters
        ----------
        value
            What the database gave.
        dialect
            Of the database.

        Returns
        -------
        datetime or None

        Examples
        --------
        >>> from sqlalchemy.dialects import sqlite
        >>> UtcMoment().process_result_value(datetime(2026, 9, 14, 13, 10), sqlite.dialect()).isoformat()
        '2026-09-14T13:10:00+00:00'
        """
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if dialect.name == "sqlite" else value.astimezone(UTC)
