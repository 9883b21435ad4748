"""What a list of wells shows: the few values of the record that name a well and say where it is."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from ledgewell.record import fold
from ledgewell.store.marks import entry_of
from ledgewell.store.tables import wells

if TYPE_CHECKING:
    from sqlalchemy import Connection

_SHOWN = ("name", "owner", "place", "permit", "latitude", "longitude")
SUMMARY_PATHS = ("well/well", *(f"well/well/{name}" for name in _SHOWN))
"""Paths of the record that a summary is folded from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WellSummary:
    """One well in the list of wells.

    Parameters
    ----------
    id
        Id of the well.
    name, owner, place, permit
        As its record says; None when it does not.
    latitude, longitude
        [degrees], north and east positive.
    position
        Place of its last entry in the store's order: another one means that the record changed.
    revision
        How often something of it was withheld.
    entries
        How many entries its journal has.
    first_received, last_received
        When its first and last entry came [UTC].
    """

    id: str
    name: str | None
    owner: str | None
    place: str | None
    permit: str | None
    latitude: float | None
    longitude: float | None
    position: int
    revision: int
    entries: int
    first_received: datetime
    last_received: datetime


def summary_values(bodies: Iterable[str]) -> dict[str, Any]:
    """Fold the values a summary shows.

    Parameters
    ----------
    bodies
        Entries at the `SUMMARY_PATHS` of one well, as kept.

    Returns
    -------
    dict
        Values of the columns of the table of wells.

    Examples
    --------
    >>> summary_values([])["words"]
    ''
    """
    site = fold(entry_of(body) for body in bodies).well.well
    values = {name: getattr(site, name) for name in _SHOWN}
    texts = [value for value in values.values() if isinstance(value, str)]
    return {**values, "words": alike("\n".join(texts))}


def alike(text: str) -> str:
    """Write text so that texts that read alike are alike: one case, one width, one space.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str

    Examples
    --------
    >>> alike("  Upper   FIELD ")
    'upper field'
    """
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def summaries(
    connection: Connection, *, search: str | None, after: str | None, at_most: int | None
) -> tuple[WellSummary, ...]:
    """List wells, by id.

    Parameters
    ----------
    connection
        Of the store.
    search
        Words that all must be in name, owner, place or permit.
    after
        Id of the last well of the page before.
    at_most
        How many.

    Returns
    -------
    tuple of WellSummary

    Examples
    --------
    >>> from ledgewell.store.migrate import migrate
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(summaries(connection, search="upper", after=None, at_most=None))
    ()
    """
    columns = [wells.c[name] for name in WellSummary.__dataclass_fields__]
    asked = sa.select(*columns).order_by(wells.c.id)
    for word in alike(search or "").split():
        asked = asked.where(wells.c.words.contains(word, autoescape=True))
    if after is not None:
        asked = asked.where(wells.c.id > after)
    return tuple(
        WellSummary(**dict(zip(WellSummary.__dataclass_fields__, row, strict=True)))
        for row in connection.execute(asked.limit(at_most))
    )
