"""Draw the true rock, hole and errors of a synthetic weak well.

The distributions are those of docs/decisions/0003-calibration-truths.md, written down before any prior was
fixed. Change them there first. One random generator per well, so that a well never depends on its neighbors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np

from benchmarks.calibration.laplace_well import RockTruth
from benchmarks.calibration.trade_units import M_PER_FT, M_PER_IN

Stratum = Literal[
    "centered",
    "uniform",
    "tight",
    "high",
    "leaky",
    "channel",
    "closed",
    "drain back",
    "drift",
    "fractures",
    "hidden fracture",
]
Method = Literal["electric tape", "acoustic", "air line"]

STRATA: tuple[Stratum, ...] = get_args(Stratum)
MAIN_STRATA: tuple[Stratum, ...] = ("centered", "uniform", "fractures")
SHIFTED_STRATA: tuple[Stratum, ...] = ("tight", "high", "leaky", "channel")
MISSPECIFIED_STRATA: tuple[Stratum, ...] = ("hidden fracture", "closed", "drain back", "drift")

TRANSMISSIVITY_M2S = (1e-7, 1e-4)
TRANSMISSIVITY_BY_STRATUM: dict[Stratum, tuple[float, float]] = {
    "tight": (1e-8, 10**-6.5),
    "high": (1e-5, 10**-3.5),
    "leaky": (1e-5, 10**-3.5),
}
STORATIVITY = (1e-6, 1.0)
STORATIVITY_BY_STRATUM: dict[Stratum, tuple[float, float]] = {"high": (1e-2, 1.0), "leaky": (1e-2, 1.0)}
FLOW_DIMENSION_MEAN, FLOW_DIMENSION_SD = 2.0, 0.25
FLOW_DIMENSION_CUT = (1.3, 2.7)
CHANNEL_FLOW_DIMENSION = (1.2, 1.4)
SKIN = (0.0, 5.0)
HOLE_DIAMETER_IN = (4.5, 8.0)
HOLE_DEPTH_FT = (200.0, 600.0)
STATIC_FT = (10.0, 80.0)
PUMP_OFF_BOTTOM_FT = (10.0, 20.0)
PUMPING_MIN = (20, 120)
RECOVERY_MIN = (10, 60)
RATE_ERROR, AREA_ERROR = 0.04, 0.03
READING_ERROR_FT = (0.02, 1.0)
LEAKY_EDGE_M = (10.0, 100.0)
CLOSED_EDGE_FELT_S = (600.0, 864000.0)

# The method a crew would name for a reading error of this size [ft]: upper end of the error, error usual for
# the method, resolution written down.
METHODS: tuple[tuple[Method, float, float, float], ...] = (
    ("electric tape", 0.06, 0.035, 0.01),
    ("acoustic", 0.3, 0.13, 0.1),
    ("air line", 1.0, 0.55, 0.5),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleTruth:
    """Hold the hole and the errors that the crew does not know.

    Parameters
    ----------
    diameter_in
        Nominal diameter [in], to the nearest 1/8.
    depth_ft, static_ft, pump_ft
        Depth of the bottom, the true static level and the pump intake below the measuring point [ft].
    pumping_min, recovery_min
        Minutes of pumping and of recovery read [min].
    rate_factor, area_factor
        True over nominal pump rate and hole area [-].
    reading_error_ft
        Standard deviation of the level readings [ft].
    """

    diameter_in: float
    depth_ft: float
    static_ft: float
    pump_ft: float
    pumping_min: int
    recovery_min: int
    rate_factor: float
    area_factor: float
    reading_error_ft: float

    @property
    def radius_m(self) -> float:
        """Give the nominal radius [m]."""
        return self.diameter_in * M_PER_IN / 2.0

    @property
    def area_m2(self) -> float:
        """Give the true area [m2]."""
        return self.area_factor * math.pi * self.radius_m**2

    @property
    def static_m(self) -> float:
        """Give the true static level [m]."""
        return self.static_ft * M_PER_FT


def draw_log_uniform(rng: np.random.Generator, ends: tuple[float, float]) -> float:
    """Draw a number whose logarithm is uniform between two ends."""
    return math.exp(rng.uniform(math.log(ends[0]), math.log(ends[1])))


def draw_flow_dimension(rng: np.random.Generator, stratum: Stratum) -> float:
    """Draw n: narrow about 2, uniform, near a channel, or either of the first two by a coin [-]."""
    if stratum == "channel":
        return float(rng.uniform(*CHANNEL_FLOW_DIMENSION))
    narrow = rng.random() < 0.5
    if stratum == "uniform" or (stratum != "centered" and not narrow):
        return float(rng.uniform(*FLOW_DIMENSION_CUT))
    while True:
        drawn = float(rng.normal(FLOW_DIMENSION_MEAN, FLOW_DIMENSION_SD))
        if FLOW_DIMENSION_CUT[0] <= drawn <= FLOW_DIMENSION_CUT[1]:
            return drawn


def draw_hole(rng: np.random.Generator) -> HoleTruth:
    """Draw a hole, a schedule and the three errors."""
    depth_ft = float(rng.uniform(*HOLE_DEPTH_FT))
    return HoleTruth(
        diameter_in=round(rng.uniform(*HOLE_DIAMETER_IN) * 8.0) / 8.0,
        depth_ft=depth_ft,
        static_ft=draw_log_uniform(rng, STATIC_FT),
        pump_ft=depth_ft - float(rng.uniform(*PUMP_OFF_BOTTOM_FT)),
        pumping_min=int(rng.integers(PUMPING_MIN[0], PUMPING_MIN[1] + 1)),
        recovery_min=int(rng.integers(RECOVERY_MIN[0], RECOVERY_MIN[1] + 1)),
        rate_factor=math.exp(rng.normal(0.0, RATE_ERROR)),
        area_factor=math.exp(rng.normal(0.0, AREA_ERROR)),
        reading_error_ft=draw_log_uniform(rng, READING_ERROR_FT),
    )


def draw_rock(rng: np.random.Generator, stratum: Stratum, radius_m: float) -> RockTruth:
    """Draw the rock of a stratum about a hole of the given radius [m]."""
    rock = RockTruth(
        transmissivity_m2s=draw_log_uniform(rng, TRANSMISSIVITY_BY_STRATUM.get(stratum, TRANSMISSIVITY_M2S)),
        storativity=draw_log_uniform(rng, STORATIVITY_BY_STRATUM.get(stratum, STORATIVITY)),
        flow_dimension=draw_flow_dimension(rng, stratum),
        skin=float(rng.uniform(*SKIN)),
        well_radius_m=radius_m,
    )
    if stratum == "leaky":
        return replace(rock, edge="constant head", edge_ratio=draw_log_uniform(rng, LEAKY_EDGE_M) / radius_m)
    if stratum == "closed":
        felt_s = draw_log_uniform(rng, CLOSED_EDGE_FELT_S)
        return replace(rock, edge="no flow", edge_ratio=1.0 + 2.0 * math.sqrt(felt_s / rock.face_time_s))
    return rock


def method_from_reading_error(reading_error_ft: float) -> tuple[Method, float, float]:
    """Name the method of reading for an error, its usual error and the resolution written down.

    Parameters
    ----------
    reading_error_ft
        True standard deviation, 0.02 to 1 [ft].

    Returns
    -------
    Method, usual standard deviation [ft], resolution [ft].

    >>> method_from_reading_error(0.1)
    ('acoustic', 0.13, 0.1)
    """
    for method, upper_ft, nominal_ft, resolution_ft in METHODS:
        if reading_error_ft <= upper_ft:
            return method, nominal_ft, resolution_ft
    raise ValueError(f"reading error {reading_error_ft} ft lies above {METHODS[-1][1]} ft")
