"""Check that the contenders of the speed benchmark compute the right levels before anyone times them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from benchmarks.calibration.laplace_well import Floats
from benchmarks.speed import line_model, superposition
from benchmarks.speed.problems import PROBLEMS, SCENARIO_A, SpeedProblem, exact_levels

CONTENDERS = [superposition.levels, line_model.levels, line_model.levels_by_odeint]


def _worst_share(levels: Floats, problem: SpeedProblem) -> float:
    exact = exact_levels(problem)
    return float(np.max(np.abs(levels - exact)) / exact.max())


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.name)
@pytest.mark.parametrize("contender", CONTENDERS)
def test_every_contender_holds_a_thousandth_of_the_deepest_drawdown(
    contender: Callable[[SpeedProblem], Floats], problem: SpeedProblem
) -> None:
    levels = contender(problem)
    assert levels.shape == (480,)
    assert _worst_share(levels, problem) < 1e-3


def test_exact_levels_are_those_published_for_scenario_a() -> None:
    """T 0.5 m2/d, S 1e-4, 2 US gpm, 6 in hole, pumped 60 min: 40-digit Talbot inversion."""
    levels = exact_levels(SCENARIO_A)
    minutes = SCENARIO_A.times_s / 60.0
    expected = {1: 0.406624656, 10: 3.595583, 30: 8.68612522, 60: 13.3376593, 70: 10.8095989, 120: 4.46646272}
    for minute, drawdown in expected.items():
        assert levels[np.isclose(minutes, minute)][0] == pytest.approx(drawdown, rel=1e-8)


def test_superposition_gains_nothing_by_a_table_made_beforehand_but_time() -> None:
    weights = superposition.response_weights(SCENARIO_A)
    np.testing.assert_array_equal(superposition.levels(SCENARIO_A, weights), superposition.levels(SCENARIO_A))


def test_line_model_converges_on_the_exact_levels() -> None:
    errors = [_worst_share(line_model.levels(SCENARIO_A, cells, 1e-7), SCENARIO_A) for cells in (20, 40, 80)]
    assert errors[0] > 3.0 * errors[1] > 9.0 * errors[2]
