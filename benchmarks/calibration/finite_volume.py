"""March a well with several fractures through a test by finite volumes, one radial domain to a fracture.

Nothing here is shared with the Laplace-domain well beside it or with the package: the rock is cut into cells
whose widths grow away from the face, the hole is a volume that casing and bore give a shape, and both are
stepped together by an implicit, L-stable, second-order rule. A fracture above the level drips free: it gives
and cannot take.

Sources: Barker, J.A., 1988, Water Resour. Res. 24(10), 1796-1804 (flow geometry); Bank, R.E. et al., 1985,
IEEE Trans. Electron Devices 32(10), 1992-2007 (trapezoid and second-order backward rule in one step; from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpttrf, dpttrs

from benchmarks.calibration.laplace_well import RockTruth

Floats = NDArray[np.float64]

GAMMA = 2.0 - math.sqrt(2.0)
IMPLICIT = GAMMA / 2.0
FROM_MIDDLE = 1.0 / (GAMMA * (2.0 - GAMMA))
BEYOND_M = 1000.0  # far enough that the straight ends of the balance are told from rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Say how finely to cut rock and time.

    Parameters
    ----------
    growth
        Natural logarithm of the ratio of neighboring cell widths [-].
    first_cell
        Width of the first cell over the least of the face radius and the reach in `first_step_s` [-].
    reach
        Outer end of the cells, in diffusion lengths sqrt(t/tc) at the last time [-].
    first_step_s
        First step after the pump starts or stops [s].
    step_growth
        Step over the time since the pump last changed [-].
    longest_step_s
        Longest step of a test [s].
    """

    growth: float = 0.08
    first_cell: float = 0.1
    reach: float = 9.0
    first_step_s: float = 0.5
    step_growth: float = 0.06
    longest_step_s: float = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fracture:
    """Place one fracture: how far below the static level it lies [m], and its share of the whole rock [-]."""

    drawdown_m: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleShape:
    """Shape the hole below the static level.

    Parameters
    ----------
    area_m2
        Free area from the static level down [m2].
    lower_area_m2
        Free area below `change_m` [m2].
    change_m
        How far below the static level the area changes [m]; infinite where it does not, 0 where it is
        already past.
    """

    area_m2: float
    lower_area_m2: float
    change_m: float

    def volume_m3(self, drawdown_m: float) -> float:
        """Give the water gone from the hole at a drawdown [m3]."""
        upper_m = min(drawdown_m, self.change_m)
        return self.area_m2 * upper_m + self.lower_area_m2 * (drawdown_m - upper_m)

    def drawdown_m(self, volumes_m3: Floats) -> Floats:
        """Give the drawdown at which so much water is gone, shape as given [m]."""
        upper = np.minimum(volumes_m3, self.area_m2 * self.change_m if self.change_m else 0.0)
        drawdown: Floats = upper / self.area_m2 + (volumes_m3 - upper) / self.lower_area_m2
        return drawdown


@dataclass(frozen=True, slots=True)
class Cells:
    """Hold one rock domain of share 1: storage [m2] of each cell and conductance [m2/s] on its inner side."""

    storage_m2: Floats
    conductance_m2s: Floats

    def factor(self, weight_s: float) -> tuple[Floats, Floats]:
        """Factor storage + weight * (flow matrix), symmetric and tridiagonal."""
        flow = self.conductance_m2s * weight_s
        diagonal = self.storage_m2 + flow
        diagonal[:-1] += flow[1:]
        d, e, failed = dpttrf(diagonal, -flow[1:])
        if failed:
            raise ArithmeticError(f"flow matrix not positive at row {failed}")
        return d, e


def cut_rock(rock: RockTruth, first_s: float, last_s: float, mesh: Mesh) -> Cells:
    """Cut the rock into cells from the face to beyond the reach of the last time.

    Parameters
    ----------
    rock
        The rock, without an outer edge; skin sits in the first conductance.
    first_s, last_s
        Shortest time to be resolved and the end of the run [s].
    mesh
        Fineness.

    Notes
    -----
    Between nodes at x (in face radii) the drawdown of steady flow, R Q times the integral of x**(1-n), is
    exact; a cell stores (tc/R) times the integral of x**(n-1).
    """
    if rock.edge != "none":
        raise ValueError("finite volumes are cut for rock without an outer edge")
    tc = rock.face_time_s
    width = mesh.first_cell * min(1.0, math.sqrt(first_s / tc))
    end = mesh.reach * math.sqrt(last_s / tc) + width
    count = math.ceil(math.log1p(end * math.expm1(mesh.growth) / width) / mesh.growth)
    scale = width / math.expm1(mesh.growth)
    edges = 1.0 + scale * np.expm1(mesh.growth * np.arange(count + 1))
    nodes = np.concatenate([[1.0], 1.0 + scale * np.expm1(mesh.growth * (np.arange(count) + 0.5))])
    resistance = _power_integral(nodes, 1.0 - rock.flow_dimension)
    resistance[0] += rock.skin
    storage = _power_integral(edges, rock.flow_dimension - 1.0) * tc
    return Cells(storage / rock.resistance_sm2, 1.0 / (resistance * rock.resistance_sm2))


