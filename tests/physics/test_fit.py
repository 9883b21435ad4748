"""The compiled fit against the same things done one by one: stores, march, readings, and SciPy's distributions."""

from __future__ import annotations

from math import exp, inf, log, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import cauchy, norm

from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.fit import OUTLIER_SHARE, OUTLIER_WIDTH, Place, terms_into
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.model_well import Fracture, ModelWell, RockAtFace
from ledgewell.physics.problem import DEEPER_THAN, FLOW_READ, LEVEL_READ, FitProblem, Reading
from ledgewell.physics.rock import rock_terms, store_tables
from ledgewell.physics.schedule import Span, steps_for
from ledgewell.physics.simulate import Simulation, simulate_steps

Floats = NDArray[np.float64]
SHAPE = HoleShape((0.0, 18.0, 120.0), (0.0205, 0.0182))
SPANS = (
    Span(seconds=1800.0, rate_m3s=3e-4),
    Span(seconds=1200.0, level_m=(24.0, 25.0)),
    Span(seconds=2400.0, drain_m2=5e-4),
)
STEPS = steps_for(SPANS, 10.0)
STATIC_M = 7.0
ROCK = RockAtFace(
    resistance_s_m2=1 / (2 * pi * 4e-6), time_constant_s=0.3, dimension=1.8, skin=1.5, loss_s2_m5=3e6
)
DEPTHS, SHARES = (15.0, 80.0), (0.35, 0.65)
TIMES = (0.0, 4.0, 60.0, 900.0, 1800.0, 1803.0, 2500.0, 3000.0, 3001.0, 3600.0, 5400.0)


def readings(values: tuple[float, ...] = (10.0,) * len(TIMES), kind: int = LEVEL_READ) -> tuple[Reading, ...]:
    """Read a level at each of the times."""
    return tuple(
        Reading(at_s=at, value=value, error=0.05, kind=kind) for at, value in zip(TIMES, values, strict=True)
    )


def problem(**more: object) -> FitProblem:
    """Lay out the test of this module, or one that differs from it."""
    laid_out: dict[str, object] = {
        "shape": SHAPE,
        "radius_m": 0.0762,
        "static_m": STATIC_M,
        "fracture_depths_m": DEPTHS,
        "spare_heads_m": (0.0, 0.0),
        "steps": STEPS,
        "readings": readings(),
        "reference_s": 1800.0,
    }
    return FitProblem(**(laid_out | more))  # type: ignore[arg-type]


def row_of(laid_out: FitProblem, static_offset_m: float = 0.0, log_area: float = 0.0) -> Floats:
    """Write the rock of this module as a candidate, its response taken from the inverted transform."""
    rock = radial_flow.Rock(
        resistance_sm2=1.0, time_constant_s=ROCK.time_constant_s, dimension=ROCK.dimension
    )
    at = laid_out.reference_s
    response = float(radial_flow.step_response(at, rock)) + ROCK.skin
    row = np.zeros(laid_out.width)
    drawn = float(laid_out.drawn_m(np.array([static_offset_m]))[0])
    staying = float(np.array(SHARES) @ laid_out.reach) if len(laid_out.fracture_depths_m) == 2 else 1.0
    row[Place.RESPONSE] = log(ROCK.resistance_s_m2 * response / drawn / staying)
    row[Place.SLOPE] = float(radial_flow.log_derivative(at, rock)) / response
    row[Place.DIMENSION], row[Place.TIME_CONSTANT] = ROCK.dimension, log(ROCK.time_constant_s)
    row[Place.AREA], row[Place.STATIC], row[Place.LOSS] = log_area, static_offset_m, log(ROCK.loss_s2_m5)
    if len(laid_out.fracture_depths_m) == 2:
        row[Place.FIRST_FREE] = log(SHARES[0] / SHARES[1])
    return row


def simulated(static_m: float = STATIC_M, area_factor: float = 1.0, rock: RockAtFace = ROCK) -> Simulation:
    """March the same well by the way in for one run."""
    shape = HoleShape(SHAPE.bounds_m, tuple(area * area_factor for area in SHAPE.areas_m2))
    fractures = tuple(
        Fracture(depth_m=depth, head_m=static_m, share=share)
        for depth, share in zip(DEPTHS, SHARES, strict=True)
    )
    return simulate_steps(ModelWell(shape=shape, fractures=fractures, rock=rock, intake_m=1e6), STEPS)


