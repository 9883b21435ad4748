"""Compute the benchmark's tests with the package's own march, in the ways it is used.

The schedule is laid beforehand, since a fit marches thousands of rocks through one schedule; making the rock's
stores, marching, and reading the level off at the times asked are done anew for each rock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from benchmarks.calibration.laplace_well import Floats
from benchmarks.speed.problems import SpeedProblem
from ledgewell.physics.balance import SETTLED
from ledgewell.physics.fit import Place
from ledgewell.physics.hole import HoleShape
from ledgewell.physics.march import march
from ledgewell.physics.problem import FitProblem, Reading
from ledgewell.physics.rock import RockTerms, rock_terms
from ledgewell.physics.schedule import Span, Steps, steps_for

DEEP_M = 1e6
TERMS = 50
NO_LOSS = math.log(1e-6)  # so small a quadratic loss [s2/m5] moves no level by 1e-13 m


def even_steps(problem: SpeedProblem, count: int) -> Steps:
    """Lay steps of one length over a test: half of them while it is pumped, half while it recovers."""
    if problem.stop_s * 2 != problem.end_s or count % 2:
        raise ValueError("even steps need an even count, and a recovery as long as the pumping")
    length_s = problem.end_s / count
    return Steps(
        _spans(problem),
        np.repeat(np.arange(2), count // 2),
        np.zeros(count, dtype=np.int64),
        np.array([length_s]),
        np.arange(count + 1) * length_s,
    )


def growing_steps(problem: SpeedProblem, first_s: float, per_doubling: int) -> Steps:
    """Lay steps over a test as the package does."""
    return steps_for(_spans(problem), first_s, per_doubling)


def many_terms(problem: SpeedProblem, steps: Steps, count: int = TERMS) -> RockTerms:
    """Make so many stores for the rock, by asking for a longer run than is marched."""
    rock = problem.rock
    longest_s = steps.longest_s
    while True:
        terms = rock_terms(rock.flow_dimension, rock.face_time_s, steps.shortest_s, longest_s)
        if terms.count >= count:
            return terms
        longest_s *= 1.5


@dataclass(frozen=True)
class EngineRun:
    """Hold one test laid out for the march.

    Parameters
    ----------
    problem, steps
        The test and its steps.
    terms
        The rock's stores; as many as the run needs when not given.
    """

    problem: SpeedProblem
    steps: Steps
    terms: RockTerms | None = None

    def made_terms(self) -> RockTerms:
        """Make the stores, unless they were given."""
        rock, steps = self.problem.rock, self.steps
        return self.terms or rock_terms(
            rock.flow_dimension, rock.face_time_s, steps.shortest_s, steps.longest_s
        )

    @cached_property
    def outputs(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Level, total inflow, pumped and taken volume, and inflow by fracture, to be filled by the march."""
        count = self.steps.count
        return (
            np.empty(count + 1),
            np.empty(count + 1),
            np.empty(count),
            np.empty(count),
            np.empty((count, 2, 1)),
        )

    @cached_property
    def schedule(self) -> tuple[NDArray[np.int64] | Floats, ...]:
        """Kinds, rates and lengths of the spans, then the steps."""
        count = len(self.steps.spans)
        nothing = np.zeros(count)
        return (
            np.zeros(count, dtype=np.int64),
            np.array([span.rate_m3s for span in self.steps.spans]),
            nothing,
            nothing,
            nothing,
            np.array([span.seconds for span in self.steps.spans]),
            self.steps.step_span,
            self.steps.step_class,
            self.steps.class_s,
        )

    @cached_property
    def hole(self) -> tuple[Floats, ...]:
        """Share, depth and head of the one fracture, bounds and area of the hole."""
        return (
            np.ones(1),
            np.full(1, DEEP_M),
            np.zeros(1),
            np.array([0.0, DEEP_M]),
            np.array([self.problem.area_m2]),
        )

    def march(self, terms: RockTerms) -> None:
        """March once."""
        rock = self.problem.rock
        state = march(
            terms.weights,
            terms.rates_per_s,
            terms.instantaneous,
            rock.face_time_s,
            rock.resistance_sm2,
            rock.skin,
            0.0,
            *self.hole,
            0.0,
            math.inf,
            -math.inf,
            *self.schedule,
            *self.outputs,
        )
        if state != SETTLED:
            raise ArithmeticError("the march did not settle")

    @cached_property
    def places(self) -> tuple[NDArray[np.int64], Floats, Floats]:
        """Step each time asked falls in, seconds into it, and the share of it that is gone."""
        times = self.problem.times_s
        step = np.searchsorted(self.steps.time_s[1:], times * (1 - 1e-12)).astype(np.int64)
        into = times - self.steps.time_s[step]
        return step, into, into / (self.steps.time_s[step + 1] - self.steps.time_s[step])

    def levels(self) -> Floats:
        """Give the drawdown at the times asked: stores, march, and the water balance within the steps."""
        self.march(self.made_terms())
        level, inflow, pumped, _, _ = self.outputs
        step, into, part = self.places
        given = into * (inflow[step] + 0.5 * part * (inflow[step + 1] - inflow[step]))
        answer: Floats = level[step] + (part * pumped[step] - given) / self.problem.area_m2
        return answer


@dataclass(frozen=True)
class FitRun:
    """Hold one test laid out for the fit, which marches many rocks in one compiled call.

    Parameters
    ----------
    problem, steps
        The test and its steps.
    count
        Rocks in a call; all the same here, which the fit cannot know.
    """

    problem: SpeedProblem
    steps: Steps
    count: int = 100

    @cached_property
    def laid_out(self) -> FitProblem:
        """The test with a reading at each time asked."""
        problem = self.problem
        return FitProblem(
            shape=HoleShape((0.0, DEEP_M), (problem.area_m2,)),
            radius_m=problem.rock.well_radius_m,
            static_m=0.0,
            fracture_depths_m=(DEEP_M,),
            spare_heads_m=(0.0,),
            steps=self.steps,
            readings=tuple(Reading(at_s=float(at), value=0.0, error=0.01) for at in problem.times_s),
            reference_s=problem.stop_s,
        )

    @cached_property
    def candidates(self) -> Floats:
        """The true rock, many times."""
        rock = self.problem.rock
        dimension, log_tc = np.array([rock.flow_dimension]), np.array([math.log(rock.face_time_s)])
        value, slope = self.laid_out.unit_response(dimension, log_tc)
        row = np.zeros(self.laid_out.width)
        row[Place.RESPONSE] = math.log(rock.resistance_sm2 * (value[0] + rock.skin))
        row[Place.SLOPE] = slope[0] / (value[0] + rock.skin)
        row[Place.DIMENSION], row[Place.TIME_CONSTANT] = dimension[0], log_tc[0]
        row[Place.LOSS] = NO_LOSS
        return np.tile(row, (self.count, 1))

    def explain(self) -> Floats:
        """Give the levels expected of every rock, shape (count, 480) [m]."""
        return self.laid_out.explain(self.candidates).predicted


def _spans(problem: SpeedProblem) -> tuple[Span, ...]:
    return (
        Span(seconds=problem.stop_s, rate_m3s=problem.rate_m3s),
        Span(seconds=problem.end_s - problem.stop_s),
    )
