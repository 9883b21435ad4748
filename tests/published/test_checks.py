"""No published value may be lost, stay untested without a reason, or be missing from the page of checks."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.published.checks import MARKS, all_checks, check
from tests.published.coverage import ROOT, coverage_by_check, marked_tests, pending
from tests.published.make_checks import PAGE, page

from ledgewell.sources import all_sources

VALUES = {
    "hydraulics-10": 0,
    "hydraulics-2a-readings": 156,
    "hydraulics-2a-thiem": 2,
    "hydraulics-2a-thiem-pairs": 9,
    "hydraulics-2a-match-point": 4,
    "hydraulics-2a-cooper-jacob": 5,
    "hydraulics-2a-least-squares": 9,
    "hydraulics-2a-cooper-jacob-late": 2,
    "hydraulics-2b-readings": 100,
    "hydraulics-2b-match-point": 4,
    "hydraulics-2b-least-squares": 11,
    "hydraulics-2b-cooper-jacob": 3,
    "hydraulics-2b-distance-drawdown": 3,
    "hydraulics-2b-driscoll": 4,
    "hydraulics-2c-readings": 50,
    "hydraulics-2c-match-point": 4,
    "hydraulics-2c-least-squares": 4,
    "hydraulics-2c-cooper-jacob": 4,
    "hydraulics-2c-cooper-jacob-fit": 3,
    "hydraulics-2c-chow": 7,
    "hydraulics-2d-3f-4a-5b": 0,
    "hydraulics-2e": 0,
    "hydraulics-0-conversions": 4,
    "hydraulics-0-field-constants": 6,
    "hydraulics-7a-exact": 27,
    "hydraulics-7a-printed": 18,
    "hydraulics-7a-metric": 8,
    "hydraulics-7a-metric-misprint": 3,
    "hydraulics-7a-rule": 3,
    "hydraulics-7b": 2,
    "hydraulics-7d": 0,
    "hydraulics-9d-coefficients-8": 8,
    "hydraulics-9d-coefficients-12": 12,
    "hydraulics-9d-printed": 12,
    "hydraulics-9d-results": 20,
    "hydraulics-3a-coefficient": 2,
    "hydraulics-3b": 105,
    "hydraulics-3b-stehfest": 2,
    "hydraulics-3c": 100,
    "hydraulics-3d": 72,
    "hydraulics-3e": 24,
    "hydraulics-3g-rules": 2,
    "hydraulics-3g-deficit": 6,
    "hydraulics-3g-schafer": 1,
    "hydraulics-3h-pump": 5,
    "hydraulics-3h-recovery": 10,
    "physics-2-step": 56,
    "physics-2-stored": 45,
    "physics-2-held": 30,
    "physics-2-finite-radius": 9,
    "physics-2-printed": 4,
    "physics-2-jacob-lohman": 5,
    "physics-2-limits": 3,
    "physics-5-slope": 4,
    "hydraulics-4b": 25,
    "hydraulics-6a": 100,
    "hydraulics-6a-stehfest": 1,
    "hydraulics-6a-printed": 100,
    "hydraulics-6a-nodes": 1,
    "hydraulics-6b-readings": 42,
    "hydraulics-6b-volume": 1,
    "hydraulics-6b-printed": 4,
    "hydraulics-6b-fixed": 3,
    "hydraulics-6b-free": 5,
    "hydraulics-6b-sensitivity": 4,
    "hydraulics-6b-line": 5,
    "hydraulics-6b-windows": 2,
    "hydraulics-6b-butler": 4,
    "hydraulics-6c-chart": 7,
    "hydraulics-6c-recomputed": 3,
    "hydraulics-6c-polynomials": 5,
    "hydraulics-6d": 4,
    "hydraulics-8-logan": 4,
    "hydraulics-8-driscoll": 6,
    "hydraulics-8-power-laws": 0,
    "hydraulics-8-single-point": 6,
    "hydraulics-8-field-form": 3,
    "hydraulics-5a-readings": 63,
    "hydraulics-5a-printed": 2,
    "hydraulics-5a-increments": 10,
    "hydraulics-5a-eden-hazel": 4,
    "hydraulics-5a-uncorrected": 4,
    "hydraulics-5c-walton": 4,
    "hydraulics-5c-scale": 3,
    "hydraulics-9a": 7,
    "hydraulics-9b-single": 1,
    "hydraulics-9b-multirate": 4,
    "hydraulics-9c-adjacent": 5,
    "hydraulics-9c-exact": 5,
    "hydraulics-9c-quadratic": 1,
    "hydraulics-1a-well-function": 35,
    "hydraulics-1a-truncation": 7,
    "hydraulics-1a-limit": 6,
    "hydraulics-1b-wenzel": 10,
    "hydraulics-1b-huisman": 12,
    "hydraulics-1b-huisman-slip": 1,
    "hydraulics-1b-fair": 96,
}
"""Number of values in each row, counted in the sources; a row without values carries its reason."""

COVERAGE = coverage_by_check(ROOT / "tests")


def test_no_row_and_no_value_was_lost() -> None:
    ours = {check_id: item.count for check_id, item in all_checks().items() if check_id in VALUES}
    assert ours == VALUES


def test_every_row_is_counted() -> None:
    assert set(all_checks()) == set(VALUES)


def test_every_row_has_a_test_or_a_reason() -> None:
    bare = [item.id for item in all_checks().values() if not item.reason and item.id not in COVERAGE]
    assert bare == []


def test_a_reason_stands_only_where_there_is_no_test() -> None:
    assert [item.id for item in all_checks().values() if item.reason and item.id in COVERAGE] == []
    assert [item.id for item in all_checks().values() if not item.reason and not item.count] == []


def test_every_marker_names_a_row() -> None:
    assert sorted(set(COVERAGE) - set(all_checks())) == []


def test_a_second_way_is_tested_wherever_its_file_stands() -> None:
    missing = [
        (check_id, file) for check_id, file in pending(all_checks(), COVERAGE) if (ROOT / file).exists()
    ]
    assert missing == []


def test_every_row_says_where_it_comes_from_and_how_near_is_near_enough() -> None:
    for item in all_checks().values():
        assert item.mark in MARKS, item.id
        assert set(item.sources) <= set(all_sources()), item.id
        assert item.sources or item.mark == "common practice, no source", item.id
        assert item.tolerance or item.reason, item.id


def test_the_page_is_up_to_date() -> None:
    written = PAGE.read_text(encoding="utf-8")
    assert written == page(all_checks(), COVERAGE), "run: python -m tests.published.make_checks"


def test_the_page_shows_a_row_that_nothing_checks() -> None:
    assert "**missing**" in page({"hydraulics-3b": check("hydraulics-3b")}, {})
    assert "**missing**" not in page({"hydraulics-2e": check("hydraulics-2e")}, {})


SAMPLE = """
import pytest

@pytest.mark.published("row-1", "row-2")
@pytest.mark.published("row-3")
def test_counts(): ...

@pytest.mark.published("row-4")
@pytest.mark.skip(reason="idle")
def test_idle(): ...

@pytest.mark.published("row-5")
def helper(): ...

class TestGroup:
    @pytest.mark.xfail
    @pytest.mark.published("row-6")
    def test_broken(self): ...

    @pytest.mark.published("row-7")
    def test_inside(self): ...

@other.published("row-8")
def test_of_another_kind(): ...
"""


def test_only_live_tests_count(tmp_path: Path) -> None:
    assert list(marked_tests(SAMPLE)) == [
        ("test_counts", ("row-1", "row-2", "row-3")),
        ("TestGroup::test_inside", ("row-7",)),
    ]
    folder = tmp_path / "tests"
    folder.mkdir()
    (folder / "test_sample.py").write_text(SAMPLE, encoding="utf-8")
    assert coverage_by_check(folder)["row-7"] == ("tests/test_sample.py::TestGroup::test_inside",)


def test_an_unknown_id_is_not_found() -> None:
    with pytest.raises(KeyError):
        check("hydraulics-99")
