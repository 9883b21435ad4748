"""A backup is one file, the same from either database, and comes back into either as it was."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa
from tests.store.databases import KINDS, Cluster
from tests.store.sent import NOW, entry, named, reading
from tests.store.test_migrations import fill_first_version

from ledgewell.store import Store, StoreError, restore
from ledgewell.store.engine import reading as reading_of
from ledgewell.store.seal import seal, sealed


@pytest.fixture(params=KINDS)
def target_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a backup is restored to."""
    if request.param == "sqlite":
        yield str(tmp_path / "restored" / "wells.sqlite3")
        return
    server: Cluster = request.getfixturevalue("cluster")
    url = server.new_database()
    yield url
    server.drop(url)


def fill(store: Store) -> None:
    store.add_entries(
        [
            named(1, "Upper field", zone="America/New_York"),
            named(2, "An owner — 井", field="owner", offset_s=-1.5),
            entry(3, typed="400 ft"),
            entry(4, typed="405 ft", saw=(entry(3).id,), note="taped again"),
            *(reading(number, number / 3, "47.1 ft", change="paste") for number in range(10, 1500)),
            named(5, "Lower field", well="v"),
        ],
        received=datetime(2026, 9, 14, 13, 0, 0, 123456, tzinfo=UTC),
    )
    for number in range(3):
        store.put_file(
            b"minute,level\n" * (1 + number), f"{number}.csv", well="w", author="Ann", received=NOW
        )
    store.withhold(entry(2).id, by="Office", reason="asked", at=NOW)
    store.withhold_file(store.files("w")[2].sha256, by="Office", reason="asked", at=NOW)


def everything(store: Store) -> list[object]:
    wells = store.wells()
    return [
        wells,
        store.journal(None),
        *(store.files(well.id) for well in wells),
        *(store.file(file.sha256) for well in wells for file in store.files(well.id)),
        *(store.withheld(well.id) for well in wells),
        *(store.well(well.id) for well in wells),
    ]


def test_a_backup_comes_back_as_it_was_into_either_database(
    store: Store, target_url: str, tmp_path: Path
) -> None:
    fill(store)
    path = store.backup(tmp_path / "wells.backup")
    assert sorted(each.name for each in tmp_path.iterdir() if "backup" in each.name) == ["wells.backup"]
    restored = restore(path, target_url)
    assert (restored.wells, restored.entries, restored.files) == (2, 1495, 3)
    with Store.open(target_url) as target:
        assert everything(target) == everything(store)
        (answer,) = target.add_entries([entry(6, typed="410 ft")], received=NOW)
        assert answer.position == 1496
        with pytest.raises((sa.exc.DBAPIError, StoreError)), target.engine.begin() as connection:
            connection.execute(sa.text("DELETE FROM entry"))


def test_a_backup_never_replaces_a_file(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "wells.backup"
    path.write_text("something of another's")
    with pytest.raises(StoreError, match="there already"):
        store.backup(path)
    assert path.read_text() == "something of another's"


def test_a_backup_that_cannot_be_written_leaves_nothing(store: Store, tmp_path: Path) -> None:
    with pytest.raises(StoreError):
        store.backup(tmp_path / "no such folder" / "wells.backup")
    assert not [each for each in tmp_path.rglob("*") if "backup" in each.name]


def test_a_store_that_is_not_empty_is_left_alone(store: Store, store_url: str, tmp_path: Path) -> None:
    fill(store)
    path = store.backup(tmp_path / "wells.backup")
    before = everything(store)
    with pytest.raises(StoreError, match="not empty"):
        restore(path, store_url)
    assert everything(store) == before


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    with Store.open(tmp_path / "source.sqlite3") as source:
        fill(source)
        return source.backup(tmp_path / "wells.backup")


def test_every_change_of_one_bit_is_found(backup: Path, tmp_path: Path) -> None:
    """Bits all over the file. One in what SQLite does not use may be without meaning: then all must come back."""
    whole = backup.read_bytes()
    assert len(whole) > 500_000
    changed = tmp_path / "changed.backup"
    found = 0
    places = range(17, len(whole), len(whole) // 60)
    for place in places:
        broken = bytearray(whole)
        broken[place] ^= 1 << place % 8
        changed.write_bytes(broken)
        try:
            sealed(changed)
        except StoreError:
            found += 1
        else:
            target = tmp_path / f"{place}.sqlite3"
            assert restore(changed, target).entries == 1495
            with Store.open(target) as restored, Store.open(tmp_path / "source.sqlite3") as source:
                assert everything(restored) == everything(source)
    assert found > len(places) / 2


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE attachment SET author = 'Bob'",
        "UPDATE well SET position = position + 1",
        "DELETE FROM file_content",
        "INSERT INTO withholding SELECT 'x', kind, hash, \"by\", at, reason FROM withholding LIMIT 1",
        "UPDATE seal SET digest = 'ab'",
        "DELETE FROM seal",
        "DROP TABLE seal",
        "PRAGMA application_id = 7",
    ],
)
def test_a_backup_that_someone_changed_is_refused(backup: Path, tmp_path: Path, statement: str) -> None:
    with closing(sqlite3.connect(backup)) as database:
        database.execute(statement)
        database.commit()
    target = tmp_path / "target.sqlite3"
    with pytest.raises(StoreError, match="backup"):
        restore(backup, target)
    assert not target.exists()


