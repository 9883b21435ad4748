"""An entry as the store keeps it: with its place in the store's own order and when it came."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING, TypeVar

import sqlalchemy as sa

from ledgewell.record import Entry
from ledgewell.store.marks import entry_of
from ledgewell.store.tables import entries

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptEntry:
    """An entry, and what the store adds to it.

    Parameters
    ----------
    position
        Place in the store's own order, from 1 on.
    received
        When it came [UTC].
    entry
        The entry.
    """

    position: int
    received: datetime
    entry: Entry


def journal_after(
    connection: Connection,
    well: str | None,
    after: int,
    *,
    at_most: int | None = None,
    paths: Sequence[str] | None = None,
) -> tuple[KeptEntry, ...]:
    """Read a journal from a position on.

    Parameters
    ----------
    connection
        Of the store.
    well
        Id of the well; None for those of all wells.
    after
        Position read up to so far; 0 for none.
    at_most
        How many to read.
    paths
        Only the entries at these paths.

    Returns
    -------
    tuple of KeptEntry
        In the store's order.

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(journal_after(connection, None, 0))
    ()
    """
    asked = sa.select(entries.c.position, entries.c.received, entries.c.body).where(
        entries.c.position > after
    )
    if well is not None:
        asked = asked.where(entries.c.well == well)
    if paths is not None:
        asked = asked.where(entries.c.path.in_(paths))
    rows = connection.execute(asked.order_by(entries.c.position).limit(at_most))
    return tuple(
        KeptEntry(position=position, received=received, entry=entry_of(body))
        for position, received, body in rows
    )


def in_parts(things: Iterable[Thing], size: int = 500) -> Iterator[list[Thing]]:
    """Cut what is asked for into parts that a statement can carry.

    Parameters
    ----------
    things
        Any number of them.
    size
        How many in a part.

    Yields
    ------
    list

    Examples
    --------
    >>> list(in_parts("abcde", 2))
    [['a', 'b'], ['c', 'd'], ['e']]
    """
    rest = iter(things)
    while part := list(islice(rest, size)):
        yield part
