"""An instant goes in with any offset and comes out as that instant, in UTC, on both databases."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa
from sqlalchemy import exc
from tests.store.sent import entry

from ledgewell.store import Store
from ledgewell.store.engine import reading

# the hour of 2026-11-01 that New York has twice; 05:30 and 06:30 UTC after the rule of the IANA data base
TWICE = datetime(2026, 11, 1, 1, 30, tzinfo=ZoneInfo("America/New_York"))


@pytest.mark.parametrize(
    ("given", "utc"),
    [
        (datetime(2026, 9, 14, 9, 10, tzinfo=timezone(timedelta(hours=-4))), "2026-09-14T13:10:00+00:00"),
        (datetime(2026, 9, 14, 1, 2, 3, 456789, tzinfo=UTC), "2026-09-14T01:02:03.456789+00:00"),
        (TWICE, "2026-11-01T05:30:00+00:00"),
        (TWICE.replace(fold=1), "2026-11-01T06:30:00+00:00"),
        (datetime(1969, 12, 31, 23, tzinfo=UTC), "1969-12-31T23:00:00+00:00"),
    ],
)
def test_an_instant_goes_there_and_back(store: Store, given: datetime, utc: str) -> None:
    store.add_entries([entry(1, typed="400 ft")], received=given)
    assert store.journal("w")[0].received.isoformat() == utc
    assert store.wells()[0].last_received.isoformat() == utc


def test_the_zone_of_the_connection_changes_nothing(store: Store) -> None:
    store.add_entries([entry(1, typed="400 ft")], received=datetime(2026, 9, 14, 13, 10, tzinfo=UTC))
    if store.engine.dialect.name == "postgresql":
        statement = "SELECT (received AT TIME ZONE 'UTC')::text FROM entry"
        right = "2026-09-14 13:10:00"
    else:
        statement, right = "SELECT received FROM entry", "2026-09-14 13:10:00.000000"
    with reading(store.engine) as connection:
        assert connection.execute(sa.text(statement)).scalar() == right


def test_a_moment_without_an_offset_is_refused(store: Store) -> None:
    with pytest.raises(exc.StatementError, match="no offset"):
        store.add_entries([entry(1, typed="400 ft")], received=datetime(2026, 9, 14, 13, 10))
    assert store.journal(None) == ()
