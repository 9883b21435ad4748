"""What the store answers, and what it then holds. The rules are those of the record's journal, in words."""

from __future__ import annotations

import threading
import uuid
from dataclasses import replace
from datetime import timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.store.sent import BOTTOM, NOW, entry, named, reading

from ledgewell.errors import InputError
from ledgewell.record import Entry, fold, id_at
from ledgewell.store import Store


def ids(store: Store, well: str = "w") -> list[str]:
    return [each.entry.id for each in store.journal(well)]


def test_an_entry_is_kept_as_it_came(store: Store) -> None:
    east = timezone(timedelta(hours=-4))
    sent = entry(
        1,
        typed="46 ft 3 in",
        value={"value": 46.25, "unit": "ft"},
        at=NOW.astimezone(east),
        zone="America/New_York",
        note="half a mark: … é 井",
        offset_s=1.25,
        saw=(id_at(9, 9),),
    )
    (answer,) = store.add_entries([sent], received=NOW + timedelta(hours=1))
    assert (answer.say, answer.position) == ("kept", 1)
    (kept,) = store.journal("w")
    assert kept.entry == sent
    assert kept.entry.at.utcoffset() == timedelta(hours=-4), "the raw time is never rewritten"
    assert (kept.position, kept.received) == (1, NOW + timedelta(hours=1))


def test_the_same_entry_twice_is_one_entry(store: Store) -> None:
    sent = entry(1, typed="400 ft")
    for _ in range(2):
        answers = store.add_entries([sent, sent], received=NOW)
        assert [answer.position for answer in answers] == [1, 1]
    assert ids(store) == [sent.id]


def test_the_same_entry_measured_by_another_exchange_keeps_its_first_offset(store: Store) -> None:
    sent = entry(1, typed="400 ft", offset_s=2.0)
    store.add_entries([sent], received=NOW)
    assert store.add_entries([replace(sent, offset_s=2.5)], received=NOW)[0].kept
    assert store.journal("w")[0].entry.offset_s == 2.0


def test_another_entry_under_an_id_that_is_kept_is_refused(store: Store) -> None:
    sent = entry(1, typed="400 ft")
    store.add_entries([sent], received=NOW)
    for other in (replace(sent, typed="405 ft"), replace(sent, well="v"), replace(sent, author="Bob")):
        (answer,) = store.add_entries([other], received=NOW)
        assert "says something else" in answer.say
    assert [each.entry for each in store.journal(None)] == [sent]


def test_two_entries_of_one_id_in_one_call(store: Store) -> None:
    sent = entry(1, typed="400 ft")
    first, second = store.add_entries([sent, replace(sent, typed="405 ft", change="x")], received=NOW)
    assert (first.say, second.kept) == ("kept", False)
    assert [each.entry for each in store.journal("w")] == [sent]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (entry(1, typed="wide"), "no number"),
        (entry(1, "bore/b1/botom", typed="400 ft"), "botom is not known"),
        (entry(1, kind="withdraw"), "needs its reason"),
        (entry(1, typed="400 ft", well="../w"), "id of a well"),
        (entry(1, typed="400 ft", well=""), "id of a well"),
        (entry(1, typed="400 ft", device="d" * 300), "200 characters"),
        (entry(1, "record/record/x_" + "井" * 400, value=1), "1000"),
        (entry(1, "record/record/x_a", value="a" * 1_000_001), "1000"),
    ],
)  # fmt: skip
def test_what_is_refused_says_why_and_is_not_kept(store: Store, wrong: Entry, says: str) -> None:
    good = entry(2, typed="400 ft")
    refused, kept = store.add_entries([wrong, good], received=NOW)
    assert refused.say.startswith("refused: ")
    assert says in refused.say
    assert kept.kept
    assert [each.entry for each in store.journal(None)] == [good]


def test_an_act_is_kept_whole_or_not_at_all(store: Store) -> None:
    paste = [reading(number, number, "47 ft", change="paste") for number in range(1, 6)]
    broken = [*paste[:4], reading(5, 5, "wet", change="paste")]
    other = entry(6, typed="400 ft")
    answers = store.add_entries([*broken, other], received=NOW)
    assert [answer.kept for answer in answers] == [False] * 5 + [True]
    assert all("kept whole or not at all" in answer.say for answer in answers[:4])
    assert "levels" in answers[0].say
    assert ids(store) == [other.id]
    assert all(answer.kept for answer in store.add_entries(paste, received=NOW))
    assert len(ids(store)) == 6


def test_an_act_of_which_a_part_could_not_be_read(store: Store) -> None:
    answers = store.add_entries([entry(1, typed="400 ft")], received=NOW, refused={"c1": "an unknown key"})
    assert "an unknown key" in answers[0].say
    assert store.journal(None) == ()


def test_an_entry_that_is_there_stays_kept_when_its_act_is_refused_later(store: Store) -> None:
    sent = entry(1, typed="400 ft", change="c")
    store.add_entries([sent], received=NOW)
    again, wrong = store.add_entries([sent, entry(2, typed="wide", change="c")], received=NOW)
    assert (again.position, wrong.kept) == (1, False)


