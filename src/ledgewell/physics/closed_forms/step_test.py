"""Step test: drawdown as formation loss plus well loss, s = BQ + CQ², on the inflow from the rock."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import log, log10, pi, sqrt

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
from ledgewell.physics.closed_forms.straight_line import WHOLE, Window, line_through, semilog_line


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a step test.

    Parameters
    ----------
    start_s
        When the step began [s].
    flow_m3s
        Rate during the step [m³/s]: the inflow from the rock where it differs from the pump's.
    time_s
        Times since the step began [s], shape (K,), rising and positive.
    drawdown_m
        Drawdown below the level before the first step [m], shape (K,).
    """

    start_s: float
    flow_m3s: float
    time_s: ArrayLike
    drawdown_m: ArrayLike

    def readings(self) -> tuple[FloatArray, FloatArray]:
        """Return times and drawdowns as checked arrays."""
        time = positive("time_s", rising("time_s", self.time_s))
        return time, paired("drawdown_m", self.drawdown_m, time)


@dataclass(frozen=True, slots=True, kw_only=True)
class LossFit:
    """Formation and well loss.

    Parameters
    ----------
    formation_loss_sm2
        B [s/m²].
    well_loss_s2m5
        C [s²/m⁵].
    rms_misfit_sm2
        Root mean square misfit of s/Q [s/m²].
    window
        Lowest and highest rate used [m³/s].
    count
        Number of steps used.
    """

    formation_loss_sm2: float
    well_loss_s2m5: float
    rms_misfit_sm2: float
    window: Window
    count: int


def step_drawdown(
    flow_m3s: ArrayLike, formation_loss_sm2: ArrayLike, well_loss_s2m5: ArrayLike
) -> FloatArray:
    """Return the drawdown s = BQ + CQ² [m] at a rate.

    Parameters
    ----------
    flow_m3s
        Rate Q ≥ 0 [m³/s].
    formation_loss_sm2, well_loss_s2m5
        B [s/m²], for the length of step it was found for, and C [s²/m⁵].

    Returns
    -------
    ndarray
        Drawdown [m], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If the rate is negative or a coefficient is not finite.

    Notes
    -----
    Source: jacob1947.

    Examples
    --------
    >>> round(float(step_drawdown(1e-3, 2000.0, 5e5)), 6)
    2.5
    """
    flow = not_negative("flow_m3s", flow_m3s)
    first, second = finite("formation_loss_sm2", formation_loss_sm2), finite("well_loss_s2m5", well_loss_s2m5)
    return np.asarray(first * flow + second * flow**2)


def loss_fit(flow_m3s: ArrayLike, drawdown_m: ArrayLike) -> LossFit:
    """Fit s/Q = B + CQ to pairs of rate and drawdown.

    Parameters
    ----------
    flow_m3s
        Rates [m³/s], shape (N,), N ≥ 2.
    drawdown_m
        Drawdown [m] that each rate alone would give after one length of time, shape (N,).

    Returns
    -------
    LossFit
        B, C and the misfit; with two rates there is no misfit.

    Raises
    ------
    RangeError
        If a rate is not positive or all rates are the same.

    Notes
    -----
    Give it step-corrected drawdowns (`step_increments`): total drawdowns at the end of each step mix in
    what the earlier steps still do. Source: bierschenk1963.

    Examples
    --------
    >>> fit = loss_fit([1e-3, 2e-3], [2.5, 6.0])
    >>> round(fit.formation_loss_sm2), round(fit.well_loss_s2m5)
    (2000, 500000)
    """
    flow = positive("flow_m3s", flow_m3s)
    line = line_through(flow, paired("drawdown_m", drawdown_m, flow) / flow)
    return LossFit(
        formation_loss_sm2=line.intercept,
        well_loss_s2m5=line.slope,
        rms_misfit_sm2=line.rms_misfit,
        window=line.window,
        count=line.count,
    )


def _value_at(step: Step, since_s: float) -> float:
    """Return the drawdown of a step at a time since it began, read between its readings in log time."""
    time, drawdown = step.readings()
    if not time[0] <= since_s <= time[-1]:
        raise RangeError(
            "interval_s", since_s, f"within the readings of every step, {time[0]:g} to {time[-1]:g} s"
        )
    return float(np.interp(log10(since_s), np.log10(time), drawdown))


def step_increments(steps: list[Step], interval_s: float, window_s: Window = WHOLE) -> FloatArray:
    """Return the drawdown that each rate alone would give after one length of time.

    Parameters
    ----------
    steps
        The steps in order, N ≥ 1.
    interval_s
        Length of time after the start of each step [s], within its readings.
    window_s
        Times since its start [s] over which a step is drawn out in log time beneath the next one.

    Returns
    -------
    ndarray
        Sums of the increments [m], shape (N,).

    Raises
    ------
    RangeError
        If the steps are out of order, or the interval or window misses the readings of a step.

    Notes
    -----
    Increment i = s(tᵢ + Δt) − [line of step i − 1 at the same moment]; the sums are s for Q₁, Q₂, …
    Source: bierschenk1963, hantush1964.

    Examples
    --------
    >>> first = Step(start_s=0.0, flow_m3s=1e-3, time_s=[10.0, 100.0], drawdown_m=[1.0, 2.0])
    >>> then = Step(start_s=100.0, flow_m3s=2e-3, time_s=[10.0, 100.0], drawdown_m=[3.0, 4.5])
    >>> step_increments([first, then], 100.0).round(3).tolist()
    [2.0, 4.199]
    """
    rising("start_s", [step.start_s for step in steps])
    increments = [_value_at(steps[0], interval_s)]
    for before, step in pairwise(steps):
        line = semilog_line(*before.readings(), window_s)
        beneath = line.at(log10(step.start_s - before.start_s + interval_s))
        increments.append(_value_at(step, interval_s) - beneath)
    return np.cumsum(increments)


