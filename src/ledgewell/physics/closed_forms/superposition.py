"""Any step response under a rate that changes by steps."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.physics.closed_forms.arguments import FloatArray, finite, paired, positive, rising
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged

StepResponse = Callable[[FloatArray], FloatArray]
"""Drawdown per unit of constant rate [s/m²] from positive times since that rate began [s]."""


def superpose(
    response: StepResponse, time_s: ArrayLike, step_start_s: ArrayLike, step_flow_m3s: ArrayLike
) -> FloatArray:
    """Return the drawdown under a rate that changes by steps.

    Parameters
    ----------
    response
        Drawdown per unit of constant rate [s/m²] as a function of the time since it began [s].
    time_s
        Times asked [s], any shape, on the clock of the steps.
    step_start_s
        Start of each step [s], shape (N,), rising; before the first the rate is 0.
    step_flow_m3s
        Rate during each step [m³/s], shape (N,); the last goes on for ever; 0 is recovery.

    Returns
    -------
    ndarray
        Drawdown [m], shape of the times; 0 up to the first start.

    Raises
    ------
    RangeError
        If starts do not rise or the numbers of starts and rates differ.

    Notes
    -----
    s(t) = Σᵢ (Qᵢ − Qᵢ₋₁) f(t − tᵢ). Where it holds: `superposition_validity`. Source: kruseman1990.

    Examples
    --------
    >>> round(float(superpose(lambda t: t, 10.0, [0.0, 4.0], [2.0, 0.0])), 6)  # a bucket keeps what was taken
    8.0
    """
    time = finite("time_s", time_s)
    starts = rising("step_start_s", step_start_s)
    changes = np.diff(paired("step_flow_m3s", step_flow_m3s, starts), prepend=0.0)
    total = np.zeros(time.shape)
    for start, change in zip(starts, changes, strict=True):
        since = time - start
        running = since > 0
        if np.any(running):
            total[running] += change * response(since[running])
    return total


def pump_and_recover(
    response: StepResponse, time_s: ArrayLike, pumping_time_s: float, flow_m3s: float
) -> FloatArray:
    """Return the drawdown of one constant rate that stops, and its recovery.

    Parameters
    ----------
    response
        Drawdown per unit of constant rate [s/m²].
    time_s
        Times since pumping began [s].
    pumping_time_s
        When it stopped [s].
    flow_m3s
        The rate [m³/s].

    Returns
    -------
    ndarray
        Drawdown [m], shape of the times.

    Raises
    ------
    RangeError
        If the pumping time is not positive.

    Notes
    -----
    s(t) = Q[f(t) − f(t − tp)]. Source: kruseman1990.

    Examples
    --------
    >>> round(float(pump_and_recover(lambda t: t**0.5, 25.0, 9.0, 1.0)), 6)
    1.0
    """
    stop = float(positive("pumping_time_s", pumping_time_s))
    return superpose(response, time_s, [0.0, stop], [flow_m3s, 0.0])


def superposition_validity(
    fractures_exposed: bool, turbulent_loss: bool, highest_radius_m: float, lowest_radius_m: float
) -> Validity:
    """Return whether drawdowns of single rates may be added.

    Parameters
    ----------
    fractures_exposed
        True when the level has stood below a fracture.
    turbulent_loss
        True when part of the drawdown grows with the square of the rate.
    highest_radius_m, lowest_radius_m
        Radius of the free surface where the level started and where it ended [m].

    Returns
    -------
    Validity
        Whether it holds, and why.

    Notes
    -----
    Only a linear well may be superposed. Source: kruseman1990.

    Examples
    --------
    >>> superposition_validity(True, False, 0.076, 0.076).why
    'the level stood below a fracture, which then drips free and no longer answers to the level'
    """
    return all_of(
        judged(
            not fractures_exposed,
            "every fracture stayed under water",
            "the level stood below a fracture, which then drips free and no longer answers to the level",
        ),
        judged(
            not turbulent_loss,
            "no loss grows with the square of the rate",
            "a loss grows with the rate squared",
        ),
        judged(
            abs(highest_radius_m - lowest_radius_m) <= 1e-3 * highest_radius_m,
            "the level stayed within one radius",
            "the level passed from one radius of the hole into another",
        ),
    )
