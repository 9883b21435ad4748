"""A test laid out for the fit: which column is which, where readings fall, and what each fracture feels."""

from __future__ import annotations

from itertools import product
from math import inf, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledgewell.physics import fit, problem
from ledgewell.physics.closed_forms import radial_flow
from ledgewell.physics.fit import Place
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.problem import FIRST_FREE, FitProblem, Reading
from ledgewell.physics.schedule import Span, steps_for

SPANS = (Span(seconds=1800.0, rate_m3s=2e-4), Span(seconds=600.0, rate_m3s=1e-4), Span(seconds=1200.0))
STEPS = steps_for(SPANS, 10.0)


def laid_out(**more: object) -> FitProblem:
    """Lay out a test of three spans on a plain hole, or one that differs from it."""
    given_: dict[str, object] = {
        "shape": HoleShape((0.0, 100.0), (0.018,)),
        "radius_m": 0.0762,
        "static_m": 10.0,
        "fracture_depths_m": (30.0, 80.0),
        "spare_heads_m": (0.0, 0.0),
        "steps": STEPS,
        "readings": (Reading(at_s=1800.0, value=40.0, error=0.02),),
        "reference_s": 1800.0,
    }
    return FitProblem(**(given_ | more))  # type: ignore[arg-type]


def test_constants_said_twice_are_the_same() -> None:
    """The compiled fit cannot be imported where its problem is laid out, so a few constants stand in both."""
    assert FIRST_FREE == Place.FIRST_FREE == len(Place) - 1
    for name in ("LEVEL_READ", "DEEPER_THAN", "FLOW_READ", "LEAST_DRAWN_M"):
        assert getattr(problem, name) == getattr(fit, name)


def test_every_column_has_one_meaning_and_none_is_left_over() -> None:
    flags = (False, True)
    for depth, drain, ramped, rates, stretched in product(
        flags, flags, flags, ((), (1,), (0, 1)), ((), (2,))
    ):
        made = laid_out(
            unknown_depth=depth,
            unknown_drain=drain,
            ramped=ramped,
            unknown_spans=rates,
            stretched_spans=stretched,
            fracture_depths_m=(20.0, 40.0, 80.0),
            spare_heads_m=(0.0, 0.0, 0.0),
        )
        columns = [FIRST_FREE, FIRST_FREE + 1]  # shares of all fractures but the last
        columns += [made.depth_column] if depth else []
        columns += [made.drain_column] if drain else []
        columns += [made.ramp_column] if ramped else []
        columns += [made.first_rate_column + place for place in range(len(rates))]
        columns += [made.width - 1] if stretched else []
        assert columns == list(range(FIRST_FREE, made.width))
        absent = {made.depth_column: depth, made.drain_column: drain, made.ramp_column: ramped}
        assert (-1 in absent) == (not (depth and drain and ramped))


@given(st.lists(st.floats(0.0, 3600.0), min_size=1, max_size=20))
def test_a_reading_falls_in_the_step_it_was_taken_in(times: list[float]) -> None:
    made = laid_out(readings=tuple(Reading(at_s=at, value=0.0, error=0.01) for at in times))
    step, into = made._placed()
    start, length = STEPS.time_s[step], np.diff(STEPS.time_s)[step]
    np.testing.assert_allclose(start + into * length, times, rtol=1e-12, atol=1e-9)
    assert np.all(into >= 0)
    assert np.all(into <= 1 + 1e-9)


def test_a_reading_at_a_change_belongs_to_what_was_before_it() -> None:
    """A level noted as the pump stops is the last of pumping, not the first after the pipe drained."""
    made = laid_out(
        readings=(Reading(at_s=1800.0, value=0.0, error=0.01), Reading(at_s=2400.0, value=0.0, error=0.01))
    )
    step, into = made._placed()
    np.testing.assert_array_equal(STEPS.step_span[step], [0, 1])
    np.testing.assert_allclose(into, 1.0)