@given(st.floats(1.0, 3.0), st.floats(-6.0, 6.0), st.floats(-3.0, 3.0), st.floats(0.0, 7.0))
@settings(max_examples=100, deadline=None)
def test_stores_made_in_compiled_code_are_those_of_the_rock(
    dimension: float, tc: float, shortest: float, decades: float
) -> None:
    tc, shortest = 10.0**tc, 10.0**shortest
    longest = shortest * 10.0**decades
    if shortest < 1e-7 * tc:
        return
    weights, rates = np.empty(96), np.empty(96)
    count, instant = terms_into(store_tables(), dimension, tc, shortest, longest, weights, rates)
    terms = rock_terms(dimension, tc, shortest, longest)
    assert count == terms.count
    np.testing.assert_allclose(weights[:count], terms.weights, rtol=1e-5)
    np.testing.assert_allclose(rates[:count], terms.rates_per_s, rtol=1e-11)
    assert instant == pytest.approx(terms.instantaneous, rel=1e-5)


@given(st.floats(1.0, 3.0), st.floats(-4.0, 4.0))
@settings(max_examples=40, deadline=None)
def test_unit_response_and_its_slope_are_those_of_the_inverted_transform(dimension: float, tc: float) -> None:
    value, slope = problem().unit_response(np.array([dimension]), np.array([tc * log(10.0)]))
    rock = radial_flow.Rock(resistance_sm2=1.0, time_constant_s=10.0**tc, dimension=dimension)
    np.testing.assert_allclose(value, radial_flow.step_response(np.array([1800.0]), rock), rtol=1e-4)
    exact = radial_flow.log_derivative(np.array([1800.0]), rock)
    # The lattice's wobble has one wave each e-fold of time, so that its slope errs more than it does.
    np.testing.assert_allclose(slope, exact, rtol=1e-3, atol=1e-4 * value[0])


@pytest.mark.parametrize(("offset", "log_area"), [(0.0, 0.0), (0.4, 0.0), (-0.3, 0.08)])
@pytest.mark.parametrize("deepest", [inf, 40.0])
def test_expected_levels_are_those_of_the_simulated_well(
    offset: float, log_area: float, deepest: float
) -> None:
    """Casing, two fractures of which one drips free, a level held on a slope, and a pipe that drains back."""
    laid_out = problem(deepest_m=deepest)
    row = row_of(laid_out, offset, log_area)
    explained = laid_out.explain(row[None, :])
    assert explained.skin[0] == pytest.approx(ROCK.skin, rel=3e-3)
    assert explained.resistance_s_m2[0] == pytest.approx(ROCK.resistance_s_m2, rel=1e-3)
    same = RockAtFace(
        resistance_s_m2=float(explained.resistance_s_m2[0]),
        time_constant_s=exp(row[Place.TIME_CONSTANT]),
        dimension=ROCK.dimension,
        skin=float(explained.skin[0]),
        loss_s2_m5=ROCK.loss_s2_m5,
    )
    run = simulated(STATIC_M + offset, exp(log_area), same)
    assert run.level_m.min() < DEPTHS[0] < run.level_m.max()
    np.testing.assert_allclose(explained.predicted[0], run.level_at(np.array(TIMES)), rtol=0, atol=1e-6)


def test_expected_outflow_while_held_is_what_the_simulated_pump_gives() -> None:
    at = [span for span in TIMES if 1800.0 < span <= 3000.0]
    flows = tuple(Reading(at_s=time, value=1e-4, error=1e-6, kind=FLOW_READ) for time in at)
    laid_out = problem(readings=flows)
    explained = laid_out.explain(row_of(laid_out)[None, :])
    run = simulated()
    held_s = run.time_s[1:] - 1800.0
    # What a bucket reads is what flows in and what the sloping level takes from the hole: 1 m in 20 min of bore.
    for time, expected in zip(at, explained.predicted[0], strict=True):
        place = int(np.searchsorted(run.time_s[1:], time * (1 - 1e-12)))
        if held_s[place] < 60.0:
            continue
        inflow = np.interp(time, run.time_s[[place, place + 1]], run.inflow_m3s[place].sum(axis=1))
        assert expected == pytest.approx(inflow + 0.0182 * 1.0 / 1200.0, rel=2e-3)


