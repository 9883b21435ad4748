"""The three faces of a record have one meaning: whatever can be read comes back equal from each."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from tests.record.documents import documents, plain

from ledgewell.errors import InputError
from ledgewell.record import (
    canonical_bytes,
    hole_on,
    implausible,
    read_well,
    record_mark,
    well_from_json,
    well_to_json,
    write_well,
)

# a drawn document is large: shrinking one takes minutes and says little more
_SETTINGS = settings(
    max_examples=80,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@_SETTINGS
@given(document=documents())
@example(document={"format": 1, "need": {"stock": []}, "stimulation": [{"ratings": {}, "stage": []}]})
def test_file_and_json_give_the_record_back(document: dict[str, Any]) -> None:
    well = well_from_json(document)
    assert read_well(write_well(well)) == well
    assert read_well(write_well(well, ids=False)) == well
    for units in (None, "us", "si"):
        assert (
            well_from_json(json.loads(json.dumps(well_to_json(well, units=units), allow_nan=False))) == well
        )


@_SETTINGS
@given(document=documents(), seed=st.integers(0, 1000))
def test_the_mark_does_not_see_order_or_formatting(document: dict[str, Any], seed: int) -> None:
    well = well_from_json(document)
    shuffled = list(document.items())
    random.Random(seed).shuffle(shuffled)
    assert record_mark(well_from_json(dict(shuffled))) == record_mark(well)
    for key, items in document.items():
        if isinstance(items, list) and key not in ("test", "x_more"):
            document[key] = items[::-1]
    again = read_well(write_well(well_from_json(document)))
    assert canonical_bytes(again) == canonical_bytes(well)


@_SETTINGS
@given(document=documents())
def test_json_text_reads_as_the_tables_do(document: dict[str, Any]) -> None:
    # a float stands for the decimal that was drawn, so marks may differ only where 1.50 became 1.5
    assert (
        well_from_json(json.loads(json.dumps(plain(document)))).well.name
        == well_from_json(document).well.name
    )


@_SETTINGS
@given(document=documents())
def test_nothing_readable_breaks_the_hole_or_the_doubts(document: dict[str, Any]) -> None:
    well = well_from_json(document)
    doubts = implausible(well)
    assert all(doubt.where and doubt.say and doubt.ask for doubt in doubts)
    hole = hole_on(well)
    for above, below in zip(hole.intervals, hole.intervals[1:], strict=False):
        assert above.top_m < above.bottom_m <= below.top_m < below.bottom_m


JUNK = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.text(max_size=20),
        st.just(10**400),
        st.just("1e400 ft"),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=12), inner, max_size=3)
    ),
    max_leaves=12,
)
TABLES = [
    "well",
    "casing",
    "bore",
    "test",
    "stimulation",
    "need",
    "pump",
    "sample",
    "closure",
    "level",
    "x_any",
]
KEYS = [
    "name",
    "top",
    "levels",
    "rates",
    "stage",
    "ratings",
    "start",
    "zone",
    "curve",
    "stock",
    "id",
    "minute",
    "at",
]


@settings(max_examples=150, deadline=None)
@given(junk=JUNK, table=st.sampled_from(TABLES), key=st.sampled_from(KEYS), inner=JUNK)
def test_junk_is_refused_in_words_or_read(junk: Any, table: str, key: str, inner: Any) -> None:
    for document in (
        junk,
        {"format": 1, table: junk},
        {"format": 1, table: [{key: junk}]},
        {"format": 1, table: {key: [inner, junk]}},
    ):
        try:
            well = well_from_json(document)
        except InputError as error:
            problems = error.problems
        else:
            assert well_from_json(json.loads(json.dumps(well_to_json(well), allow_nan=False))) == well
            continue
        assert problems
        assert all(each.where and each.say and each.right and len(str(each)) < 2000 for each in problems)


@settings(max_examples=150, deadline=None)
@given(text=st.text(max_size=200))
def test_any_text_is_no_crash(text: str) -> None:
    with pytest.raises(InputError):
        read_well(text)
