"""Check that the engine's ways of computing the benchmark's tests are right, and that a best setting is a fair one."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.speed import superposition
from benchmarks.speed.contenders import ALLOWED, ENGINE, MARCH, contenders, error_of
from benchmarks.speed.engine import TERMS, EngineRun, FitRun, even_steps, growing_steps, many_terms
from benchmarks.speed.problems import PROBLEMS, SCENARIO_A, STEPS, SpeedProblem, exact_levels


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.name)
def test_the_full_march_is_far_within_the_error_allowed(problem: SpeedProblem) -> None:
    steps = even_steps(problem, STEPS)
    terms = many_terms(problem, steps)
    assert TERMS <= terms.count <= TERMS + 1
    assert error_of(EngineRun(problem, steps, terms).levels(), exact_levels(problem)) < 1e-5


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.name)
def test_levels_between_few_steps_hold_the_water_balance_and_the_error(problem: SpeedProblem) -> None:
    for steps in (even_steps(problem, 24), growing_steps(problem, 20.0, 3)):
        assert error_of(EngineRun(problem, steps).levels(), exact_levels(problem)) < ALLOWED


def test_the_error_falls_as_the_square_of_the_step() -> None:
    exact = exact_levels(SCENARIO_A)
    errors = [
        error_of(EngineRun(SCENARIO_A, even_steps(SCENARIO_A, n)).levels(), exact) for n in (20, 40, 80)
    ]
    assert errors[0] / errors[1] == pytest.approx(4, rel=0.15)
    assert errors[1] / errors[2] == pytest.approx(4, rel=0.15)


def test_every_rock_of_the_fit_gets_the_same_levels() -> None:
    steps = growing_steps(SCENARIO_A, 20.0, 4)
    rows = FitRun(SCENARIO_A, steps, count=3).explain()
    assert rows.shape == (3, STEPS)
    for row in rows:
        np.testing.assert_allclose(row, EngineRun(SCENARIO_A, steps).levels(), rtol=1e-9)


def test_superposition_with_fewer_steps_reads_off_the_same_levels() -> None:
    exact = exact_levels(SCENARIO_A)
    few = error_of(superposition.levels(SCENARIO_A, None, 48), exact)
    assert error_of(superposition.levels(SCENARIO_A, None, STEPS), exact) < few < 3e-4


def test_everyone_has_a_setting_within_the_error_allowed() -> None:
    exact = exact_levels(SCENARIO_A)
    names, good = set(), set()
    for contender in contenders(SCENARIO_A):
        names.add(contender.name)
        if error_of(contender.levels(), exact) <= ALLOWED:
            good.add(contender.name)
    assert names == good
    assert {ENGINE, MARCH} < names
    assert len(names) == 8


def test_even_steps_need_an_even_count() -> None:
    with pytest.raises(ValueError, match="even count"):
        even_steps(SCENARIO_A, 25)
