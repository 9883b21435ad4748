"""How wide the 24 h yield would be after more readings: the sample's own wells are taken for the truth in turn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.problem import FLOW_READ, LEVEL_READ, FitProblem, Reading
from ledgewell.physics.schedule import steps_for
from ledgewell.steps.findings import JsonTable
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import FIRST_STEP_S, FLOW_ERROR
from ledgewell.steps.prove.posterior import SCATTER
from ledgewell.steps.prove.priors import UNSTATED_ERROR_M
from ledgewell.steps.prove.rulebook import readings_due
from ledgewell.steps.prove.spread import weighted_quantiles
from ledgewell.steps.prove.timeline import MINUTE_S

Floats = NDArray[np.float64]

MORE_MINUTES = (10.0, 20.0, 30.0)
TRUTHS = 48
"""Wells of the sample taken in turn for the true one."""
LEAST_WEIGHT = 100.0
"""Effective number of wells under which further readings are counted for less, lest a handful decide."""
_COOLING = 0.8
_LEAST_POWER = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What more minutes of reading are expected to bring.

    Parameters
    ----------
    minutes
        How many more [min].
    width
        Expected ln(high/low) of the 24 h yield then, the mean over the wells taken for the truth.
    effective_size
        Middle effective number of wells that the further readings left, before any were counted for less.
    tempered
        Share of the wells taken for the truth at which the readings had to be counted for less: the width is then too
        wide rather than too narrow.
    """

    minutes: float
    width: float
    effective_size: float
    tempered: float

    @property
    def rough(self) -> bool:
        """True when the readings were counted for less for most of the wells taken for the truth."""
        return self.tempered > 0.5

    def to_json(self) -> JsonTable:
        """Write minutes and width, and that it is rough where it is."""
        row: JsonTable = {"minutes": self.minutes, "width": self.width}
        return {**row, "rough": True} if self.rough else row


def expected_widths(
    fit: Fit, yields_m3s: Floats, minutes: tuple[float, ...] = MORE_MINUTES
) -> tuple[tuple[float, float], ...]:
    """Return pairs of minutes and expected width; see `widths_ahead`."""
    return tuple((each.minutes, each.width) for each in widths_ahead(fit, yields_m3s, minutes))


def widths_ahead(
    fit: Fit, yields_m3s: Floats, minutes: tuple[float, ...] = MORE_MINUTES
) -> tuple[Expected, ...]:
    """Return what is expected of some more minutes of reading, from the sample itself.

    Parameters
    ----------
    fit
        The settled fit.
    yields_m3s
        24 h yield of each of its wells [m³/s], shape (N,).
    minutes
        How many more minutes, rising.

    Returns
    -------
    tuple of Expected
        None when a well of the sample gives nothing, for then there is no width.

    Notes
    -----
    Some wells are taken in turn for the truth; their further readings, with the error of the method, the well's own
    scatter and the wander of the pump, reweight all wells by the robust law of the fit, to the power at which the fit
    counts its readings. Where fewer than `LEAST_WEIGHT` wells would decide, the power is lowered until enough do.
    Widths between weighted 5 and 95 % quantiles are averaged over the truths.
    """
    if float(yields_m3s.min()) <= 0:
        return ()
    problem, at_min = further_problem(fit, minutes[-1])
    rows = fit.wells.rows
    predicted = problem.explain(rows).predicted
    scale = _scales(fit, problem, predicted)
    rng = np.random.default_rng([len(at_min), len(rows)])
    truths = rng.choice(len(rows), min(TRUTHS, len(rows)), replace=False)
    log_yield = np.log(yields_m3s)
    widths, sizes, powers = (np.empty((len(truths), len(minutes))) for _ in range(3))
    for place, truth in enumerate(truths):
        read = predicted[truth] + scale[truth] * rng.normal(size=len(at_min))
        explained = fit.target.power * (_log_law((read - predicted) / scale) - np.log(scale))
        for column, more in enumerate(minutes):
            total = explained[:, at_min <= more + 1e-9].sum(axis=1)
            weights, sizes[place, column], powers[place, column] = tempered_weights(total)
            low, _, high = weighted_quantiles(log_yield, weights)
            widths[place, column] = high - low
    return tuple(
        Expected(
            minutes=more,
            width=float(widths[:, column].mean()),
            effective_size=float(np.median(sizes[:, column])),
            tempered=float(np.mean(powers[:, column] < 1)),
        )
        for column, more in enumerate(minutes)
    )


