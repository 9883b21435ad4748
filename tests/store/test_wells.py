"""The list of wells: what it shows, finds and suspects, and how long it takes."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from datetime import timedelta

import pytest
from tests.store.sent import NOW, entry, named, reading

from ledgewell.record import Entry, fold, id_at
from ledgewell.store import Store, WellSummary
from ledgewell.store.duplicates import apart_m, duplicates
from ledgewell.store.folding import FoldCache


def place(number: int, latitude: float, longitude: float, well: str) -> list[Entry]:
    return [
        entry(number, "well/well/latitude", value=latitude, well=well),
        entry(number + 1, "well/well/longitude", value=longitude, well=well),
    ]


def quickest(call: Callable[[], object], times: int = 7) -> float:
    """The least of several times: what the work takes when nothing else holds the processor."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return min(taken)


def test_a_summary_says_what_the_record_says(store: Store) -> None:
    later = NOW + timedelta(days=1)
    sent = [named(1, "Upper field"), named(2, "P-1", field="permit"), *place(3, 43.5, -71.5, "w")]
    store.add_entries([*sent, named(5, "Invented Hollow", field="place")], received=NOW)
    store.add_entries([named(6, "An invented owner", field="owner"), reading(7, 1, "47 ft")], received=later)
    (shown,) = store.wells()
    assert shown == WellSummary(
        id="w",
        name="Upper field",
        owner="An invented owner",
        place="Invented Hollow",
        permit="P-1",
        latitude=43.5,
        longitude=-71.5,
        position=7,
        revision=0,
        entries=7,
        first_received=NOW,
        last_received=later,
    )


def test_a_summary_follows_corrections_conflicts_and_withdrawals(store: Store) -> None:
    first = named(1, "Upper field")
    steps = [
        (first, "Upper field"),
        (named(3, "Ann's", saw=(first.id,)), "Ann's"),
        (named(2, "Bob's, earlier by his clock", saw=(first.id,)), "Ann's"),
        (entry(9, "well/well/name", kind="withdraw", note="no name", saw=(id_at(2, 2), id_at(3, 3))), None),
        (entry(10, "well/well/name", kind="restore", saw=(id_at(9, 9),)), "Ann's"),
    ]
    journal = []
    for sent, shown in steps:
        store.add_entries([sent], received=NOW)
        journal.append(sent)
        assert store.wells()[0].name == shown == fold(journal).well.well.name


def test_wells_without_a_name_are_listed(store: Store) -> None:
    store.add_entries([entry(1, typed="400 ft")], received=NOW)
    assert [(each.id, each.name) for each in store.wells()] == [("w", None)]


@pytest.mark.parametrize(
    ("search", "found"),
    [
        ("upper", ["a"]),
        ("FIELD", ["a", "b"]),
        ("field invented", ["a"]),
        ("straße", ["c"]),
        ("STRASSE", ["c"]),
        ("100%", ["c"]),
        ("%", ["c"]),
        ("_", []),
        ("", ["a", "b", "c"]),
        (None, ["a", "b", "c"]),
        ("nothing such", []),
    ],
)
def test_search(store: Store, search: str | None, found: list[str]) -> None:
    store.add_entries(
        [
            named(1, "Upper field", well="a"),
            named(2, "An invented owner", well="a", field="owner"),
            named(3, "Lower  Field", well="b"),
            named(4, "Hauptstraße 100%", well="c", field="place"),
        ],
        received=NOW,
    )
    assert [each.id for each in store.wells(search=search)] == found


def test_pages(store: Store) -> None:
    store.add_entries([named(i, "field", well=well) for i, well in enumerate("bAc-2_")], received=NOW)
    listed = [each.id for each in store.wells()]
    assert listed == sorted(listed), "byte by byte, whatever the language of the server"
    pages, after = [], None
    while page := store.wells(after=after, at_most=2):
        pages += [each.id for each in page]
        after = page[-1].id
    assert pages == listed


def test_wells_that_may_be_one(store: Store) -> None:
    store.add_entries(
        [
            named(1, "An  Invented owner", well="a", field="owner"),
            named(2, "an invented OWNER", well="b", field="owner"),
            named(3, "Invented Hollow", well="b", field="place"),
            named(4, "invented hollow", well="c", field="place"),
            *place(5, 43.5000, -71.5, "c"),
            *place(7, 43.5004, -71.5, "d"),
            *place(9, 43.6, -71.5, "e"),
        ],
        received=NOW,
    )
    found = {(each.first, each.second): (each.same, each.apart_m) for each in store.duplicates()}
    assert found.keys() == {("a", "b"), ("b", "c"), ("c", "d")}
    assert found["a", "b"] == (("owner",), None)
    assert found["b", "c"] == (("place",), None)
    same, apart = found["c", "d"]
    assert same == ("position",)
    # 0.0004 degrees of a meridian of a sphere of 6371.0088 km (IUGG mean radius): pi R 0.0004 / 180
    assert apart == pytest.approx(math.pi * 6_371_008.8 * 0.0004 / 180, rel=1e-6)


