"""Recovery after pumping: Theis residual drawdown, its straight line, and the equivalent time of Agarwal."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import (
    FloatArray,
    finite,
    not_negative,
    paired,
    positive,
    rising,
)
from ledgewell.physics.closed_forms.straight_line import StraightLine, Window, semilog_line
from ledgewell.physics.closed_forms.theis import cooper_jacob_limit, theis_drawdown, theis_u
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged, radial, storage_over


def theis_residual_drawdown(
    recovery_time_s: ArrayLike,
    pumping_time_s: ArrayLike,
    radius_m: ArrayLike,
    flow_m3s: ArrayLike,
    transmissivity_m2s: ArrayLike,
    storativity: ArrayLike,
) -> FloatArray:
    """Return the drawdown that is left some time after a constant rate stopped.

    Parameters
    ----------
    recovery_time_s
        Time since pumping stopped [s].
    pumping_time_s
        How long it was pumped [s].
    radius_m
        Distance from the well [m].
    flow_m3s
        The rate [m³/s].
    transmissivity_m2s, storativity
        T [m²/s] and S [–].

    Returns
    -------
    ndarray
        Residual drawdown [m].

    Raises
    ------
    RangeError
        If a time, distance, T or S is not positive.

    Notes
    -----
    s′ = Q/(4πT) [W(u) − W(u′)], u at tp + t′, u′ at t′. Source: theis1935.

    Examples
    --------
    >>> day = 86400.0
    >>> round(float(theis_residual_drawdown(0.1 * day, day, 10.0, 100 / day, 50 / day, 1e-4)), 6)
    0.381565
    """
    since_stop = positive("recovery_time_s", recovery_time_s)
    since_start = positive("pumping_time_s", pumping_time_s) + since_stop
    return theis_drawdown(since_start, radius_m, flow_m3s, transmissivity_m2s, storativity) - theis_drawdown(
        since_stop, radius_m, flow_m3s, transmissivity_m2s, storativity
    )


def semilog_residual_drawdown(
    recovery_time_s: ArrayLike, pumping_time_s: ArrayLike, flow_m3s: ArrayLike, transmissivity_m2s: ArrayLike
) -> FloatArray:
    """Return the residual drawdown [m] by the logarithmic approximation, for late recovery.

    Raises
    ------
    RangeError
        If a time or T is not positive.

    Notes
    -----
    s′ = Q/(4πT) ln((tp + t′)/t′); neither S nor the distance enters. Source: theis1935.

    Examples
    --------
    >>> day = 86400.0
    >>> round(float(semilog_residual_drawdown(0.1 * day, day, 100 / day, 50 / day)), 6)
    0.381637
    """
    since_stop = positive("recovery_time_s", recovery_time_s)
    ratio = positive("pumping_time_s", pumping_time_s) / since_stop
    flow = finite("flow_m3s", flow_m3s)
    return np.asarray(flow / (4 * pi * positive("transmissivity_m2s", transmissivity_m2s)) * np.log1p(ratio))


@dataclass(frozen=True, slots=True, kw_only=True)
class RecoveryFit:
    """Transmissivity from the straight line of residual drawdown.

    Parameters
    ----------
    transmissivity_m2s
        T [m²/s].
    ratio_at_zero
        t/t′ at which the line reaches zero drawdown [–]: near 1 in an endless rock; below 1 the rock was not
        refilled, above 1 it was recharged.
    line
        The line; its window is in t/t′.
    """

    transmissivity_m2s: float
    ratio_at_zero: float
    line: StraightLine


def theis_recovery_fit(
    recovery_time_s: ArrayLike,
    residual_m: ArrayLike,
    pumping_time_s: float,
    flow_m3s: float,
    window_s: Window = (0.0, np.inf),
) -> RecoveryFit:
    """Fit residual drawdown against the logarithm of t/t′.

    Parameters
    ----------
    recovery_time_s, residual_m
        Times since pumping stopped [s] and residual drawdowns [m], shape (K,).
    pumping_time_s
        How long it was pumped [s].
    flow_m3s
        The rate [m³/s].
    window_s
        First and last time since pumping stopped that may be used [s], both included.

    Returns
    -------
    RecoveryFit
        T, where the line crosses zero, and the line.

    Raises
    ------
    RangeError
        If the residual does not fall, or fewer than two readings lie in the window.

    Notes
    -----
    T = ln10·Q/(4πΔs′). Where it holds: `recovery_validity`. Source: theis1935.

    Examples
    --------
    >>> rest = [600.0, 3600.0, 36000.0]
    >>> fit = theis_recovery_fit(rest, semilog_residual_drawdown(rest, 86400.0, 1e-3, 1e-4), 86400.0, 1e-3)
    >>> round(fit.transmissivity_m2s, 9), round(fit.ratio_at_zero, 6)
    (0.0001, 1.0)
    """
    since_stop = positive("recovery_time_s", recovery_time_s)
    residual = paired("residual_m", residual_m, since_stop)
    used = (since_stop >= window_s[0]) & (since_stop <= window_s[1])
    if np.count_nonzero(used) < 2:
        raise RangeError("readings in the window", float(np.count_nonzero(used)), "at least two")
    ratio = 1 + float(positive("pumping_time_s", pumping_time_s)) / since_stop[used]
    line = semilog_line(ratio, residual[used])
    if line.slope <= 0:
        raise RangeError("slope", line.slope, "a residual drawdown that falls with time")
    return RecoveryFit(
        transmissivity_m2s=log(10) * float(positive("flow_m3s", flow_m3s)) / (4 * pi * line.slope),
        ratio_at_zero=10 ** (-line.intercept / line.slope),
        line=line,
    )


def recovery_validity(
    recovery_time_s: float,
    pumping_time_s: float,
    transmissivity_m2s: float,
    storativity: float,
    radius_m: float,
    casing_radius_m: float,
    dimension: float = 2.0,
) -> Validity:
    """Return whether the recovery straight line holds from a time on.

    Parameters
    ----------
    recovery_time_s
        First time since pumping stopped that is used [s].
    pumping_time_s
        How long it was pumped [s].
    transmissivity_m2s, storativity
        T [m²/s] and S [–].
    radius_m
        Distance of the readings from the well [m]; the bore radius in the pumped well.
    casing_radius_m
        Radius of the free surface in the hole [m].
    dimension
        Flow dimension n.

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Radial flow, u′ small enough for the logarithm to be within 1 %, and both pumping and rest longer than
    250 rc²/T: a hole still refilling gives a line too steep.
    Source: theis1935, cooper1946, papadopulos1967.

    Examples
    --------
    >>> recovery_validity(60.0, 3600.0, 1e-4, 1e-4, 0.0762, 0.0762).valid
    False
    """
    u = float(theis_u(recovery_time_s, radius_m, transmissivity_m2s, storativity))
    limit = cooper_jacob_limit(0.01)
    shorter = min(recovery_time_s, pumping_time_s)
    return all_of(
        radial(dimension),
        judged(u <= limit, "the logarithm is within 1 %", f"u' is {u:.3g}, and must be below {limit:.3g}"),
        storage_over(shorter, transmissivity_m2s, casing_radius_m),
    )


def agarwal_time(recovery_time_s: ArrayLike, pumping_time_s: ArrayLike) -> FloatArray:
    """Return the equivalent time of a recovery after one constant rate.

    Parameters
    ----------
    recovery_time_s
        Time since pumping stopped [s].
    pumping_time_s
        How long it was pumped [s].

    Returns
    -------
    ndarray
        te [s]; the recovered drawdown s(tp) − s′(t′) against te follows the curve of drawdown against time.

    Raises
    ------
    RangeError
        If a time is not positive.

    Notes
    -----
    te = tp t′/(tp + t′). Exact only where drawdown grows with the logarithm of time: ask `agarwal_validity`.
    Source: agarwal1980.

    Examples
    --------
    >>> float(agarwal_time(86400.0, 86400.0))
    43200.0
    """
    rest, pumped = positive("recovery_time_s", recovery_time_s), positive("pumping_time_s", pumping_time_s)
    return np.asarray(pumped * rest / (pumped + rest))


def agarwal_time_multirate(
    recovery_time_s: ArrayLike, step_start_s: ArrayLike, step_flow_m3s: ArrayLike, stop_s: float
) -> FloatArray:
    """Return the equivalent time of a recovery after several constant rates.

    Parameters
    ----------
    recovery_time_s
        Time since pumping stopped [s], any shape.
    step_start_s
        Start of each step [s], shape (N,), rising.
    step_flow_m3s
        Rate during each step [m³/s], shape (N,); the last must not be 0.
    stop_s
        When pumping stopped [s], after the last start.

    Returns
    -------
    ndarray
        te [s]; the recovered drawdown against te follows the curve of the *last* rate.

    Raises
    ------
    RangeError
        If times are not positive and rising, or the last rate is 0.

    Notes
    -----
    te = t′ Πᵢ [(tₙ − tᵢ)/(tₙ − tᵢ + t′)]^((qᵢ − qᵢ₋₁)/qₙ), tᵢ the start of step i, tₙ the stop: the form
    that follows from the logarithmic approximation. Source: agarwal1980.

    Examples
    --------
    >>> day = 86400.0
    >>> te = agarwal_time_multirate(0.25 * day, [0.0, 0.5 * day], [100 / day, 200 / day], day)
    >>> round(float(te) / day, 6)
    0.182574
    """
    rest = positive("recovery_time_s", recovery_time_s)
    starts = rising("step_start_s", step_start_s)
    flows = paired("step_flow_m3s", step_flow_m3s, starts)
    if flows[-1] == 0:
        raise RangeError(
            "step_flow_m3s", 0.0, "a last rate other than 0, since recovery is measured against it"
        )
    lasted = positive("stop_s less the start of a step", stop_s - starts)
    powers = np.diff(flows, prepend=0.0) / flows[-1]
    return np.asarray(rest * np.prod((lasted / (lasted + rest[..., None])) ** powers, axis=-1))


def agarwal_validity(
    recovery_time_s: float, pumping_time_s: float, transmissivity_m2s: float, casing_radius_m: float
) -> Validity:
    """Return whether recovery against the equivalent time follows the drawdown curve.

    Parameters
    ----------
    recovery_time_s, pumping_time_s
        Time since pumping stopped and how long it was pumped [s].
    transmissivity_m2s
        T [m²/s].
    casing_radius_m
        Radius of the free surface in the hole [m].

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Valid when pumping outlasted the water stored in the hole, or when the rest is short beside the pumping
    (under a tenth), so that what the pumping still does can be left out.
    Source: agarwal1980, papadopulos1967.

    Examples
    --------
    >>> agarwal_validity(3600.0, 3600.0, 1e-5, 0.0762).valid
    False
    """
    if recovery_time_s <= 0.1 * pumping_time_s:
        return Validity(True, "the rest is short beside the pumping")
    return storage_over(pumping_time_s, transmissivity_m2s, casing_radius_m)


def inflow_from_rise(
    area_m2: ArrayLike, rise_m: ArrayLike, time_s: ArrayLike, pump_m3s: ArrayLike = 0.0
) -> FloatArray:
    """Return the inflow that refilled a stretch of the hole.

    Parameters
    ----------
    area_m2
        Free area of the hole over that stretch [m²].
    rise_m
        How far the level rose [m]; negative when it fell.
    time_s
        How long that took [s].
    pump_m3s
        Rate pumped meanwhile [m³/s].

    Returns
    -------
    ndarray
        Mean inflow [m³/s] over that time, at the levels it stood at.

    Raises
    ------
    RangeError
        If area or time is not positive, or the pump rate negative.

    Notes
    -----
    Q = A Δh/Δt + Qpump. Exact for one area; water that drains back from the drop pipe counts as inflow here.
    It is the balance of the hole, no formula of the rock. Source: papadopulos1967.

    Examples
    --------
    >>> foot, gpm = 0.3048, 6.30901964e-5
    >>> six_inch = np.pi * 0.1524**2 / 4
    >>> round(float(inflow_from_rise(six_inch, 20 * foot, 1800.0)) / gpm, 4)  # 20 ft in 30 min
    0.9792
    """
    area, rise = positive("area_m2", area_m2), finite("rise_m", rise_m)
    return np.asarray(area * rise / positive("time_s", time_s) + not_negative("pump_m3s", pump_m3s))
