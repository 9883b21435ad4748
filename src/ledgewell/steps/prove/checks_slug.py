"""Bail and slug recovery: Hvorslev's straight line, and the curve of Cooper, Bredehoeft and Papadopulos."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi, sqrt

import numpy as np

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.slug import slug_fit, slug_validity
from ledgewell.physics.closed_forms.slug_line import (
    HVORSLEV_WINDOW,
    basic_time_lag_fit,
    hvorslev_conductivity,
    hvorslev_validity,
)
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged
from ledgewell.steps.findings import Amount
from ledgewell.steps.prove.checks_engine import LEAST_READINGS, Floats, flow_is_radial, levels_during
from ledgewell.steps.prove.checks_outcome import CheckValue, CrossCheck, PlainNumber, outcome
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.spread import Spread
from ledgewell.steps.prove.timeline import MINUTE_S

SAME_AREA = 0.02
"""How much the free area may change over the displaced stretch before one radius stands for both; our own."""
MOST_ERROR = 0.5
"""Standard error of ln T up to which a T is told; our own."""
_BAND = 1.645
"""Half a 90 % band in standard errors."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlugRun:
    """The return of the level after water was put in or taken out at once.

    Parameters
    ----------
    start_min
        Minute of the change.
    first_change_m
        Change of level H₀ [m], positive when the level fell.
    time_s, ratio
        Times since the change [s], and H/H₀ [–].
    radius_m
        Radius of the free surface [m].
    one_radius
        Whether the hole has one free area over the displaced stretch.
    """

    start_min: float
    first_change_m: float
    time_s: Floats
    ratio: Floats
    radius_m: float
    one_radius: Validity

    @property
    def window_min(self) -> tuple[float, float]:
        """First and last minute of its levels."""
        return self.start_min + float(self.time_s[0]) / MINUTE_S, self.start_min + float(
            self.time_s[-1]
        ) / MINUTE_S


def slug_run(fit: Fit) -> SlugRun | None:
    """Return the return of the level after one sudden change, None when water was moved in any other way too.

    Parameters
    ----------
    fit
        The fit.
    """
    layout = fit.layout
    moved = [s for s in layout.timeline.stretches if s.taken_m3 != 0]
    if len(moved) != 1 or any(s.pumping for s in layout.timeline.stretches) or not layout.static_known:
        return None
    static, taken = layout.static_m, moved[0].taken_m3
    change = layout.shape.depth_after(static, taken) - static
    read = levels_during(layout.levels, moved[0].start_min, np.inf)
    levels = [level for level in read if (level.depth_m - static) / change > 0]
    if len(levels) < LEAST_READINGS:
        return None
    area, mean_area = layout.shape.area_at(static), taken / change
    return SlugRun(
        start_min=moved[0].start_min,
        first_change_m=change,
        time_s=np.array([(level.minute - moved[0].start_min) * MINUTE_S for level in levels]),
        ratio=np.array([(level.depth_m - static) / change for level in levels]),
        radius_m=sqrt(mean_area / pi),
        one_radius=judged(
            abs(area - mean_area) <= SAME_AREA * mean_area,
            "the level stayed within one diameter",
            "the level moved through two diameters, and the method knows one",
        ),
    )


def curve_check(fit: Fit, run: SlugRun) -> CrossCheck:
    """Read T from the curve of Cooper, Bredehoeft and Papadopulos.

    Parameters
    ----------
    fit
        The fit.
    run
        The return of the level.

    Notes
    -----
    The curves are for radial flow; for another flow dimension T is an apparent value at the face. Source: cooper1967.
    """
    found = slug_fit(run.time_s, run.ratio, fit.layout.problem.radius_m, run.radius_m)
    error = found.transmissivity_relative_error
    told = judged(error <= MOST_ERROR, "the curve tells T", "the levels hardly tell one curve from another")
    judgment = all_of(told, flow_is_radial(fit), slug_validity(found, float(run.ratio.min())), run.one_radius)
    values: list[tuple[str, CheckValue]] = [
        ("first_change", Amount(abs(run.first_change_m), "length")),
        ("misfit", PlainNumber(found.rms_misfit)),
    ]
    if told.valid:
        middle, factor = found.transmissivity_m2s, exp(_BAND * error)
        band = Spread(middle / factor, middle, middle * factor, "m²/s")
        values = [
            ("transmissivity_at_face", band),
            ("storativity_at_face", PlainNumber(found.storativity)),
            *values,
        ]
    method = "bail or slug recovery, type curve (Cooper-Bredehoeft-Papadopulos)"
    return outcome(method, judgment, values, run.window_min, "cooper1967")


def line_check(fit: Fit, run: SlugRun) -> CrossCheck | None:
    """Read K of the open hole from Hvorslev's straight line.

    Parameters
    ----------
    fit
        The fit.
    run
        The return of the level.

    Returns
    -------
    CrossCheck or None
        None when the length of the open hole is not known or the level does not return.

    Notes
    -----
    From H/H₀ of 0.15 to 0.25 where three levels lie there, else from all. Source: hvorslev1951, butler1998.
    """
    length = _open_length(fit)
    if length is None:
        return None
    low, high = HVORSLEV_WINDOW
    inside = np.count_nonzero((run.ratio >= low) & (run.ratio <= high))
    window = HVORSLEV_WINDOW if inside >= LEAST_READINGS else (0.0, np.inf)
    try:
        line = basic_time_lag_fit(run.time_s, run.ratio, window)
    except RangeError:
        return None
    radius = fit.layout.problem.radius_m
    conductivity = hvorslev_conductivity(line.basic_time_lag_s, run.radius_m, length, radius)
    judgment = all_of(hvorslev_validity(length, radius, line.ratio_at_start), run.one_radius)
    values: list[tuple[str, CheckValue]] = [
        ("conductivity", PlainNumber(conductivity, "m/s")),
        ("transmissivity_at_face", PlainNumber(conductivity * length, "m²/s")),
        ("basic_time_lag", Amount(line.basic_time_lag_s, "duration")),
        ("open_length", Amount(length, "length")),
        ("readings", PlainNumber(line.line.count)),
    ]
    used = (run.ratio >= window[0]) & (run.ratio <= window[1])
    minutes = run.start_min + run.time_s[used] / MINUTE_S
    method = "bail or slug recovery, straight line (Hvorslev)"
    return outcome(method, judgment, values, (float(minutes.min()), float(minutes.max())), "hvorslev1951")


def _open_length(fit: Fit) -> float | None:
    """Return the length of open hole under water and below the casing [m]."""
    hole = fit.layout.hole
    if hole.bottom_m is None:
        return None
    length = hole.bottom_m - max(hole.shoe_m or 0.0, fit.layout.static_m)
    return length if length > fit.layout.problem.radius_m else None
