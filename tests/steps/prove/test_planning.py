"""Plans of a test: volumes and times worked on paper, limits of pumps, likely wells against their notes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import pi

import numpy as np
import pytest
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.well_file import as_well_file
from hypothesis import given
from hypothesis import strategies as st

from ledgewell.errors import InputError
from ledgewell.physics.schedule import Span
from ledgewell.record import Well, hole_on, read_well
from ledgewell.steps.hole.shape import shape_on
from ledgewell.steps.prove import planning
from ledgewell.steps.prove.fitting import Fit, fit_test
from ledgewell.steps.prove.fractures import mouths_of
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.outlook import (
    Likely,
    Outlook,
    airlift_weights,
    likely_wells,
    rows_from_wells,
    times_to_level,
    widths_to_expect,
)
from ledgewell.steps.prove.planning import TestPlan, plan_test, pump_limit
from ledgewell.steps.prove.posterior import AREA, RESPONSE
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.rules import readings_due

FT = 0.3048
GAL = 231 * 0.0254**3
GPM = GAL / 60
SIX_INCH_GAL_PER_FT = 12 * pi / 4 * 6.0**2 / 231


def well_of(more: str = "", level: str = "[[level]]\ndepth = 40") -> Well:
    """Return a record of a 6 in hole of 400 ft with water at 40 ft."""
    return read_well(
        f'format = 1\nunits = "us"\n[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6\n{level}\n{more}'
    )


def outlook_of(well: Well, level_ft: float) -> Outlook:
    hole, static = hole_on(well), 40 * FT
    return Outlook(
        hole=hole,
        shape=shape_on(hole),
        mouths=mouths_of(hole, static, level_ft * FT, Priors()),
        static_m=static,
        level_m=level_ft * FT,
        priors=Priors(),
    )


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out the simulated tests, which only the width needs."""

    def widths(
        _outlook: object, truths: np.ndarray[tuple[int, int], np.dtype[np.float64]], *_: object
    ) -> object:
        return np.linspace(0.3, 0.7, len(truths))

    monkeypatch.setattr(planning, "widths_to_expect", widths)


@pytest.mark.usefixtures("quick")
def test_a_hole_that_blew_nothing_is_emptied_at_the_pump_rate() -> None:
    plan = plan_test(well_of("[[fracture]]\ndepth = 300\nairlift = 0\nbit_depth = 400"), rate_m3s=5 * GPM)
    assert plan.level_m == pytest.approx(390 * FT)  # 10 ft above the bottom
    stored = 350 * SIX_INCH_GAL_PER_FT  # 514 gal
    low, mid, high = plan.minutes
    # area and pump rate are each off by a few percent, and what the rock gives only lengthens it
    assert stored / 5 * 0.9 < low < mid < high
    assert mid == pytest.approx(stored / 5, rel=0.06)
    assert plan.never < 1e-3
    assert plan.water_m3.mid / GAL == pytest.approx(5 * mid)
    assert plan.due == readings_due(0.0, mid, 0.0)
    assert plan.due[:7] == (2, 4, 6, 8, 10, 15, 20)  # OAR 690-217-0025
    assert plan.held.high / GPM < 1


@pytest.mark.usefixtures("quick")
def test_notes_of_airlift_tell_what_the_bucket_may_show() -> None:
    bands = [
        plan_test(well_of(f"[[fracture]]\ndepth = 300\nairlift = {flow}\nbit_depth = 400")).held
        for flow in (0.5, 1.5, 4.5)
    ]
    assert bands[0].mid < bands[1].mid < bands[2].mid
    for flow, band in zip((0.5, 1.5, 4.5), bands, strict=True):
        assert band.low < flow * GPM < band.high  # an hour at 390 ft gives about what was blown at 400 ft


@pytest.mark.usefixtures("quick")
def test_the_rate_is_one_the_pump_gives_from_there() -> None:
    pump = '[[pump]]\nrole = "test"\nsetting = 360\ncurve = [["10 gpm", "300 ft"], ["4 gpm", "400 ft"]]'
    plan = plan_test(well_of(pump))
    assert plan.level_m == pytest.approx(350 * FT)  # 10 ft above the pump
    assert plan.rate_m3s / GPM == pytest.approx(7.0)  # half-way down the curve
    assert any("no more than 7 gpm by its curve" in each.text("us") for each in plan.warned)
    over = plan_test(well_of(pump), rate_m3s=9 * GPM)
    assert any("9 gpm is asked, and the pump gives 7 gpm there" in each.text("us") for each in over.warned)


def test_a_pump_that_cannot_lift_and_one_without_a_curve() -> None:
    limit, warned = pump_limit(None, 100.0)
    assert limit / GPM == pytest.approx(15)
    assert "no curve" in warned[0].text("us")
    pump = well_of('[[pump]]\nrole = "test"\ncurve = [["10 gpm", "100 ft"], ["4 gpm", "200 ft"]]').pumps[0]
    limit, warned = pump_limit(pump, 300 * FT)
    assert "cannot lift water from 300 ft" in warned[0].text("us")
    assert limit / GPM == pytest.approx(4)
    assert pump_limit(pump, 150 * FT)[0] / GPM == pytest.approx(7)


