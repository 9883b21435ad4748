"""What prove must do with the tests that crews really bring: whole, broken, short, wrong or strange.

The wells come from `benchmarks.calibration`, which is independent of the engine; the truth is theirs.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from benchmarks.calibration.crew import SyntheticWell
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.laplace_well import RockTruth, held_inflow, pumped_drawdown
from benchmarks.calibration.well_file import as_well_file

from ledgewell.errors import InputError
from ledgewell.record import Well, read_well
from ledgewell.steps.prove.answer import prove_well
from ledgewell.steps.prove.fitting import DAY_S, Fit, fit_test
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.rock_yield import rock_yields

FT, GPM = 0.3048, 6.30901964e-5
ROCK = RockTruth(
    transmissivity_m2s=4e-6,
    storativity=1e-4,
    flow_dimension=2.0,
    skin=1.0,
    well_radius_m=0.0762,
    edge="none",
    edge_ratio=math.inf,
)
AREA = math.pi * 0.0762**2
STATIC_FT = 30.0


def hole(rest: str) -> str:
    """A 6 in hole of 400 ft with the lines of a test."""
    return f'format = 1\nunits = "us"\n[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6\n{rest}'


def levels_of(
    rate_gpm: float, stop_min: float, minutes: list[float], seed: int = 3, error_ft: float = 0.05
) -> list[float]:
    """Depths to water of the rock above, from Laplace inversion, with honest noise [ft]."""
    seconds = np.array(minutes) * 60.0
    drawdown = pumped_drawdown(ROCK, AREA, rate_gpm * GPM, stop_min * 60.0, seconds)
    noise = np.random.default_rng(seed).normal(0.0, error_ft, len(minutes))
    return [round(float(STATIC_FT + s / FT + e), 2) for s, e in zip(drawdown, noise, strict=True)]


def truth_gpm(level_ft: float, seconds: float = DAY_S) -> float:
    """True yield of the rock above at a level [gpm]."""
    return float(held_inflow(ROCK, (level_ft - STATIC_FT) * FT, np.array([seconds]))[0]) / GPM


def fitted(text: str) -> Fit:
    """Fit the first test of a file."""
    priors = Priors()
    return fit_test(layout_of(read_well(text), 0, priors), priors, 1)


def day_yields(fit: Fit) -> np.ndarray:
    """24 h yields at the deepest level tested [gpm]."""
    return rock_yields(fit.wells, np.array([fit.layout.deepest_m]), np.array([DAY_S]))[:, 0, 0] / GPM


def band(fit: Fit) -> tuple[float, float, float]:
    """Low, middle and high 24 h yield [gpm]."""
    low, mid, high = np.quantile(day_yields(fit), [0.05, 0.5, 0.95])
    return float(low), float(mid), float(high)


PUMPED = [1, 2, 3, 4, 6, 8, 10, 15, 20, 25, 30]
RESTED = [31, 32, 34, 36, 38, 40, 45, 50, 55, 60]


def written(
    levels: list[float], minutes: list[float], rates: str = "[[0, 5], [30, 0]]", extra: str = ""
) -> str:
    """A test with levels and rates."""
    pairs = ", ".join(f"[{m}, {v}]" for m, v in zip(minutes, levels, strict=True))
    return hole(
        f'[[test]]\nname = "t"\nstatic_level = 30\nmethod = "electric tape"\nrates = {rates}\nlevels = [{pairs}]\n{extra}'
    )


@pytest.fixture(scope="module")
def plain() -> Fit:
    """The whole test, nothing wrong with it."""
    return fitted(written(levels_of(5, 30, PUMPED + RESTED), PUMPED + RESTED))


def test_band_of_a_whole_test_holds_the_truth(plain: Fit) -> None:
    low, _, high = band(plain)
    assert plain.settled
    assert low < truth_gpm(plain.layout.deepest_m / FT) < high
    assert high / low < 2.0


def test_same_record_and_seed_give_the_same_answer_to_the_last_digit(plain: Fit) -> None:
    again = fitted(written(levels_of(5, 30, PUMPED + RESTED), PUMPED + RESTED))
    assert day_yields(again).tobytes() == day_yields(plain).tobytes()


@pytest.mark.parametrize(("place", "wrong"), [(8, "factor"), (4, "slip"), (10, "slip"), (15, "slip")])
def test_one_wrong_reading_is_named_and_moves_the_day_by_less_than_a_tenth(
    plain: Fit, place: int, wrong: str
) -> None:
    levels = levels_of(5, 30, PUMPED + RESTED)
    levels[place] = round(levels[place] * 3.2808, 2) if wrong == "factor" else round(levels[place] + 10.0, 2)
    findings = prove_well(read_well(written(levels, PUMPED + RESTED)))
    fit = findings.tests[0].fit
    assert abs(band(fit)[1] / band(plain)[1] - 1) < 0.10
    warned = {each.where for each in (*findings.warned, *findings.tests[0].warned)}
    assert f"test[0].levels[{place}]" in warned


def test_few_levels_widen_the_band_and_say_so() -> None:
    minutes = [10, 30, 45, 60]
    findings = prove_well(read_well(written(levels_of(5, 30, minutes), minutes)))
    found = findings.tests[0]
    from ledgewell.steps.prove.say import sentence_of_test

    assert "one bad reading could change it" in sentence_of_test(found, "us")
    day = next(y for y in found.yields if y.duration_s == DAY_S)
    raw = np.quantile(rock_yields(found.fit.wells, np.array([day.level_m]), np.array([DAY_S])), [0.05, 0.95])
    assert day.rate.low <= raw[0] * 1.001
    assert day.rate.high >= raw[1] * 0.999


def test_recovery_alone_with_the_rate_unknown() -> None:
    text = written(levels_of(5, 30, RESTED), RESTED, rates='[[0, "unknown"], [30, 0]]')
    fit = fitted(text)
    low, _, high = band(fit)
    assert low < truth_gpm(fit.layout.deepest_m / FT) < high
    rate = np.exp(np.quantile(fit.wells.rows[:, fit.layout.problem.first_rate_column], [0.05, 0.95])) / GPM
    assert rate[0] < 5.0 < rate[1]


def test_two_levels_and_a_clock_with_nothing_else_known() -> None:
    levels = levels_of(5, 30, [30, 55])
    text = hole(f"[[test]]\nlevels = [[0, {levels[0]}], [25, {levels[1]}]]\n")
    fit = fitted(text)
    assert fit.settled
    low, _, high = band(fit)
    assert low < truth_gpm(fit.layout.deepest_m / FT) < high
    assert high / low > 1.5


def test_pumping_alone() -> None:
    fit = fitted(written(levels_of(5, 30, PUMPED), PUMPED, rates="[[0, 5]]"))
    low, _, high = band(fit)
    assert low < truth_gpm(fit.layout.deepest_m / FT) < high


def test_no_static_level_still_holds_the_truth() -> None:
    text = written(levels_of(5, 30, PUMPED + RESTED), PUMPED + RESTED).replace("static_level = 30\n", "")
    fit = fitted(text)
    low, _, high = band(fit)
    assert low < truth_gpm(fit.layout.deepest_m / FT) < high
    assert any("no static level is known" in each.text("us") for each in fit.layout.warned)


def test_levels_of_several_instruments_each_count_by_their_own_error() -> None:
    levels = levels_of(5, 30, PUMPED + RESTED)
    parts = [
        f'{{minute = {m}, level = {v}, method = "{"air line" if place % 2 else "electric tape"}"}}'
        for place, (m, v) in enumerate(zip(PUMPED + RESTED, levels, strict=True))
    ]
    text = hole("[[test]]\nstatic_level = 30\nrates = [[0, 5], [30, 0]]\nlevels = [" + ", ".join(parts) + "]")
    layout = layout_of(read_well(text), 0, Priors())
    errors = [level.error_m for level in layout.levels]
    assert min(errors[1::2]) > 5 * max(errors[::2])


def test_a_held_level_is_recognized_and_its_bucket_is_the_yield() -> None:
    held_ft = 130.0
    drawn = levels_of(12, 12, [2, 4, 6, 8, 10, 12])
    seconds = np.array([20.0, 30.0, 40.0, 50.0, 60.0]) * 60.0
    flows = [round(float(flow), 2) for flow in held_inflow(ROCK, (held_ft - STATIC_FT) * FT, seconds) / GPM]
    pairs = ", ".join(f"[{m}, {v}]" for m, v in zip([2, 4, 6, 8], drawn[:4], strict=True))
    pairs += "".join(f", [{m}, {held_ft}]" for m in (12, 20, 30, 40, 50, 60))
    measured = ", ".join(f"[{m}, {f}]" for m, f in zip((20, 30, 40, 50, 60), flows, strict=True))
    text = hole(
        f'[[test]]\nstatic_level = 30\nmethod = "electric tape"\nrates = [[0, 12], [10, "unknown"]]\n'
        f"levels = [{pairs}]\nflows = [{measured}]\n"
    )
    fit = fitted(text)
    assert any(stretch.held_m is not None for stretch in fit.layout.timeline.stretches)
    assert any("was held at" in each.text("us") for each in fit.layout.warned)
    hour = rock_yields(fit.wells, np.array([held_ft * FT]), np.array([3600.0]))[:, 0, 0] / GPM
    low, high = np.quantile(hour, [0.05, 0.95])
    assert low < truth_gpm(held_ft, 3600.0) < high
    assert high / low < 1.25


def test_broken_suction_holds_the_level_at_the_intake() -> None:
    levels = [v for v in levels_of(10, 300, [2, 4, 6, 8, 10]) if v < 110]
    pairs = ", ".join(f"[{m}, {v}]" for m, v in zip([2, 4, 6, 8, 10], levels, strict=False))
    text = hole(
        f'[[test]]\nstatic_level = 30\nmethod = "electric tape"\npump_setting = 112\nrates = [[0, 10], [60, 0]]\n'
        f'levels = [{pairs}, [30, "at pump"], [59, "at pump"]]\nevents = [[15, "broke suction"]]\n'
    )
    fit = fitted(text)
    assert fit.settled
    assert np.all(fit.wells.predicted[:, -1] <= 112 * FT + 1e-6)


def test_a_bail_test_gives_a_band_that_holds_the_truth() -> None:
    from ledgewell.physics.closed_forms.slug import slug_head_ratio

    minutes = [1, 2, 4, 8, 15, 30, 60, 120]
    taken_gal = 60.0
    first_ft = taken_gal * 0.003785411784 / AREA / FT
    truth = replace(ROCK, skin=0.0)
    ratio = slug_head_ratio(np.array(minutes) * 60.0, 4e-6, 1e-4, 0.0762, 0.0762)
    noise = np.random.default_rng(5).normal(0, 0.05, len(minutes))
    levels = [round(float(STATIC_FT + first_ft * r + e), 2) for r, e in zip(ratio, noise, strict=True)]
    pairs = ", ".join(f"[{m}, {v}]" for m, v in zip(minutes, levels, strict=True))
    text = hole(
        f'[[test]]\nstatic_level = 30\nmethod = "electric tape"\nbailed = [[0, "60 gal"]]\nlevels = [{pairs}]\n'
    )
    fit = fitted(text)
    level = fit.layout.deepest_m
    true = float(held_inflow(truth, level - STATIC_FT * FT, np.array([3600.0]))[0]) / GPM
    low, high = np.quantile(rock_yields(fit.wells, np.array([level]), np.array([3600.0])) / GPM, [0.05, 0.95])
    assert low < true < high


def test_a_dry_hole_makes_next_to_nothing() -> None:
    minutes = [5, 10, 15, 20, 40, 60, 90]
    levels = [30 + 5 * m / 1.4688 for m in (5, 10, 15, 20)] + [30 + 100 / 1.4688] * 3
    text = written([round(v, 2) for v in levels], minutes, rates="[[0, 5], [20, 0]]")
    findings = prove_well(read_well(text))
    day = next(y for y in findings.tests[0].yields if y.duration_s == DAY_S)
    assert day.rate.high / GPM < 0.05
    from ledgewell.steps.prove.say import well_sentence

    assert well_sentence(findings, "us").startswith("Next to nothing")


def test_a_flowing_well_passes() -> None:
    shifted = [v - 35 for v in levels_of(5, 30, PUMPED + RESTED)]
    text = written([round(v, 2) for v in shifted], PUMPED + RESTED).replace(
        "static_level = 30", "static_level = -5"
    )
    fit = fitted(text)
    low, _, high = band(fit)
    assert low < truth_gpm(fit.layout.deepest_m / FT + 35) < high


def test_a_changing_rate_is_followed() -> None:
    seconds = np.array(PUMPED + RESTED) * 60.0
    first = pumped_drawdown(ROCK, AREA, 5 * GPM, 1e9, seconds)
    change = np.where(
        seconds > 900, pumped_drawdown(ROCK, AREA, 2 * GPM, 1e9, np.maximum(seconds - 900, 1.0)), 0.0
    )
    stop = np.where(
        seconds > 1800, pumped_drawdown(ROCK, AREA, 3 * GPM, 1e9, np.maximum(seconds - 1800, 1.0)), 0.0
    )
    levels = STATIC_FT + (first - change - stop) / FT + np.random.default_rng(8).normal(0, 0.05, len(seconds))
    text = written([round(float(v), 2) for v in levels], PUMPED + RESTED, rates="[[0, 5], [15, 3], [30, 0]]")
    fit = fitted(text)
    low, _, high = band(fit)
    assert low < truth_gpm(fit.layout.deepest_m / FT) < high


def test_a_misfit_is_said_and_widens(plain: Fit) -> None:
    levels = levels_of(5, 30, PUMPED + RESTED)
    bent = [v + (6.0 * math.sin(place / 2.0) if place > 6 else 0.0) for place, v in enumerate(levels)]
    fit = fitted(written([round(v, 2) for v in bent], PUMPED + RESTED))
    assert not fit.misfit.noise
    assert np.log(band(fit)[2] / band(fit)[0]) > np.log(band(plain)[2] / band(plain)[0])


def test_before_and_after_say_that_the_yield_rose() -> None:
    wells = [make_well(seed, "centered") for seed in (5003, 5016)]
    weak, strong = sorted(wells, key=lambda well: well.truth.yields_m3s[3])
    findings = prove_well(two_tests(weak, strong))
    assert len(findings.comparisons) == 1
    assert findings.comparisons[0].probability_rose > 0.99


def two_tests(weak: SyntheticWell, strong: SyntheticWell) -> Well:
    """One hole with the tests of two wells, before and after."""
    first = as_well_file(weak).replace('when = "other"', 'when = "before stimulation"')
    second = as_well_file(strong)
    test = second[second.index("[[test]]") :].replace('when = "other"', 'when = "after stimulation"')
    return read_well(first + test.replace('name = "synthetic"', 'name = "after"'))


@pytest.mark.parametrize(
    ("text", "where"),
    [
        (hole(""), "test"),
        (hole("[[test]]\nstatic_level = 30\n"), "test[0].levels"),
        ('format = 1\nunits = "us"\n[[test]]\nstatic_level = 30\nlevels = [[1, 40], [2, 50]]\n', "bore"),
    ],
)
def test_what_cannot_be_used_is_said_with_its_place(text: str, where: str) -> None:
    with pytest.raises(InputError) as caught:
        prove_well(read_well(text))
    assert where in {problem.where for problem in caught.value.problems}


def test_an_unknown_rule_names_the_nearest() -> None:
    text = written(levels_of(5, 30, [10, 30, 40]), [10, 30, 40], extra='rule = "ny5b"\n')
    with pytest.raises(InputError, match="ny-5b"):
        prove_well(read_well(text))


@pytest.mark.parametrize("level_ft", [20.0, 600.0])
def test_a_level_above_static_or_below_the_bottom_is_refused(level_ft: float) -> None:
    text = written(levels_of(5, 30, PUMPED), PUMPED)
    with pytest.raises(InputError) as caught:
        prove_well(read_well(text), levels_m=(level_ft * FT,))
    assert [problem.where for problem in caught.value.problems] == ["--level"]


def test_a_stated_decline_lowers_projections_and_nothing_else(plain: Fit) -> None:
    from ledgewell.steps.prove.standing import standing_yields

    level, times = plain.layout.deepest_m, (3600.0, 180 * DAY_S)
    now = standing_yields(plain, (level,), times, 1)
    later = standing_yields(plain, (level,), times, 1, decline_m=10 * FT)
    assert later[0] == now[0]
    drawn = level - STATIC_FT * FT
    assert later[1].rate.mid / now[1].rate.mid == pytest.approx((drawn - 10 * FT) / drawn, rel=2e-3)
    assert (now[1].decline_m, later[1].decline_m) == (None, 10 * FT)
