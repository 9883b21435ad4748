"""Curves of a fit over time, held to levels that finite volumes and hand computation give, not the engine."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scripts.make_examples import EXAMPLES, TRUTHS, Floats

from ledgewell.record import read_well
from ledgewell.steps.prove.curves import MOST_EXACT, drawdown_curves, level_curve
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.misfit import misfit_of
from ledgewell.steps.prove.posterior import TestTarget, wells_from_rows
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.sampler import tempered
from ledgewell.steps.prove.settling import Settling

TRUTH = TRUTHS["two-fractures"]["yield test"]


def text_of(file: str) -> str:
    """Text of one example."""
    return (EXAMPLES / f"{file}.toml").read_text(encoding="utf-8")


def rough_fit(text: str, index: int = 0) -> Fit:
    """Fit a test by tempered particles alone, called settled: enough to draw curves from."""
    priors = Priors()
    layout = layout_of(read_well(text), index, priors)
    target = TestTarget(layout.problem, layout.beliefs, priors)
    rng = np.random.default_rng(1)
    cloud = tempered(target, rng)
    wells = wells_from_rows(target, cloud.rows, rng)
    return Fit(
        layout=layout,
        target=target,
        wells=wells,
        settling=Settling(rhat=1.0, effective_size=5000.0),
        misfit=misfit_of(target.problem, wells),
        cloud=cloud,
    )


def while_pumping(time_s: Floats) -> Floats:
    """True levels before the pump stopped [m]; the march itself must end later."""
    return TRUTH.levels_m((*(time_s / 60.0), 80.0))[:-1]


@pytest.fixture(scope="module")
def fit() -> Fit:
    """A fit of the well with two fractures."""
    return rough_fit(text_of("two-fractures"))


def test_the_curve_runs_through_the_true_level(fit: Fit) -> None:
    """The truth comes from finite volumes; the readings err by 1.1 cm, the pump wanders not at all."""
    curve = level_curve(fit)
    inside = curve.time_s > 0
    minutes = tuple(float(time) / 60.0 for time in curve.time_s[inside])
    true_m = TRUTH.levels_m(minutes)
    assert np.abs(curve.mid_m[inside] - true_m).max() < 0.1
    assert curve.time_s[0] == 0.0
    assert curve.time_s[-1] == (71.0 + 84.0) * 60.0
    assert curve.mid_m[0] == pytest.approx(TRUTH.static_m, abs=0.1)


def test_the_band_lies_in_order_and_about_the_middle(fit: Fit) -> None:
    curve = level_curve(fit)
    assert np.all(curve.low_m <= curve.mid_m)
    assert np.all(curve.mid_m <= curve.high_m)
    assert np.all(np.diff(curve.time_s) > 0)
    assert 0 < (curve.high_m - curve.low_m).max() < 1.0


def test_the_level_at_each_reading_is_that_of_the_same_wells(fit: Fit) -> None:
    """Every level of this test is a reading of the fit, so the wells' own predictions are there to compare."""
    curve = level_curve(fit)
    own = np.median(fit.wells.predicted[:400], axis=0)
    assert curve.at_levels_m == pytest.approx(own, abs=1e-9)


def test_more_levels_than_can_be_predicted_singly_are_read_off_the_curve(fit: Fit) -> None:
    levels = tuple(
        replace(fit.layout.levels[0], minute=minute) for minute in np.linspace(1.0, 150.0, MOST_EXACT + 1)
    )
    many = replace(fit, layout=replace(fit.layout, levels=levels))
    curve = level_curve(many, count=400)
    assert curve.time_s.size < 420
    true_m = TRUTH.levels_m(tuple(level.minute for level in levels))
    assert np.abs(curve.at_levels_m - true_m).max() < 0.2


def test_early_drawdown_is_the_hole_emptying(fit: Fit) -> None:
    """By hand: 19.5 L/min out of a casing of 157 mm with a pipe of 33.4 mm in it lowers the level 1.0551 m/min."""
    curves = drawdown_curves(fit)
    assert curves is not None
    by_hand = 19.5e-3 / 60.0 / (math.pi / 4 * (0.157**2 - 0.0334**2))
    assert curves.storage_m_s == pytest.approx(by_hand)
    assert by_hand * 60.0 == pytest.approx(1.0551, abs=1e-4)
    early = curves.fitted_s < 120.0
    assert curves.fitted_m[early] == pytest.approx(curves.fitted_s[early] * by_hand, rel=0.1)


def test_the_fitted_slope_is_the_true_one(fit: Fit) -> None:
    """Slope of the finite-volume level against ln t, by central differences a thousandth apart."""
    curves = drawdown_curves(fit)
    assert curves is not None
    late = curves.fitted_slope_s > 900.0
    times = curves.fitted_slope_s[late]
    step = 1e-3
    later, earlier = (while_pumping(times * math.exp(ahead)) for ahead in (step, -step))
    assert curves.fitted_slope_m[late] == pytest.approx((later - earlier) / (2 * step), rel=0.03)


def test_the_slope_of_the_readings_is_near_the_fitted_one(fit: Fit) -> None:
    curves = drawdown_curves(fit)
    assert curves is not None
    at = np.interp(curves.slope_s, curves.fitted_slope_s, curves.fitted_slope_m)
    assert curves.slope_m == pytest.approx(at, rel=0.15)


def test_drawdown_stops_where_the_pump_did(fit: Fit) -> None:
    curves = drawdown_curves(fit)
    assert curves is not None
    assert curves.read_s.max() == 71.0 * 60.0
    assert curves.fitted_s.max() == pytest.approx(71.0 * 60.0)


def test_levels_in_doubt_stay_out_of_the_slope(fit: Fit) -> None:
    whole, without = drawdown_curves(fit), drawdown_curves(fit, frozenset({"test[0].levels[5]"}))
    assert whole is not None
    assert without is not None
    assert sorted(set(whole.read_s) - set(without.read_s)) == [300.0]


def test_two_levels_on_the_clock_have_a_curve_and_no_slope() -> None:
    fit = rough_fit(text_of("two-levels"))
    curve = level_curve(fit)
    assert curve.time_s[[0, -1]].tolist() == [0.0, 48.0 * 60.0]
    assert curve.at_levels_m[1:] == pytest.approx(np.median(fit.wells.predicted[:400], axis=0), abs=1e-9)
    first = fit.layout.levels[0]
    assert curve.at_levels_m[0] == pytest.approx(first.depth_m, abs=2 * first.error_m)
    assert drawdown_curves(fit) is None


def test_too_few_levels_while_pumping_have_no_slope(fit: Fit) -> None:
    sparse = replace(fit, layout=replace(fit.layout, levels=fit.layout.levels[:2]))
    assert drawdown_curves(sparse) is None
