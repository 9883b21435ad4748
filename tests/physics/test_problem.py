"""A test laid out for the fit: every unknown has its own column, every reading its place, every mouth its reach."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledgewell.physics.hole import HoleShape
from ledgewell.physics.problem import FIRST_FREE, FitProblem, Reading
from ledgewell.physics.schedule import Span, steps_for

SPANS = [Span(seconds=600.0, rate_m3s=2e-4), Span(seconds=900.0, rate_m3s=3e-4), Span(seconds=1200.0)]


def problem(**more: object) -> FitProblem:
    """Lay out a test of three spans, or one that differs from it."""
    laid_out: dict[str, object] = {
        "shape": HoleShape((0.0, 100.0), (0.0182,)),
        "radius_m": 0.0762,
        "static_m": 5.0,
        "fracture_depths_m": (20.0, 60.0),
        "spare_heads_m": (0.0, 0.0),
        "steps": steps_for(SPANS, 10.0),
        "readings": (Reading(at_s=300.0, value=9.0, error=0.05),),
        "reference_s": 1500.0,
    }
    return FitProblem(**(laid_out | more))  # type: ignore[arg-type]


@settings(deadline=None)
@given(
    st.integers(1, 3), st.booleans(), st.booleans(), st.booleans(), st.sets(st.integers(0, 2)), st.booleans()
)
def test_every_unknown_has_a_column_of_its_own(
    fractures: int, depth: bool, drain: bool, ramp: bool, rates: set[int], stretched: bool
) -> None:
    laid_out = problem(
        fracture_depths_m=tuple(20.0 + 10.0 * i for i in range(fractures)),
        spare_heads_m=(0.0,) * fractures,
        unknown_depth=depth,
        unknown_drain=drain,
        ramped=ramp,
        unknown_spans=tuple(sorted(rates)),
        stretched_spans=(0, 1) if stretched else (),
    )
    shares = [FIRST_FREE + i for i in range(laid_out.share_columns)]
    single = [laid_out.depth_column, laid_out.drain_column, laid_out.ramp_column]
    assert [column >= 0 for column in single] == [depth, drain, ramp]
    pumped = [laid_out.first_rate_column + i for i in range(len(rates))]
    last = [laid_out.width - 1] if stretched else []
    taken = shares + [column for column in single if column >= 0] + pumped + last
    assert sorted(taken) == list(range(FIRST_FREE, laid_out.width))


def test_a_fracture_the_level_went_below_feels_less_of_the_drawdown() -> None:
    """Static 5 m, deepest 45 m: a mouth at 20 m feels 15 of 40 m, one at 60 m all of it."""
    np.testing.assert_allclose(problem(deepest_m=45.0).reach, [15 / 40, 1.0])
    np.testing.assert_allclose(problem().reach, [1.0, 1.0])
    above = problem(deepest_m=45.0, fracture_depths_m=(3.0, 60.0)).reach
    assert 0 < above[0] < 0.01  # a mouth above the static level hardly gives, but has a share all the same


def test_drawdown_goes_with_the_true_static_level() -> None:
    offsets = np.array([-1.0, 0.0, 2.0])
    np.testing.assert_allclose(problem(deepest_m=45.0).drawn_m(offsets), [41.0, 40.0, 38.0])
    np.testing.assert_allclose(problem(deepest_m=inf).drawn_m(offsets), 1.0)
    assert np.all(problem(deepest_m=4.0).drawn_m(offsets) > 0)


@pytest.mark.parametrize("at_s", [0.0, 0.5, 599.9, 600.0, 600.1, 1500.0, 2000.0, 2700.0])
def test_a_reading_at_a_bound_belongs_to_what_ends_there(at_s: float) -> None:
    """Pumped 600 s at one rate and then more: a reading at 600 s is of the first rate, with or without what follows."""
    whole = problem(readings=(Reading(at_s=at_s, value=9.0, error=0.05),))
    kept = [
        span for span, begins in zip(SPANS, (0.0, 600.0, 1500.0), strict=True) if begins < at_s or begins == 0
    ]
    only = problem(
        steps=steps_for(kept, 10.0), readings=(Reading(at_s=at_s, value=9.0, error=0.05),), reference_s=1500.0
    )
    row = np.zeros((1, whole.width))
    row[0, :4] = np.log(5e4), 0.08, 2.0, np.log(0.3)
    row[0, 7] = np.log(1e-3)
    found, expected = whole.explain(row).predicted[0], only.explain(row).predicted[0]
    # A shorter run has other stores, which err by up to 3e-5 of the drawdown.
    np.testing.assert_allclose(found, expected, rtol=0, atol=2e-4 * max(found[0] - 5.0, 0.01))
    assert found[0] >= 5.0


def test_a_row_more_is_judged_alone() -> None:
    laid_out = problem()
    row = np.zeros(laid_out.width)
    row[:4], row[7] = (np.log(5e4), 0.08, 2.0, np.log(0.3)), np.log(1e-3)
    other = row.copy()
    other[0] += 0.3
    both = laid_out.explain(np.array([row, other]))
    alone = laid_out.explain(other[None, :])
    assert both.fit[1] == alone.fit[0]
    assert both.predicted[1, 0] == alone.predicted[0, 0]
    assert both.fit[0] != both.fit[1]
    assert both.unit_response[0] == both.unit_response[1]
