"""The invented wells: fresh, readable, not doubted, whole, and answered with bands that hold their known truth."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from scripts.make_examples import EXAMPLES, TRUTHS, readings, stale_files, with_readings

from ledgewell.record import hole_at_test, implausible, read_well
from ledgewell.steps.prove.fitting import DAY_S, fit_test
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.standing import HOUR_S, standing_yields

FILES = sorted(TRUTHS)
TESTS = [(file, index, name) for file, tests in TRUTHS.items() for index, name in enumerate(tests)]
INCH = 0.0254

RECORD_TABLES = {
    *("well", "casing", "bore", "stratum", "fracture", "camera", "level", "neighbor", "test", "stimulation"),
    *("need", "pump", "pipe", "wire", "tank", "dose", "sample", "photo"),
}
"""Every table of the record that a well in use can have; [closure] belongs to a hole given up, and
[[measuring_point]] to one whose measuring point was moved."""


def text_of(file: str) -> str:
    """Text of one example."""
    return (EXAMPLES / f"{file}.toml").read_text(encoding="utf-8")


def test_every_file_in_the_folder_has_a_truth() -> None:
    assert sorted(path.stem for path in EXAMPLES.glob("*.toml")) == FILES


def test_the_files_hold_what_the_script_makes() -> None:
    assert stale_files() == []


def test_a_changed_reading_is_found_stale(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for file in FILES:
        (tmp_path / f"{file}.toml").write_text(text_of(file), encoding="utf-8")
    text = text_of("two-levels")
    changed = text.replace("182.0]", "181.0]")
    assert changed != text
    (tmp_path / "two-levels.toml").write_text(changed, encoding="utf-8")
    monkeypatch.setattr("scripts.make_examples.EXAMPLES", tmp_path)
    assert stale_files() == ["two-levels.toml"]


def test_a_lost_mark_is_an_error() -> None:
    with pytest.raises(ValueError, match="two-levels"):
        with_readings("two-levels", text_of("two-levels").replace("# end", ""))


def test_making_twice_makes_the_same() -> None:
    assert readings("weak-well", "before") == readings("weak-well", "before")
    assert readings("weak-well", "before") != readings("weak-well", "after")


@pytest.mark.parametrize("file", FILES)
def test_nothing_in_it_is_doubted(file: str) -> None:
    assert implausible(read_well(text_of(file))) == ()


@pytest.mark.parametrize("file", FILES)
def test_it_says_that_it_is_invented(file: str) -> None:
    well = read_well(text_of(file)).well
    marked = (well.name, well.owner, well.place, well.note)
    assert all("invented" in (text or "").casefold() for text in marked)
    assert all("invented" in text.casefold() for text in (well.driller, well.license, well.permit) if text)
    assert text_of(file).startswith("# An invented well")


def test_the_weak_well_shows_every_table() -> None:
    assert RECORD_TABLES - tomllib.loads(text_of("weak-well")).keys() == set()


def test_two_levels_is_the_hole_and_two_levels_only() -> None:
    given = tomllib.loads(text_of("two-levels"))
    assert given.keys() == {"format", "units", "well", "casing", "bore", "level", "test"}
    assert given["test"][0].keys() == {"name", "start", "method", "levels"}
    assert len(given["test"][0]["levels"]) == 2


@pytest.mark.parametrize(("file", "index", "name"), TESTS)
def test_what_the_crew_wrote_of_the_hole_is_what_the_truth_departs_from(
    file: str, index: int, name: str
) -> None:
    truth, well = TRUTHS[file][name], read_well(text_of(file))
    assert well.tests[index].name == name
    hole = hole_at_test(well, well.tests[index])
    hung = [pipe.outside_m for pipe in hole.drop_pipes if pipe.outside_m is not None]
    pipe_m2 = math.pi / 4 * hung[0] ** 2 if hung else 0.0
    *_, casing, bore = hole.intervals
    assert casing.diameter_m is not None
    assert bore.diameter_m is not None
    assert math.pi / 4 * casing.diameter_m**2 - pipe_m2 == pytest.approx(truth.casing_m2)
    assert math.pi / 4 * bore.diameter_m**2 - pipe_m2 == pytest.approx(truth.bore_m2)
    assert casing.bottom_m == pytest.approx(truth.casing_bottom_m)
    assert bore.diameter_m / 2 == pytest.approx(truth.rock.well_radius_m)
    depths = [fracture.depth_m for fracture in hole.fractures]
    assert depths == pytest.approx(list(truth.fractures_m))
    rates = [reading.rate.si for reading in well.tests[index].rates if reading.rate is not None]
    assert rates == pytest.approx([truth.rate_m3s, 0.0] if rates else [])


def test_the_level_passes_the_upper_fracture_of_two() -> None:
    (test,) = read_well(text_of("two-fractures")).tests
    upper_m, lower_m = TRUTHS["two-fractures"]["yield test"].fractures_m
    deepest = max(reading.level.si for reading in test.levels if reading.level is not None)
    assert upper_m < deepest < lower_m


def test_the_injected_water_is_not_all_back() -> None:
    """By hand: 1,180 gal in; 705 gal out after the job and 7.4 gpm for 62 min (459 gal) out in the test."""
    well = read_well(text_of("weak-well"))
    (job,) = well.stimulations
    gallon = 231 * INCH**3
    assert job.injected is not None
    assert job.recovered is not None
    assert (job.injected.si / gallon, job.recovered.si / gallon) == pytest.approx((1180.0, 705.0))
    assert 705.0 + 7.4 * 62.0 < 1180.0


@pytest.mark.slow
@pytest.mark.parametrize(("file", "index", "name"), TESTS)
def test_the_band_holds_the_truth(file: str, index: int, name: str) -> None:
    """The truth is computed by Laplace inversion or finite volumes, not by the engine."""
    priors = Priors()
    fit = fit_test(layout_of(read_well(text_of(file)), index, priors), priors, seed=1)
    assert fit.settled
    level_m = fit.layout.deepest_m
    for found in standing_yields(fit, (level_m,), (HOUR_S, DAY_S), seed=1):
        truth = TRUTHS[file][name].yield_m3s(level_m, found.duration_s)
        assert found.rate.low <= truth <= found.rate.high


def test_stimulation_raised_the_true_yield_several_times() -> None:
    before, after = TRUTHS["weak-well"].values()
    level_m = 255.0 * 0.3048
    assert 4.0 < after.yield_m3s(level_m) / before.yield_m3s(level_m) < 12.0
