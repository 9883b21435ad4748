"""The book: finding a well, taking what devices send, a well file against what is kept."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.record.documents import EVERYTHING
from tests.store.sent import NOW, entry, named, reading

from ledgewell.errors import InputError
from ledgewell.record import entry_to_json, read_well, record_mark, write_well
from ledgewell.store import Store
from ledgewell.work.book import merge_of, take_sent, well_in_book, write_merge


def sent_json(*entries: Any) -> list[Any]:
    return [json.loads(json.dumps(entry_to_json(each))) for each in entries]


def test_a_well_is_found_by_id_name_or_words(store: Store) -> None:
    store.add_entries(
        [
            named(1, "Upper field", well="a"),
            named(2, "Upper field, old", well="b"),
            named(3, "Jo", well="b", field="owner"),
            entry(4, typed="400 ft", well="c"),
        ],
        received=NOW,
    )
    for said, id_ in (("a", "a"), ("upper FIELD", "a"), ("jo", "b"), ("old upper", "b"), ("c", "c")):
        assert well_in_book(store, said).id == id_
    for said, says in (("field", "2 wells"), ("nowhere", "no such well"), ("", "no such well")):
        with pytest.raises(InputError, match=says):
            well_in_book(store, said)


def test_what_a_device_sends_is_answered_one_by_one(store: Store) -> None:
    good, late = entry(1, typed="400 ft"), entry(5, "bore/b1/method", value="cable")
    unknown = {**sent_json(entry(2, typed="400 ft"))[0], "mood": "good"}
    sent = [*sent_json(good), unknown, "no entry", None, *sent_json(late)]
    answers = take_sent(store, sent, received=NOW, offset_s=-2.5)
    assert [answer.kept for answer in answers] == [True, False, False, False, True]
    assert [answer.id for answer in answers] == [good.id, unknown["id"], "", "", late.id]
    assert "mood" in answers[1].say
    kept = store.journal("w")
    assert [each.entry.id for each in kept] == [good.id, late.id]
    assert {each.entry.offset_s for each in kept} == {-2.5}, "the exchange measures the clock, not the device"


def test_an_act_of_which_an_entry_cannot_be_read_is_refused_whole(store: Store) -> None:
    paste = sent_json(*(reading(number, number, "47 ft", change="paste") for number in range(3)))
    broken = [*paste, {**paste[0], "id": "not an id"}]
    answers = take_sent(store, [*broken, *sent_json(entry(9, typed="400 ft"))], received=NOW, offset_s=0.0)
    assert [answer.kept for answer in answers] == [False] * 4 + [True]
    assert "kept whole or not at all" in answers[0].say
    assert all(answer.kept for answer in take_sent(store, paste, received=NOW, offset_s=0.0))


def test_a_device_cannot_withhold(store: Store) -> None:
    sent = sent_json(named(1, "An owner", field="owner"), entry(2, typed="400 ft", change="c1"))
    sent[0] = {**sent[0], "withheld": "ab" * 32}
    answers = take_sent(store, sent, received=NOW, offset_s=0.0)
    assert [answer.kept for answer in answers] == [False, False]
    assert "administrator" in answers[0].say
    assert store.journal(None) == ()


def test_a_well_file_becomes_a_well(store: Store) -> None:
    well = read_well(EVERYTHING)
    merge = merge_of(store, well, into=None, author="Ann", at=NOW, zone="America/New_York")
    assert store.wells() == (), "nothing is written before it was shown"
    assert all(answer.kept for answer in write_merge(store, merge, received=NOW))
    folded = store.well(merge.well)
    assert record_mark(folded.well) == record_mark(well)
    assert (folded.conflicts, folded.unreadable) == ((), ())
    assert well_in_book(store, "Upper field").id == merge.well
    again = merge_of(store, well, into=merge.well, author="Ann", at=NOW)
    assert (again.differences, again.entries) == ((), ())


def test_a_well_file_shows_the_differences_first(store: Store) -> None:
    first = merge_of(store, read_well(EVERYTHING), into=None, author="Ann", at=NOW)
    write_merge(store, first, received=NOW)
    text = write_well(store.well(first.well).well)
    changed = read_well(text.replace('"405 ft"', '"410 ft"').replace('owner = "An invented owner"\n', ""))
    merge = merge_of(store, changed, into=first.well, author="Bob", at=NOW)
    assert {(each.path.split("/")[-1], each.kind) for each in merge.differences} == {
        ("bottom", "set"),
        ("owner", "withdraw"),
    }
    said = [each.say for each in merge.differences]
    assert any(each.endswith("/bottom: 405 ft becomes 410 ft") for each in said)
    assert 'well/well/owner: "An invented owner" becomes nothing' in said
    assert record_mark(store.well(first.well).well) == record_mark(read_well(EVERYTHING))
    assert all(answer.kept for answer in write_merge(store, merge, received=NOW))
    assert record_mark(store.well(first.well).well) == record_mark(changed)
    sequences = [each.entry.sequence for each in store.journal(first.well)]
    assert sequences == list(range(len(sequences)))


def test_what_was_written_while_the_differences_were_looked_at_is_a_conflict(store: Store) -> None:
    store.add_entries([named(1, "Upper field")], received=NOW)
    well = read_well('format = 1\n[well]\nname = "Lower field"')
    merge = merge_of(store, well, into="w", author="Ann", at=NOW)
    store.add_entries([named(2, "Middle field", saw=(named(1, "").id,), author="Bob")], received=NOW)
    write_merge(store, merge, received=NOW)
    (conflict,) = store.well("w").conflicts
    assert {each.value for each in conflict.standing} == {"Lower field", "Middle field"}


def test_a_well_file_into_a_well_nobody_knows(store: Store) -> None:
    with pytest.raises(InputError, match="no well has this id"):
        merge_of(store, read_well("format = 1"), into="nobody", author="Ann", at=NOW)