def test_a_drained_fracture_feels_only_its_own_drawdown() -> None:
    """Drawn from 10 to 50 m, a fracture at 30 m feels 20 of 40 m, one at 80 m all; by hand."""
    np.testing.assert_allclose(laid_out(deepest_m=50.0).reach, [0.5, 1.0])
    np.testing.assert_array_equal(laid_out().reach, [1.0, 1.0])
    above = laid_out(deepest_m=50.0, fracture_depths_m=(3.0, 80.0)).reach
    assert 0 < above[0] < 0.01  # a mouth above the static level hardly gives, but has a share all the same
    np.testing.assert_allclose(
        laid_out(deepest_m=50.0).drawn_m(np.array([0.0, -2.0, 45.0])), [40.0, 42.0, 0.001]
    )
    np.testing.assert_array_equal(laid_out(deepest_m=inf).drawn_m(np.array([0.0, 3.0])), [1.0, 1.0])


@pytest.mark.parametrize("dimension", [1.2, 2.0, 2.8])
def test_response_and_slope_at_the_reference_time(dimension: float) -> None:
    """In units of R, against inversion of the exact transform."""
    tc = np.array([1e-3, 1.0, 1e3])
    value, slope = laid_out().unit_response(np.full(3, dimension), np.log(tc))
    rock = radial_flow.Rock(resistance_sm2=1.0, time_constant_s=tc, dimension=dimension)
    np.testing.assert_allclose(value, radial_flow.step_response(1800.0, rock), rtol=1e-4)
    np.testing.assert_allclose(slope, radial_flow.log_derivative(1800.0, rock), rtol=2e-3)


def test_wells_that_cannot_be_explain_nothing() -> None:
    """A slope too steep for any skin, one that is not there, a dimension out of range."""
    made = laid_out(fracture_depths_m=(80.0,), spare_heads_m=(0.0,))
    value, slope = made.unit_response(np.array([2.0]), np.array([0.0]))
    row = np.zeros(made.width)
    row[Place.RESPONSE], row[Place.SLOPE] = log(1e6), 0.5 * slope[0] / value[0]
    row[Place.DIMENSION], row[Place.LOSS] = 2.0, -20.0
    wrong = np.tile(row, (4, 1))
    wrong[1, Place.SLOPE] = 1.01 * slope[0] / value[0]
    wrong[2, Place.SLOPE] = -0.1
    wrong[3, Place.DIMENSION] = 3.01
    answer = made.explain(wrong)
    assert np.isfinite(answer.fit[0])
    assert np.all(answer.fit[1:] == -inf)
    assert answer.skin[0] == pytest.approx(value[0], rel=1e-9)  # half the slope: as much skin as response
    assert np.isfinite(answer.predicted[0]).all()
    assert np.isnan(answer.predicted[1:]).all()


@pytest.mark.parametrize("at_s", [0.0, 0.5, 1799.9, 1800.0, 1800.1, 2400.0, 3000.0, 3600.0])
def test_a_reading_at_a_bound_belongs_to_what_ends_there(at_s: float) -> None:
    """Pumped 1800 s at one rate and then less: a reading at 1800 s is of the first rate, with or without what follows."""
    whole = laid_out(readings=(Reading(at_s=at_s, value=9.0, error=0.05),))
    kept = [
        span
        for span, begins in zip(SPANS, (0.0, 1800.0, 2400.0), strict=True)
        if begins < at_s or begins == 0
    ]
    only = laid_out(steps=steps_for(kept, 10.0), readings=(Reading(at_s=at_s, value=9.0, error=0.05),))
    row = np.zeros((1, whole.width))
    row[0, :4] = np.log(5e4), 0.08, 2.0, np.log(0.3)
    row[0, 7] = np.log(1e-3)
    found, expected = whole.explain(row).predicted[0], only.explain(row).predicted[0]
    # A shorter run has other stores, which err by up to 3e-5 of the drawdown.
    np.testing.assert_allclose(found, expected, rtol=0, atol=2e-4 * max(found[0] - 10.0, 0.01))
    assert found[0] >= 10.0


def test_a_row_more_is_judged_alone() -> None:
    made = laid_out()
    row = np.zeros(made.width)
    row[:4], row[7] = (np.log(5e4), 0.08, 2.0, np.log(0.3)), np.log(1e-3)
    other = row.copy()
    other[0] += 0.3
    both = made.explain(np.array([row, other]))
    alone = made.explain(other[None, :])
    assert both.fit[1] == alone.fit[0]
    assert both.predicted[1, 0] == alone.predicted[0, 0]
    assert both.fit[0] != both.fit[1]
    assert both.unit_response[0] == both.unit_response[1]
