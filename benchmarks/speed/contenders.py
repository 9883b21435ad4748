"""List who computes the benchmark's tests, with every setting tried, so that each is judged at its best."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from benchmarks.calibration.laplace_well import Floats
from benchmarks.speed import line_model, superposition
from benchmarks.speed.engine import EngineRun, FitRun, even_steps, growing_steps, many_terms
from benchmarks.speed.problems import SpeedProblem

ALLOWED = 1e-3
"""Largest error of a level allowed to a contender, over the deepest drawdown."""
FEW_STEPS = (12, 16, 20, 24, 30, 40, 48, 60, 80)
FIRST_STEPS_S = (20.0, 60.0, 180.0)
CELLS = (12, 16, 20, 24, 28, 32)
TOLERANCES = (1e-3, 3e-3, 1e-2)
ENGINE = "engine, at its best"
MARCH = "engine, march alone at its best"


@dataclass(frozen=True, slots=True, kw_only=True)
class Contender:
    """Name one way to compute a test, at one setting.

    Parameters
    ----------
    name, setting
        Who, and how set.
    run
        What is timed.
    levels
        What it gives: the drawdown at the times asked [m].
    rocks
        Rocks computed in one run.
    """

    name: str
    setting: str
    run: Callable[[], object]
    levels: Callable[[], Floats]
    rocks: int = 1


def error_of(levels: Floats, exact: Floats) -> float:
    """Give the largest error over the deepest drawdown [-]."""
    return float(np.max(np.abs(levels - exact)) / np.max(exact))


def contenders(problem: SpeedProblem) -> Iterator[Contender]:
    """Give every contender at every setting."""
    yield from _engine(problem)
    yield from _superposition(problem)
    yield from _line_model(problem)


def _engine(problem: SpeedProblem) -> Iterator[Contender]:
    even = even_steps(problem, 480)
    terms = many_terms(problem, even)
    full = EngineRun(problem, even, terms)
    setting = f"480 steps, {terms.count} terms"
    yield Contender(
        name="engine, march alone of 480 steps and 50 terms",
        setting=setting,
        run=partial(full.march, terms),
        levels=full.levels,
    )
    layouts = [even_steps(problem, count) for count in FEW_STEPS]
    layouts += [growing_steps(problem, first, per) for first in FIRST_STEPS_S for per in (2, 3, 4, 6)]
    for steps in layouts:
        few = EngineRun(problem, steps)
        made = few.made_terms()
        setting = f"{steps.count} steps, {made.count} terms"
        yield Contender(name=MARCH, setting=setting, run=partial(few.march, made), levels=few.levels)
        yield Contender(name=ENGINE, setting=setting, run=few.levels, levels=few.levels)
        fit = FitRun(problem, steps)
        yield Contender(
            name="engine, one rock of many in the fit",
            setting=setting,
            run=fit.explain,
            levels=partial(_first_row, fit),
            rocks=fit.count,
        )


def _first_row(fit: FitRun) -> Floats:
    row: Floats = fit.explain()[0]
    return row


def _superposition(problem: SpeedProblem) -> Iterator[Contender]:
    for count in (*FEW_STEPS, 480):
        weights = superposition.response_weights(problem, count)
        ready = partial(superposition.levels, problem, weights, count)
        whole = partial(superposition.levels, problem, None, count)
        setting = f"{count} steps"
        yield Contender(
            name="superposition, table of responses ready", setting=setting, run=ready, levels=ready
        )
        yield Contender(name="superposition in NumPy", setting=setting, run=whole, levels=whole)


def _line_model(problem: SpeedProblem) -> Iterator[Contender]:
    for cells in CELLS:
        for tolerance in TOLERANCES:
            setting = f"{cells} cells, tolerance {tolerance:g}"
            for name, levels in (
                ("method of lines, solve_ivp LSODA", line_model.levels),
                ("method of lines, odeint", line_model.levels_by_odeint),
            ):
                run = partial(levels, problem, cells, tolerance)
                yield Contender(name=name, setting=setting, run=run, levels=run)
