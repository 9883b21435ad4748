"""Every earlier version comes up with its data. The first version's data is written in plain SQL, as it lay then."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from tests.store.sent import named

from ledgewell.store import Store, StoreError
from ledgewell.store.address import url_of
from ledgewell.store.engine import reading, writing
from ledgewell.store.migrate import NEWEST, migrate, script_directory, version_of
from ledgewell.store.tables import metadata

BODY = (
    '{"id":"018f6f2e-7b1a-7cc3-98c4-dc0c0c07398f","well":"w","device":"phone","sequence":4,"author":"Ann",'
    '"at":"2026-09-14T09:10:00-04:00","change":"c","kind":"set","path":"well/well/name",'
    '"value":"Upper field","saw":[]}'
)
FIRST_VERSION = (
    "INSERT INTO well (id, position, revision, entries, first_received, last_received, name, words)"
    " VALUES ('w', 1, 0, 1, :moment, :moment, 'Upper field', 'upper field')",
    "INSERT INTO entry (position, id, well, change, device, sequence, path, received, mark, body)"
    " VALUES (1, '018f6f2e-7b1a-7cc3-98c4-dc0c0c07398f', 'w', 'c', 'phone', 4, 'well/well/name',"
    " :moment, 'ab', :body)",
)


def open_plain(url: str) -> sa.Engine:
    return sa.create_engine(url_of(url))


def fill_first_version(url: str) -> None:
    engine = open_plain(url)
    moment: object = datetime(2026, 9, 14, 13, 11, tzinfo=UTC)
    if engine.dialect.name == "sqlite":
        moment = "2026-09-14 13:11:00.000000"
    with writing(engine) as connection:
        migrate(connection, to="0001")
        for statement in FIRST_VERSION:
            connection.execute(sa.text(statement), {"moment": moment, "body": BODY})
    engine.dispose()


def test_the_first_version_comes_up_with_its_data(empty_url: str) -> None:
    fill_first_version(empty_url)
    with Store.open(empty_url) as store:
        (kept,) = store.journal("w")
        assert kept.received == datetime(2026, 9, 14, 13, 11, tzinfo=UTC)
        assert (kept.entry.author, kept.entry.value, kept.entry.sequence) == ("Ann", "Upper field", 4)
        assert store.well("w").well.well.name == "Upper field"
        assert [each.name for each in store.wells(search="UPPER")] == ["Upper field"]
        file = store.put_file(b"minute,level\n", "logger.csv", well="w", author="Ann")
        assert store.file(file.sha256) == b"minute,level\n"
        (answer,) = store.add_entries([named(1, "Lower field", saw=(kept.entry.id,))], received=kept.received)
        assert answer.position == 2


def test_the_steps_lead_to_the_tables_of_this_version(empty_url: str) -> None:
    with Store.open(empty_url) as store, reading(store.engine) as connection:
        assert version_of(connection) == NEWEST == script_directory().get_current_head()
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_the_steps_are_one_line_from_the_first() -> None:
    steps = list(script_directory().walk_revisions())
    assert [step.revision for step in steps][-1] == "0001"
    assert all(not step.is_branch_point and not step.is_merge_point for step in steps)


def test_a_later_version_is_refused_and_left_alone(empty_url: str) -> None:
    Store.open(empty_url).close()
    engine = open_plain(empty_url)
    with writing(engine) as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreError, match="9999"):
        Store.open(empty_url)
    with reading(engine) as connection:
        assert version_of(connection) == "9999"
    engine.dispose()


def test_a_step_that_fails_leaves_the_version_before_it(
    empty_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file of the second step is there, but a table it makes is there already."""
    fill_first_version(empty_url)
    engine = open_plain(empty_url)
    with writing(engine) as connection:
        connection.execute(sa.text("CREATE TABLE attachment (well TEXT)"))
    monkeypatch.setattr("ledgewell.store.engine._WAIT_S", 1)
    with pytest.raises((sa.exc.DBAPIError, StoreError), match="attachment"):
        Store.open(empty_url)
    with reading(engine) as connection:
        assert version_of(connection) == "0001"
        assert not sa.inspect(connection).has_table("file"), "nothing half"
        assert connection.execute(sa.text("SELECT count(*) FROM entry")).scalar() == 1
    engine.dispose()


def test_several_may_open_a_new_store_at_once(empty_url: str) -> None:
    with ThreadPoolExecutor(4) as pool:
        stores = list(pool.map(lambda _: Store.open(empty_url), range(4)))
    for number, store in enumerate(stores):
        store.add_entries([named(number, "Upper field")], received=datetime(2026, 9, 14, tzinfo=UTC))
    assert [each.position for each in stores[0].journal("w")] == [1, 2, 3, 4]
    for store in stores:
        store.close()
