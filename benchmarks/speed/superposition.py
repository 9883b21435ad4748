"""Compute a pumping test by superposing the response to all earlier inflow, vectorized over the steps.

The usual way of coupling a well bore to an aquifer of known step response: the inflow is straight over each
step, the drawdown is its convolution with a table of responses made beforehand, and the balance of the hole
gives the inflow at each step's end, and the level in between. The work grows with the square of the number of
steps, so as few are taken as the error asked allows.
"""

from __future__ import annotations

import numpy as np

from benchmarks.calibration.laplace_well import Floats, face_impedance, invert_laplace
from benchmarks.speed.problems import STEPS, SpeedProblem


def response_weights(problem: SpeedProblem, count: int = STEPS) -> Floats:
    """Tabulate the drawdown a triangle of inflow leaves after 0, 1, 2 ... steps.

    Parameters
    ----------
    problem
        The test; only rock and step length matter.
    count
        Number of steps.

    Returns
    -------
    Weights, shape (count,) [s/m2].

    Notes
    -----
    With P(t) the response to a ramp, the weights are P's second differences over the step; P is the inverse
    transform of G / p**2, G the impedance of the face, skin included.
    """
    times_s = np.linspace(0.0, problem.end_s, count + 1)[1:]
    ramp = invert_laplace(lambda p: face_impedance(problem.rock, p) / p**2, times_s)
    padded = np.concatenate([[0.0, 0.0], ramp])
    weights: Floats = (padded[2:] - 2.0 * padded[1:-1] + padded[:-2]) / times_s[0]
    return weights


def levels(problem: SpeedProblem, weights: Floats | None = None, count: int = STEPS) -> Floats:
    """Give the drawdown at the times asked.

    Parameters
    ----------
    problem
        The test.
    weights
        From `response_weights`, made here when not given.
    count
        Number of steps; the pump must stop at the end of one.

    Returns
    -------
    Drawdown, shape (480,) [m].
    """
    if weights is None:
        weights = response_weights(problem, count)
    step_s = problem.end_s / count
    pumped_m3s = np.where(
        np.arange(1, count + 1) * step_s <= problem.stop_s * (1 + 1e-12), problem.rate_m3s, 0.0
    )
    inflow, drawdown = _marched(pumped_m3s.tolist(), weights, step_s, problem.area_m2)
    return drawdown[1:] if count == STEPS else _between(problem, pumped_m3s, inflow, drawdown, step_s)


def _marched(
    pumped_m3s: list[float], weights: Floats, step_s: float, area_m2: float
) -> tuple[Floats, Floats]:
    """Give inflow and drawdown at the start and after each step."""
    count = weights.size
    backward = np.ascontiguousarray(weights[::-1])
    inflow, drawdown = np.zeros(count + 1), np.zeros(count + 1)
    half = 0.5 * step_s / area_m2
    newest = float(weights[0])
    level, last = 0.0, 0.0
    for n in range(count):
        behind = float(backward[count - 1 - n : count - 1] @ inflow[1 : n + 1])
        level += half * (2.0 * pumped_m3s[n] - last)
        last = (level - behind) / (newest + half)
        level -= half * last
        inflow[n + 1] = last
        drawdown[n + 1] = level
    return inflow, drawdown


def _between(
    problem: SpeedProblem, pumped_m3s: Floats, inflow: Floats, drawdown: Floats, step_s: float
) -> Floats:
    """Give the drawdown at the times asked from the water balance within the steps."""
    place = np.ceil(problem.times_s / step_s * (1 - 1e-12)).astype(int) - 1
    into_s = problem.times_s - place * step_s
    given = inflow[place] + 0.5 * into_s / step_s * (inflow[place + 1] - inflow[place])
    answer: Floats = drawdown[place] + into_s * (pumped_m3s[place] - given) / problem.area_m2
    return answer
