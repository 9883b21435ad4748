"""Fit one test: sample the wells that explain it until the yield has settled, and look whether the model fits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ledgewell.steps.prove.layout import Layout
from ledgewell.steps.prove.misfit import Misfit, misfit_of
from ledgewell.steps.prove.posterior import TestTarget, Wells, wells_from_rows
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.sampler import Chains, Cloud, tempered, weighed
from ledgewell.steps.prove.settling import SIZE_LIMIT, Settling, settling_from_draws

Floats = NDArray[np.float64]

LEARNING = (150, 300)
"""Steps of the first walks, which only teach the mixture."""
WALKS = (900, 1800, 3600, 7200, 14400, 28800)
"""Steps of each chain in the walks that count, one after another until the yield has settled."""
JUDGED = 6000
"""Draws on which settling is judged."""
KEPT = 2000
"""Wells kept of a settled sample."""
DAY_S = 86400.0
LOOSE = 2
"""With so few readings the prior still tells, and draws from it are weighed instead of walked."""


class Progress(Protocol):
    """Told how far the work has come, 0 to 1, and what is being done."""

    def __call__(self, done: float, what: str, /) -> None:
        """Take note."""


def silent(_done: float, _what: str, /) -> None:
    """Take no note."""


@dataclass(frozen=True, kw_only=True)
class Fit:
    """The settled (or not) sample of wells that explain a test.

    Parameters
    ----------
    layout, target
        The test as laid out, and its posterior.
    wells
        The wells kept, all equally likely.
    settling
        How far the 24 h yield at the deepest level tested has settled.
    misfit
        Whether the residuals are noise.
    cloud
        Rows from which a fit with more readings may start.
    """

    layout: Layout
    target: TestTarget
    wells: Wells
    settling: Settling
    misfit: Misfit
    cloud: Cloud

    @property
    def settled(self) -> bool:
        """True when bands may be printed."""
        return self.settling.settled


def fit_test(layout: Layout, priors: Priors, seed: int, progress: Progress = silent) -> Fit:
    """Fit a test; where the residuals are not noise, fit again with readings that count for less.

    Parameters
    ----------
    layout
        The test.
    priors
        What is believed of any well.
    seed
        Seed of the sample; same layout and seed, same sample to the last digit on one machine.
    progress
        Told how far the work has come.
    """
    rates = {
        round(s.rate_m3s, 9) for s in layout.timeline.stretches if s.rate_m3s is not None and s.rate_m3s > 0
    }
    target = TestTarget(layout.problem, layout.beliefs, priors, sees_loss=len(rates) > 1)
    fit = sampled(layout, target, seed, progress)
    if fit.misfit.noise:
        return fit
    progress(0.0, "the residuals are not noise: fitting again, wider")
    wider = sampled(layout, replace(target, power=fit.misfit.power), seed, progress)
    return replace(wider, misfit=fit.misfit)


def sampled(layout: Layout, target: TestTarget, seed: int, progress: Progress = silent) -> Fit:
    """Sample one target until the 24 h yield at the deepest level tested has settled, or the allowance is spent."""
    rng = np.random.default_rng(seed)
    level = np.array([layout.deepest_m])
    if len(layout.problem.readings) <= LOOSE:
        return _weighed(layout, target, rng, level, progress)
    progress(0.05, "finding the wells that explain the test")
    cloud = tempered(target, rng)
    chains = Chains(target, cloud, rng)
    for steps in LEARNING:
        walk = chains.run(steps)
        chains.learn(_late(walk.rows))
    for place, steps in enumerate(WALKS):
        progress(0.3 + 0.6 * place / len(WALKS), "walking among them until the yield settles")
        walk = chains.run(steps)
        stride = max(1, walk.fit.size // JUDGED)
        judged = walk.rows[:, ::stride]
        wells = wells_from_rows(target, judged.reshape(-1, judged.shape[2]), rng)
        yields = rock_yields(wells, level, np.array([DAY_S]))[:, 0, 0]
        settling = settling_from_draws(yields.reshape(judged.shape[:2]))
        if settling.settled:
            break
        chains.learn(_late(walk.rows))
    kept = rng.permutation(wells.count)[:KEPT]
    wells = wells.take(kept)
    return Fit(
        layout=layout,
        target=target,
        wells=wells,
        settling=settling,
        misfit=misfit_of(target.problem, wells),
        cloud=chains.now,
    )


def _weighed(
    layout: Layout, target: TestTarget, rng: np.random.Generator, level: Floats, progress: Progress
) -> Fit:
    """Sample a test of next to no readings by weighing draws from the prior."""
    progress(0.05, "weighing likely wells by the few readings there are")
    rows, size = weighed(target, rng, 2 * SIZE_LIMIT)
    wells = wells_from_rows(target, rows.reshape(-1, rows.shape[2]), rng)
    yields = rock_yields(wells, level, np.array([DAY_S]))[:, 0, 0]
    settling = settling_from_draws(yields.reshape(rows.shape[:2]))
    settling = replace(settling, effective_size=min(size, settling.effective_size))
    flat = rows.reshape(-1, rows.shape[2])
    some = flat[rng.permutation(len(flat))[:16]]
    cloud = Cloud(some, *target.density(some))
    wells = wells.take(rng.permutation(wells.count)[:KEPT])
    misfit = misfit_of(target.problem, wells)
    return Fit(layout=layout, target=target, wells=wells, settling=settling, misfit=misfit, cloud=cloud)


def _late(rows: Floats) -> Floats:
    """Return the last two thirds of every chain's rows as one list."""
    late = rows[:, rows.shape[1] // 3 :]
    return late.reshape(-1, late.shape[2])
