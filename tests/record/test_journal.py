"""The record is the fold of its journal. Each case says what a crew did; the rules in words say the outcome."""

from __future__ import annotations

import json
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from tests.record.documents import EVERYTHING

from ledgewell.errors import InputError
from ledgewell.record import (
    Entry,
    Folded,
    check_entry,
    entries_from_well,
    entry_from_json,
    entry_to_json,
    fold,
    id_at,
    locate,
    new_id,
    read_well,
    record_mark,
    write_well,
)

NOW = datetime(2026, 9, 14, 13, 0, tzinfo=UTC)
BOTTOM = "bore/b1/bottom"


def entry(number: int, path: str = BOTTOM, typed: str | None = None, **more: Any) -> Entry:
    fields: dict[str, Any] = {
        "id": id_at(number, number),
        "well": "w",
        "device": "phone",
        "sequence": number,
        "author": "Ann",
        "at": NOW + timedelta(minutes=number),
        "change": f"c{number}",
        "kind": "set",
        "path": path,
        "typed": typed,
    }
    return Entry(**{**fields, **more})


def bottom(folded: Folded) -> str | None:
    quantity = folded.well.bores[0].bottom if folded.well.bores else None
    return quantity.typed if quantity is not None else None


def test_a_correction_supersedes_what_it_saw() -> None:
    first = entry(1, typed="400 ft")
    second = entry(2, typed="405 ft", saw=(first.id,))
    folded = fold([second, first])
    assert (bottom(folded), folded.conflicts) == ("405 ft", ())
    assert folded.standing == {BOTTOM: (second.id,)}


def test_two_who_did_not_see_each_other_are_a_conflict_until_one_names_both() -> None:
    first = entry(1, typed="400 ft")
    ann, bob = (
        entry(2, typed="405 ft", saw=(first.id,)),
        entry(3, typed="410 ft", saw=(first.id,), author="Bob"),
    )
    folded = fold([ann, bob, first])
    assert bottom(folded) == "410 ft"
    (conflict,) = folded.conflicts
    assert (conflict.path, conflict.standing, conflict.shown) == (BOTTOM, (ann, bob), bob)
    assert "Ann, Bob" in conflict.say
    one_only = entry(4, typed="407 ft", saw=(bob.id,))
    assert len(fold([ann, bob, first, one_only]).conflicts[0].standing) == 2
    both = entry(5, typed="406 ft", saw=folded.standing[BOTTOM])
    settled = fold([both, ann, bob, first])
    assert (bottom(settled), settled.conflicts) == ("406 ft", ())


def test_the_same_value_twice_is_no_conflict() -> None:
    folded = fold([entry(1, typed="400 ft"), entry(2, typed="400 ft", author="Bob")])
    assert (bottom(folded), folded.conflicts) == ("400 ft", ())
    assert len(folded.standing[BOTTOM]) == 2


def test_a_slow_clock_is_put_right_and_never_rewritten() -> None:
    ann = entry(1, typed="405 ft")
    bob = entry(2, typed="410 ft", at=NOW - timedelta(days=1), offset_s=2 * 86400, author="Bob")
    assert bottom(fold([ann, bob])) == "410 ft"
    assert bob.at == NOW - timedelta(days=1)
    assert bottom(fold([ann, entry(2, typed="410 ft", at=NOW - timedelta(days=1))])) == "405 ft"


def test_withdraw_and_restore() -> None:
    first = entry(1, typed="400 ft")
    second = entry(2, typed="405 ft", saw=(first.id,))
    gone = entry(3, kind="withdraw", note="wrong well", saw=(second.id,))
    assert fold([first, second, gone]).well.bores == ()
    back = entry(4, kind="restore", saw=(gone.id,))
    assert bottom(fold([first, second, gone, back])) == "405 ft"
    other = entry(5, kind="restore", typed="400 ft", saw=(gone.id,))
    assert bottom(fold([first, second, gone, other])) == "400 ft"


def test_a_withdrawn_item_takes_its_fields_along() -> None:
    made, method = entry(1, typed="400 ft"), entry(2, "bore/b1/method", value="air rotary")
    gone = entry(3, "bore/b1", kind="withdraw", note="drilled elsewhere", saw=(made.id, method.id))
    folded = fold([gone, method, made])
    assert (folded.well.bores, folded.conflicts) == ((), ())
    assert folded.hidden == frozenset({"bore/b1"})
    back = entry(4, "bore/b1", kind="restore", saw=(gone.id,))
    restored = fold([gone, method, made, back])
    assert (bottom(restored), restored.well.bores[0].method) == ("400 ft", "air rotary")