@given(
    st.lists(st.floats(5.0, 40.0), min_size=len(TIMES), max_size=len(TIMES)),
    st.floats(-1.0, 1.0),
    st.sampled_from([LEVEL_READ, DEEPER_THAN]),
)
@settings(max_examples=50, deadline=None)
def test_likelihood_is_a_normal_error_now_and_then_a_wide_one(
    values: list[float], log_scatter: float, kind: int
) -> None:
    laid_out = problem(readings=readings(tuple(values), kind))
    row = row_of(laid_out)
    row[Place.SCATTER] = log_scatter
    explained = laid_out.explain(row[None, :])
    expected = explained.predicted[0]
    scale = np.hypot(0.05 * exp(log_scatter), laid_out.floor * (expected - STATIC_M))
    if kind == DEEPER_THAN:
        likely = np.log(1e-3 + 0.999 * norm.sf(values, expected, scale))
    else:
        good = (1 - OUTLIER_SHARE) * norm.pdf(values, expected, scale)
        likely = np.log(good + OUTLIER_SHARE * cauchy.pdf(values, expected, OUTLIER_WIDTH * scale))
    assert explained.fit[0] == pytest.approx(float(np.sum(likely)), rel=1e-9)


@given(st.floats(-0.7, 0.7))
@settings(max_examples=20, deadline=None)
def test_one_factor_on_rate_area_and_resistance_moves_no_level(log_factor: float) -> None:
    """Equation of the manual: Q and A times c, R over c, C over c² leave every level where it was."""
    pumped = (Span(seconds=1800.0, rate_m3s=3e-4), Span(seconds=1800.0))
    plain = problem(steps=steps_for(pumped, 10.0), readings=readings()[:5])
    more = tuple(Span(seconds=span.seconds, rate_m3s=span.rate_m3s * exp(log_factor)) for span in pumped)
    scaled = problem(steps=steps_for(more, 10.0), readings=readings()[:5])
    row = row_of(plain)
    other = row.copy()
    other[Place.AREA] += log_factor
    other[Place.RESPONSE] -= log_factor
    other[Place.LOSS] -= 2 * log_factor
    before, after = plain.explain(row[None, :]), scaled.explain(other[None, :])
    np.testing.assert_allclose(after.predicted, before.predicted, rtol=0, atol=1e-9)
    assert after.fit[0] == pytest.approx(before.fit[0], rel=1e-6)


def test_a_rate_and_a_length_that_nobody_knows_come_from_the_candidate() -> None:
    """Rate of the first span half as large again, every stretched span a tenth longer: marched the same by hand."""
    laid_out = problem(
        steps=steps_for([Span(seconds=1800.0, rate_m3s=1.0), Span(seconds=1200.0)], 10.0),
        readings=readings()[:5],
        unknown_spans=(0,),
        stretched_spans=(0,),
    )
    assert laid_out.width == Place.FIRST_FREE + 3
    row = row_of(laid_out)
    row[laid_out.first_rate_column], row[-1] = log(4.5e-4), log(1.1)
    found = laid_out.explain(row[None, :])
    same = problem(
        steps=steps_for([Span(seconds=1980.0, rate_m3s=4.5e-4), Span(seconds=1200.0)], 11.0),
        readings=tuple(
            Reading(at_s=1.1 * each.at_s, value=each.value, error=each.error) for each in readings()[:5]
        ),
    )
    by_hand = same.explain(row_of(same)[None, :])
    np.testing.assert_allclose(found.predicted, by_hand.predicted, rtol=0, atol=2e-3)
    assert found.predicted[0, -1] > 20.0


def test_the_share_of_a_pipe_that_drains_back_comes_from_the_candidate() -> None:
    levels = []
    for share in (0.0, 0.5, 1.0):
        laid_out = problem(unknown_drain=True)
        row = row_of(laid_out)
        row[laid_out.drain_column] = share
        levels.append(laid_out.explain(row[None, :]).predicted[0])
    whole = problem()
    np.testing.assert_allclose(levels[2], whole.explain(row_of(whole)[None, :]).predicted[0], atol=1e-12)
    just_after = TIMES.index(3001.0)
    drained_m = levels[0][just_after] - np.array([level[just_after] for level in levels])
    # 25 m of pipe of 5 cm² hold 12.5 L, which stand 0.69 m in the bore, less what seconds of inflow change.
    np.testing.assert_allclose(drained_m, [0.0, 0.34, 0.69], atol=0.01)


@pytest.mark.parametrize(
    ("column", "value"),
    [
        (Place.DIMENSION, 0.9),
        (Place.DIMENSION, 3.1),
        (Place.SLOPE, 0.0),
        (Place.SLOPE, -0.1),
        (Place.SLOPE, 0.9),
    ],
)
def test_a_well_that_cannot_be_has_no_likelihood(column: Place, value: float) -> None:
    """A dimension out of range, no slope, or so steep a slope that skin would be negative."""
    laid_out = problem()
    row = row_of(laid_out)
    row[column] = value
    explained = laid_out.explain(np.array([row, row_of(laid_out)]))
    assert explained.fit[0] == -inf
    assert np.all(np.isnan(explained.predicted[0]))
    assert np.isfinite(explained.fit[1])
