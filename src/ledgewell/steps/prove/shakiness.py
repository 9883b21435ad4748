"""In a test of few levels one bad reading could change the answer: by how much, and the band widened for it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ledgewell.steps.findings import Estimate
from ledgewell.steps.prove.fitting import DAY_S, Fit, sampled
from ledgewell.steps.prove.rock_yield import rock_yields
from ledgewell.steps.prove.standing import RockYield

FEW = 8
"""A test with fewer levels than this cannot tell a bad reading from the truth."""
LEAST = 3
"""With fewer levels than this no reading can be left out at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shakiness:
    """What one wrong reading could do to the yield.

    Parameters
    ----------
    levels
        Number of levels of the test.
    lower, higher
        Factors by which the low and high figures are moved: to the lowest and highest middle that leaving out one
        reading gives; 1 when the test has levels enough, or too few to leave one out.
    """

    levels: int
    lower: float
    higher: float

    @property
    def few(self) -> bool:
        """True when one bad reading could change the answer."""
        return self.levels < FEW

    def widened(self, answer: RockYield) -> RockYield:
        """Return a yield with its band widened."""
        bounded = None if answer.bounded is None else self._wider(answer.bounded)
        return replace(answer, rate=self._wider(answer.rate), bounded=bounded)

    def _wider(self, rate: Estimate) -> Estimate:
        return replace(rate, low=rate.low * self.lower, high=rate.high * self.higher)


def shakiness_of(fit: Fit, seed: int) -> Shakiness:
    """Leave out each reading of a short test in turn and see where the 24 h yield goes.

    Parameters
    ----------
    fit
        The fit with all readings.
    seed
        Seed of the samples.
    """
    readings = fit.layout.problem.readings
    count = len(readings)
    levels = len(fit.layout.levels)
    if levels >= FEW or count < LEAST:
        return Shakiness(levels=levels, lower=1.0, higher=1.0)
    level = np.array([fit.layout.deepest_m])
    low, high = np.quantile(_yields(fit, level), [0.05, 0.95])
    middles = []
    for left_out in range(count):
        kept = readings[:left_out] + readings[left_out + 1 :]
        problem = replace(fit.layout.problem, readings=kept)
        target = replace(fit.target, problem=problem)
        other = sampled(fit.layout, target, seed)
        middles.append(float(np.median(_yields(other, level))))
    if low <= 0:
        return Shakiness(levels=levels, lower=1.0, higher=max(1.0, max(middles) / max(high, 1e-12)))
    return Shakiness(
        levels=levels, lower=min(1.0, min(middles) / float(low)), higher=max(1.0, max(middles) / float(high))
    )


def _yields(
    fit: Fit, level: np.ndarray[tuple[int], np.dtype[np.float64]]
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    flows = rock_yields(fit.wells, level, np.array([DAY_S]))
    column: np.ndarray[tuple[int], np.dtype[np.float64]] = flows[:, 0, 0]
    return column
