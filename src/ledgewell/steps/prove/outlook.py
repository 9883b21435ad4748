"""What is believed of a well before its test: likely wells from the priors, the airlift notes or an earlier fit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot, log

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.hole import HoleShape
from ledgewell.physics.problem import FIRST_FREE, FitProblem, Reading
from ledgewell.physics.schedule import Span, steps_for
from ledgewell.record import HoleOnDay
from ledgewell.steps.hole.shape import SLACK_M
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.fractures import Mouths
from ledgewell.steps.prove.laws import Normal
from ledgewell.steps.prove.layout import FIRST_STEP_S
from ledgewell.steps.prove.levels import reading_error
from ledgewell.steps.prove.posterior import RESPONSE, Beliefs, TestTarget, Wells, wells_from_rows
from ledgewell.steps.prove.priors import STATIC_UNREST_M, Priors
from ledgewell.steps.prove.repeating import HOUR_S
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.sampler import tempered
from ledgewell.steps.prove.timeline import MINUTE_S
from ledgewell.units import si_from

Floats = NDArray[np.float64]

LIKELY_WELLS = 600
"""Wells drawn from what is believed."""
LONGEST_S = 6 * HOUR_S
"""How long a pumping is followed [s]."""
AIRLIFT_SPREAD = 0.7
"""ln spread of a blown flow about an hour's yield at the bottom. Source: common practice, no source."""
LEAST_BLOWN_M3S = si_from(0.1, "gpm")
"""A hole that blew nothing blew less than can be seen, about this [m³/s]. Source: common practice, no source."""
PLANNED_METHOD = "electric tape"
TAPE_STEP_M = 0.003
"""Resolution of the planned readings: a hundredth of a foot [m]."""
_DAY_S = 86400.0


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """A hole, its water at rest, and a level in question.

    Parameters
    ----------
    hole, shape
        The hole on the day, and its free area by depth.
    mouths
        Its fractures.
    static_m, level_m
        Static level and level in question [m].
    priors
        What is believed of any well.
    """

    hole: HoleOnDay
    shape: HoleShape
    mouths: Mouths
    static_m: float
    level_m: float
    priors: Priors

    @property
    def error_m(self) -> float:
        """Error of a planned reading [m]."""
        return reading_error(PLANNED_METHOD, TAPE_STEP_M)

    def target(self, spans: list[Span], readings: tuple[Reading, ...] = ()) -> TestTarget:
        """Lay out a planned schedule with its readings, as the fit would take it.

        Parameters
        ----------
        spans
            The schedule.
        readings
            Readings planned; their values do not matter yet.
        """
        diameter = self.hole.intervals[-1].diameter_m
        problem = FitProblem(
            shape=self.shape,
            radius_m=diameter / 2 if diameter else 0.0762,
            static_m=self.static_m,
            fracture_depths_m=self.mouths.depths_m,
            spare_heads_m=self.mouths.spare_heads_m,
            steps=steps_for(spans, FIRST_STEP_S),
            readings=readings,
            reference_s=HOUR_S,
            deepest_m=self.level_m,
            intake_m=max(self.hole.bottom_m or self.level_m, self.level_m) + SLACK_M,
        )
        static = Normal(0.0, hypot(self.error_m, STATIC_UNREST_M))
        return TestTarget(problem, Beliefs(static=static, shares=self.mouths.share_laws), self.priors)


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """Likely wells with their weights.

    Parameters
    ----------
    rows, wells
        Candidates of `Outlook.target`, and the wells they stand for.
    weights
        Weight of each, shape (N,), summing to one.
    """

    rows: Floats
    wells: Wells
    weights: Floats

    def quantile(self, values: Floats, share: float) -> float:
        """Return the value below which a share of the likely wells lies; infinite values may be among them.

        Parameters
        ----------
        values
            One value a well.
        share
            From 0 to 1.
        """
        order = np.argsort(values)
        place = np.cumsum(self.weights[order])
        return float(values[order][min(int(np.searchsorted(place, share)), len(order) - 1)])


def likely_wells(outlook: Outlook, fit: Fit | None, rng: np.random.Generator) -> Likely:
    """Draw likely wells: from an earlier fit when there is one, else from the priors, weighed by the airlift notes.

    Parameters
    ----------
    outlook
        Hole and level.
    fit
        Settled fit of an earlier test of this well, or None.
    rng
        Source of randomness.
    """
    target = outlook.target([Span(seconds=HOUR_S, rate_m3s=1e-4)])
    if fit is not None:
        chosen = rng.choice(fit.wells.count, LIKELY_WELLS, replace=fit.wells.count < LIKELY_WELLS)
        rows = rows_from_wells(target, fit.wells.take(chosen), rng)
        return Likely(rows=rows, wells=wells_from_rows(target, rows, rng), weights=_even(len(rows)))
    rows = target.start(rng, LIKELY_WELLS)
    wells = wells_from_rows(target, rows, rng)
    return Likely(rows=rows, wells=wells, weights=airlift_weights(outlook.hole, wells))