def march_test(
    rock: RockTruth,
    hole: HoleShape,
    fractures: Sequence[Fracture],
    rate_m3s: float,
    stop_s: float,
    times_s: Floats,
    mesh: Mesh | None = None,
) -> Floats:
    """Give the drawdown of a test pumped at one rate and then stopped, fractures exposed or not.

    Parameters
    ----------
    rock
        The whole rock; a fracture of share f has f times its conductance and storage.
    hole
        Shape of the hole.
    fractures
        Fractures with shares summing to 1, all at the static head when the pump starts.
    rate_m3s, stop_s
        True pump rate [m3/s] and the time it stopped [s].
    times_s
        Times since the pump started, rising, shape (m,) [s].
    mesh
        Fineness; the default holds 1e-4 of the drawdown.

    Returns
    -------
    Drawdown, shape (m,) [m].

    Raises
    ------
    ArithmeticError
        When water is made or lost, when an exposed fracture takes, or when the outermost cell has moved.
    """
    mesh = mesh or Mesh()
    cells = cut_rock(rock, mesh.first_step_s, float(times_s[-1]), mesh)
    run = _Run(cells, hole, fractures)
    steps: list[tuple[float, float, float]] = []
    for begin_s, end_s, flow_m3s in ((0.0, stop_s, rate_m3s), (stop_s, float(times_s[-1]), 0.0)):
        run.slope_m3s += flow_m3s - run.pump_m3s
        run.pump_m3s = flow_m3s
        grid = _phase_steps(begin_s, end_s, mesh)
        for earlier, later in pairwise(grid):
            steps.append((earlier, run.volume_m3, run.slope_m3s))
            run.step(later - earlier)
            steps.append((later, run.volume_m3, run.slope_m3s))
    run.check(rate_m3s * min(stop_s, float(times_s[-1])))
    return hole.drawdown_m(_hermite(np.array(steps), times_s))


def held_inflow(
    rock: RockTruth,
    fractures: Sequence[Fracture],
    drawdown_m: float,
    times_s: Sequence[float],
    mesh: Mesh | None = None,
) -> Floats:
    """Give the inflow after the level has been held at one drawdown for each time.

    Parameters
    ----------
    rock, fractures
        As for `march_test`.
    drawdown_m
        Drawdown held from rest [m]; a fracture above it gives as at its own depth.
    times_s
        How long it has been held, rising, shape (m,) [s].
    mesh
        Fineness.

    Returns
    -------
    Inflow, shape (m,) [m3/s].
    """
    mesh = mesh or Mesh()
    cells = cut_rock(rock, times_s[0] * mesh.step_growth**2, times_s[-1], mesh)
    head_m = sum(fracture.share * min(drawdown_m, fracture.drawdown_m) for fracture in fractures)
    state, slope = np.zeros(cells.storage_m2.size), np.zeros(cells.storage_m2.size)
    push = np.zeros(state.size)
    push[0] = cells.conductance_m2s[0] * head_m
    answer, now_s = [], 0.0
    for until_s in times_s:
        for step_s in np.diff(_held_steps(now_s, until_s, mesh)):
            weight_s = IMPLICIT * step_s
            factors = cells.factor(weight_s)
            middle = dpttrs(*factors, cells.storage_m2 * (state + weight_s * slope) + weight_s * push)[0]
            known = FROM_MIDDLE * middle + (1.0 - FROM_MIDDLE) * state
            state = dpttrs(*factors, cells.storage_m2 * known + weight_s * push)[0]
            slope = (state - known) / weight_s
        now_s = until_s
        answer.append(push[0] - cells.conductance_m2s[0] * state[0])
    return np.array(answer)