def test_an_entry_taken_out_of_a_backup_is_missed(backup: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(backup)) as database:
        database.execute("DROP TRIGGER entry_never_deleted")
        database.execute("DELETE FROM entry WHERE position = 700")
        database.commit()
    with pytest.raises(StoreError, match="not as it was written"):
        restore(backup, tmp_path / "target.sqlite3")


@pytest.mark.parametrize("content", [b"", b"not a database", b"SQLite format 3\x00" + bytes(84)])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.backup"
    path.write_bytes(content)
    with pytest.raises(StoreError, match="backup"):
        restore(path, tmp_path / "target.sqlite3")


def test_half_a_backup_is_refused(backup: Path, tmp_path: Path) -> None:
    path = tmp_path / "half.backup"
    path.write_bytes(backup.read_bytes()[:-4096])
    with pytest.raises(StoreError, match="backup"):
        restore(path, tmp_path / "target.sqlite3")


def test_a_store_itself_is_no_backup(tmp_path: Path) -> None:
    with Store.open(tmp_path / "wells.sqlite3") as store:
        fill(store)
    with pytest.raises(StoreError, match="not a backup"):
        restore(tmp_path / "wells.sqlite3", tmp_path / "target.sqlite3")


def test_a_backup_of_the_first_version_is_brought_up_to_date(target_url: str, tmp_path: Path) -> None:
    path = tmp_path / "old.backup"
    fill_first_version(str(path))
    with closing(sqlite3.connect(path)) as database:
        database.execute("PRAGMA journal_mode = DELETE")
    seal(path, version="0.1.0", made="2026-09-14T13:12:00+00:00")
    before = path.read_bytes()
    restored = restore(path, target_url)
    assert (restored.entries, restored.made) == (1, "2026-09-14T13:12:00+00:00")
    assert path.read_bytes() == before
    with Store.open(target_url) as target:
        assert target.well("w").well.well.name == "Upper field"


def test_a_backup_holds_one_moment_while_others_write_on(store: Store, tmp_path: Path) -> None:
    """A writer adds an entry while the backup is being written: all of it is in it, or nothing."""
    fill(store)
    from ledgewell.store import rows

    written = []

    def write_between(source: sa.Connection, table: sa.Table) -> Iterator[dict[str, object]]:
        yield from rows_of(source, table)
        if not written:
            written.append(store.add_entries([named(7, "Third field", well="u")], received=NOW))

    rows_of = rows._rows
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(rows, "_rows", write_between)
        path = store.backup(tmp_path / "wells.backup")
    assert written[0][0].kept
    restored = restore(path, tmp_path / "target.sqlite3")
    assert (restored.wells, restored.entries) == (2, 1495)
    with reading_of(store.engine) as connection:
        assert connection.execute(sa.text("SELECT count(*) FROM entry")).scalar() == 1496