def rows_from_wells(target: TestTarget, wells: Wells, rng: np.random.Generator) -> Floats:
    """Return candidates of a planned test from wells that an earlier test left.

    Parameters
    ----------
    target
        The planned test.
    wells
        Wells of an earlier fit.
    rng
        Source of randomness for what the new test has of its own: pump error, rest and scatter, and for shares where
        the fractures on record are no longer those of the earlier test.

    Notes
    -----
    The new pump has an error q of its own, so the fit to come will see R q and a/q. R grows with exp of the response
    column, whatever that column counts.
    """
    count, priors, problem = wells.count, target.priors, target.problem
    value, slope = problem.unit_response(wells.dimension, wells.log_time_constant)
    log_q = rng.normal(0.0, priors.rate_error, count)
    drawn = target.start(rng, count)
    ratios = drawn[:, FIRST_FREE - 1 : FIRST_FREE - 1 + problem.share_columns]
    if wells.shares.shape[1] == len(problem.fracture_depths_m):
        ratios = np.log(wells.shares[:, :-1] / wells.shares[:, -1:])
    columns = [
        np.zeros(count),
        slope / (value + wells.skin),
        wells.dimension,
        wells.log_time_constant,
        np.log(wells.area_factor) - log_q,
        target.beliefs.static.draw(rng, count),
        priors.log_scatter.draw(rng, count),
    ]
    rows = np.concatenate((np.stack(columns, axis=1), ratios), axis=1)
    at_zero = problem.explain(target.candidates(rows)).resistance_s_m2
    rows[:, RESPONSE] = np.log(wells.resistance_s_m2 / at_zero) + log_q
    return rows


def airlift_weights(hole: HoleOnDay, wells: Wells) -> Floats:
    """Weigh likely wells by the most that was blown while drilling, which is rough; alike without notes.

    Parameters
    ----------
    hole
        The hole with its notes.
    wells
        Likely wells.

    Notes
    -----
    The blown flow is taken as an hour's yield with the level at the bottom, lognormal about it.
    """
    blown = [fracture.airlift_m3s for fracture in hole.fractures if fracture.airlift_m3s is not None]
    if not blown or hole.bottom_m is None:
        return _even(wells.count)
    at_bottom = rock_yields(wells, np.array([hole.bottom_m]), np.array([HOUR_S]))[:, 0, 0]
    seen = np.log(np.maximum(at_bottom, LEAST_BLOWN_M3S))
    off = (seen - log(max(*blown, LEAST_BLOWN_M3S))) / AIRLIFT_SPREAD
    weights = np.exp(-0.5 * (off**2 - float(np.min(off**2))))
    found: Floats = weights / weights.sum()
    return found


def _even(count: int) -> Floats:
    return np.full(count, 1.0 / count)


def times_to_level(outlook: Outlook, likely: Likely, rate_m3s: float) -> Floats:
    """Return how long each likely well takes to come down to the level at a rate [s], infinite past six hours.

    Parameters
    ----------
    outlook, likely
        Hole and level, and the wells.
    rate_m3s
        Pump rate [m³/s].
    """
    at_s = np.geomspace(MINUTE_S / 4, LONGEST_S, 100)
    readings = tuple(Reading(at_s=float(t), value=0.0, error=1.0) for t in at_s)
    target = outlook.target([Span(seconds=LONGEST_S, rate_m3s=rate_m3s)], readings)
    levels = target.problem.explain(target.candidates(likely.rows)).predicted
    times = np.concatenate(([0.0], at_s))
    return np.array(
        [_crossing(times, np.concatenate(([outlook.static_m], row)), outlook.level_m) for row in levels]
    )


def _crossing(times: Floats, levels: Floats, level_m: float) -> float:
    past = np.flatnonzero(levels >= level_m)
    if not len(past):
        return float("inf")
    k = int(past[0])
    gone = (level_m - levels[k - 1]) / (levels[k] - levels[k - 1])
    return float(times[k - 1] + gone * (times[k] - times[k - 1]))


def widths_to_expect(
    outlook: Outlook,
    truths: Floats,
    spans: list[Span],
    at_min: tuple[float, ...],
    rng: np.random.Generator,
) -> Floats:
    """Return ln(high/low) of the 24 h yield at the level after each of some simulated tests, infinite from nothing.

    Parameters
    ----------
    outlook
        Hole and level.
    truths
        Rows of the wells simulated, one test each.
    spans
        The schedule.
    at_min
        Minutes of the readings.
    rng
        Source of randomness.

    Notes
    -----
    Each test is read with the error of an electric tape and the wander of the pump and fitted with a tempered
    population from the priors, without the chains of a full fit. Measured on 20 tests against the chains and against
    four times the population: 0.94 to 1.03 of their width in the middle, within 20 % for half of the tests.
    """
    readings = tuple(Reading(at_s=m * MINUTE_S, value=0.0, error=outlook.error_m) for m in at_min)
    target = outlook.target(spans, readings)
    widths = []
    for truth in target.problem.explain(target.candidates(truths)).predicted:
        noise = np.hypot(outlook.error_m, target.problem.floor * (truth - outlook.static_m))
        values = truth + noise * rng.normal(size=len(truth))
        read = tuple(replace(r, value=float(v)) for r, v in zip(readings, values, strict=True))
        fitted = replace(target, problem=replace(target.problem, readings=read))
        cloud = tempered(fitted, rng)
        wells = wells_from_rows(fitted, cloud.rows, rng)
        yields = rock_yields(wells, np.array([outlook.level_m]), np.array([_DAY_S]))[:, 0, 0]
        low, high = np.quantile(yields, [0.05, 0.95])
        widths.append(log(high / low) if low > 0 else float("inf"))
    return np.array(widths)
