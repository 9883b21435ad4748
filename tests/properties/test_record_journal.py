"""Properties of the journal: a fold does not see order or repetition, and import leads where it should."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from tests.record.documents import documents

from ledgewell.record import Entry, Folded, Well, entries_from_well, fold, id_at, record_mark, well_from_json

NOW = datetime(2026, 9, 14, 13, 0, tzinfo=UTC)
# a drawn document is large: shrinking one takes minutes and says little more
_SETTINGS = settings(
    max_examples=40,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def entries_of(well: Well, before: Folded | None = None, minute: int = 0) -> tuple[Entry, ...]:
    at = NOW + timedelta(minutes=minute)
    return entries_from_well(well, well_id="w", device="d", author="Ann", at=at, change="c", before=before)


@_SETTINGS
@given(document=documents())
def test_there_and_back(document: dict[str, Any]) -> None:
    well = well_from_json(document)
    folded = fold(entries_of(well))
    assert (folded.conflicts, folded.unreadable) == ((), ())
    assert record_mark(folded.well) == record_mark(well)
    assert entries_of(well, folded) == ()


@_SETTINGS
@given(first=documents(), second=documents())
def test_an_import_leads_from_any_record_to_any_other_and_back(
    first: dict[str, Any], second: dict[str, Any]
) -> None:
    journal: list[Entry] = []
    for minute, document in enumerate((first, second, first)):
        well = well_from_json(document)
        journal += entries_of(well, fold(journal), minute)
        folded = fold(journal)
        assert record_mark(folded.well) == record_mark(well)
        assert folded.conflicts == ()


PATHS = [
    "bore/b1/bottom",
    "bore/b1/method",
    "bore/b1",
    "bore/b2/bottom",
    "test/t1/levels/r1",
    "well/well/name",
]
VALUES = {
    "bore/b1": st.just({}),
    "bore/b1/method": st.sampled_from(["cable", "rotary"]),
    "well/well/name": st.sampled_from(["one", "two"]),
    "test/t1/levels/r1": st.sampled_from([[1, "3 ft"], [2, "4 ft"]]),
}


@st.composite
def journals(draw: st.DrawFn) -> list[Entry]:
    made: list[Entry] = []
    for number in range(draw(st.integers(1, 12))):
        path = draw(st.sampled_from(PATHS))
        kind: Any = draw(st.sampled_from(["set", "set", "set", "withdraw", "restore"]))
        value = draw(VALUES.get(path, st.sampled_from(["400 ft", "405 ft"])))
        candidates = [each.id for each in made] + [id_at(99, 99)]
        made.append(
            Entry(
                id=id_at(number, number),
                well="w",
                device=draw(st.sampled_from(["a", "b"])),
                sequence=number,
                author=draw(st.sampled_from(["Ann", "Bob"])),
                at=NOW + timedelta(minutes=draw(st.integers(0, 5))),
                change="c",
                kind=kind,
                path=path,
                value=value if kind == "set" else None,
                saw=tuple(draw(st.lists(st.sampled_from(candidates), max_size=4, unique=True))),
                note="reason",
                offset_s=draw(st.sampled_from([0.0, 0.0, 90.0])),
            )
        )
    return made


@settings(max_examples=300, deadline=None)
@given(journal=journals(), seed=st.integers(0, 100))
def test_order_and_repetition_do_not_matter(journal: list[Entry], seed: int) -> None:
    folded = fold(journal)
    shuffled = journal + journal[: seed % 5]
    random.Random(seed).shuffle(shuffled)
    assert fold(shuffled) == folded


@settings(max_examples=300, deadline=None)
@given(journal=journals())
def test_one_entry_that_names_all_settles_a_conflict(journal: list[Entry]) -> None:
    folded = fold(journal)
    for place, path in enumerate(PATHS):
        if path == "bore/b1":
            continue
        value = [1, "3 ft"] if "levels" in path else "407 ft"
        named = folded.standing.get(path, ())
        last = Entry(
            id=id_at(1000 + place, 0), well="w", device="a", sequence=99, author="Ann", at=NOW + timedelta(days=1),
            change="z", kind="set", path=path, value=value, saw=named,
        )  # fmt: skip
        settled = fold([*journal, last])
        assert path not in {conflict.path for conflict in settled.conflicts}
        assert settled.standing[path] == (last.id,)


@settings(max_examples=300, deadline=None)
@given(journal=journals())
def test_no_path_ever_loses_its_last_entry(journal: list[Entry]) -> None:
    folded = fold(journal)
    assert set(folded.standing) == {entry.path for entry in journal}
    assert all(folded.standing[path] for path in folded.standing)
