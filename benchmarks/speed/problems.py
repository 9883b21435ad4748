"""State the pumping tests that every contender of the speed benchmark computes, and their exact levels.

Both are one fracture zone with wellbore storage in a 6 in hole, pumped and then left to recover, 480 levels
asked. `exact_levels` comes from Laplace inversion and judges the contenders' errors; it is no contender.

Source of the function behind both: Papadopulos, I.S. and Cooper, H.H., 1967, Water Resour. Res. 3(1),
241-244.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from benchmarks.calibration.laplace_well import Floats, RockTruth, pumped_drawdown
from benchmarks.calibration.trade_units import M3S_PER_GPM, S_PER_D

STEPS = 480


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedProblem:
    """State one test.

    Parameters
    ----------
    name
        What to call it in a table.
    rock
        The rock; flow dimension 2 for the line model.
    area_m2
        Free area of the hole [m2].
    rate_m3s
        Pump rate [m3/s].
    stop_s, end_s
        When the pump stops and when the readings end [s].
    """

    name: str
    rock: RockTruth
    area_m2: float
    rate_m3s: float
    stop_s: float
    end_s: float

    @property
    def times_s(self) -> Floats:
        """Give the 480 evenly spaced times at which the level is asked, the last at `end_s` [s]."""
        return np.linspace(0.0, self.end_s, STEPS + 1)[1:]


SCENARIO_A = SpeedProblem(
    name="2 gpm, T 0.5 m2/d",
    rock=RockTruth(
        transmissivity_m2s=0.5 / S_PER_D,
        storativity=1e-4,
        flow_dimension=2.0,
        skin=0.0,
        well_radius_m=0.0762,
    ),
    area_m2=math.pi * 0.0762**2,
    rate_m3s=2.0 * M3S_PER_GPM,
    stop_s=3600.0,
    end_s=7200.0,
)
TIGHT = SpeedProblem(
    name="3 gpm, T 0.01 m2/d",
    rock=RockTruth(
        transmissivity_m2s=0.01 / S_PER_D,
        storativity=1e-3,
        flow_dimension=2.0,
        skin=2.0,
        well_radius_m=0.0762,
    ),
    area_m2=math.pi * 0.0762**2,
    rate_m3s=3.0 * M3S_PER_GPM,
    stop_s=3600.0,
    end_s=7200.0,
)
PROBLEMS = (SCENARIO_A, TIGHT)


def exact_levels(problem: SpeedProblem) -> Floats:
    """Give the drawdown at the times asked, by Laplace inversion, shape (480,) [m].

    >>> round(float(exact_levels(SCENARIO_A)[239]), 6)  # 60 min
    13.337659
    """
    return pumped_drawdown(problem.rock, problem.area_m2, problem.rate_m3s, problem.stop_s, problem.times_s)
