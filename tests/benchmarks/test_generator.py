"""Check that the synthetic wells are what the decision on them says, and owe nothing to the engine."""

from __future__ import annotations

import ast
import math
import tomllib
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from benchmarks.calibration.crew import reading_minutes
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.laplace_well import held_inflow, unit_drawdown
from benchmarks.calibration.truths import MAIN_STRATA, SHIFTED_STRATA, Stratum
from benchmarks.calibration.well_file import as_well_file
from scipy.stats import kstest, norm, truncnorm

CALIBRATION = Path(__file__).parents[2] / "benchmarks" / "calibration"
GENERATOR_FILES = (
    "trade_units.py",
    "laplace_well.py",
    "finite_volume.py",
    "truths.py",
    "crew.py",
    "fractured.py",
    "generator.py",
    "well_file.py",
)
LAPLACE_STRATA: tuple[Stratum, ...] = (
    "centered",
    "uniform",
    *SHIFTED_STRATA,
    "closed",
    "drain back",
    "drift",
)
CHANCE = 1e-4  # draws are fixed, so a pass or a fail repeats


def test_nothing_is_imported_from_the_package_under_test() -> None:
    for name in GENERATOR_FILES:
        tree = ast.parse((CALIBRATION / name).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not [found for found in names if found.split(".")[0] == "ledgewell"], name


@pytest.mark.parametrize("stratum", LAPLACE_STRATA)
def test_same_number_same_well_and_another_number_another(stratum: Stratum) -> None:
    assert make_well(5, stratum) == make_well(5, stratum)
    assert make_well(5, stratum).levels_ft != make_well(6, stratum).levels_ft


@pytest.mark.parametrize("stratum", LAPLACE_STRATA)
def test_a_crew_could_have_run_the_test(stratum: Stratum) -> None:
    for number in range(40):
        well = make_well(number, stratum)
        column_m = (well.truth.hole.pump_ft - well.truth.hole.static_ft) * 0.3048
        assert 0.1 <= well.truth.final_drawdown_m / column_m <= 0.85
        assert 0.3 <= well.rate_gpm <= 15.0
        assert 9.9 <= well.hole_depth_ft - well.pump_ft <= 20.1
        assert 10.0 <= well.truth.hole.static_ft <= 80.0
        assert 20 <= len(well.minutes) <= 40
        assert well.asked_level_ft == max(well.levels_ft)
        assert list(well.minutes) == sorted(set(well.minutes))


@pytest.mark.parametrize("stratum", [*MAIN_STRATA[:2], *SHIFTED_STRATA, "closed"])
def test_yields_never_grow_with_time(stratum: Stratum) -> None:
    for number in range(40):
        yields = make_well(number, stratum).truth.yields_m3s
        assert all(0.0 <= late <= early * (1.0 + 1e-10) for early, late in pairwise(yields))


def test_the_draws_follow_the_written_distributions() -> None:
    """No tight well is thrown away; of the others 1 in 30 is, which leaves n nearly as drawn."""
    wells = [make_well(number, "tight") for number in range(400)]
    assert sum(well.truth.discarded for well in wells) == 0
    holes = [well.truth.hole for well in wells]
    rocks = [well.truth.rock for well in wells]
    rate = [math.log(hole.rate_factor) for hole in holes]
    area = [math.log(hole.area_factor) for hole in holes]
    log_t = [math.log10(rock.transmissivity_m2s) for rock in rocks]
    log_s = [math.log10(rock.storativity) for rock in rocks]
    log_error = [math.log(hole.reading_error_ft) for hole in holes]
    assert kstest(rate, norm(0, 0.04).cdf).pvalue > CHANCE
    assert kstest(area, norm(0, 0.03).cdf).pvalue > CHANCE
    assert kstest(log_t, "uniform", args=(-8.0, 1.5)).pvalue > CHANCE
    assert kstest(log_s, "uniform", args=(-6.0, 6.0)).pvalue > CHANCE
    assert kstest([rock.skin for rock in rocks], "uniform", args=(0.0, 5.0)).pvalue > CHANCE
    assert kstest(log_error, "uniform", args=(math.log(0.02), math.log(50.0))).pvalue > CHANCE
    centered = [make_well(number, "centered").truth.rock.flow_dimension for number in range(400)]
    assert kstest(centered, truncnorm(-2.8, 2.8, 2.0, 0.25).cdf).pvalue > CHANCE
    uniform = [make_well(number, "uniform").truth.rock.flow_dimension for number in range(400)]
    assert kstest(uniform, "uniform", args=(1.3, 1.4)).pvalue > CHANCE


def test_readings_scatter_about_the_true_levels_as_much_as_stated() -> None:
    scaled: list[float] = []
    for number in range(60):
        well = make_well(number, "uniform")
        hole, t = well.truth.hole, np.array(well.minutes) * 60.0
        unit = unit_drawdown(well.truth.rock, hole.area_m2, np.concatenate([t, t - well.pump_off_min * 60.0]))
        rate_m3s = well.rate_gpm * hole.rate_factor * 231 * 0.0254**3 / 60  # US gallon = 231 in3
        true_ft = hole.static_ft + rate_m3s * (unit[: t.size] - unit[t.size :]) / 0.3048
        resolution = {"electric tape": 0.01, "acoustic": 0.1, "air line": 0.5}[well.method]
        spread = math.hypot(hole.reading_error_ft, resolution / math.sqrt(12.0))
        scaled.extend((np.array(well.levels_ft) - true_ft) / spread)
    assert abs(np.mean(scaled)) < 4.0 / math.sqrt(len(scaled))
    assert np.std(scaled) == pytest.approx(1.0, abs=4.0 / math.sqrt(2.0 * len(scaled)))


def test_true_yield_is_asked_at_the_deepest_reading() -> None:
    well = make_well(11, "centered")
    held_m = (well.asked_level_ft - well.truth.hole.static_ft) * 0.3048
    expected = held_inflow(well.truth.rock, held_m, np.array([86400.0]))[0]
    assert well.truth.yields_m3s[3] == pytest.approx(expected, rel=1e-12)


def test_cadence_is_no_slower_than_the_rule() -> None:
    """Oregon Administrative Rule 690-217-0025: at most 2 min apart to 10 min, 5 to 30 min, 15 after."""
    for pumping, recovery in ((20, 10), (47, 33), (120, 60)):
        minutes = reading_minutes(pumping, recovery)
        assert pumping in minutes
        assert minutes[-1] == pumping + recovery
        for phase in ([m for m in minutes if m <= pumping], [m - pumping for m in minutes if m > pumping]):
            for start, end in pairwise([0.0, *phase]):
                assert end - start <= (2 if start < 10 else 5 if start < 30 else 15)


@pytest.mark.parametrize("stratum", LAPLACE_STRATA)
def test_well_file_holds_what_the_crew_knows(stratum: Stratum) -> None:
    well = make_well(2, stratum)
    record = tomllib.loads(as_well_file(well))
    test = record["test"][0]
    assert [tuple(pair) for pair in test["levels"]] == list(zip(well.minutes, well.levels_ft, strict=True))
    assert test["rates"] == [[0, well.rate_gpm], [well.pump_off_min, 0]]
    assert record["bore"][0]["diameter"] == well.hole_diameter_in
    assert "truth" not in str(record)


def test_a_draining_drop_pipe_lifts_the_level_by_its_volume() -> None:
    """400 ft of 1 in pipe holds 18 gal (inside diameter 1.049 in; common practice, no source)."""
    well = make_well(4, "drain back")
    length_ft = well.truth.hole.static_ft + well.truth.final_drawdown_m / 0.3048
    gallons = well.truth.drained_back_m3 / (231 * 0.0254**3)
    assert gallons / length_ft == pytest.approx(math.pi / 4 * 1.049**2 * 12 / 231, rel=1e-12)
    assert gallons / length_ft * 400 == pytest.approx(18.0, rel=0.01)