class _Run:
    """March hole and rock together; everything that changes during a run lives here."""

    def __init__(self, cells: Cells, hole: HoleShape, fractures: Sequence[Fracture]) -> None:
        self.cells, self.hole = cells, hole
        self.shares = [fracture.share for fracture in fractures]
        self.depths_m = [fracture.drawdown_m for fracture in fractures]
        self.kinks_m = sorted({0.0, *self.depths_m, hole.change_m} - {math.inf})
        self.rock_m = np.zeros((cells.storage_m2.size, len(self.shares)), order="F")
        self.rock_slope = np.zeros_like(self.rock_m)
        self.volume_m3, self.slope_m3s, self.pump_m3s = 0.0, 0.0, 0.0

    def step(self, step_s: float) -> None:
        """Take one step: a trapezoid to GAMMA, then the second-order backward rule."""
        weight_s = IMPLICIT * step_s
        factors = self.cells.factor(weight_s)
        unit = np.zeros(self.cells.storage_m2.size)
        unit[0] = weight_s * self.cells.conductance_m2s[0]
        per_head = dpttrs(*factors, unit)[0]
        rock, volume = self._solve(
            factors,
            per_head,
            weight_s,
            self.rock_m + weight_s * self.rock_slope,
            self.volume_m3 + weight_s * self.slope_m3s,
        )
        known_rock = FROM_MIDDLE * rock + (1.0 - FROM_MIDDLE) * self.rock_m
        known_volume = FROM_MIDDLE * volume + (1.0 - FROM_MIDDLE) * self.volume_m3
        self.rock_m, self.volume_m3 = self._solve(factors, per_head, weight_s, known_rock, known_volume)
        self.rock_slope = (self.rock_m - known_rock) / weight_s
        self.slope_m3s = (self.volume_m3 - known_volume) / weight_s

    def _solve(
        self, factors: tuple[Floats, Floats], per_head: Floats, weight_s: float, rock: Floats, volume: float
    ) -> tuple[Floats, float]:
        """Solve one implicit stage: rock is linear in the level, which then obeys one broken line."""
        free = dpttrs(*factors, self.cells.storage_m2[:, None] * rock)[0]
        gain = weight_s * float(self.cells.conductance_m2s[0])
        own, lag = 1.0 - float(per_head[0]), free[0].tolist()

        def excess(level_m: float) -> float:
            inflow: float = sum(
                share * (own * min(level_m, depth) - behind)
                for share, depth, behind in zip(self.shares, self.depths_m, lag, strict=True)
            )
            return self.hole.volume_m3(level_m) + gain * inflow - volume - weight_s * self.pump_m3s

        level_m = _root_of_broken_line(excess, self.kinks_m)
        faces = np.minimum(level_m, self.depths_m)
        rock_m = np.asfortranarray(free + per_head[:, None] * faces)
        if np.any((level_m > faces) & (rock_m[0] > faces + 1e-9)):
            raise ArithmeticError("an exposed fracture takes water")
        return rock_m, self.hole.volume_m3(level_m)

    def check(self, pumped_m3: float) -> None:
        """Stop if water was made or lost, or if the cells do not reach far enough."""
        drained = float(self.cells.storage_m2 @ self.rock_m @ np.array(self.shares)) + self.volume_m3
        if not math.isclose(drained, pumped_m3, rel_tol=1e-9):
            raise ArithmeticError(f"pumped {pumped_m3} m3 but {drained} m3 is gone")
        if np.max(np.abs(self.rock_m[-1])) > 1e-6 * np.max(np.abs(self.rock_m)):
            raise ArithmeticError("the outermost cell has moved")


def _root_of_broken_line(function: Callable[[float], float], kinks: list[float]) -> float:
    """Find the root of a rising function that is straight between its kinks and beyond them."""
    points = [kinks[0] - BEYOND_M, *kinks, kinks[-1] + BEYOND_M]
    left, value_left = points[0], function(points[0])
    for right in points[1:-1]:
        value_right = function(right)
        if value_right >= 0.0:
            break
        left, value_left = right, value_right
    else:
        right = points[-1]
        value_right = function(right)
    return left - value_left * (right - left) / (value_right - value_left)


def _power_integral(points: Floats, power: float) -> Floats:
    """Integrate x**power between neighboring points, exact also near power -1."""
    exponent = power + 1.0
    ratio = np.log(points[1:] / points[:-1])
    if abs(exponent) < 1e-12:
        return np.asarray(ratio)
    return np.asarray(points[:-1] ** exponent * np.expm1(exponent * ratio) / exponent)


def _phase_steps(begin_s: float, end_s: float, mesh: Mesh) -> list[float]:
    """List the times of the steps between two changes of the pump."""
    times = [begin_s]
    while times[-1] < end_s:
        step = max(mesh.first_step_s, mesh.step_growth * (times[-1] - begin_s))
        times.append(times[-1] + min(step, mesh.longest_step_s))
    times[-1] = end_s
    return times


def _held_steps(begin_s: float, end_s: float, mesh: Mesh) -> Floats:
    """List the times of the steps of a held level, growing with time."""
    start = begin_s or end_s * mesh.step_growth**3
    count = math.ceil(math.log(end_s / start) / mesh.step_growth)
    later = np.geomspace(start, end_s, count + 1)
    return later if begin_s else np.concatenate([[0.0], later])


def _hermite(steps: Floats, times_s: Floats) -> Floats:
    """Interpolate by cubics between the ends (time, value, slope) of each step."""
    begin, end = steps[0::2], steps[1::2]
    at = np.searchsorted(end[:-1, 0], times_s)
    begin, end = begin[at], end[at]
    width = end[:, 0] - begin[:, 0]
    x = (times_s - begin[:, 0]) / width
    rise = end[:, 1] - begin[:, 1]
    bend_begin, bend_end = begin[:, 2] * width - rise, rise - end[:, 2] * width
    answer: Floats = begin[:, 1] + x * rise + x * (1.0 - x) * (bend_begin * (1.0 - x) + bend_end * x)
    return answer
