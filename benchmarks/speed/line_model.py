"""Compute a pumping test by the method of lines and SciPy's stiff integrators, banded.

A radial model with one node per cell of a grid that grows away from the well, the hole being the first node,
so that the matrix is tridiagonal. Cells, tolerance and method were tuned for speed under an error of a
thousandth of the deepest drawdown: LSODA with banded Jacobian takes a third of the time of BDF or Radau here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np
from scipy.integrate import odeint, solve_ivp

from benchmarks.calibration.laplace_well import Floats
from benchmarks.speed.problems import SpeedProblem

CELLS = 24
REACH = 6.0
TOLERANCE = 1e-3


def banded_slopes(problem: SpeedProblem, cells: int) -> Floats:
    """Build the tridiagonal matrix of d(drawdown)/dt, hole first, in packed bands.

    Parameters
    ----------
    problem
        The test; flow dimension 2.
    cells
        Cells of rock.

    Returns
    -------
    Bands above, on and below the diagonal, shape (3, cells + 1) [1/s].
    """
    rock = problem.rock
    if rock.flow_dimension != 2.0:
        raise ValueError("the line model is radial, flow dimension 2")
    reach = REACH * math.sqrt(problem.end_s / rock.face_time_s)
    edges = np.exp(np.linspace(0.0, math.log1p(reach), cells + 1))
    nodes = np.sqrt(edges[:-1] * edges[1:])
    resistance = np.log(np.concatenate([[nodes[0]], nodes[1:] / nodes[:-1]]))
    resistance[0] += rock.skin
    conductance = 2.0 * math.pi * rock.transmissivity_m2s / resistance
    ring_m2 = math.pi * rock.storativity * (rock.well_radius_m**2) * np.diff(edges**2)
    storage_m2 = np.concatenate([[problem.area_m2], ring_m2])
    bands = np.zeros((3, cells + 1))
    bands[0, 1:] = conductance / storage_m2[:-1]
    bands[2, :-1] = conductance / storage_m2[1:]
    bands[1, :-1] -= bands[0, 1:]
    bands[1, 1:] -= bands[2, :-1]
    return bands


def levels(problem: SpeedProblem, cells: int = CELLS, tolerance: float = TOLERANCE) -> Floats:
    """Give the drawdown at the times asked, by `solve_ivp` with LSODA and a banded Jacobian.

    Parameters
    ----------
    problem
        The test.
    cells, tolerance
        Cells of rock, and the integrator's relative tolerance [-].

    Returns
    -------
    Drawdown, shape (480,) [m].
    """
    bands = banded_slopes(problem, cells)
    slope = _slope_from_bands(bands)
    state, answer = np.zeros(cells + 1), []
    for begin_s, end_s, pump_ms in _phases(problem):
        at_s = problem.times_s[(problem.times_s > begin_s) & (problem.times_s <= end_s)]
        run = solve_ivp(
            partial(slope, pump_ms),
            (begin_s, end_s),
            state,
            "LSODA",
            at_s,
            rtol=tolerance,
            atol=_absolute_tolerance_m(problem, tolerance),
            jac=lambda _, __: bands,
            lband=1,
            uband=1,
        )
        state = run.y[:, -1]
        answer.append(run.y[0])
    return np.concatenate(answer)


def levels_by_odeint(problem: SpeedProblem, cells: int = CELLS, tolerance: float = TOLERANCE) -> Floats:
    """Give the drawdown at the times asked, by the older `odeint`: the same LSODA, its step loop compiled.

    Parameters
    ----------
    problem
        The test.
    cells, tolerance
        Cells of rock, and the integrator's relative tolerance [-].

    Returns
    -------
    Drawdown, shape (480,) [m].
    """
    bands = banded_slopes(problem, cells)
    slope = _slope_from_bands(bands)
    state, answer = np.zeros(cells + 1), []
    for begin_s, end_s, pump_ms in _phases(problem):
        at_s = problem.times_s[(problem.times_s > begin_s) & (problem.times_s <= end_s)]
        states = odeint(
            partial(slope, pump_ms),
            state,
            np.concatenate([[begin_s], at_s]),
            tfirst=True,
            Dfun=lambda _, __: bands,
            ml=1,
            mu=1,
            rtol=tolerance,
            atol=_absolute_tolerance_m(problem, tolerance),
        )
        state = states[-1]
        answer.append(states[1:, 0])
    return np.concatenate(answer)


def _slope_from_bands(bands: Floats) -> Callable[[float, float, Floats], Floats]:
    above, on, below = bands[0, 1:].copy(), bands[1].copy(), bands[2, :-1].copy()

    def slope(pump_ms: float, _: float, state: Floats) -> Floats:
        change: Floats = on * state
        change[:-1] += above * state[1:]
        change[1:] += below * state[:-1]
        change[0] += pump_ms
        return change

    return slope


def _phases(problem: SpeedProblem) -> tuple[tuple[float, float, float], ...]:
    """List begin, end and the fall of the level the pump alone would cause [s, s, m/s]."""
    pump_ms = problem.rate_m3s / problem.area_m2
    return (0.0, problem.stop_s, pump_ms), (problem.stop_s, problem.end_s, 0.0)


def _absolute_tolerance_m(problem: SpeedProblem, tolerance: float) -> float:
    """Scale the tolerance by a hundredth of the fall of a hole that gets no water [m]."""
    return tolerance * 1e-2 * problem.rate_m3s * problem.stop_s / problem.area_m2
