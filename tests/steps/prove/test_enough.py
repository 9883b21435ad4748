"""Enough yet? Expected widths against the conjugate normal law, the advice against every case, on hand-made samples."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, inf, log, sqrt

import numpy as np
import pytest
from benchmarks.calibration.generator import make_well
from benchmarks.calibration.promised_width import cut_well_file, log_width, yields_of
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from ledgewell.physics.problem import FLOW_READ, LEVEL_READ, FitProblem, Reading
from ledgewell.record import read_well
from ledgewell.steps.prove import further
from ledgewell.steps.prove.enough import enough_yet, expected_widths
from ledgewell.steps.prove.fitting import Fit, fit_test
from ledgewell.steps.prove.further import further_problem, tempered_weights, widths_ahead
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.posterior import SCATTER
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.rulebook import rule_by_key
from ledgewell.steps.prove.rules import RuleCheck, rule_check

Floats = NDArray[np.float64]
GPM = 231 * 0.0254**3 / 60
NINETY = 2 * 1.6448536269514722
"""Width of the 90 % band of a normal law, in standard deviations. Source: tables of the normal law."""


def fit_of(text: str) -> Fit:
    priors = Priors()
    return fit_test(layout_of(read_well(text), 0, priors), priors, 1)


@pytest.fixture(scope="module")
def recovering() -> Fit:
    """A synthetic well read to the end of its recovery."""
    well = make_well(7, "centered")
    return fit_of(cut_well_file(well, well.minutes[-1]))


@dataclass(frozen=True)
class Linear:
    """Stands for a test whose further readings are a known number times ln yield."""

    readings: tuple[Reading, ...]
    log_yield: Floats
    floor: float = 0.0

    def explain(self, _rows: Floats) -> Linear:
        return self

    @property
    def predicted(self) -> Floats:
        return np.repeat(self.log_yield[:, None], len(self.readings), axis=1)


def linear_fit(fit: Fit, log_yield: Floats, power: float = 1.0) -> Fit:
    """Return a fit whose sample has these ln yields, no scatter of its own, and levels at rest at nothing."""
    wells = fit.wells.take(np.arange(len(log_yield)) % fit.wells.count)
    rows = wells.rows.copy()
    rows[:, SCATTER] = 0.0
    wells = replace(wells, rows=rows, rest_m=np.zeros(len(log_yield)))
    return replace(fit, wells=wells, target=replace(fit.target, power=power))


@pytest.mark.parametrize(
    ("error", "readings", "power"), [(0.5, 1, 1.0), (0.5, 4, 1.0), (0.3, 2, 1.0), (0.5, 4, 0.5)]
)
def test_expected_width_is_that_of_the_conjugate_normal_law(
    recovering: Fit, monkeypatch: pytest.MonkeyPatch, error: float, readings: int, power: float
) -> None:
    spread = 0.4
    log_yield = np.random.default_rng(5).normal(0.0, spread, 8000)
    ahead = Linear(tuple(Reading(at_s=60.0, value=0.0, error=error) for _ in range(readings)), log_yield)
    monkeypatch.setattr(further, "further_problem", lambda _fit, _minutes: (ahead, np.full(readings, 5.0)))
    found = dict(expected_widths(linear_fit(recovering, log_yield, power), np.exp(log_yield), (4.0, 10.0)))
    known = sqrt(1 / (1 / spread**2 + power * readings / error**2))
    assert found[4.0] == pytest.approx(NINETY * spread, rel=0.03)  # nothing is read by then
    # 5 %: two readings in a hundred are taken to be wrong, which costs about 4 % of what they tell
    assert found[10.0] == pytest.approx(NINETY * known, rel=0.05)


def test_readings_that_leave_too_few_wells_count_for_less(
    recovering: Fit, monkeypatch: pytest.MonkeyPatch
) -> None:
    log_yield = np.random.default_rng(5).normal(0.0, 0.4, 2000)
    ahead = Linear((Reading(at_s=60.0, value=0.0, error=0.002),), log_yield)
    monkeypatch.setattr(further, "further_problem", lambda _fit, _minutes: (ahead, np.full(1, 5.0)))
    found = widths_ahead(linear_fit(recovering, log_yield), np.exp(log_yield), (10.0,))[0]
    assert found.rough
    assert found.effective_size < 100
    assert found.width > NINETY * 0.002  # never narrower than what the reading could tell
    assert found.to_json() == {"minutes": 10.0, "width": found.width, "rough": True}


@given(st.lists(st.floats(-50, 0), min_size=8, max_size=60))
def test_tempered_weights_keep_enough_wells(log_likelihood: list[float]) -> None:
    values = np.array(log_likelihood)
    weights, whole, power = tempered_weights(values, least=4.0)
    direct = np.exp(values - values.max())
    assert whole == pytest.approx(direct.sum() ** 2 / (direct**2).sum())
    assert weights.sum() ** 2 / (weights**2).sum() >= min(4.0, len(values) / 4) * (1 - 1e-9)
    assert (power == 1.0) == (whole >= min(4.0, len(values) / 4))


def test_further_readings_fall_due_on_the_clock_of_the_last_change() -> None:
    hole = "[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6\n"
    test = 'static_level = 40\nmethod = "electric tape"\nrates = [[0, 5], [60, 0]]\nlevels = [[30, 90], [60, 150], [{}, 140]]'
    for last, due in ((64, [2, 4, 6, 11, 16, 21, 26]), (100, [15, 30])):
        # 4 min after the stop: every 2 min to 10, every 5 to 30; 40 min after: every 15
        layout = layout_of(
            read_well(f'format = 1\nunits = "us"\n{hole}[[test]]\n{test.format(last)}'), 0, Priors()
        )
        problem, minutes = further_problem(replace_layout(layout), 30.0)
        assert minutes.tolist() == due
        assert [reading.at_s for reading in problem.readings] == [60.0 * (last + minute) for minute in due]
        assert problem.steps.longest_s == pytest.approx(60.0 * (last + 30))
        assert {reading.kind for reading in problem.readings} == {LEVEL_READ}
        assert problem.readings[0].error == pytest.approx(layout.levels[0].error_m)


def replace_layout(layout: object) -> Fit:
    """Return something with a layout, which is all that `further_problem` looks at."""

    class Bare:
        def __init__(self) -> None:
            self.layout = layout

    return Bare()  # type: ignore[return-value]


def test_a_held_level_goes_on_by_the_bucket() -> None:
    levels = ", ".join(f"[{minute}, 300]" for minute in (60, 65, 70, 75, 80))
    flows = '[62, "2 gpm"], [72, "1.9 gpm"], [80, "1.8 gpm"]'
    text = f"""format = 1\nunits = "us"\n[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6\n[[test]]
static_level = 40\nrates = [[0, 9]]\nflows = [{flows}]\nlevels = [[30, 180], {levels}]"""
    layout = layout_of(read_well(text), 0, Priors())
    assert layout.timeline.stretches[-1].held_m == pytest.approx(300 * 0.3048)
    problem, minutes = further_problem(replace_layout(layout), 20.0)
    assert {reading.kind for reading in problem.readings} == {FLOW_READ}
    assert problem.readings[0].error / GPM == pytest.approx(0.03 * 1.9)
    assert minutes.tolist() == [5.0, 10.0, 25.0][: len(minutes)]
    assert isinstance(problem, FitProblem)


def met(rule: str, recovery_ft: float) -> RuleCheck:
    """Return a test of 240 min, its recovery read for an hour to a level, held against a rule."""
    levels = f"[240, 240], [300, {recovery_ft}]"
    text = f"""format = 1\nunits = "us"\n[[bore]]\ntop = 0\nbottom = 400\ndiameter = 6\n[[test]]
static_level = 40\nrates = [[0, 3], [240, 0]]\nlevels = [{levels}]"""
    return rule_check(rule_by_key(rule), layout_of(read_well(text), 0, Priors()))


@pytest.fixture
def band(recovering: Fit) -> tuple[Fit, Floats]:
    """A fit, and yields whose 90 % band is 2 to 4 gpm."""
    middle, spread = log(sqrt(8.0)), log(2.0) / NINETY
    count = recovering.wells.count
    from scipy.special import ndtri

    return recovering, np.exp(middle + spread * ndtri((np.arange(count) + 0.5) / count)) * GPM


@pytest.mark.parametrize(
    ("thresholds", "rule", "recovery_ft", "stop", "says"),
    [
        ((), None, 0, False, "still wide (the high figure is 2 times the low one)"),
        ((5.0,), None, 0, True, "is below 5 gpm, on which the decision hangs"),
        ((1.0,), None, 0, True, "is above 1 gpm"),
        ((3.0,), None, 0, False, "is still on both sides of 3 gpm"),
        ((1.0, 3.0), None, 0, False, "is still above 1 gpm, on both sides of 3 gpm"),
        ((5.0,), "or-690-217-0025", 50, True, "asks of a test is met"),
        ((5.0,), "or-690-217-0025", 90, False, "recovery not met (recovery was read for 60 min; 75.0%"),
        ((5.0,), "southborough-228-6", 90, False, "recovery cannot be told"),
        ((), "hud-4000-1", 50, False, "is still on both sides of 3 gpm"),
        ((), "hud-4000-1-proposed", 50, True, "is below 5 gpm"),
        (
            (5.0,),
            "md-26-04-04",
            50,
            False,
            "length not met (pumped 240 min without a break, of at least 360)",
        ),
    ],
)
def test_stopping_needs_the_decision_and_the_rule(
    band: tuple[Fit, Floats],
    thresholds: tuple[float, ...],
    rule: str | None,
    recovery_ft: float,
    stop: bool,
    says: str,
) -> None:
    fit, yields = band
    check = None if rule is None else met(rule, recovery_ft)
    found = enough_yet(fit, yields, check, tuple(value * GPM for value in thresholds))
    assert found.stop is stop
    assert says in found.say
    assert found.say.startswith("Enough:" if stop else "Not yet:")
    assert ("the local authority may require longer" in found.say) == (rule is None)
    assert found.width == pytest.approx(log(2.0), rel=0.01)


def test_a_narrow_band_is_enough_when_nothing_hangs_on_a_figure(band: tuple[Fit, Floats]) -> None:
    fit, yields = band
    narrow = 3 * GPM * (yields / (3 * GPM)) ** (log(1.45) / log(2.0))
    assert enough_yet(fit, narrow, None).stop
    wide = 3 * GPM * (yields / (3 * GPM)) ** (log(1.55) / log(2.0))
    assert not enough_yet(fit, wide, None).stop


def test_words_and_json_follow_the_reader(band: tuple[Fit, Floats]) -> None:
    fit, yields = band
    found = enough_yet(fit, yields, met("or-690-217-0025", 90), (5 * GPM,))
    assert ", 7.57 L/min to 15.1 L/min, is below 18.9 L/min" in found.text("si")  # 2, 4 and 5 gpm
    row = found.to_json("us")
    assert row["width"] == found.width
    after = row["after"]
    assert isinstance(after, list)
    assert [each["minutes"] for each in after] == [10.0, 20.0, 30.0]


def test_a_band_from_nothing_has_no_width(recovering: Fit) -> None:
    yields = np.linspace(0.0, 1.0, recovering.wells.count) * GPM
    yields[: len(yields) // 5] = 0.0
    found = enough_yet(recovering, yields, None)
    assert found.width == inf
    assert found.to_json("us")["width"] is None
    assert found.after == ()
    assert not found.stop


def test_more_minutes_narrow_the_band(recovering: Fit) -> None:
    yields = yields_of(recovering, recovering.layout.deepest_m)
    now = log_width(yields)
    widths = [width for _, width in expected_widths(recovering, yields, (20.0, 60.0, 180.0))]
    assert now * 1.02 > widths[0] > widths[1] > widths[2] > 0
    assert exp(widths[2]) < exp(now)


def test_same_sample_same_promise(recovering: Fit) -> None:
    yields = yields_of(recovering, recovering.layout.deepest_m)
    assert expected_widths(recovering, yields) == expected_widths(recovering, yields)