def _scales(fit: Fit, problem: FitProblem, predicted: Floats) -> Floats:
    """Return the standard error of each further reading for each well."""
    error = np.array([reading.error for reading in problem.readings])
    level = np.array([reading.kind == LEVEL_READ for reading in problem.readings], dtype=bool)
    scatter = np.exp(fit.wells.rows[:, SCATTER])[:, None]
    wander = problem.floor * (predicted - fit.wells.rest_m[:, None])
    scales: Floats = np.where(level, np.hypot(scatter * error, wander), error)
    return scales


def _log_law(z: Floats) -> Floats:
    """Return ln of the robust law of the fit, less ln scale: a normal error, or now and then a wide Cauchy one."""
    from ledgewell.physics.fit import OUTLIER_SHARE, OUTLIER_WIDTH

    good = (1 - OUTLIER_SHARE) * np.exp(-0.5 * z * z) / sqrt(2 * pi)
    law: Floats = np.log(good + OUTLIER_SHARE / (pi * OUTLIER_WIDTH * (1 + (z / OUTLIER_WIDTH) ** 2)))
    return law


def tempered_weights(log_likelihood: Floats, least: float = LEAST_WEIGHT) -> tuple[Floats, float, float]:
    """Return weights of wells, their effective number as the readings are, and the power they were counted at.

    Parameters
    ----------
    log_likelihood
        ln likelihood of the further readings under each well, shape (N,).
    least
        Effective number wanted; a quarter of the wells when these are few.

    Examples
    --------
    >>> weights, size, power = tempered_weights(np.zeros(400))
    >>> size, power
    (400.0, 1.0)
    """
    wanted = min(least, len(log_likelihood) / 4)
    power, whole = 1.0, 0.0
    while True:
        weights: Floats = np.exp(power * (log_likelihood - log_likelihood.max()))
        size = float(weights.sum() ** 2 / (weights**2).sum())
        whole = size if power == 1.0 else whole
        if size >= wanted or power < _LEAST_POWER:
            return weights, whole, power
        power *= _COOLING


def further_problem(fit: Fit, minutes: float) -> tuple[FitProblem, Floats]:
    """Return the test with its last stretch going on and the readings due then, and their minutes from now.

    Parameters
    ----------
    fit
        The fit.
    minutes
        How long the last stretch goes on [min].

    Returns
    -------
    problem, minutes
        Levels are read as the schedule asks; where a level is held, the outflow is.
    """
    layout, problem = fit.layout, fit.layout.problem
    last = layout.timeline.stretches[-1]
    spans = list(problem.steps.spans)
    spans[-1] = replace(spans[-1], seconds=spans[-1].seconds + minutes * MINUTE_S)
    now = last.end_min
    due = readings_due(now, now + minutes, last.start_min)
    kind, error = (
        (FLOW_READ, _flow_error(problem)) if last.held_m is not None else (LEVEL_READ, _level_error(fit))
    )
    readings = tuple(
        Reading(at_s=layout.timeline.seconds_at(at), value=0.0, error=error, kind=kind) for at in due
    )
    return replace(problem, steps=steps_for(spans, FIRST_STEP_S), readings=readings), np.array(due) - now


def _level_error(fit: Fit) -> float:
    """Return the error a further level is expected to have [m]: the middle one so far."""
    errors = [level.error_m for level in fit.layout.levels]
    return float(np.median(errors)) if errors else UNSTATED_ERROR_M


def _flow_error(problem: FitProblem) -> float:
    """Return the error of a further outflow [m³/s]: a share of the middle one read while the level was held."""
    return FLOW_ERROR * float(np.median([r.value for r in problem.readings if r.kind == FLOW_READ]))
