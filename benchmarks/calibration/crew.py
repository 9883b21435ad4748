"""Write down what a crew knows of a synthetic test, with the truth beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchmarks.calibration.laplace_well import RockTruth
from benchmarks.calibration.trade_units import M3S_PER_GPM, S_PER_D, S_PER_H
from benchmarks.calibration.truths import HoleTruth, Method, Stratum, method_from_reading_error

YIELD_DURATIONS_S = (S_PER_H, 4 * S_PER_H, 10 * S_PER_H, 24 * S_PER_H, 30 * S_PER_D, 180 * S_PER_D)
COLUMN_USED = (0.10, 0.85)
USUAL_RATE_GPM = (1.0, 12.0)
POSSIBLE_RATE_GPM = (0.3, 15.0)
RATE_TRIES = 20
CASING_BOTTOM_FT = 20.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """Hold what only the rock knows.

    Parameters
    ----------
    yields_m3s
        Inflow after the level has been held at `SyntheticWell.asked_level_ft` for each of
        `YIELD_DURATIONS_S` [m3/s]. Exactly 0 where a closed rock has run dry: below
        1e-9 of the first.
    hole
        The hole, schedule and errors as drawn.
    rock
        The rock as drawn; for several fractures the whole of it.
    fracture_depths_ft, fracture_shares
        Depths of the fractures below the measuring point [ft] and their shares; a single deep one when empty.
    drift_ft_per_day
        Fall of the static level through the test [ft/day].
    drained_back_m3
        Volume returned by the drop pipe at shut-off [m3].
    final_drawdown_m
        True drawdown when the pump stopped [m].
    recovered_share
        Part of it regained at the last reading, 0 to 1 [-].
    discarded
        Draws thrown away before this one because no rate between 0.3 and 15 gpm suited them.
    """

    yields_m3s: tuple[float, ...]
    hole: HoleTruth
    rock: RockTruth
    fracture_depths_ft: tuple[float, ...] = ()
    fracture_shares: tuple[float, ...] = ()
    drift_ft_per_day: float = 0.0
    drained_back_m3: float = 0.0
    final_drawdown_m: float
    recovered_share: float
    discarded: int

    @property
    def yields_gpm(self) -> tuple[float, ...]:
        """Give the yields in the trade's unit [US gpm]."""
        return tuple(flow / M3S_PER_GPM for flow in self.yields_m3s)


@dataclass(frozen=True, slots=True, kw_only=True)
class SyntheticWell:
    """Hold one test as a crew would write it down, and the truth beside it.

    Parameters
    ----------
    seed, stratum
        What `make_well` was given.
    rate_gpm, pump_off_min
        Nominal pump rate [US gpm] and the minute it stopped.
    hole_diameter_in, casing_diameter_in, casing_bottom_ft, hole_depth_ft, pump_ft
        Nominal bore [in], casing inside diameter [in], their depths and the intake below the measuring
        point [ft].
    static_level_ft
        One reading before the test [ft].
    minutes, levels_ft
        Readings, minutes since the pump started and depth to water [ft]; the one at `pump_off_min` stands
        just before the stop.
    method, nominal_reading_error_ft
        How the levels were read, and the error usual for that method [ft], which is not the true one.
    fracture_depths_ft
        Fractures the driller recorded [ft]; empty when none were.
    asked_level_ft
        Level the yields are asked at: the deepest reading [ft].
    truth
        What only the rock knows.
    """

    seed: int
    stratum: Stratum
    rate_gpm: float
    pump_off_min: int
    hole_diameter_in: float
    casing_diameter_in: float
    casing_bottom_ft: float
    hole_depth_ft: float
    pump_ft: float
    static_level_ft: float
    minutes: tuple[float, ...]
    levels_ft: tuple[float, ...]
    method: Method
    nominal_reading_error_ft: float
    fracture_depths_ft: tuple[float, ...]
    asked_level_ft: float
    truth: Truth


def reading_minutes(pumping_min: int, recovery_min: int) -> tuple[float, ...]:
    """List the minutes of the readings, the same cadence after the start and after the stop.

    Every minute to 10, every 5 to 30, every 15 after, and one at each end. Source: Oregon Administrative Rule
    690-217-0025 (at most 2 min apart to 10 min, 5 to 30 min, 15 after).

    >>> reading_minutes(33, 10)[9:16]
    (10.0, 15.0, 20.0, 25.0, 30.0, 33.0, 34.0)
    """
    cadence = [*range(1, 11), *range(15, 31, 5), *range(45, 1000, 15)]
    pumping = [minute for minute in cadence if minute < pumping_min] + [pumping_min]
    recovery = [minute for minute in cadence if minute < recovery_min] + [recovery_min]
    return tuple(float(minute) for minute in [*pumping, *(pumping_min + minute for minute in recovery)])


def write_down(
    rng: np.random.Generator,
    seed: int,
    stratum: Stratum,
    rate_gpm: float,
    minutes: tuple[float, ...],
    true_levels_ft: Floats,
    truth: Truth,
) -> SyntheticWell:
    """Read the true levels with the crew's error and resolution, and fill in what the crew knows."""
    hole = truth.hole
    method, nominal_ft, resolution_ft = method_from_reading_error(hole.reading_error_ft)
    exact_ft = np.concatenate([[hole.static_ft], true_levels_ft])
    read_ft = exact_ft + rng.normal(0.0, hole.reading_error_ft, exact_ft.size)
    steps = np.rint(read_ft / resolution_ft)
    static_ft, *levels_ft = (round(depth_ft, 2) for depth_ft in (steps * resolution_ft).tolist())
    return SyntheticWell(
        seed=seed,
        stratum=stratum,
        rate_gpm=rate_gpm,
        pump_off_min=hole.pumping_min,
        hole_diameter_in=hole.diameter_in,
        casing_diameter_in=hole.diameter_in,
        casing_bottom_ft=CASING_BOTTOM_FT,
        hole_depth_ft=round(hole.depth_ft, 1),
        pump_ft=round(hole.pump_ft, 1),
        static_level_ft=static_ft,
        minutes=minutes,
        levels_ft=tuple(levels_ft),
        method=method,
        nominal_reading_error_ft=nominal_ft,
        fracture_depths_ft=(),
        asked_level_ft=max(levels_ft),
        truth=truth,
    )
