"""The answer to "does this formula hold here?", and the questions several formulas share."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.physics.closed_forms.arguments import positive

RADIAL_TOLERANCE = 0.02
"""How far the flow dimension may lie from 2 before a radial formula is refused; our own choice."""
STORAGE_TIME_FACTOR = 250.0
"""A well bore's stored water no longer matters after 250 rc²/T. Source: papadopulos1967."""
LINE_SOURCE_FACTOR = 1e4
"""1/u at the well face above which a line stands for a well of finite radius (about 2e-4); computed."""


@dataclass(frozen=True, slots=True)
class Validity:
    """Whether a formula holds, and why.

    Parameters
    ----------
    valid
        True when the formula holds.
    why
        The reason, in plain words.
    """

    valid: bool
    why: str


def judged(holds: bool, when_it_holds: str, when_not: str) -> Validity:
    """Return one judgment with the words that fit it.

    Examples
    --------
    >>> judged(3 > 2, "enough steps", "too few steps")
    Validity(valid=True, why='enough steps')
    """
    return Validity(bool(holds), when_it_holds if holds else when_not)


def all_of(*judgments: Validity) -> Validity:
    """Return the joint judgment: valid when all are; the reasons are those that decide.

    Examples
    --------
    >>> all_of(Validity(True, "flow is radial"), Validity(False, "the skin is negative"))
    Validity(valid=False, why='the skin is negative')
    """
    valid = all(judgment.valid for judgment in judgments)
    return Validity(valid, "; ".join(judgment.why for judgment in judgments if judgment.valid == valid))


def radial(dimension: float) -> Validity:
    """Return whether the flow dimension n is near enough to 2 for a radial formula.

    Examples
    --------
    >>> radial(1.5).why
    'the flow dimension is 1.5, and this formula is for 2 (radial flow) only'
    """
    return judged(
        abs(dimension - 2) <= RADIAL_TOLERANCE,
        "flow is radial",
        f"the flow dimension is {dimension:g}, and this formula is for 2 (radial flow) only",
    )


def storage_over(time_s: float, transmissivity_m2s: float, casing_radius_m: float) -> Validity:
    """Return whether the water stored in the hole has stopped mattering by a time.

    Notes
    -----
    t > 250 rc²/T, after which the drawdown is within 0.2 % of that of a well that stores nothing.
    Source: papadopulos1967.

    Examples
    --------
    >>> storage_over(3600.0, 1e-5, 0.0762).why
    'water stored in the hole still rules: that lasts until 145161 s (250 rc²/T), and this is 3600 s'
    """
    transmissivity = float(positive("transmissivity_m2s", transmissivity_m2s))
    end = STORAGE_TIME_FACTOR * float(positive("casing_radius_m", casing_radius_m)) ** 2 / transmissivity
    return judged(
        time_s >= end,
        f"later than {end:.0f} s (250 rc²/T), so water stored in the hole no longer matters",
        f"water stored in the hole still rules: that lasts until {end:.0f} s (250 rc²/T), "
        f"and this is {time_s:.0f} s",
    )
