"""A curve through readings by least squares, from one or several starts, with standard errors."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from ledgewell.physics.closed_forms.arguments import FloatArray

NEARNESS = 1e-12
"""Relative change at which a fit is taken as found."""


@dataclass(frozen=True, slots=True)
class CurveFit:
    """The best of the fits begun from each start.

    Parameters
    ----------
    values
        The unknowns found, shape (N,).
    errors
        Their standard errors, shape (N,); infinite where readings and unknowns are equal in number.
    sum_of_squares
        Sum of the squared misfits.
    """

    values: FloatArray
    errors: FloatArray
    sum_of_squares: float


def curve_through(
    misfit: Callable[[FloatArray], FloatArray],
    starts: Sequence[Sequence[float]],
    lowest: Sequence[float] | None = None,
    highest: Sequence[float] | None = None,
) -> CurveFit:
    """Fit the unknowns of a curve by least squares.

    Parameters
    ----------
    misfit
        Curve less readings, shape (K,), from the unknowns, shape (N,).
    starts
        Where to begin; the best result is kept.
    lowest, highest
        Bounds of each unknown; none when left out.

    Returns
    -------
    CurveFit
        Unknowns, standard errors and sum of squares.

    Notes
    -----
    The errors are those of the straightened problem, σ²(JᵀJ)⁻¹ with σ² = squares/(K − N).

    Examples
    --------
    >>> x = np.array([1.0, 2.0, 3.0])
    >>> fit = curve_through(lambda unknown: np.exp(unknown[0] * x) - np.exp(0.5 * x), [[0.1]])
    >>> round(float(fit.values[0]), 6)
    0.5
    """
    from scipy.optimize import least_squares

    low = lowest if lowest is not None else [-inf] * len(starts[0])
    high = highest if highest is not None else [inf] * len(starts[0])
    solutions = [
        least_squares(misfit, start, bounds=(low, high), xtol=NEARNESS, ftol=NEARNESS, gtol=NEARNESS)
        for start in starts
    ]
    best = min(solutions, key=lambda solution: float(solution.cost))
    jacobian = np.asarray(best.jac, dtype=np.float64)
    squares = 2 * float(best.cost)
    spare = jacobian.shape[0] - jacobian.shape[1]
    spread = np.sqrt(np.maximum(np.diag(np.linalg.pinv(jacobian.T @ jacobian)), 0.0))
    errors = spread * sqrt(squares / spare) if spare > 0 else np.full(jacobian.shape[1], inf)
    return CurveFit(np.asarray(best.x, dtype=np.float64), np.asarray(errors, dtype=np.float64), squares)