def test_writing_to_an_item_another_withdrew_is_a_conflict() -> None:
    made = entry(1, typed="400 ft")
    gone = entry(2, "bore/b1", kind="withdraw", note="drilled elsewhere", saw=(made.id,))
    later = entry(3, typed="405 ft", saw=(made.id,), author="Bob")
    folded = fold([made, gone, later])
    assert bottom(folded) == "405 ft"
    assert [(each.path, each.shown) for each in folded.conflicts] == [("bore/b1", later)]
    earlier = entry(4, "bore/b1/method", value="air rotary", at=NOW, author="Bob")
    folded = fold([made, gone, earlier])
    assert folded.well.bores == ()
    assert [each.path for each in folded.conflicts] == ["bore/b1"]


def test_a_reading_is_one_entry() -> None:
    path = "test/t1/levels/r1"
    first = entry(1, path, value={"minute": 2, "level": "47.1 ft"})
    second = entry(2, path, value={"minute": 3, "level": "47.1 ft", "note": "cloudy"}, saw=(first.id,))
    (reading,) = fold([second, first]).well.tests[0].levels
    assert (reading.id, reading.minute, reading.note) == ("r1", 3.0, "cloudy")
    pair = entry(3, path, value=[4, "at pump"], saw=(second.id,))
    assert fold([first, second, pair]).well.tests[0].levels[0].state == "at pump"


def test_order_shown_is_computed() -> None:
    entries = [
        entry(i, f"test/t1/levels/r{i}", value=[minute, "40 ft"]) for i, minute in enumerate([9, 1, 5])
    ]
    entries += [entry(7, "casing/c2/top", typed="10 ft"), entry(8, "casing/c1/top", typed="20 ft")]
    well = fold(entries).well
    assert [reading.minute for reading in well.tests[0].levels] == [1.0, 5.0, 9.0]
    assert [casing.id for casing in well.casings] == ["c2", "c1"]


def test_the_same_entry_twice_is_one_entry() -> None:
    first = entry(1, typed="400 ft")
    assert fold([first, first]) == fold([first])


def test_entries_that_name_each_other_in_a_circle_lose_nothing() -> None:
    first, second = entry(1, typed="400 ft", saw=(id_at(2, 2),)), entry(2, typed="405 ft", saw=(id_at(1, 1),))
    assert bottom(fold([first, second])) == "405 ft"
    alone = entry(3, typed="400 ft", saw=(id_at(3, 3),))
    assert bottom(fold([alone])) == "400 ft"


def test_a_withheld_value_is_gone_and_said() -> None:
    hidden = entry(1, "well/well/owner", withheld="ab" * 32)
    folded = fold([hidden, entry(2, typed="400 ft")])
    assert folded.withheld == ("well/well/owner",)
    assert (folded.well.well.owner, bottom(folded)) == (None, "400 ft")


def test_what_cannot_be_read_is_kept_and_said() -> None:
    bad, odd = entry(1, "bore/b1/botom", value="x"), entry(2, "bore/b1/diameter", typed="wide")
    folded = fold([bad, odd, entry(3, typed="400 ft")])
    assert [each.id for each, _ in folded.unreadable] == [bad.id, odd.id]
    assert bottom(folded) == "400 ft"


def test_a_clock_time_without_a_start_is_set_aside_and_comes_back() -> None:
    reading = entry(1, "test/t1/levels/r1", value={"clock": "09:14:30", "level": "47.1 ft"})
    plain = entry(2, "test/t1/levels/r2", value=[2, "45 ft"])
    folded = fold([reading, plain])
    assert [each.id for each, _ in folded.unreadable] == [reading.id]
    assert len(folded.well.tests[0].levels) == 1
    start = entry(3, "test/t1/start", value="2026-09-14T09:10:00")
    whole = fold([reading, plain, start])
    assert [each.minute for each in whole.well.tests[0].levels] == [2.0, 4.5]
    moved = entry(4, "test/t1/start", value="2026-09-14T09:12:00", saw=(start.id,))
    assert [each.minute for each in fold([reading, plain, start, moved]).well.tests[0].levels] == [2.0, 2.5]


def test_clock_times_keep_their_day_through_the_journal() -> None:
    text = """
format = 1
[[test]]
start = 2026-09-14T22:00:00
levels = [["23:50", "3 m"], ["00:20", "4 m"], ["06:00", "5 m"], ["05:58", "4.9 m"], ["10:00", "6 m"]]
"""
    well = read_well(text)
    folded = fold(_entries(well))
    assert sorted(each.minute for each in well.tests[0].levels) == [
        each.minute for each in folded.well.tests[0].levels
    ]


def _entries(well: Any, before: Folded | None = None) -> tuple[Entry, ...]:
    return entries_from_well(
        well, well_id="w", device="office", author="Ann", at=NOW, change="import", before=before
    )


def test_a_record_goes_through_the_journal_unchanged() -> None:
    well = read_well(EVERYTHING)
    entries = _entries(well)
    folded = fold(entries, units="us")
    assert (folded.conflicts, folded.unreadable) == ((), ())
    assert record_mark(folded.well) == record_mark(well)
    assert read_well(write_well(folded.well)) == folded.well
    assert _entries(well, folded) == (), "importing what is already there changes nothing"
    again = [entry_from_json(json.loads(json.dumps(entry_to_json(each)))) for each in entries]
    assert tuple(again) == entries