@pytest.mark.usefixtures("quick")
def test_pump_and_cut_off_above_the_level_are_said() -> None:
    hung = '[[pump]]\nrole = "installed"\nsetting = 300\ncut_off = 280\n[[fracture]]\ndepth = 250'
    said = " ".join(each.text("us") for each in plan_test(well_of(hung), level_m=350 * FT).warned)
    assert "the pump hangs at 300 ft, above the level in question" in said
    assert "cut-off stops the installed pump at 280 ft" in said
    assert "below the deepest recorded fracture at 250 ft" in said
    fine = " ".join(each.text("us") for each in plan_test(well_of(hung), level_m=240 * FT).warned)
    assert "above the level in question" not in fine
    assert "deepest recorded fracture" not in fine


@pytest.mark.parametrize(
    ("well", "level_ft", "where", "says"),
    [
        (lambda: well_of(level=""), None, "level", "no static level is written"),
        (lambda: read_well('format = 1\nunits = "us"'), None, "bore", "no hole is written"),
        (
            lambda: well_of(level="[[level]]\ndepth = 399"),
            None,
            "level",
            "too little water to pump: it stands at 399 ft",
        ),
        (lambda: well_of(), 30.0, "--level", "deeper than the static level at 40 ft"),
        (lambda: well_of(), 410.0, "--level", "not below the bottom at 400 ft"),
    ],
)
def test_what_cannot_be_planned_says_why(
    well: Callable[[], Well], level_ft: float | None, where: str, says: str
) -> None:
    with pytest.raises(InputError, match=says) as refused:
        plan_test(well(), level_m=None if level_ft is None else level_ft * FT)
    assert refused.value.problems[0].where == where


def test_a_tight_hole_comes_down_by_its_volume_alone() -> None:
    outlook = outlook_of(well_of(), 200)
    likely = likely_wells(outlook, None, np.random.default_rng(1))
    rows = likely.rows[:20].copy()
    rows[:, RESPONSE] += 25.0  # the rock resists e^25 times more: nothing flows in
    times = times_to_level(outlook, replace(likely, rows=rows), 6 * GPM)
    rest_ft = (outlook.static_m + rows[:, AREA + 1]) / FT
    expected = (200 - rest_ft) * SIX_INCH_GAL_PER_FT * np.exp(rows[:, AREA]) / 6 * 60
    assert times == pytest.approx(expected, rel=2e-3)


@given(st.floats(0.2, 40.0))
def test_more_pump_never_takes_longer(rate_gpm: float) -> None:
    outlook = outlook_of(well_of(), 300)
    likely = likely_wells(outlook, None, np.random.default_rng(2))
    few = replace(likely, rows=likely.rows[:10])
    slower, faster = (times_to_level(outlook, few, rate * GPM) for rate in (rate_gpm, 1.5 * rate_gpm))
    assert np.all(faster <= slower)
    assert np.all(slower > 0)


def test_weights_follow_the_flow_that_was_blown() -> None:
    well = well_of("[[fracture]]\ndepth = 300\nairlift = 2\nbit_depth = 400")
    outlook = outlook_of(well, 390)
    likely = likely_wells(outlook, None, np.random.default_rng(1))
    flows = rock_yields(likely.wells, np.array([400 * FT]), np.array([3600.0]))[:, 0, 0]
    weights = airlift_weights(outlook.hole, likely.wells)
    assert weights.sum() == pytest.approx(1.0)
    near, far = int(np.argmin(abs(np.log(flows / (2 * GPM))))), int(np.argmax(flows))
    off = np.log(flows[far] / (2 * GPM)) / 0.7
    assert weights[far] / weights[near] == pytest.approx(np.exp(-0.5 * off**2), rel=1e-2, abs=1e-12)
    even = airlift_weights(hole_on(well_of()), likely.wells)
    assert np.ptp(even) == 0


def test_quantile_of_weighted_wells() -> None:
    likely = likely_wells(outlook_of(well_of(), 300), None, np.random.default_rng(1))
    three = Likely(rows=likely.rows[:3], wells=likely.wells, weights=np.array([0.2, 0.5, 0.3]))
    assert three.quantile(np.array([10.0, np.inf, 20.0]), 0.1) == 10.0
    assert three.quantile(np.array([10.0, np.inf, 20.0]), 0.45) == 20.0
    assert three.quantile(np.array([10.0, np.inf, 20.0]), 0.6) == np.inf


@pytest.fixture(scope="module")
def earlier() -> tuple[Well, Fit]:
    """A synthetic well and the fit of its test."""
    well = read_well(as_well_file(make_well(7, "centered")))
    return well, fit_test(layout_of(well, 0, Priors()), Priors(), 1)


