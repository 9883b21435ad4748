"""The archive carries a well elsewhere whole, again and again, and is not believed before it is looked at."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from tests.record.documents import EVERYTHING
from tests.store.sent import NOW, entry, named, reading

from ledgewell.errors import InputError
from ledgewell.record import Entry, entry_to_json, read_well, record_mark
from ledgewell.store import Store, StoreError
from ledgewell.work.archive import export_well, import_well
from ledgewell.work.book import merge_of, write_merge

LOGGER = b"minute,level\n2,47.1\n"
JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01" + bytes(20) + b"\xff\xd9"


def fill(store: Store) -> str:
    merge = merge_of(store, read_well(EVERYTHING), into=None, author="Ann", at=NOW)
    write_merge(store, merge, received=NOW)
    well = merge.well
    owner = store.history(well, "well/well/owner")[0].entry
    more = [
        named(1, "An heir", well=well, field="owner", saw=(owner.id,), offset_s=3.5),
        named(2, "Another heir", well=well, field="owner", saw=(owner.id,), author="Bob"),
        named(3, "555 0199", well=well, field="contact", saw=()),
        *(reading(number, number, "47.1 ft", well=well, change="paste") for number in range(4, 9)),
    ]
    store.add_entries(more, received=NOW + timedelta(hours=1))
    store.put_file(LOGGER, "logger.csv", well=well, author="Ann", received=NOW)
    store.put_file(LOGGER + b"5,58.9\n", "logger.csv", well=well, author="Bob", received=NOW)
    store.put_file(JPEG, "camera 312.jpg", well=well, author="Bob", received=NOW)
    store.withhold(more[2].id, by="Office", reason="asked by the owner", at=NOW)
    photo = store.file_said(well, "camera 312.jpg")
    store.withhold_file(photo.sha256, by="Office", reason="shows a face", at=NOW)
    return well


@pytest.fixture
def filled(store: Store) -> tuple[Store, str]:
    return store, fill(store)


def test_there_and_back(filled: tuple[Store, str], tmp_path: Path) -> None:
    store, well = filled
    path = export_well(store, well, tmp_path / "well.zip")
    with Store.open(tmp_path / "other.sqlite3") as other:
        imported = import_well(other, path, received=NOW)
        assert imported.well == well
        assert all(answer.kept for answer in imported.answers)
        assert (imported.problems, imported.differences) == ((), ())
        assert [each.entry for each in other.journal(well)] == [each.entry for each in store.journal(well)]
        assert other.well(well) == store.well(well)
        assert other.files(well) == store.files(well)
        assert other.withheld(well) == store.withheld(well)
        assert [other.file(each.sha256) for each in other.files(well)] == [
            store.file(each.sha256) for each in store.files(well)
        ]
        again = export_well(other, well, tmp_path / "again.zip")
        assert again.read_bytes() == path.read_bytes(), "the same well is the same archive"


def test_a_second_time_changes_nothing(filled: tuple[Store, str], tmp_path: Path) -> None:
    store, well = filled
    path = export_well(store, well, tmp_path / "well.zip")
    before = (store.journal(None), store.files(well), store.withheld(well), store.wells())
    for _ in range(2):
        imported = import_well(store, path, received=NOW + timedelta(days=1))
        assert all(answer.kept for answer in imported.answers)
        assert imported.problems == ()
    assert (store.journal(None), store.files(well), store.withheld(well), store.wells()) == before


def test_two_books_that_went_apart_come_together(filled: tuple[Store, str], tmp_path: Path) -> None:
    store, well = filled
    with Store.open(tmp_path / "other.sqlite3") as other:
        import_well(other, export_well(store, well, tmp_path / "1.zip"), received=NOW)
        seen = other.well(well).standing["well/well/name"]
        store.add_entries([named(20, "Ann's", well=well, saw=seen)], received=NOW)
        other.add_entries([named(21, "Bob's", well=well, saw=seen, author="Bob")], received=NOW)
        import_well(other, export_well(store, well, tmp_path / "2.zip"), received=NOW)
        import_well(store, export_well(other, well, tmp_path / "3.zip"), received=NOW)
        assert other.well(well) == store.well(well)
        names = [each for each in store.well(well).conflicts if each.path == "well/well/name"]
        assert [[each.value for each in one.standing] for one in names] == [["Ann's", "Bob's"]]


def test_what_the_archive_says(filled: tuple[Store, str], tmp_path: Path) -> None:
    store, well = filled
    with zipfile.ZipFile(export_well(store, well, tmp_path / "well.zip")) as archive:
        names = archive.namelist()
        assert names[:2] == ["well.toml", "journal.jsonl"]
        assert {name.split("/")[0] for name in names[2:]} == {"withheld.jsonl", "files"}
        record = read_well(archive.read("well.toml").decode())
        assert record_mark(record) == record_mark(store.well(well).well)
        lines = archive.read("journal.jsonl").decode().splitlines()
        assert [json.loads(line) for line in lines] == [
            json.loads(json.dumps(entry_to_json(each.entry))) for each in store.journal(well)
        ]
        assert not any(b"555 0199" in archive.read(name) for name in names), "withheld is withheld"
        assert JPEG not in [archive.read(name) for name in names]


def test_an_edited_well_file_in_an_archive_is_shown_and_not_written(
    filled: tuple[Store, str], tmp_path: Path
) -> None:
    store, well = filled
    path = export_well(store, well, tmp_path / "well.zip")
    edited = rewritten(
        path, tmp_path, {"well.toml": lambda text: text.replace(b'"Upper field"', b'"Lower field"')}
    )
    with Store.open(tmp_path / "other.sqlite3") as other:
        imported = import_well(other, edited, received=NOW)
        assert [each.say for each in imported.differences] == [
            'well/well/name: "Upper field" becomes "Lower field"'
        ]
        assert other.well(well) == store.well(well)


def rewritten(
    path: Path,
    folder: Path,
    changes: dict[str, Callable[[bytes], bytes]] | None = None,
    added: dict[str, bytes] | None = None,
    without: tuple[str, ...] = (),
) -> Path:
    """An archive with members changed, added or left out."""
    made = folder / "rewritten.zip"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name not in without:
                change = (changes or {}).get(name, lambda content: content)
                new.writestr(name, change(old.read(name)))
        for name, content in (added or {}).items():
            new.writestr(name, content)
    return made


@pytest.fixture
def plain(tmp_path: Path) -> Path:
    """The archive of a small well."""
    with Store.open(tmp_path / "plain.sqlite3") as store:
        store.add_entries([named(1, "Upper field"), entry(2, typed="400 ft")], received=NOW)
        store.put_file(LOGGER, "logger.csv", well="w", author="Ann", received=NOW)
        return export_well(store, "w", tmp_path / "plain.zip")


def test_bytes_that_are_not_those_of_their_mark_are_refused_and_the_rest_kept(
    store: Store, plain: Path, tmp_path: Path
) -> None:
    with zipfile.ZipFile(plain) as archive:
        (name,) = [each for each in archive.namelist() if each.endswith("logger.csv")]
    broken = rewritten(plain, tmp_path, {name: lambda _: b"minute,level\n2,41.7\n"})
    imported = import_well(store, broken, received=NOW)
    assert ["not the bytes" in each.say for each in imported.problems] == [True]
    assert all(answer.kept for answer in imported.answers)
    assert store.files("w") == ()


def test_entries_that_cannot_be_read_are_refused_and_the_rest_kept(
    store: Store, plain: Path, tmp_path: Path
) -> None:
    lines = b'{"id": "x"}\nno json\n[1]\n' + json.dumps(entry_to_json(entry(3, typed="405 ft"))).encode()
    imported = import_well(
        store, rewritten(plain, tmp_path, {"journal.jsonl": lambda text: text + lines}), received=NOW
    )
    assert [answer.kept for answer in imported.answers] == [True, True, False, False, False, True]
    assert len(store.journal("w")) == 3


@pytest.mark.parametrize(
    ("added", "says"),
    [
        ({"../well.toml": b""}, "no such member"),
        ({"/etc/passwd": b""}, "no such member"),
        ({"files/logger.csv": LOGGER}, "no such member"),
        ({f"files/{'ab' * 32}/../../x.csv": LOGGER}, "no such member"),
        ({f"files/{'ab' * 32}/con.csv": LOGGER}, "device"),
        ({f"files/{'ab' * 32}/a\\b.csv": LOGGER}, "path|no such member"),
        ({"notes.txt": b""}, "no such member"),
        ({"withheld.jsonl": b'{"subject": 7}\n'}, "withheld"),
        ({"withheld.jsonl": b"[]\n"}, "withheld"),
        (
            {"withheld.jsonl": b'{"subject":"a","kind":"entry","hash":"b","by":"c\\u0000","at":"2026-09-14T00:00:00Z",'
                               b'"reason":"d"}\n'},
            "plain text",
        ),
    ],
)  # fmt: skip
def test_a_hostile_archive_writes_nothing(
    store: Store, plain: Path, tmp_path: Path, added: dict[str, bytes], says: str
) -> None:
    with pytest.raises(InputError, match=says):
        import_well(store, rewritten(plain, tmp_path, added=added), received=NOW)
    assert (store.wells(), store.files("w")) == ((), ())


@pytest.mark.parametrize(
    ("journal", "says"),
    [
        (b"", "0 wells"),
        (b"\xff\xfe", "UTF-8"),
        (b'{"id": "x"}\n', "0 wells"),
        (b"[" * 100_000, "0 wells"),
    ],
)
def test_a_journal_that_is_none(store: Store, plain: Path, tmp_path: Path, journal: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says):
        import_well(store, rewritten(plain, tmp_path, {"journal.jsonl": lambda _: journal}), received=NOW)
    assert store.wells() == ()


def test_the_journal_of_two_wells_is_refused(store: Store, plain: Path, tmp_path: Path) -> None:
    line = json.dumps(entry_to_json(named(9, "Other", well="v"))).encode()
    with pytest.raises(InputError, match="2 wells"):
        import_well(
            store, rewritten(plain, tmp_path, {"journal.jsonl": lambda text: text + line}), received=NOW
        )


def test_a_bare_well_file_in_a_zip_is_no_archive(store: Store, plain: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no journal\.jsonl"):
        import_well(store, rewritten(plain, tmp_path, without=("journal.jsonl",)), received=NOW)


def test_a_well_file_that_cannot_be_read_writes_nothing(store: Store, plain: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"well\.toml"):
        import_well(store, rewritten(plain, tmp_path, {"well.toml": lambda _: b"format ="}), received=NOW)
    assert store.wells() == ()


def test_a_zip_that_claims_less_than_it_unpacks_to(store: Store, plain: Path, tmp_path: Path) -> None:
    whole = plain.read_bytes()
    broken = tmp_path / "broken.zip"
    with zipfile.ZipFile(plain) as archive:
        member = archive.getinfo("journal.jsonl")
        size = member.file_size.to_bytes(4, "little")
    broken.write_bytes(whole.replace(size, (1).to_bytes(4, "little")))
    with pytest.raises(InputError):
        import_well(store, broken, received=NOW)
    assert store.wells() == ()


def test_half_an_archive(store: Store, plain: Path, tmp_path: Path) -> None:
    whole = plain.read_bytes()
    for end in (0, 10, len(whole) // 2, len(whole) - 5):
        half = tmp_path / "half.zip"
        half.write_bytes(whole[:end])
        with pytest.raises(InputError, match="not an archive"):
            import_well(store, half, received=NOW)


def test_any_byte_of_an_archive_may_be_wrong(plain: Path, tmp_path: Path) -> None:
    """Either it is said, or the well that comes of it has nothing in it that the first one had not."""
    whole = plain.read_bytes()
    with Store.open(tmp_path / "plain.sqlite3") as store:
        right = {each.entry.id: each.entry for each in store.journal("w")}
    said = 0
    places = range(0, len(whole), max(1, len(whole) // 60))
    for place in places:
        broken = tmp_path / "broken.zip"
        broken.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        with Store.open(tmp_path / "target.sqlite3") as target:
            try:
                imported = import_well(target, broken, received=NOW)
            except InputError:
                said += 1
                continue
            said += bool(imported.problems)
            kept: list[Entry] = [each.entry for each in target.journal(None)]
            assert all(right[each.id] == each for each in kept)
    assert said > len(places) / 2


def test_an_archive_never_replaces_a_file(filled: tuple[Store, str], tmp_path: Path) -> None:
    store, well = filled
    path = tmp_path / "well.zip"
    path.write_text("something of another's")
    with pytest.raises(StoreError, match="there already"):
        export_well(store, well, path)
    with pytest.raises(InputError, match="no well"):
        export_well(store, "nobody", tmp_path / "other.zip")
    assert sorted(each.name for each in tmp_path.glob("*.zip*")) == ["well.zip"]