def test_an_import_writes_only_what_differs() -> None:
    well = read_well(EVERYTHING)
    folded = fold(_entries(well))
    changed = read_well(
        write_well(well).replace("bottom = 405", "bottom = 410").replace('owner = "An invented owner"\n', "")
    )
    entries = _entries(changed, folded)
    assert [(each.kind, each.path.split("/")[0], each.path.split("/")[-1]) for each in entries] == [
        ("set", "bore", "bottom"),
        ("withdraw", "well", "owner"),
    ]
    assert entries[1].note
    result = fold([*_entries(well), *entries])
    assert record_mark(fold([*_entries(well)]).well) == record_mark(well)
    assert result.well.bores[1].bottom is not None


def test_an_item_taken_out_and_put_back() -> None:
    with_it = read_well('format = 1\n[[bore]]\nid = "b1"\nmethod = "cable"\nbottom = "9 m"\n')
    without = read_well("format = 1\n")
    other = read_well('format = 1\n[[bore]]\nid = "b1"\nmethod = "rotary"\n')
    journal = list(_entries(with_it))
    for wanted, kinds in (
        (without, ["withdraw"]),
        (with_it, None),
        (without, None),
        (other, None),
        (with_it, None),
    ):
        made = _entries(wanted, fold(journal))
        if kinds is not None:
            assert [each.kind for each in made] == kinds
        journal += made
        folded = fold(journal)
        assert record_mark(folded.well) == record_mark(wanted)
        assert folded.conflicts == ()


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("well/well/name", "field"),
        ("need/need/stock", "field"),
        ("need/need", "item"),
        ("casing/c1", "item"),
        ("casing/c1/bottom", "field"),
        ("casing/c1/x_mine", "field"),
        ("record/record/x_office", "field"),
        ("test/t1/levels/r1", "reading"),
        ("stimulation/s1/ratings/power", "field"),
        ("stimulation/s1/stage/g1", "item"),
        ("stimulation/s1/stage/g1/packer_top", "field"),
        ("stimulation/s1/stage/g1/readings/r1", "reading"),
    ],
)
def test_paths(path: str, kind: str) -> None:
    assert locate(path).kind == kind


@pytest.mark.parametrize(
    "path",
    [
        "", "well", "casing", "casing/", "/casing", "casing/c1/botom", "casing/c 1/bottom", "casing/c1/bottom/more",
        "well/other/name", "casing/c1/id", "test/t1/levels", "test/t1/levels/r1/level", "format/format", "units",
        "record/record/name", "record/other/x_a", "stimulation/s1/ratings", "stimulation/s1/stage", "x_a/x_a",
        "casing/../bottom", "a" * 2000,
    ],
)  # fmt: skip
def test_what_is_no_path(path: str) -> None:
    with pytest.raises(InputError):
        locate(path)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"typed": "wide"}, "no number"),
        ({"value": None}, "no value"),
        ({"value": {"value": 3}}, "number and its unit"),
        ({"kind": "withdraw"}, "needs its reason"),
        ({"kind": "withdraw", "note": "  "}, "needs its reason"),
        ({"path": "bore/b1", "value": 3}, "set empty"),
        ({"path": "test/t1/levels/r1", "value": {"minute": 3}}, "no value"),
        ({"path": "test/t1/levels/r1", "value": {"level": "3 ft"}}, "one time"),
        ({"path": "bore/b1/x_a", "value": 10**400}, "cannot be kept"),
    ],
)
def test_entries_that_are_refused(more: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        check_entry(entry(1, **more))


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("id", "not-a-uuid"), ("id", None), ("at", "2026-09-14T13:00:00"), ("at", "yesterday"), ("at", None),
        ("kind", "erase"), ("sequence", -1), ("sequence", True), ("saw", "x"), ("saw", ["x"]), ("well", ""),
        ("author", 3), ("path", "a/b"), ("offset_s", float("nan")), ("more", 1), ("note", "a\x07"),
    ],
)  # fmt: skip
def test_json_that_is_no_entry(key: str, value: object) -> None:
    good = entry_to_json(entry(1, typed="400 ft"))
    assert entry_from_json(good) == entry(1, typed="400 ft")
    with pytest.raises(InputError):
        entry_from_json({**good, key: value})


def test_ids_hold_their_time_and_sort_by_it() -> None:
    # RFC 9562, appendix A.6, gives this example (from memory): 2022-02-22T19:22:22.00Z
    assert id_at(0x017F22E279B0, 0xCC3 << 62 | 0x18C4DC0C0C07398F) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
    assert id_at(1, 2**74 - 1) < id_at(2, 0)
    made = [uuid.UUID(new_id()) for _ in range(100)]
    assert {each.version for each in made} == {7}
    assert {each.variant for each in made} == {uuid.RFC_4122}
    assert len(set(made)) == 100
