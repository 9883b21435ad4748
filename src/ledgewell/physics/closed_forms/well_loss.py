"""Loss that grows with the square of the rate: Walton's coefficient, and when a step test tells it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.physics.closed_forms.arguments import FloatArray, finite, not_negative, paired, positive
from ledgewell.physics.closed_forms.validity import Validity, all_of, judged

STORAGE_SHARE_LIMIT = 0.05
"""Share of a step's rate that may still come out of the hole itself; our own rule."""
WALTON_BOUNDS_S2FT5 = (5.0, 10.0, 40.0)
"""Well-loss coefficients [s²/ft⁵] that part Walton's four conditions. Source: walton1962."""
FEET_PER_METER = 1 / 0.3048


def walton_well_loss(increment_m: ArrayLike, flow_increment_m3s: ArrayLike) -> FloatArray:
    """Return Walton's well-loss coefficient C [s²/m⁵] for each pair of neighboring steps.

    Parameters
    ----------
    increment_m
        Increment of drawdown of each step [m], shape (N,).
    flow_increment_m3s
        Increment of rate of each step [m³/s], shape (N,).

    Returns
    -------
    ndarray
        C between steps i − 1 and i, shape (N − 1,).

    Raises
    ------
    RangeError
        If an increment of rate is not positive or the numbers differ.

    Notes
    -----
    C = (Δsᵢ/ΔQᵢ − Δsᵢ₋₁/ΔQᵢ₋₁)/(ΔQᵢ₋₁ + ΔQᵢ). Source: walton1962.

    Examples
    --------
    >>> walton_well_loss([2.5, 3.5], [1e-3, 1e-3]).round(3).tolist()
    [500000.0]
    """
    flow = positive("flow_increment_m3s", flow_increment_m3s)
    specific = paired("increment_m", increment_m, flow) / flow
    return np.asarray(np.diff(specific) / (flow[:-1] + flow[1:]))


def walton_condition(well_loss_s2m5: float) -> str:
    """Return Walton's word for a well with a well-loss coefficient C [s²/m⁵].

    Raises
    ------
    RangeError
        If C is negative.

    Notes
    -----
    Made for large wells in loose ground, and from memory; a weak well in rock may pass 40 s²/ft⁵ when new.
    Source: walton1962.

    Examples
    --------
    >>> walton_condition(2.0 * 3.280839895**5)
    'properly designed and developed'
    """
    value = float(not_negative("well_loss_s2m5", well_loss_s2m5)) / FEET_PER_METER**5
    words = (
        "properly designed and developed",
        "mild deterioration",
        "severe deterioration",
        "hard to restore",
    )
    return words[int(np.searchsorted(WALTON_BOUNDS_S2FT5, value, side="right"))]


def storage_share(flow_m3s: ArrayLike, area_m2: ArrayLike, level_speed_ms: ArrayLike) -> FloatArray:
    """Return the share of a pump rate that comes out of the hole itself [–].

    Parameters
    ----------
    flow_m3s
        Pump rate [m³/s].
    area_m2
        Free area of the hole where the level stands [m²].
    level_speed_ms
        How fast the level falls [m/s].

    Returns
    -------
    ndarray
        Share [–], shape of the arguments broadcast together.

    Raises
    ------
    RangeError
        If rate or area is not positive.

    Notes
    -----
    A (dh/dt)/Q, the balance of the hole. Source: papadopulos1967.

    Examples
    --------
    >>> round(float(storage_share(1e-4, 0.0182, 1e-4)), 4)
    0.0182
    """
    area, speed = positive("area_m2", area_m2), finite("level_speed_ms", level_speed_ms)
    return np.asarray(area * speed / positive("flow_m3s", flow_m3s))


def step_test_validity(storage_shares: ArrayLike, well_loss_s2m5: float) -> Validity:
    """Return whether s = BQ + CQ² may be read from a step test.

    Parameters
    ----------
    storage_shares
        Share of each step's rate that still came out of the hole at its end, shape (N,).
    well_loss_s2m5
        The C that was found [s²/m⁵].

    Returns
    -------
    Validity
        Not valid under three steps, with a share over 5 %, or with a negative C.

    Notes
    -----
    Source: kruseman1990, bierschenk1963.

    Examples
    --------
    >>> step_test_validity([0.01, 0.02, 0.3], 1e5).why
    'step 3 still took 30 % of its rate out of the hole itself, and 5 % is the most'
    """
    shares = np.abs(finite("storage_shares", storage_shares))
    worst = int(np.argmax(shares)) if shares.size else 0
    largest = float(shares[worst]) if shares.size else 0.0
    return all_of(
        judged(shares.size >= 3, f"{shares.size} steps", f"{shares.size} steps, and three are the fewest"),
        judged(
            largest <= STORAGE_SHARE_LIMIT,
            "every step ended on the rock's water",
            f"step {worst + 1} still took {100 * largest:.0f} % of its rate out of the hole itself, "
            "and 5 % is the most",
        ),
        judged(
            well_loss_s2m5 >= 0,
            "C is not negative",
            "C is negative: the well grew better, or the steps are short",
        ),
    )
