"""Make synthetic tests of weak wells whose true yield is known.

`make_well(seed, stratum)` plays a crew on a well drawn from `truths`: it picks a rate, pumps, stops and
writes down rounded readings. What the crew knows is in the fields; what only the rock knows is in `truth`.
The levels come from Laplace inversion or, where fractures are exposed, from finite volumes, never from the
engine under test.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from benchmarks.calibration.crew import (
    COLUMN_USED,
    POSSIBLE_RATE_GPM,
    RATE_TRIES,
    USUAL_RATE_GPM,
    YIELD_DURATIONS_S,
    SyntheticWell,
    Truth,
    reading_minutes,
    write_down,
)
from benchmarks.calibration.fractured import make_fractured_well
from benchmarks.calibration.laplace_well import held_inflow, pumped_drawdown, unit_drawdown, unit_slug
from benchmarks.calibration.trade_units import M3S_PER_GPM, M_PER_FT, M_PER_IN, S_PER_D, S_PER_MIN
from benchmarks.calibration.truths import STRATA, HoleTruth, Stratum, draw_hole, draw_log_uniform, draw_rock

__all__ = ["YIELD_DURATIONS_S", "SyntheticWell", "Truth", "make_well"]

DRIFT_FT_PER_DAY = (1.0, 3.0)
NOISE_OF_FIRST_YIELD = 1e-9  # a closed rock runs dry; inversion cannot tell less than this from nothing
DROP_PIPE_INSIDE_DIAMETER_IN = 1.049  # 1 in schedule 40, common practice
FRACTURED_STRATA: tuple[Stratum, ...] = ("fractures", "hidden fracture")


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
    make = make_fractured_well if stratum in FRACTURED_STRATA else make_single_well
    for discarded in range(200):
        well = make(rng, seed, stratum)
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
    told = np.where(yields > NOISE_OF_FIRST_YIELD * yields[0], yields, 0.0)
    return replace(well, truth=replace(truth, yields_m3s=tuple(float(flow) for flow in told)))


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
    for _ in range(RATE_TRIES):
        rate = round(float(rng.uniform(*USUAL_RATE_GPM)), 1)
        if low <= rate <= high:
            return rate
    low, high = max(low, POSSIBLE_RATE_GPM[0]), min(high, POSSIBLE_RATE_GPM[1])
    tenths = range(math.ceil(low * 10.0), math.floor(high * 10.0) + 1)
    if not tenths:
        return None
    wanted = draw_log_uniform(rng, (low, high))
    return min(tenths, key=lambda tenth: abs(tenth / 10.0 - wanted)) / 10.0


def _drained_back_m3(hole: HoleTruth, final_drawdown_m: float) -> float:
    """Give the water a full drop pipe holds above the level in the hole [m3]."""
    return math.pi / 4.0 * (DROP_PIPE_INSIDE_DIAMETER_IN * M_PER_IN) ** 2 * (hole.static_m + final_drawdown_m)
