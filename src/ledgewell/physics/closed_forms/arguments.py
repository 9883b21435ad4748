"""Checks of what a closed form is given; each returns the values as a float array or raises RangeError."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ledgewell.errors import RangeError

FloatArray = NDArray[np.float64]


def _refuse(name: str, values: FloatArray, good: NDArray[np.bool_], right: str) -> None:
    if not np.all(good):
        raise RangeError(name, float(values[~good].flat[0]), right)


def positive(name: str, values: ArrayLike) -> FloatArray:
    """Return values that are all more than zero and finite.

    Examples
    --------
    >>> float(positive("time_s", 60))
    60.0
    """
    checked = np.asarray(values, dtype=np.float64)
    _refuse(name, checked, np.isfinite(checked) & (checked > 0), "more than zero and finite")
    return checked


def not_negative(name: str, values: ArrayLike) -> FloatArray:
    """Return values that are all zero or more and finite.

    Examples
    --------
    >>> float(not_negative("skin", 0))
    0.0
    """
    checked = np.asarray(values, dtype=np.float64)
    _refuse(name, checked, np.isfinite(checked) & (checked >= 0), "zero or more and finite")
    return checked


def finite(name: str, values: ArrayLike) -> FloatArray:
    """Return values that are all finite.

    Examples
    --------
    >>> float(finite("flow_m3s", -0.001))
    -0.001
    """
    checked = np.asarray(values, dtype=np.float64)
    _refuse(name, checked, np.isfinite(checked), "finite")
    return checked


def within(name: str, values: ArrayLike, low: float, high: float) -> FloatArray:
    """Return values that all lie between two bounds, bounds included.

    Examples
    --------
    >>> float(within("dimension", 2, 1, 3))
    2.0
    """
    checked = np.asarray(values, dtype=np.float64)
    _refuse(name, checked, (checked >= low) & (checked <= high), f"from {low:g} to {high:g}")
    return checked


def rising(name: str, values: ArrayLike) -> FloatArray:
    """Return a row of finite values, each larger than the one before it.

    Examples
    --------
    >>> rising("time_s", [0, 60, 120]).tolist()
    [0.0, 60.0, 120.0]
    """
    checked = finite(name, values)
    if checked.ndim != 1:
        raise RangeError(name, float(checked.ndim), "one row of values, in one dimension")
    good = np.concatenate([[True], np.diff(checked) > 0])
    _refuse(name, checked, good, "larger than the value before it")
    return checked


def paired(name: str, values: ArrayLike, others: FloatArray) -> FloatArray:
    """Return finite values of which there is one for each of the others.

    Examples
    --------
    >>> paired("drawdown_m", [0.1, 0.2], rising("time_s", [60, 120])).tolist()
    [0.1, 0.2]
    """
    checked = finite(name, values)
    if checked.shape != others.shape:
        raise RangeError(name, float(checked.size), f"as many values as the {others.size} it goes with")
    return checked
