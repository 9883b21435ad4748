"""Nothing lost: the process killed at random moments, the disk full, answers dropped, posts repeated."""

from __future__ import annotations

import os
import random
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.faults.store_drill import Drill, Writer, Yard, fill_up, posts_of
from tests.store.databases import Cluster, make_template
from tests.store.sent import NOW, named

from ledgewell.record import Entry
from ledgewell.store import Store, StoreError

SEED = 20260914
POSTS = 1_000
KILLS = 40


def test_killed_at_random_moments_during_a_thousand_posts(yard: Yard, store_url: str) -> None:
    chance = random.Random(SEED)
    drill = Drill(yard, store_url, chance)
    drill.run(posts_of(POSTS, chance), kills=KILLS, dropped=0.05)
    assert drill.acknowledged == drill.sent.keys()
    drill.check()
    print(dict(drill.tally))
    assert drill.tally["killed before the commit"] + drill.tally["killed after the commit"] == KILLS
    assert drill.tally["answers dropped"] > 0


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    """Where the writers come from."""
    made = Yard.open(tmp_path_factory.mktemp("yard"))
    yield made
    made.close()


@pytest.fixture
def own_server() -> Iterator[Cluster]:
    """A server for one test alone, that may be crashed and starved."""
    server = Cluster.start()
    make_template(server)
    yield server
    server.run("stop")


def test_a_server_that_crashes_while_entries_come(yard: Yard, own_server: Cluster) -> None:
    """PostgreSQL itself is stopped as by a power cut, twice, and recovers by its own log."""
    url = own_server.new_database("newest")
    drill = Drill(yard, url, random.Random(SEED))
    posts = posts_of(60, drill.chance)
    for part in (posts[:20], posts[20:40], posts[40:]):
        drill.run(part, kills=1, dropped=0.1)
        writer = yard.writer(url)
        own_server.run("crash")
        writer.send(part[-1])
        answer = writer.answer()
        assert "does not answer" in answer["failed"]
        own_server.run("resume")
        writer.send(part[-1])
        answer = writer.answer()
        assert {said for _, said in answer["answers"]} == {"kept"}, (
            "the writer finds the server again by itself"
        )
        writer.stop()
        drill.check()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 8 MB, where this account may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", folder], capture_output=True, check=False
    )
    if os.geteuid() != 0 or mounted.returncode != 0:
        pytest.skip("only root mounts a small disk; the limit on the length of files is tested everywhere")
    yield folder
    subprocess.run(["umount", folder], check=True)


def send_until_full(drill: Drill, writer: Writer, posts: list[list[Entry]]) -> list[list[Entry]]:
    """Send until the store says it is full, then five more; return what was not acknowledged."""
    refused = []
    for post in posts:
        drill.sent.update({each.id: each for each in post})
        writer.send(post)
        answer = writer.answer()
        if "failed" in answer:
            assert "no room" in answer["failed"]
            refused.append(post)
            if len(refused) > 5:
                return refused
        else:
            assert {said for _, said in answer["answers"]} == {"kept"}
            drill.acknowledged.update(id_ for id_, _ in answer["answers"])
    pytest.fail("the disk never filled")


def long_posts() -> list[list[Entry]]:
    """Posts of which some hundred fill a megabyte; chance, so that no database packs them smaller."""
    chance = random.Random(SEED)
    return [[named(i, chance.randbytes(4_000).hex(), field="note", change=f"n{i}")] for i in range(1_000)]


def test_a_full_disk_sqlite(yard: Yard, small_disk: Path) -> None:
    url = str(small_disk / "wells.sqlite3")
    drill = Drill(yard, url, random.Random(SEED))
    Store.open(url).close()
    ballast = fill_up(small_disk, leave_bytes=3_000_000)
    writer = yard.writer(url)
    refused = send_until_full(drill, writer, long_posts())
    assert len(drill.acknowledged) > 20
    with Store.open(url) as store:
        assert {each.entry.id for each in store.journal(None)} == drill.acknowledged, (
            "and it can still be read"
        )
    ballast.unlink()
    finish(drill, writer, refused)


def test_a_full_disk_by_the_length_of_files_sqlite(yard: Yard, tmp_path: Path) -> None:
    url = str(tmp_path / "wells.sqlite3")
    drill = Drill(yard, url, random.Random(SEED))
    writer = yard.writer(url, 1_500_000)
    refused = send_until_full(drill, writer, long_posts())
    assert len(drill.acknowledged) > 20
    drill.check()
    writer.kill()
    finish(drill, yard.writer(url), refused)


def test_a_full_disk_by_the_length_of_files_postgresql(yard: Yard, own_server: Cluster) -> None:
    url = own_server.new_database("newest")
    drill = Drill(yard, url, random.Random(SEED))
    own_server.run("crash")
    own_server.run("resume", "1500")
    writer = yard.writer(url)
    refused = send_until_full(drill, writer, long_posts())
    assert len(drill.acknowledged) > 20
    drill.check()
    own_server.run("crash")
    own_server.run("resume")
    finish(drill, writer, refused)


def finish(drill: Drill, writer: Writer, refused: list[list[Entry]]) -> None:
    """Room was made: what was refused is sent again, and everything is there once."""
    drill.check()
    for post in refused:
        writer.send(post)
        answer = writer.answer()
        assert {said for _, said in answer["answers"]} == {"kept"}
        drill.acknowledged.update(id_ for id_, _ in answer["answers"])
    writer.stop()
    drill.check()
    assert drill.acknowledged == drill.sent.keys()


def test_a_file_that_finds_no_room_is_not_there(small_disk: Path) -> None:
    url = str(small_disk / "wells.sqlite3")
    with Store.open(url) as store:
        store.add_entries([named(1, "Upper field")], received=NOW)
        ballast = fill_up(small_disk, leave_bytes=2_000_000)
        content = b"\xff\xd8\xff\xe0" + os.urandom(4_000_000)
        with pytest.raises(StoreError, match="no room"):
            store.put_file(content, "camera.jpg", well="w", author="Ann")
        assert store.files("w") == ()
        with pytest.raises(StoreError):
            store.backup(small_disk / "wells.backup")
        ballast.unlink()
        kept = store.put_file(content[:500_000], "camera.jpg", well="w", author="Ann")
        assert store.file(kept.sha256) == content[:500_000]


def test_a_backup_that_finds_no_room_is_not_there(small_disk: Path, tmp_path: Path) -> None:
    with Store.open(tmp_path / "wells.sqlite3") as store:
        store.add_entries([each for post in long_posts() for each in post], received=NOW)
        with pytest.raises(StoreError, match="no room"):
            store.backup(small_disk / "wells.backup")
    assert list(small_disk.iterdir()) == []


def test_the_small_disk_is_small(small_disk: Path) -> None:
    """The limit is a real one."""
    with pytest.raises(OSError, match="No space left"):
        (small_disk / "a").write_bytes(bytes(9_000_000))
