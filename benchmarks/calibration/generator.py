"""Make synthetic tests of weak wells whose true yield is known.

`make_well(seed, stratum)` plays a crew on a well drawn from `truths`: it picks a rate, pumps, stops and
writes down rounded readings. What the crew knows is in the fields; what only the rock knows is in `truth`.
The levels come from Laplace inversion or, where fractures are exposed, from finite volumes, never from the
engine under test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchmarks.calibration.laplace_well import (
    RockTruth,
    held_inflow,
    pumped_drawdown,
    unit_drawdown,
    unit_slug,
)
from benchmarks.calibration.trade_units import M3S_PER_GPM, M_PER_FT, M_PER_IN, S_PER_D, S_PER_H, S_PER_MIN
from benchmarks.calibration.truths import (
    STRATA,
    HoleTruth,
    Method,
    Stratum,
    draw_hole,
    draw_log_uniform,
    draw_rock,
    method_from_reading_error,
)

YIELD_DURATIONS_S = (S_PER_H, 4 * S_PER_H, 10 * S_PER_H, 24 * S_PER_H, 30 * S_PER_D, 180 * S_PER_D)
COLUMN_USED = (0.10, 0.85)
USUAL_RATE_GPM = (1.0, 12.0)
POSSIBLE_RATE_GPM = (0.3, 15.0)
USUAL_RATE_TRIES = 20
DRIFT_FT_PER_DAY = (1.0, 3.0)
DROP_PIPE_INSIDE_DIAMETER_IN = 1.049  # 1 in schedule 40, common practice

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """Hold what only the rock knows.

    Parameters
    ----------
    yields_m3s
        Inflow after the level has been held at `SyntheticWell.asked_level_ft` for each of
        `YIELD_DURATIONS_S` [m3/s].
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


def make_well(seed: int, stratum: Stratum) -> SyntheticWell:
    """Make one well and its test; the same seed and stratum make the same well.

    Parameters
    ----------
    seed
        Any whole number from 0.
    stratum
        One of `truths.STRATA`.

    Raises
    ------
    ValueError
        When 200 wells in a row suit no rate a crew could set.
    """
    rng = np.random.default_rng([seed, STRATA.index(stratum)])
    for discarded in range(200):
        well = make_single_well(rng, seed, stratum)
        if well is not None:
            return replace(well, truth=replace(well.truth, discarded=discarded))
    raise ValueError(f"no plausible well of stratum {stratum!r} in 200 draws from seed {seed}")


def make_single_well(rng: np.random.Generator, seed: int, stratum: Stratum) -> SyntheticWell | None:
    """Make a well with one fracture zone below every level, or nothing where no rate suits it."""
    hole = draw_hole(rng)
    rock = draw_rock(rng, stratum, hole.radius_m)
    stop_s = hole.pumping_min * S_PER_MIN
    unit_m = float(unit_drawdown(rock, hole.area_m2, np.array([stop_s]))[0]) * M3S_PER_GPM * hole.rate_factor
    rate_gpm = choose_rate_gpm(rng, unit_m, (hole.pump_ft - hole.static_ft) * M_PER_FT)
    if rate_gpm is None:
        return None
    rate_m3s = rate_gpm * M3S_PER_GPM * hole.rate_factor
    minutes = reading_minutes(hole.pumping_min, hole.recovery_min)
    times_s = np.array(minutes) * S_PER_MIN
    drawdown_m = pumped_drawdown(rock, hole.area_m2, rate_m3s, stop_s, times_s)
    final_m = rate_m3s * unit_m / (M3S_PER_GPM * hole.rate_factor)
    drained_m3 = _drained_back_m3(hole, final_m) if stratum == "drain back" else 0.0
    if drained_m3:
        drawdown_m = drawdown_m - drained_m3 * unit_slug(rock, hole.area_m2, times_s - stop_s)
    drift = float(rng.choice([-1.0, 1.0]) * rng.uniform(*DRIFT_FT_PER_DAY)) if stratum == "drift" else 0.0
    levels_ft = hole.static_ft + drawdown_m / M_PER_FT + drift * times_s / S_PER_D
    truth = Truth(
        yields_m3s=(),
        hole=hole,
        rock=rock,
        drift_ft_per_day=drift,
        drained_back_m3=drained_m3,
        final_drawdown_m=final_m,
        recovered_share=1.0 - float(drawdown_m[-1]) / final_m,
        discarded=0,
    )
    well = write_down(rng, seed, stratum, rate_gpm, minutes, levels_ft, truth)
    asked_m = well.asked_level_ft * M_PER_FT - hole.static_m
    yields = held_inflow(rock, asked_m, np.array(YIELD_DURATIONS_S))
    return replace(well, truth=replace(truth, yields_m3s=tuple(float(flow) for flow in yields)))


def choose_rate_gpm(rng: np.random.Generator, unit_drawdown_m: float, column_m: float) -> float | None:
    """Choose a rate that uses 10 to 85 % of the water above the pump, as a crew would.

    Parameters
    ----------
    rng
        Random generator of the well.
    unit_drawdown_m
        True drawdown at shut-off for a nominal 1 gpm [m].
    column_m
        Height of water above the intake [m].

    Returns
    -------
    Nominal rate, to the nearest 0.1 [US gpm], or nothing where none between 0.3 and 15 gpm will do.
    """
    low, high = (share * column_m / unit_drawdown_m for share in COLUMN_USED)
    for _ in range(USUAL_RATE_TRIES):
        rate = round(float(rng.uniform(*USUAL_RATE_GPM)), 1)
        if low <= rate <= high:
            return rate
    low, high = max(low, POSSIBLE_RATE_GPM[0]), min(high, POSSIBLE_RATE_GPM[1])
    tenths = range(math.ceil(low * 10.0), math.floor(high * 10.0) + 1)
    if not tenths:
        return None
    wanted = draw_log_uniform(rng, (low, high))
    return min(tenths, key=lambda tenth: abs(tenth / 10.0 - wanted)) / 10.0


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
        casing_bottom_ft=20.0,
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


def _drained_back_m3(hole: HoleTruth, final_drawdown_m: float) -> float:
    """Give the water a full drop pipe holds above the level in the hole [m3]."""
    return math.pi / 4.0 * (DROP_PIPE_INSIDE_DIAMETER_IN * M_PER_IN) ** 2 * (hole.static_m + final_drawdown_m)
