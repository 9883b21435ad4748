"""Water stored in the hole by depth, with the band that the bore's true width gives it."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, floor, log10
from statistics import NormalDist

from ledgewell.physics.hole import HoleShape
from ledgewell.steps.findings import Amount, Estimate, JsonTable
from ledgewell.steps.hole.shape import SLACK_M
from ledgewell.steps.prove.priors import Priors
from ledgewell.units import System, si_from

PROBABILITY = 0.9
"""Probability of the bands of stored water."""
_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)
_MOST_STEPS = 10
_UNITS = {"us": "ft", "si": "m"}


def stored_estimate(volume_m3: float) -> Estimate:
    """Put the band on a stored volume that the unknown true area of the hole gives it.

    Parameters
    ----------
    volume_m3
        Volume from the recorded diameters [m³], not below zero.

    Returns
    -------
    Estimate

    Notes
    -----
    The true area over the recorded one is lognormal, with the standard deviation that `prove` takes: bit wear
    and washout. Source: common practice, no source.

    Examples
    --------
    >>> str(stored_estimate(2.18).show("us"))
    '580 gal (550 to 610)'
    """
    spread = exp(NormalDist().inv_cdf(0.5 + PROBABILITY / 2) * Priors().area_error)
    return Estimate(volume_m3 / spread, volume_m3, volume_m3 * spread, "volume", PROBABILITY)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredRow:
    """Water above and below one depth.

    Parameters
    ----------
    depth
        The depth.
    above
        Water between the level and this depth: what drawing down to here takes out of the hole.
    below
        Water between this depth and the bottom: what would be left.
    """

    depth: Amount
    above: Amount
    below: Amount

    def to_json(self, system: System) -> JsonTable:
        """Write it as a JSON object.

        Parameters
        ----------
        system
            Unit system.

        Returns
        -------
        dict
            ``{"depth", "above", "below"}``.
        """
        named = {"depth": self.depth, "above": self.above, "below": self.below}
        return {name: amount.to_json(system) for name, amount in named.items()}


def stored_rows(shape: HoleShape, level_m: float, system: System) -> tuple[StoredRow, ...]:
    """Tabulate stored water from the level to the bottom, at round depths and wherever the width changes.

    Parameters
    ----------
    shape
        Free area of the hole.
    level_m
        Depth to water [m].
    system
        Unit system in which depths are round.

    Returns
    -------
    tuple of StoredRow
        From the level down to the bottom; none when the level is at the bottom or below.

    Examples
    --------
    >>> rows = stored_rows(HoleShape((0.0, 100.0), (0.018,)), 20.0, "si")
    >>> [row.depth.show("si") for row in rows][:3], rows[-1].above.show("si")
    (['20 m', '30 m', '40 m'], '1,440 L')
    """
    return tuple(
        StoredRow(
            depth=Amount(depth_m, "depth"),
            above=Amount(shape.volume_between(level_m, depth_m), "volume"),
            below=Amount(shape.volume_between(depth_m, shape.bottom_m), "volume"),
        )
        for depth_m in row_depths_m(shape, level_m, system)
    )


def row_depths_m(shape: HoleShape, level_m: float, system: System) -> tuple[float, ...]:
    """Choose the depths of the table of stored water.

    Parameters
    ----------
    shape
        Free area of the hole.
    level_m
        Depth to water [m].
    system
        Unit system in which depths are round.

    Returns
    -------
    tuple of float
        Rising depths [m]: the level, every change of width below it, round depths not close to these, the bottom.

    Examples
    --------
    >>> row_depths_m(HoleShape((0.0, 12.0, 60.0), (0.019, 0.018)), 11.0, "si")
    (11.0, 12.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0)
    """
    if level_m >= shape.bottom_m - SLACK_M:
        return ()
    unit_m = si_from(1, _UNITS[system])
    length = (shape.bottom_m - level_m) / unit_m
    power = 10.0 ** floor(log10(length / _MOST_STEPS))
    step = next(each * power for each in _ROUND if length <= each * power * _MOST_STEPS * (1 + 1e-9))
    fixed = [level_m, *(each for each in shape.bounds_m if each > level_m + SLACK_M)]
    first, last = floor(level_m / unit_m / step) + 1, floor(shape.bottom_m / unit_m / step)
    rounded = (si_from(step * count, _UNITS[system]) for count in range(first, last + 1))
    apart_m = 0.2 * step * unit_m
    kept = [each for each in rounded if all(abs(each - depth_m) > apart_m for depth_m in fixed)]
    return tuple(sorted([*fixed, *kept]))