def hantush_bierschenk_fit(steps: list[Step], interval_s: float, window_s: Window = WHOLE) -> LossFit:
    """Fit B and C to step-corrected drawdowns; arguments as for `step_increments`, with at least two steps.

    Returns
    -------
    LossFit
        B for that length of step, and C.

    Raises
    ------
    RangeError
        As `step_increments` and `loss_fit`.

    Notes
    -----
    Where it holds: `ledgewell.physics.closed_forms.well_loss.step_test_validity`.
    Source: bierschenk1963, hantush1964.

    Examples
    --------
    >>> first = Step(start_s=0.0, flow_m3s=1e-3, time_s=[10.0, 100.0], drawdown_m=[1.0, 2.0])
    >>> then = Step(start_s=100.0, flow_m3s=2e-3, time_s=[10.0, 100.0], drawdown_m=[3.0, 4.5])
    >>> round(hantush_bierschenk_fit([first, then], 100.0).formation_loss_sm2)
    1901
    """
    increments = step_increments(steps, interval_s, window_s)
    return loss_fit([step.flow_m3s for step in steps], increments)


@dataclass(frozen=True, slots=True, kw_only=True)
class EdenHazelFit:
    """A whole step test fitted at once.

    Parameters
    ----------
    offset_sm2, rise_sm2
        a and b of a + b log₁₀ t [s/m²], t in seconds.
    well_loss_s2m5
        C [s²/m⁵].
    transmissivity_m2s
        T [m²/s] from b.
    rms_misfit_m
        Root mean square misfit [m].
    window_s
        Earliest and latest time since a step began that was used [s].
    count
        Number of readings used.
    """

    offset_sm2: float
    rise_sm2: float
    well_loss_s2m5: float
    transmissivity_m2s: float
    rms_misfit_m: float
    window_s: Window
    count: int

    def formation_loss_sm2(self, time_s: float) -> float:
        """Return B [s/m²] for a length of pumping [s]."""
        return self.offset_sm2 + self.rise_sm2 * log10(time_s)


def eden_hazel_fit(steps: list[Step], window_s: Window = WHOLE) -> EdenHazelFit:
    """Fit s = Σ ΔQᵢ [a + b log₁₀(t − tᵢ)] + CQ² to every reading of a step test.

    Parameters
    ----------
    steps
        The steps in order, at least two.
    window_s
        First and last time since the start of its step that a reading may have [s].

    Returns
    -------
    EdenHazelFit
        a, b, C, T and the misfit.

    Raises
    ------
    RangeError
        If the steps are out of order, there are fewer than two, or fewer than four readings lie in the
        window.

    Notes
    -----
    T = ln10/(4πb). Where it holds: `ledgewell.physics.closed_forms.well_loss.step_test_validity`.
    Source: eden1973.

    Examples
    --------
    >>> first = Step(start_s=0.0, flow_m3s=1e-3, time_s=[10.0, 100.0], drawdown_m=[2.0, 2.5])
    >>> then = Step(start_s=100.0, flow_m3s=2e-3, time_s=[10.0, 100.0], drawdown_m=[5.520696, 6.150515])
    >>> fit = eden_hazel_fit([first, then])
    >>> round(fit.well_loss_s2m5), round(fit.formation_loss_sm2(100.0))
    (500000, 2000)
    """
    if len(steps) < 2:
        raise RangeError("steps", len(steps), "at least two")
    rows, drawdowns, since = _eden_hazel_rows(steps, window_s)
    if len(drawdowns) < 4:
        raise RangeError(
            "readings in the window", len(drawdowns), "at least four, since three numbers are sought"
        )
    scale = np.max(np.abs(rows), axis=0)
    solution = np.linalg.lstsq(rows / scale, drawdowns, rcond=None)[0] / scale
    misfit = drawdowns - rows @ solution
    return EdenHazelFit(
        offset_sm2=float(solution[0]),
        rise_sm2=float(solution[1]),
        well_loss_s2m5=float(solution[2]),
        transmissivity_m2s=log(10) / (4 * pi * float(solution[1])),
        rms_misfit_m=sqrt(float(np.mean(misfit**2))),
        window_s=(float(since.min()), float(since.max())),
        count=len(drawdowns),
    )


def _eden_hazel_rows(steps: list[Step], window_s: Window) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the rows of the linear system, the drawdowns, and the time of each since its step began."""
    starts = rising("start_s", [step.start_s for step in steps])
    flows = positive("flow_m3s", [step.flow_m3s for step in steps])
    changes = np.diff(flows, prepend=0.0)
    rows, drawdowns, since = [], [], []
    for place, step in enumerate(steps):
        for time, drawdown in zip(*step.readings(), strict=True):
            if window_s[0] <= time <= window_s[1]:
                elapsed = step.start_s + time - starts[: place + 1]
                rise = float(np.sum(changes[: place + 1] * np.log10(elapsed)))
                rows.append((flows[place], rise, flows[place] ** 2))
                drawdowns.append(float(drawdown))
                since.append(float(time))
    return np.array(rows).reshape(-1, 3), np.array(drawdowns), np.array(since)
