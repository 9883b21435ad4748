"""Compute a pumping test by superposing the response to all earlier inflow, vectorized over the steps.

The usual way of coupling a well bore to an aquifer of known step response: the inflow is straight over each
of 480 steps, the drawdown is its convolution with a table of responses made beforehand, and the balance of
the hole gives the inflow at each step's end. The work grows with the square of the number of steps.
"""

from __future__ import annotations

import numpy as np

from benchmarks.calibration.laplace_well import Floats, face_impedance, invert_laplace
from benchmarks.speed.problems import SpeedProblem


def response_weights(problem: SpeedProblem) -> Floats:
    """Tabulate the drawdown a triangle of inflow leaves after 0, 1, 2 ... steps.

    Parameters
    ----------
    problem
        The test; only rock and step length matter.

    Returns
    -------
    Weights, shape (480,) [s/m2].

    Notes
    -----
    With P(t) the response to a ramp, the weights are P's second differences over the step; P is the inverse
    transform of G / p**2, G the impedance of the face, skin included.
    """
    times_s = problem.times_s
    ramp = invert_laplace(lambda p: face_impedance(problem.rock, p) / p**2, times_s)
    padded = np.concatenate([[0.0, 0.0], ramp])
    weights: Floats = (padded[2:] - 2.0 * padded[1:-1] + padded[:-2]) / times_s[0]
    return weights


def levels(problem: SpeedProblem, weights: Floats | None = None) -> Floats:
    """Give the drawdown at the times asked.

    Parameters
    ----------
    problem
        The test.
    weights
        From `response_weights`, made here when not given.

    Returns
    -------
    Drawdown, shape (480,) [m].
    """
    if weights is None:
        weights = response_weights(problem)
    times_s = problem.times_s
    count, step_s = times_s.size, float(times_s[0])
    pumped_m3s = np.where(times_s <= problem.stop_s, problem.rate_m3s, 0.0).tolist()
    backward = np.ascontiguousarray(weights[::-1])
    inflow = np.zeros(count)
    drawdown = np.empty(count)
    half = 0.5 * step_s / problem.area_m2
    newest = float(weights[0])
    level, last = 0.0, 0.0
    for n in range(count):
        behind = float(backward[count - 1 - n : count - 1] @ inflow[:n])
        level += half * (2.0 * pumped_m3s[n] - last)
        last = (level - behind) / (newest + half)
        level -= half * last
        inflow[n] = last
        drawdown[n] = level
    return drawdown