def test_the_likest_come_first(store: Store) -> None:
    for i, well in enumerate(("a", "b", "c")):
        store.add_entries(
            [
                named(10 * i + 1, "An owner", well=well, field="owner"),
                *place(10 * i + 2, 40 + (i > 1), -70, well),
            ],
            received=NOW + timedelta(hours=i),
        )
    assert [(each.first, each.second, each.same) for each in store.duplicates()] == [
        ("a", "b", ("owner", "position")),
        ("a", "c", ("owner",)),
        ("b", "c", ("owner",)),
    ]


def test_many_wells_of_one_owner_or_town_are_no_likeness_by_that_alone(store: Store) -> None:
    wells = [f"{i:02d}" for i in range(30)]
    owners = [named(2 * i, "A builder", well=well, field="owner") for i, well in enumerate(wells)]
    towns = [
        named(2 * i + 1, "A town", well=well, field="place") for i, well in enumerate(wells) if i % 10 == 0
    ]
    store.add_entries(
        [*owners, *towns, *place(90, 43.5, -71.5, "03"), *place(92, 43.5, -71.5, "04")], received=NOW
    )
    assert {(each.first, each.second, each.same) for each in store.duplicates()} == {
        ("00", "10", ("owner", "place")),
        ("00", "20", ("owner", "place")),
        ("10", "20", ("owner", "place")),
        ("03", "04", ("owner", "position")),
    }


def test_distance_on_the_ground(store: Store) -> None:
    # Paris 48°50'11"N 2°20'14"E to Greenwich 51°28'38"N 0°0': great circle on the sphere by Vincenty's form
    store.add_entries([*place(1, 48.836389, 2.337222, "a"), *place(3, 51.477222, 0.0, "b")], received=NOW)
    one, other = store.wells()
    a, b, east = math.radians(48.836389), math.radians(51.477222), math.radians(-2.337222)
    across = math.hypot(
        math.cos(b) * math.sin(east),
        math.cos(a) * math.sin(b) - math.sin(a) * math.cos(b) * math.cos(east),
    )
    along = math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * math.cos(east)
    assert apart_m(one, other) == pytest.approx(6_371_008.8 * math.atan2(across, along), rel=1e-9)


def test_two_thousand_wells_are_listed_in_50_ms(store: Store) -> None:
    wells = [f"{i:04d}" for i in range(2000)]
    sent = [
        made
        for i, well in enumerate(wells)
        for made in (
            named(5 * i, f"Field {i}", well=well),
            named(5 * i + 1, f"Owner {i % 700}", well=well, field="owner"),
            *place(5 * i + 2, 40 + (i % 50) / 10, -70 - (i // 50) / 10, well),
            entry(5 * i + 4, typed="400 ft", well=well),
        )
    ]
    assert all(answer.kept for answer in store.add_entries(sent, received=NOW))
    listed = store.wells()
    assert [each.id for each in listed] == wells
    assert (listed[7].name, listed[7].entries) == ("Field 7", 5)
    assert quickest(store.wells) < 0.050
    assert quickest(lambda: store.wells(search="field 19")) < 0.050
    assert quickest(lambda: duplicates(listed), times=3) < 0.5


def test_a_journal_of_50_000_entries_is_read_in_milliseconds_once_folded(store: Store) -> None:
    readings = [reading(i, i / 4, f"{40 + i % 50} ft", change="paste") for i in range(40_000)]
    corrected = [
        reading(i, i / 4, "41 ft", saw=(id_at(i, i),), id=id_at(50_000 + i, 0), sequence=50_000 + i)
        for i in range(10_000)
    ]
    store.add_entries(readings, received=NOW)
    store.add_entries(corrected, received=NOW)
    first = store.well("w")
    assert len(first.well.tests[0].levels) == 40_000
    assert first.conflicts == ()
    assert len(store.journal("w", at_most=3)) == 3
    assert quickest(lambda: store.well("w")) < 0.010
    assert quickest(lambda: store.journal("w", after=49_990)) < 0.010
    assert quickest(store.wells) < 0.010


def test_folds_held_in_memory_have_a_limit() -> None:
    cache, folded = FoldCache(most_entries=10), fold([])
    cache.put("a", (4, 0), 4, folded)
    cache.put("b", (8, 0), 4, folded)
    assert cache.get("a", (4, 0)) is folded
    cache.put("c", (12, 0), 4, folded)
    assert cache.get("b", (8, 0)) is None, "the one longest unused goes"
    assert cache.get("a", (4, 0)) is folded
    cache.put("d", (99, 0), 50, folded)
    assert cache.get("d", (99, 0)) is folded
    cache.put("d", (98, 0), 50, folded)
    assert cache.get("d", (99, 0)) is folded, "a slower thread's older fold replaces nothing"
    assert cache.get("d", (99, 1)) is None
