"""Semilog straight lines: Cooper-Jacob while pumping, Theis recovery after it."""

from __future__ import annotations

from math import inf, log, pi

import numpy as np
from numpy.typing import NDArray

from ledgewell.physics.closed_forms import Validity
from ledgewell.physics.closed_forms.straight_line import StraightLine, semilog_line
from ledgewell.physics.closed_forms.theis import cooper_jacob_limit
from ledgewell.physics.closed_forms.validity import all_of, judged
from ledgewell.steps.findings import Amount
from ledgewell.steps.prove.checks_engine import (
    LEAST_READINGS,
    SLOPE_TOLERANCE,
    Floats,
    PumpedRun,
    drawdown_slopes,
    flow_is_radial,
    levels_during,
    recovery_slopes,
    stored_water_is_over,
    straight_from,
)
from ledgewell.steps.prove.checks_outcome import CheckValue, CrossCheck, PlainNumber, outcome
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.spread import Spread
from ledgewell.steps.prove.timeline import MINUTE_S

PROBABILITY = 0.9
WELL_TOLD = 0.25
"""Half the band of a slope over the slope, up to which T is read from it; our own."""
MOST_TENFOLDS = 3.0
"""Farthest from t/t′ = 1, in tenfolds, that a line is followed to where it reaches zero; our own."""


def semilog_check(fit: Fit, run: PumpedRun) -> CrossCheck | None:
    """Read the straight line of drawdown against log time.

    Parameters
    ----------
    fit
        The fit.
    run
        The first pumping.

    Returns
    -------
    CrossCheck or None
        None when under three levels were read while pumping.

    Notes
    -----
    T = ln10·Q/(4πΔs). Read only where the engine's own slope is within 10 % of its slope without stored water.
    Source: cooper1946.
    """
    if len(run.levels) < LEAST_READINGS:
        return None
    depth = run.levels[-1].depth_m
    begin, ratio = straight_from(fit, run.time_s[0], run.time_s[-1], depth, drawdown_slopes)
    used = _used(run.time_s, begin)
    times = run.time_s[used]
    line = semilog_line(times, run.drawdown_m[used])
    judgment = _judged(fit, line, begin, ratio, float(times[0]), run.rate_m3s, depth)
    values = _values(line, judgment, ratio, run.rate_m3s)
    start = run.stretch.start_min
    window = start + float(times[0]) / MINUTE_S, start + float(times[-1]) / MINUTE_S
    return outcome("semilog straight line (Cooper-Jacob)", judgment, values, window, "cooper1946")


def recovery_check(fit: Fit, run: PumpedRun) -> CrossCheck | None:
    """Read the straight line of residual drawdown against log t/t′, after a single pumping at one rate.

    Parameters
    ----------
    fit
        The fit.
    run
        The pumping.

    Returns
    -------
    CrossCheck or None
        None when pumping went on at another rate, water was moved since, or under three levels were read.

    Notes
    -----
    T = ln10·Q/(4πΔs′). Source: theis1935.
    """
    stop = run.stretch.end_min
    after = [s for s in fit.layout.timeline.stretches if s.start_min >= stop]
    if any(s.pumping or s.taken_m3 != 0 for s in after):
        return None
    levels = levels_during(fit.layout.levels, stop, inf)
    if len(levels) < LEAST_READINGS:
        return None
    rest = np.array([(level.minute - stop) * MINUTE_S for level in levels])
    residual = np.array([level.depth_m for level in levels]) - fit.layout.static_m
    pumped = (stop - run.stretch.start_min) * MINUTE_S
    depth = levels[-1].depth_m
    begin, ratio = straight_from(fit, rest[0], rest[-1], depth, recovery_slopes(pumped))
    used = _used(rest, begin)
    line = semilog_line(1 + pumped / rest[used], residual[used])
    first = float(rest[used][0])
    judgment = all_of(_judged(fit, line, begin, ratio, first, run.rate_m3s, depth), _drained(fit, run, first))
    values = _values(line, judgment, ratio, run.rate_m3s)
    if line.slope > 0 and abs(line.intercept) <= MOST_TENFOLDS * line.slope:
        values.append(("time_ratio_at_zero", PlainNumber(10 ** (-line.intercept / line.slope))))
    window = stop + first / MINUTE_S, levels[-1].minute
    return outcome("residual drawdown against t/t′ (Theis recovery)", judgment, values, window, "theis1935")


