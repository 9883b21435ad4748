"""Are the residuals noise? If they drift together, the model does not fit, and the readings tell less than they seem."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.problem import LEVEL_READ, FitProblem
from ledgewell.steps.prove.posterior import SCATTER, Wells

Floats = NDArray[np.float64]

DRIFT_LIMIT = 0.45
"""Correlation of neighboring residuals from which they are not noise, at the least."""
DRIFT_SIGMAS = 3.0
"""… and how many of its own standard errors, 1/√n, it must reach."""
WILD_SCATTER = 3.0
"""Scatter over the method's own from which the readings do not fit."""
OUTLIER_SIGMAS = 5.0
"""Residual, in standard errors, from which one reading is named as perhaps wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """How the residuals look.

    Parameters
    ----------
    drift
        Correlation of neighboring residuals.
    scatter
        Middle of the true reading error over the method's.
    noise
        True when they look like noise.
    power
        Power of the likelihood that lets readings which drift together count once: (1 − ρ)/(1 + ρ).
    residuals
        Reading less the middle prediction, in standard errors; one for each reading of the problem.
    wrong
        Places, in the problem's readings, of single readings that are perhaps wrong.
    """

    drift: float
    scatter: float
    noise: bool
    power: float
    residuals: Floats
    wrong: tuple[int, ...]


def misfit_of(problem: FitProblem, wells: Wells) -> Misfit:
    """Judge the residuals of a fit.

    Parameters
    ----------
    problem
        The test.
    wells
        The sample.
    """
    middle = np.median(wells.predicted, axis=0)
    scatter = float(np.exp(np.median(wells.rows[:, SCATTER])))
    rest = float(np.median(wells.rest_m))
    value = np.array([reading.value for reading in problem.readings])
    error = np.array([reading.error for reading in problem.readings])
    level = np.array([reading.kind == LEVEL_READ for reading in problem.readings])
    scale = np.where(level, np.hypot(scatter * error, problem.floor * (middle - rest)), error)
    residuals = (value - middle) / scale
    wrong = np.flatnonzero(level & (np.abs(residuals) > OUTLIER_SIGMAS))
    sound = residuals[level & (np.abs(residuals) <= OUTLIER_SIGMAS)]
    drift = _drift(sound)
    drifts = len(sound) >= 8 and drift > max(DRIFT_LIMIT, DRIFT_SIGMAS / np.sqrt(len(sound)))
    wild = scatter > WILD_SCATTER
    many = len(wrong) > max(1, 0.15 * int(level.sum()))
    noise = not (drifts or wild or many)
    power = 1.0 if noise else (1 - min(max(drift, 0.3), 0.9)) / (1 + min(max(drift, 0.3), 0.9))
    return Misfit(
        drift=drift,
        scatter=scatter,
        noise=noise,
        power=power,
        residuals=residuals,
        wrong=tuple(int(place) for place in wrong) if noise else (),
    )


def _drift(residuals: Floats) -> float:
    if len(residuals) < 4:
        return 0.0
    total = float(np.sum(residuals**2))
    return float(np.sum(residuals[1:] * residuals[:-1]) / total) if total > 0 else 0.0