def test_wells_of_an_earlier_test_stay_the_same_wells(earlier: tuple[Well, Fit]) -> None:
    well, fit = earlier
    hole, static = hole_on(well), fit.layout.static_m
    mouths = mouths_of(hole, static, static + 30, Priors())
    outlook = Outlook(
        hole=hole, shape=shape_on(hole), mouths=mouths, static_m=static, level_m=static + 30, priors=Priors()
    )
    target = outlook.target([Span(seconds=3600.0, rate_m3s=1e-4)])
    wells = fit.wells.take(np.arange(50))
    rows = rows_from_wells(target, wells, np.random.default_rng(1))
    explained = target.problem.explain(target.candidates(rows))
    log_q = np.log(wells.area_factor) - rows[:, AREA]  # the new pump's own error
    assert 0.01 < np.std(log_q) < 0.08
    assert explained.resistance_s_m2 == pytest.approx(wells.resistance_s_m2 * np.exp(log_q), rel=1e-6)
    assert explained.skin == pytest.approx(wells.skin, rel=1e-6, abs=1e-6)


@pytest.mark.usefixtures("quick")
def test_an_earlier_fit_takes_the_place_of_the_priors(earlier: tuple[Well, Fit]) -> None:
    well, fit = earlier
    level = fit.layout.deepest_m
    known = rock_yields(fit.wells, np.array([level]), np.array([3600.0]))[:, 0, 0]
    plan, blind = plan_test(well, level_m=level, fit=fit), plan_test(well, level_m=level)
    low, mid, high = np.quantile(known, [0.05, 0.5, 0.95])
    assert plan.held.mid == pytest.approx(mid, rel=0.1)
    assert plan.held.high / plan.held.low == pytest.approx(high / low, rel=0.25)
    assert blind.held.high / blind.held.low > 3 * plan.held.high / plan.held.low


@pytest.fixture(scope="module")
def whole() -> TestPlan:
    """A plan with its simulated tests."""
    return plan_test(well_of("[[fracture]]\ndepth = 300\nairlift = 1.5\nbit_depth = 400"), seed=3)


def test_a_plan_tells_what_width_to_expect(whole: TestPlan) -> None:
    low, high = whole.width_range
    assert 0 < low <= whole.width <= high
    assert whole.width < 3  # far less than the two and a half decades of the priors
    assert f"{whole.simulated} simulated tests" in " ".join(whole.lines("us"))


def test_same_seed_same_plan(whole: TestPlan) -> None:
    again = plan_test(well_of("[[fracture]]\ndepth = 300\nairlift = 1.5\nbit_depth = 400"), seed=3)
    assert again == whole


def test_a_longer_test_promises_a_narrower_band() -> None:
    outlook = outlook_of(well_of(), 300)
    rng = np.random.default_rng(4)
    likely = likely_wells(outlook, None, rng)
    middle = np.argsort(likely.wells.resistance_s_m2)[len(likely.rows) // 2]
    truths = likely.rows[[middle, middle, middle]]
    short = widths_to_expect(outlook, truths, [Span(seconds=180.0, rate_m3s=5 * GPM)], (1.0, 2.0, 3.0), rng)
    spans = [Span(seconds=3600.0, rate_m3s=5 * GPM), Span(seconds=3600.0)]
    minutes = (*readings_due(0.0, 60.0, 0.0), *(60 + m for m in readings_due(0.0, 60.0, 0.0)))
    long = widths_to_expect(outlook, truths, spans, minutes, rng)
    assert np.median(long) < 0.5 * np.median(short)


def test_words_and_json_follow_the_reader(whole: TestPlan) -> None:
    row = whole.to_json("si")
    assert row["say"] == whole.sentence("si")
    assert "L/min" in whole.sentence("si")
    assert "118.9 m" in whole.sentence("si") or "119 m" in whole.sentence("si")  # 390 ft
    assert row["minutes"] == {
        "low": whole.minutes[0],
        "mid": whole.minutes[1],
        "high": whole.minutes[2],
        "unit": "min",
        "probability": 0.9,
    }
    lines = list(whole.lines("us"))
    assert lines[0] == whole.sentence("us")
    text = " ".join(lines)
    for needed in (
        "rest 16 h",
        "3 times",
        "hold the level",
        "5 gal in",
        "generator",
        "licensed electrician",
        "drinks",
    ):
        assert needed in text
    assert "5 gal in" not in " ".join(whole.lines("si"))


def test_a_width_from_nothing_is_not_a_number_in_json(whole: TestPlan) -> None:
    dry = replace(whole, width=float("inf"), width_range=(1.0, float("inf")))
    row = dry.to_json("us")
    assert row["width"] is None
    assert row["width_range"] == [1.0, None]
    assert "low figure of nothing" in dry.sentence("us")
