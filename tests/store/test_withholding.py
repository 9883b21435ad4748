"""What an administrator withholds is gone; hash, reason and who remain, and the journal stays whole."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
import sqlalchemy as sa
from tests.store.sent import NOW, entry, named, reading

from ledgewell.errors import InputError
from ledgewell.store import Store

SECRET = "a person who asked to be forgotten"


def test_a_withheld_value_is_gone_and_said(store: Store) -> None:
    hidden, other = named(1, SECRET, field="owner"), named(2, "Upper field")
    store.add_entries([hidden, other, entry(3, typed="400 ft")], received=NOW)
    assert store.wells(search="forgotten")
    assert store.well("w").well.well.owner == SECRET
    made = store.withhold(hidden.id, by="Office", reason="asked by the owner", at=NOW)
    kept = store.journal("w")[0].entry
    assert (kept.value, kept.typed, kept.withheld) == (None, None, made.hash)
    assert (kept.id, kept.author, kept.at, kept.path) == (hidden.id, hidden.author, hidden.at, hidden.path)
    assert (made.by, made.reason, made.at, made.kind) == ("Office", "asked by the owner", NOW, "entry")
    assert store.withheld("w") == (made,)
    folded = store.well("w")
    assert (folded.well.well.owner, folded.withheld) == (None, (hidden.path,))
    assert folded.well.well.name == "Upper field"
    assert store.wells(search="forgotten") == ()
    assert store.wells()[0].owner is None


def test_the_hash_is_of_what_was_said(store: Store) -> None:
    """SHA-256 of the JSON that the documentation of the mark describes, written here by hand."""
    sent = named(1, SECRET, field="owner")
    store.add_entries([sent], received=NOW)
    text = '{"typed":null,"value":"' + SECRET + '"}'
    made = store.withhold(sent.id, by="Office", reason="asked")
    assert made.hash == hashlib.sha256(text.encode()).hexdigest()


def test_no_bytes_of_it_are_left_in_the_database(store: Store, store_url: str) -> None:
    sent = [named(1, SECRET, field="owner"), *(reading(number, number, "47 ft") for number in range(2, 60))]
    store.add_entries(sent, received=NOW)
    file = store.put_file(SECRET.encode() * 500, "a.txt", well="w", author="Ann")
    store.withhold(sent[0].id, by="Office", reason="asked")
    store.withhold_file(file.sha256, by="Office", reason="asked")
    if store.engine.dialect.name == "sqlite":
        for path in Path(store_url).parent.iterdir():
            assert SECRET.encode() not in path.read_bytes(), path.name
    else:
        with store.engine.connect() as connection:
            for table, column in (("entry", "body"), ("well", "words"), ("well", "owner")):
                found = sa.text(f"SELECT count(*) FROM {table} WHERE {column} LIKE '%forgotten%'")
                assert connection.execute(found).scalar() == 0
            assert connection.execute(sa.text("SELECT count(*) FROM file_content")).scalar() == 0


def test_the_entry_sent_again_is_the_same_entry_and_stays_withheld(store: Store) -> None:
    sent = named(1, SECRET, field="owner")
    store.add_entries([sent], received=NOW)
    store.withhold(sent.id, by="Office", reason="asked")
    (answer,) = store.add_entries([sent], received=NOW)
    assert (answer.kept, answer.position) == (True, 1)
    assert store.journal("w")[0].entry.value is None


def test_withholding_twice_keeps_the_first_note(store: Store) -> None:
    sent = named(1, SECRET, field="owner")
    store.add_entries([sent], received=NOW)
    first = store.withhold(sent.id, by="Office", reason="asked", at=NOW)
    assert store.withhold(sent.id, by="Bob", reason="again") == first


def test_a_withheld_file_is_gone_and_refused_from_then_on(store: Store) -> None:
    content = b"minute,level\n"
    for well in ("w", "v"):
        store.put_file(content, "a.csv", well=well, author="Ann")
    mark = store.files("w")[0].sha256
    made = store.withhold_file(mark, by="Office", reason="shows a face", at=NOW)
    assert (made.hash, made.kind) == (mark, "file")
    assert store.file(mark) is None
    for well in ("w", "v"):
        (file,) = store.files(well)
        assert (file.withheld, file.name, file.size) == (True, "a.csv", len(content))
        assert store.withheld(well) == (made,)
    with pytest.raises(InputError, match="withheld"):
        store.put_file(content, "b.csv", well="w", author="Ann")


@pytest.mark.parametrize(("by", "reason"), [("", "asked"), ("Office", ""), ("Office", "  ")])
def test_withholding_needs_a_reason_and_a_name(store: Store, by: str, reason: str) -> None:
    sent = named(1, SECRET, field="owner")
    store.add_entries([sent], received=NOW)
    with pytest.raises(InputError, match="needs its reason"):
        store.withhold(sent.id, by=by, reason=reason)
    assert store.well("w").well.well.owner == SECRET


def test_what_is_not_there_cannot_be_withheld(store: Store) -> None:
    with pytest.raises(InputError, match="no entry"):
        store.withhold("no-such", by="Office", reason="asked")
    with pytest.raises(InputError, match="no file"):
        store.withhold_file("00" * 32, by="Office", reason="asked")