def test_a_journal_is_read_on_from_a_position(store: Store) -> None:
    store.add_entries(
        [entry(number, typed="400 ft", well=f"w{number % 2}") for number in range(6)], received=NOW
    )
    assert [each.position for each in store.journal(None)] == [1, 2, 3, 4, 5, 6]
    assert [each.position for each in store.journal("w1", after=2)] == [4, 6]
    assert [each.position for each in store.journal(None, after=2, at_most=2)] == [3, 4]
    assert store.journal("nobody") == ()


def test_corrections_stay_with_who_and_when(store: Store) -> None:
    first = entry(1, typed="400 ft")
    second = entry(2, typed="405 ft", saw=(first.id,), author="Bob", note="taped again")
    gone = entry(3, kind="withdraw", note="wrong well", saw=(second.id,))
    store.add_entries([first, second, gone, entry(4, "bore/b1/method", value="cable")], received=NOW)
    assert [each.entry for each in store.history("w", BOTTOM)] == [first, second, gone]


def test_two_who_did_not_see_each_other_are_a_conflict_until_one_names_both(store: Store) -> None:
    first = entry(1, typed="400 ft")
    ann, bob = (
        entry(2, typed="405 ft", saw=(first.id,)),
        entry(3, typed="410 ft", saw=(first.id,), author="Bob"),
    )
    store.add_entries([first, bob, ann], received=NOW)
    (conflict,) = store.well("w").conflicts
    assert (conflict.standing, conflict.shown) == ((ann, bob), bob)
    store.add_entries([entry(4, typed="406 ft", saw=(ann.id, bob.id))], received=NOW)
    assert store.well("w").conflicts == ()
    assert len(ids(store)) == 4


def test_a_well_nobody_knows(store: Store) -> None:
    with pytest.raises(InputError, match="no well has this id"):
        store.well("nobody")


def test_the_next_sequence_of_a_device(store: Store) -> None:
    assert store.next_sequence("phone") == 0
    store.add_entries([entry(7, typed="400 ft"), entry(3, typed="40 ft", device="office")], received=NOW)
    assert (store.next_sequence("phone"), store.next_sequence("office")) == (8, 4)


def test_what_one_process_keeps_another_sees_and_folds_anew(store: Store, store_url: str) -> None:
    store.add_entries([named(1, "Upper field")], received=NOW)
    assert store.well("w").well.well.name == "Upper field"
    with Store.open(store_url) as other:
        other.add_entries([named(2, "Lower field", saw=(id_at(1, 1),))], received=NOW)
    assert store.well("w").well.well.name == "Lower field"
    assert store.well("w") is store.well("w"), "the same journal is folded once"


def test_writers_at_once_leave_no_gap_and_a_reader_misses_nothing(store: Store) -> None:
    seen: list[str] = []
    done = threading.Event()
    writers = [threading.Thread(target=_write, args=(store, place)) for place in range(4)]
    reader = threading.Thread(target=_follow, args=(store, seen, done))
    for thread in (reader, *writers):
        thread.start()
    for thread in writers:
        thread.join()
    done.set()
    reader.join()
    kept = store.journal(None)
    assert [each.position for each in kept] == list(range(1, 81))
    assert seen == [each.entry.id for each in kept]


def _write(store: Store, place: int) -> None:
    for number in range(10):
        sent = [entry(1000 * place + 2 * number + i, typed="400 ft", well=f"w{place % 2}") for i in (0, 1)]
        store.add_entries(sent, received=NOW)


def _follow(store: Store, seen: list[str], done: threading.Event) -> None:
    """Read on from the last position seen, as a device does, until the writers are done and nothing is new."""
    position, last = 0, False
    while True:
        new = store.journal(None, after=position)
        seen += [each.entry.id for each in new]
        position = new[-1].position if new else position
        if last and not new:
            return
        last = done.is_set()


def _some(number: int) -> Entry:
    texts = ("400 ft", "405 ft", "wide")
    return entry(number, typed=texts[number % 3], change=f"c{number // 2}", well=f"w{number % 2}")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(posts=st.lists(st.lists(st.integers(0, 30), max_size=8), max_size=6))
def test_any_posts_in_any_order_with_any_repeats(store: Store, posts: list[list[int]]) -> None:
    """Every entry answered kept is there once; every act is whole; nothing else is there."""
    prefix = uuid.uuid4().hex[:12]  # the examples share one store: each has wells of its own in it
    acknowledged: dict[str, Entry] = {}
    for numbers in posts:
        sent = [replace(one, well=f"{prefix}-{one.well}") for one in map(_some, numbers)]
        sent = [replace(one, id=f"{prefix[:8]}-{prefix[8:]}{one.id[13:]}") for one in sent]
        for one, answer in zip(sent, store.add_entries(sent, received=NOW), strict=True):
            act = {each.typed for each in sent if each.change == one.change}
            assert answer.kept == (one.id in acknowledged or "wide" not in act)
            if answer.kept:
                acknowledged[one.id] = one
    for well in (f"{prefix}-w0", f"{prefix}-w1"):
        kept = [each.entry for each in store.journal(well)]
        expected = {one.id: one for one in acknowledged.values() if one.well == well}
        assert len(kept) == len(expected)
        assert {each.id: each for each in kept} == expected
        if kept:
            assert store.well(well) == fold(expected.values())