def _drained(fit: Fit, run: PumpedRun, first_s: float) -> Validity:
    """Return whether water that drained back from the drop pipe has stopped bending the line.

    Notes
    -----
    A volume V given back at once leaves the residual V/(4πTt′) behind; its slope in ln t′ over that of the pumping is
    V/(Qt′). Source: cooper1967 for the late slug; the ratio is our own.
    """
    area = max((span.drain_m2 for span in fit.layout.problem.steps.spans), default=0.0)
    deepest = max((level.depth_m for level in run.levels), default=fit.layout.deepest_m)
    share = area * max(deepest, 0.0) / (run.rate_m3s * first_s)
    return judged(
        share <= SLOPE_TOLERANCE,
        "no water draining back from the drop pipe bends it",
        "water may have drained back from the drop pipe, and still bends it",
    )


def _used(time_s: Floats, begin_s: float | None) -> NDArray[np.bool_]:
    """Return which readings make the line: those after its own slope has come, else the later half of them."""
    late = time_s >= (begin_s if begin_s is not None else inf)
    if np.count_nonzero(late) >= LEAST_READINGS:
        chosen: NDArray[np.bool_] = late
        return chosen
    latest: NDArray[np.bool_] = np.arange(len(time_s)) >= len(time_s) - max(LEAST_READINGS, len(time_s) // 2)
    return latest


def _judged(
    fit: Fit,
    line: StraightLine,
    begin_s: float | None,
    ratio: float,
    first_s: float,
    rate_m3s: float,
    depth_m: float,
) -> Validity:
    rises = judged(line.slope > 0, "the line rises", "the line does not rise with the logarithm of time")
    told = judged(
        _relative_error(line) <= WELL_TOLD,
        "the line is well told",
        "the readings do not lie on one straight line",
    )
    if not fit.settled:
        unsure = Validity(False, "the sample has not settled, so the flow dimension is not known")
        if not rises.valid:
            return all_of(rises, unsure)
        found = log(10) * rate_m3s / (4 * pi * line.slope)
        return all_of(unsure, stored_water_is_over(fit, first_s, found, depth_m))
    u = float(np.exp(np.median(fit.wells.log_time_constant))) / (4 * first_s)
    small = judged(u <= cooper_jacob_limit(0.01), "u is small", "u is too large for the logarithm")
    return all_of(flow_is_radial(fit), _own_slope_came(begin_s, ratio, first_s), small, rises, told)


def _own_slope_came(begin_s: float | None, ratio: float, first_s: float) -> Validity:
    """Return whether the engine's own slope had come to its late one when the line begins."""
    if begin_s is None:
        return Validity(
            False,
            "water stored in the hole still bends it: at the last reading the engine's own slope is "
            f"{ratio:.2g} times what it is without it",
        )
    return judged(
        first_s >= begin_s,
        "the engine's own slope has come within 10 % of what it is without water stored in the hole",
        "under three readings follow after water stored in the hole stops bending it",
    )


def _values(
    line: StraightLine, judgment: Validity, ratio: float, rate_m3s: float
) -> list[tuple[str, CheckValue]]:
    values: list[tuple[str, CheckValue]] = [
        ("rise_per_tenfold", Amount(line.slope, "length")),
        ("readings", PlainNumber(line.count)),
        ("own_slope_over_late_slope", PlainNumber(ratio)),
    ]
    if judgment.valid:
        transmissivity = log(10) * rate_m3s / (4 * pi * line.slope)
        error = _relative_error(line)
        low, high = transmissivity / (1 + error), transmissivity / (1 - error)
        values.insert(0, ("transmissivity", Spread(low, transmissivity, high, "m²/s", PROBABILITY)))
    return values


def _relative_error(line: StraightLine) -> float:
    """Return half the 90 % band of the slope over the slope, by Student's t."""
    from scipy.stats import t as student

    if line.count < LEAST_READINGS or line.slope == 0:
        return inf
    return float(student.ppf((1 + PROBABILITY) / 2, line.count - 2)) * line.slope_error / abs(line.slope)
