"""What the engine says of a cross-check: is flow radial, and does the hole's own water still bend the line?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.closed_forms import Validity
from ledgewell.physics.closed_forms.radial_flow import Rock, log_derivative
from ledgewell.physics.closed_forms.validity import STORAGE_TIME_FACTOR, judged
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.levels import PlacedLevel
from ledgewell.steps.prove.timeline import MINUTE_S, Stretch

Floats = NDArray[np.float64]
SLOPE_TOLERANCE = 0.10
"""How far the engine's own slope may lie from its late slope. Measured on prototypes; our own rule."""
DIMENSION_TOLERANCE = 0.1
"""How far the middle of n may lie from 2 before no T is read from a straight line; our own rule."""
WELLS_ASKED = 60
"""Wells of the sample whose slopes are computed."""
_TIMES = 25
LEAST_READINGS = 3
"""Fewest readings through which a line or curve is laid; two lie on every line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpedRun:
    """The first pumping of a test, from rest, at one known rate; perhaps no level was read during it.

    Parameters
    ----------
    stretch
        The stretch.
    rate_m3s
        Its rate [m³/s].
    levels
        Levels read during it.
    time_s, drawdown_m
        Times since it began [s] and drawdowns [m] of those levels.
    """

    stretch: Stretch
    rate_m3s: float
    levels: tuple[PlacedLevel, ...]
    time_s: Floats
    drawdown_m: Floats

    @property
    def minutes(self) -> tuple[float, float]:
        """First and last minute of its levels since the start of the test."""
        return self.levels[0].minute, self.levels[-1].minute


def levels_during(
    levels: tuple[PlacedLevel, ...], start_min: float, end_min: float
) -> tuple[PlacedLevel, ...]:
    """Return the levels read after a minute and up to another, one for each time."""
    once = {
        level.minute: level
        for level in levels
        if start_min < level.minute <= end_min + 1e-9 and not level.deeper
    }
    return tuple(once.values())


def first_pumped_run(fit: Fit) -> PumpedRun | None:
    """Return the first pumping when it began from rest at one known rate, else None.

    Parameters
    ----------
    fit
        The fit.
    """
    layout = fit.layout
    for stretch in layout.timeline.stretches:
        if stretch.taken_m3 != 0 or (stretch.pumping and stretch.start_min < 0):
            return None
        if stretch.pumping:
            break
    else:
        return None
    if stretch.rate_m3s is None or stretch.held_m is not None:
        return None
    levels = levels_during(layout.levels, stretch.start_min, stretch.end_min)
    return PumpedRun(
        stretch=stretch,
        rate_m3s=stretch.rate_m3s,
        levels=levels,
        time_s=np.array([(level.minute - stretch.start_min) * MINUTE_S for level in levels]),
        drawdown_m=np.array([level.depth_m for level in levels]) - layout.static_m,
    )


def free_radius(fit: Fit, depth_m: float) -> float:
    """Return the radius [m] of a circle as large as the free area of the hole at a depth [m]."""
    return sqrt(fit.layout.shape.area_at(depth_m) / pi)


def flow_is_radial(fit: Fit) -> Validity:
    """Return whether the sample lets flow be radial: 2 inside the 90 % band of n, and its middle within 0.1 of 2.

    Parameters
    ----------
    fit
        The fit.
    """
    low, middle, high = np.quantile(fit.wells.dimension, [0.05, 0.5, 0.95])
    near = low <= 2 <= high and abs(middle - 2) <= DIMENSION_TOLERANCE
    return judged(
        bool(near),
        f"2 (radial flow) lies within the flow dimension's band, {low:.2f} to {high:.2f}",
        f"the flow dimension is {middle:.2f} ({low:.2f} to {high:.2f}), and the method is for 2 (radial flow) only",
    )


def drawdown_slopes(time_s: Floats, rock: Rock, area_m2: Floats | float) -> Floats:
    """Return the slope of drawdown per unit rate in ln t [s/m²], one row a well."""
    return log_derivative(time_s, rock, area_m2)


def recovery_slopes(pumped_s: float) -> Callable[[Floats, Rock, Floats | float], Floats]:
    """Return a function for the slope of residual drawdown per unit rate in ln(t/t′) [s/m²].

    Parameters
    ----------
    pumped_s
        How long it was pumped [s].

    Notes
    -----
    With D = dS/d ln t: ds′/d ln(t/t′) = (D(t′)/t′ − D(t)/t)/(1/t′ − 1/t), t = tp + t′. Source: theis1935.
    """

    def slopes(rest_s: Floats, rock: Rock, area_m2: Floats | float) -> Floats:
        since_start = rest_s + pumped_s
        now = log_derivative(rest_s, rock, area_m2) / rest_s
        before = log_derivative(since_start, rock, area_m2) / since_start
        found: Floats = (now - before) / (1 / rest_s - 1 / since_start)
        return found

    return slopes


def straight_from(
    fit: Fit,
    first_s: float,
    last_s: float,
    depth_m: float,
    slopes: Callable[[Floats, Rock, Floats | float], Floats],
) -> tuple[float | None, float]:
    """Return from when on the engine's own slope is that without stored water, and their ratio at the last time.

    Parameters
    ----------
    fit
        The fit.
    first_s, last_s
        First and last time of the readings [s].
    depth_m
        Depth whose free area stands for the hole [m].
    slopes
        `drawdown_slopes`, or what `recovery_slopes` returns.

    Returns
    -------
    tuple
        Time [s] from which the middle ratio of the sample stays within 10 % of 1, None when it never does; and the
        ratio at the last time [–].

    Notes
    -----
    Both slopes are of the same wells, with and without the hole's area, all fractures under water.
    Source: barker1988, papadopulos1967.
    """
    wells = fit.wells.take(
        np.linspace(0, fit.wells.count - 1, min(WELLS_ASKED, fit.wells.count)).astype(np.intp)
    )
    rock = Rock(
        resistance_sm2=wells.resistance_s_m2[:, None],
        time_constant_s=np.exp(wells.log_time_constant)[:, None],
        dimension=wells.dimension[:, None],
        skin=wells.skin[:, None],
    )
    times = np.geomspace(first_s, last_s, _TIMES)
    area = fit.layout.shape.area_at(depth_m) * wells.area_factor[:, None]
    ratio = np.median(slopes(times, rock, area) / slopes(times, rock, 0.0), axis=0)
    off = np.flatnonzero(np.abs(ratio - 1) > SLOPE_TOLERANCE)
    if off.size == 0:
        return first_s, float(ratio[-1])
    if off[-1] == len(times) - 1:
        return None, float(ratio[-1])
    return float(times[off[-1] + 1]), float(ratio[-1])


def stored_water_is_over(fit: Fit, first_s: float, transmissivity_m2s: float, depth_m: float) -> Validity:
    """Return whether 250 rc²/T has passed; asked where the engine's own slope is not known.

    Parameters
    ----------
    fit
        The fit.
    first_s
        First time used [s].
    transmissivity_m2s
        T found [m²/s].
    depth_m
        Depth whose free area stands for the hole [m].

    Notes
    -----
    Source: papadopulos1967.
    """
    end = STORAGE_TIME_FACTOR * free_radius(fit, depth_m) ** 2 / transmissivity_m2s
    return judged(
        first_s >= end,
        "later than 250 rc²/T",
        f"water stored in the hole rules until {end / MINUTE_S:.0f} min (250 rc²/T), and only {first_s / MINUTE_S:.3g} "
        "min had passed",
    )
