"""Checks on one pumping: slope against log time after Bourdet, and specific capacity."""

from __future__ import annotations

from math import log

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.derivative import bourdet_derivative, derivative_validity
from ledgewell.physics.closed_forms.specific_capacity import theis_single_point
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged
from ledgewell.steps.findings import Amount, Quotient
from ledgewell.steps.prove.checks_engine import (
    LEAST_READINGS,
    PumpedRun,
    flow_is_radial,
    stored_water_is_over,
)
from ledgewell.steps.prove.checks_outcome import CheckValue, CrossCheck, PlainNumber, outcome
from ledgewell.steps.prove.fitting import Fit

SMOOTHING = 0.3
"""Least distance in ln t of the neighbors of a slope. Source: bourdet1989 (0.1 to 0.5 is customary)."""
ASSUMED_STORATIVITY = 1e-4
"""S taken for T from a single drawdown; a fractured rock's. Source: common practice, no source."""
STORAGE_RULES_ABOVE = 0.9
"""Slope over drawdown from which the hole's own water still rules: it is 1 as long as the hole gives all."""


def derivative_check(run: PumpedRun) -> CrossCheck | None:
    """Read the slope of drawdown against ln t near the end of pumping.

    Parameters
    ----------
    run
        The first pumping.

    Returns
    -------
    CrossCheck or None
        None when no reading has neighbors far enough away on both sides, or the level there is not drawn down.

    Notes
    -----
    On log-log axes slope and drawdown lie on one line of slope 1 while the hole gives all the water; the slope is flat
    once flow is radial. Source: bourdet1989.
    """
    if len(run.levels) < LEAST_READINGS:
        return None
    inside = [
        t for t in run.time_s if log(t / run.time_s[0]) >= SMOOTHING and log(run.time_s[-1] / t) >= SMOOTHING
    ]
    if not inside:
        return None
    times, slopes = bourdet_derivative(run.time_s, run.drawdown_m, SMOOTHING)
    error = float(max(level.error_m for level in run.levels[-3:]))
    drawdown = float(run.drawdown_m[run.time_s == times[-1]][0])
    if not drawdown > 0:
        return None
    ratio = float(slopes[-1]) / drawdown
    judgment = all_of(
        derivative_validity(run.time_s, error, float(slopes[-1]), SMOOTHING),
        judged(
            ratio < STORAGE_RULES_ABOVE,
            "the slope has left the line of the hole's own water",
            f"the slope is {ratio:.2f} of the drawdown itself: the hole still gives nearly all the water",
        ),
    )
    values: list[tuple[str, CheckValue]] = [
        ("slope_in_log_time", Amount(float(slopes[-1]), "length")),
        ("at", Amount(float(times[-1]), "duration")),
        ("slope_over_drawdown", PlainNumber(ratio)),
    ]
    return outcome("log-log derivative (Bourdet)", judgment, values, run.minutes, "bourdet1989")


def specific_capacity_check(fit: Fit, run: PumpedRun) -> CrossCheck | None:
    """Read rate over drawdown at the last level of the first pumping, and T from it where that may be done.

    Parameters
    ----------
    fit
        The fit.
    run
        The first pumping.

    Returns
    -------
    CrossCheck or None
        None when no level was read while pumping, or the last one is not drawn down.

    Notes
    -----
    T by the Theis formula with S = 1e-4, iterated. In a weak well the hole's own water makes Q/s read high.
    Source: theis1935.
    """
    if not run.levels or not run.drawdown_m[-1] > 0:
        return None
    drawdown, seconds = float(run.drawdown_m[-1]), float(run.time_s[-1])
    values: list[tuple[str, CheckValue]] = [
        ("specific_capacity", Quotient(run.rate_m3s / drawdown, "flow", "depth")),
        ("after", Amount(seconds, "duration")),
    ]
    found = _single_point(fit, run)
    if found is None:
        judgment = Validity(False, "no transmissivity gives so large a drawdown without skin or well loss")
    else:
        over = stored_water_is_over(fit, seconds, found, run.levels[-1].depth_m)
        judgment = all_of(flow_is_radial(fit), over)
        if judgment.valid:
            values.append(("transmissivity", PlainNumber(found, "m²/s")))
            values.append(("assumed_storativity", PlainNumber(ASSUMED_STORATIVITY)))
    window = run.levels[-1].minute, run.levels[-1].minute
    return outcome("specific capacity", judgment, values, window, "theis1935")


def _single_point(fit: Fit, run: PumpedRun) -> float | None:
    radius = fit.layout.problem.radius_m
    try:
        found = theis_single_point(
            run.rate_m3s, float(run.drawdown_m[-1]), float(run.time_s[-1]), radius, ASSUMED_STORATIVITY
        )
    except RangeError:
        return None
    return float(found)
