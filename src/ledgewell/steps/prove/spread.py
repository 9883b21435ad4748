"""A band of something that has no trade unit of its own: a ratio, n, skin, T* or S*."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledgewell.steps.findings import JsonTable
from ledgewell.units import round_figures


@dataclass(frozen=True, slots=True)
class Spread:
    """Low, middle and high of a number with a plain unit, or none.

    Examples
    --------
    >>> Spread(1.5, 2.0, 2.4, "").show()
    '2.0 (1.5 to 2.4)'
    """

    low: float
    mid: float
    high: float
    unit: str
    probability: float = 0.9

    def to_json(self) -> JsonTable:
        """Write low, mid, high, unit and probability, not rounded."""
        return {
            "low": self.low,
            "mid": self.mid,
            "high": self.high,
            "unit": self.unit,
            "probability": self.probability,
        }

    def show(self) -> str:
        """Write it for reading, to two figures."""
        low, mid, high = (_two_figures(value) for value in (self.low, self.mid, self.high))
        return f"{mid}{' ' + self.unit if self.unit else ''} ({low} to {high})"


def _two_figures(value: float) -> str:
    if value != 0 and (abs(value) < 1e-2 or abs(value) >= 1e5):
        return f"{value:.1e}"
    return round_figures(value, 2)


def spread(values: NDArray[np.float64], unit: str = "", weights: NDArray[np.float64] | None = None) -> Spread:
    """Return the middle and 90 % band of a sample, weighted when weights are given.

    Examples
    --------
    >>> spread(np.arange(101.0)).mid
    50.0
    """
    if weights is None:
        low, mid, high = np.quantile(values, [0.05, 0.5, 0.95])
    else:
        low, mid, high = weighted_quantiles(values, weights)
    return Spread(float(low), float(mid), float(high), unit)


def weighted_quantiles(
    values: NDArray[np.float64], weights: NDArray[np.float64], probability: float = 0.9
) -> tuple[float, float, float]:
    """Return low, middle and high of a weighted sample.

    Examples
    --------
    >>> weighted_quantiles(np.arange(101.0), np.ones(101))[1]
    50.0
    """
    order = np.argsort(values)
    place = np.cumsum(weights[order])
    place = (place - 0.5 * weights[order]) / place[-1]
    edge = (1 - probability) / 2
    low, mid, high = np.interp([edge, 0.5, 1 - edge], place, values[order])
    return float(low), float(mid), float(high)
