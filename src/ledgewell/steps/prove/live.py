"""One more reading on a running test: the sample in hand carried over to it, quickly, and marked live.

A settled answer is always sampled anew from record and seed; a live one never enters a comparison or a paper.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.problem import FitProblem
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import Layout
from ledgewell.steps.prove.posterior import LOSS, TestTarget, Wells, wells_from_rows
from ledgewell.steps.prove.sampler import Cloud, sweep

Floats = NDArray[np.float64]

PARTICLES = 800
SWEEPS = 6
LEAST_SIZE = 40.0
"""Effective number of wells the new reading must leave for a sample to be carried over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """A sample carried over to further readings.

    Parameters
    ----------
    wells
        The wells, all equally likely.
    target
        The posterior they stand for.
    effective_size
        Effective number of the old wells that the new readings left.
    """

    wells: Wells
    target: TestTarget
    effective_size: float


def update_live(fit: Fit | Live, layout: Layout, seed: int = 1) -> Live | None:
    """Carry a sample over to the same test with further readings.

    Parameters
    ----------
    fit
        The settled fit, or the last live sample, of the test before.
    layout
        The test with the further readings.
    seed
        Seed of the moves.

    Returns
    -------
    Live or None
        None when the test has changed too much to be carried over (other unknowns, a second rate that first shows the
        loss, or readings that leave next to no well): then it must be fitted anew.

    Notes
    -----
    The wells are weighed by the ratio of the new likelihood to the old, resampled, and moved a few times by
    differences of one another, all of which leave the new posterior as it is.

    A change of the time or level at which responses are taken would change the meaning of the columns, so both stay
    those of the first fit.
    """
    old = fit.target
    problem = replace(layout.problem, reference_s=old.problem.reference_s, deepest_m=old.problem.deepest_m)
    target = replace(old, problem=problem, beliefs=layout.beliefs)
    rows = _sampled_rows(old, fit.wells)
    if problem.width != old.problem.width or len(layout.beliefs.free) != len(old.beliefs.free):
        return None
    if several_rates(problem) != old.sees_loss:
        return None
    prior, likely = target.density(rows)
    before = sum(old.density(rows))
    gain = np.where(np.isfinite(prior), prior + likely - before, -np.inf)
    if not np.isfinite(gain.max()):
        return None
    weight = np.exp(gain - gain.max())
    size = float(weight.sum() ** 2 / (weight**2).sum())
    if size < LEAST_SIZE:
        return None
    rng = np.random.default_rng([seed, len(problem.readings)])
    ladder = (rng.random() + np.arange(PARTICLES)) / PARTICLES * weight.sum()
    cloud = Cloud(rows, prior, likely).take(
        np.minimum(np.searchsorted(np.cumsum(weight), ladder), len(rows) - 1)
    )
    for _ in range(SWEEPS):
        sweep(target, cloud, rng, 1.0, 0.7)
    return Live(wells=wells_from_rows(target, cloud.rows, rng), target=target, effective_size=size)


def several_rates(problem: FitProblem) -> bool:
    """Return whether a test was pumped at more than one known rate, so that its loss is sampled.

    Parameters
    ----------
    problem
        The test.
    """
    return len({round(span.rate_m3s, 9) for span in problem.steps.spans if span.rate_m3s > 0}) > 1


def _sampled_rows(target: TestTarget, wells: Wells) -> Floats:
    """Return the rows as they are sampled: without the loss where it is not."""
    rows: Floats = wells.rows if target.sees_loss else np.delete(wells.rows, LOSS, axis=1)
    return rows
