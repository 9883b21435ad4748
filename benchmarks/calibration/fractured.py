"""Make synthetic tests of wells with two or three fractures that may stand above the level.

Levels and yields come from finite volumes, because a fracture that drips free is no linear system.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from benchmarks.calibration.crew import (
    COLUMN_USED,
    POSSIBLE_RATE_GPM,
    RATE_TRIES,
    USUAL_RATE_GPM,
    YIELD_DURATIONS_S,
    Floats,
    SyntheticWell,
    Truth,
    reading_minutes,
    write_down,
)
from benchmarks.calibration.finite_volume import Fracture, HoleShape, held_inflow, march_test
from benchmarks.calibration.laplace_well import RockTruth
from benchmarks.calibration.trade_units import M3S_PER_GPM, M_PER_FT, M_PER_IN, S_PER_MIN
from benchmarks.calibration.truths import HoleTruth, Stratum, draw_hole, draw_log_uniform, draw_rock

CASING_BOTTOM_FT = (20.0, 100.0)
CASING_WIDER_EIGHTHS_IN = 4  # inside diameter 0 to 4/8 in above the bore's
SHARE_CONCENTRATION = 2.0
BELOW_STATIC_FT, OFF_BOTTOM_FT, APART_FT = 10.0, 5.0, 15.0
HIDDEN_AT = (0.10, 0.70)  # of the water above the pump


@dataclass(frozen=True, slots=True, kw_only=True)
class FracturedHole:
    """Hold what is drawn for one such well.

    Parameters
    ----------
    hole, rock
        Hole and errors, and the whole rock.
    depths_ft, shares
        True fractures, top down: depth below the measuring point [ft] and share [-].
    casing_bottom_ft, casing_diameter_in
        Casing depth [ft] and nominal inside diameter [in].
    """

    hole: HoleTruth
    rock: RockTruth
    depths_ft: tuple[float, ...]
    shares: tuple[float, ...]
    casing_bottom_ft: float
    casing_diameter_in: float

    @property
    def fractures(self) -> tuple[Fracture, ...]:
        """Give the fractures by their depth below the static level."""
        return tuple(
            Fracture(drawdown_m=(depth_ft - self.hole.static_ft) * M_PER_FT, share=share)
            for depth_ft, share in zip(self.depths_ft, self.shares, strict=True)
        )

    @property
    def shape(self) -> HoleShape:
        """Give the true shape of the hole below the static level."""
        casing_m2 = self.hole.area_factor * math.pi / 4.0 * (self.casing_diameter_in * M_PER_IN) ** 2
        change_m = max(0.0, (self.casing_bottom_ft - self.hole.static_ft) * M_PER_FT)
        return HoleShape(area_m2=casing_m2, lower_area_m2=self.hole.area_m2, change_m=change_m)

    def drawdown_m(self, rate_gpm: float, times_s: Floats) -> Floats:
        """Give the true drawdown of a test at a nominal rate [m]."""
        rate_m3s = rate_gpm * M3S_PER_GPM * self.hole.rate_factor
        stop_s = self.hole.pumping_min * S_PER_MIN
        return march_test(self.rock, self.shape, self.fractures, rate_m3s, stop_s, times_s)


def make_fractured_well(rng: np.random.Generator, seed: int, stratum: Stratum) -> SyntheticWell | None:
    """Make a well of stratum `fractures` or `hidden fracture`, or nothing where no rate suits it."""
    drawn = draw_fractured_hole(rng, stratum)
    hidden = stratum == "hidden fracture"
    rate_gpm = choose_rate_gpm(rng, drawn, drawn.depths_ft[0] if hidden else 0.0)
    if rate_gpm is None:
        return None
    hole = drawn.hole
    minutes = reading_minutes(hole.pumping_min, hole.recovery_min)
    drawdown_m = drawn.drawdown_m(rate_gpm, np.array(minutes) * S_PER_MIN)
    final_m = float(drawdown_m[minutes.index(hole.pumping_min)])
    truth = Truth(
        yields_m3s=(),
        hole=hole,
        rock=drawn.rock,
        fracture_depths_ft=drawn.depths_ft,
        fracture_shares=drawn.shares,
        final_drawdown_m=final_m,
        recovered_share=1.0 - float(drawdown_m[-1]) / final_m,
        discarded=0,
    )
    levels_ft = hole.static_ft + drawdown_m / M_PER_FT
    well = write_down(rng, seed, stratum, rate_gpm, minutes, levels_ft, truth)
    asked_m = (well.asked_level_ft - hole.static_ft) * M_PER_FT
    yields = held_inflow(drawn.rock, drawn.fractures, asked_m, YIELD_DURATIONS_S)
    return replace(
        well,
        casing_bottom_ft=drawn.casing_bottom_ft,
        casing_diameter_in=drawn.casing_diameter_in,
        fracture_depths_ft=drawn.depths_ft[1:] if hidden else drawn.depths_ft,
        truth=replace(truth, yields_m3s=tuple(float(flow) for flow in yields)),
    )


def draw_fractured_hole(rng: np.random.Generator, stratum: Stratum) -> FracturedHole:
    """Draw hole, rock, casing and fractures."""
    hole = draw_hole(rng)
    casing_bottom_ft = float(np.rint(rng.uniform(*CASING_BOTTOM_FT)))
    if stratum == "hidden fracture":
        hidden_ft = hole.static_ft + float(rng.uniform(*HIDDEN_AT)) * (hole.pump_ft - hole.static_ft)
        depths = [hidden_ft, float(rng.uniform(hole.pump_ft, hole.depth_ft - OFF_BOTTOM_FT))]
    else:
        top_ft = max(hole.static_ft + BELOW_STATIC_FT, casing_bottom_ft)
        depths = _draw_apart(rng, int(rng.integers(2, 4)), top_ft, hole.depth_ft - OFF_BOTTOM_FT)
    shares = rng.dirichlet([SHARE_CONCENTRATION] * len(depths))
    return FracturedHole(
        hole=hole,
        rock=draw_rock(rng, stratum, hole.radius_m),
        depths_ft=tuple(float(np.rint(depth)) for depth in depths),
        shares=tuple(float(share) for share in shares),
        casing_bottom_ft=casing_bottom_ft,
        casing_diameter_in=hole.diameter_in + int(rng.integers(0, CASING_WIDER_EIGHTHS_IN + 1)) / 8.0,
    )


def choose_rate_gpm(rng: np.random.Generator, drawn: FracturedHole, pass_ft: float) -> float | None:
    """Choose a rate that uses 10 to 85 % of the water above the pump and takes the level below `pass_ft`.

    Parameters
    ----------
    rng
        Random generator of the well.
    drawn
        The well.
    pass_ft
        Depth the level must be below at shut-off [ft]; 0 for none.

    Returns
    -------
    Nominal rate, to the nearest 0.1 [US gpm], or nothing after 20 usual and 20 possible rates.

    Notes
    -----
    The level at shut-off falls with the rate, so a rate beyond one that failed is not marched again.
    """
    hole = drawn.hole
    column_m = (hole.pump_ft - hole.static_ft) * M_PER_FT
    least_m = max(COLUMN_USED[0] * column_m, (pass_ft - hole.static_ft) * M_PER_FT)
    stop_s = np.array([hole.pumping_min * S_PER_MIN])
    too_low, too_high = 0.0, math.inf
    for attempt in range(2 * RATE_TRIES):
        if attempt < RATE_TRIES:
            rate = round(float(rng.uniform(*USUAL_RATE_GPM)), 1)
        else:
            rate = round(draw_log_uniform(rng, POSSIBLE_RATE_GPM), 1)
        if not too_low < rate < too_high:
            continue
        final_m = float(drawn.drawdown_m(rate, stop_s)[0])
        if final_m < least_m:
            too_low = rate
        elif final_m > COLUMN_USED[1] * column_m:
            too_high = rate
        else:
            return rate
    return None


def _draw_apart(rng: np.random.Generator, count: int, top_ft: float, bottom_ft: float) -> list[float]:
    """Draw depths at least 15 ft apart, sorted [ft]."""
    while True:
        depths = sorted(rng.uniform(top_ft, bottom_ft, count).tolist())
        if np.min(np.diff(depths)) >= APART_FT:
            return [float(depth) for depth in depths]
