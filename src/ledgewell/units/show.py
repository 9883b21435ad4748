"""The one place where numbers are rounded for page, command and paper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

from ledgewell.errors import RangeError
from ledgewell.units.quantity import unit_of, value_in
from ledgewell.units.table import DEFAULT_UNIT

_NARROW_BAND = 0.05
_PLAIN_FIGURES = 3
_CLEAN_DIGITS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownEstimate:
    """An estimate rounded for reading.

    Parameters
    ----------
    low, mid, high
        Rounded numbers, as text.
    unit
        Unit of all three.
    """

    low: str
    mid: str
    high: str
    unit: str

    def __str__(self) -> str:
        return f"{self.mid} {self.unit} ({self.low} to {self.high})"


def round_figures(value: float, figures: int) -> str:
    """Round a number to significant figures, half away from zero.

    Parameters
    ----------
    value
        Finite number.
    figures
        Significant figures, 1 or more.

    Returns
    -------
    str
        Plain decimal text, thousands grouped by commas.

    Raises
    ------
    RangeError
        When the value is not finite or figures is below 1.

    Examples
    --------
    >>> round_figures(4.148, 2), round_figures(12345.0, 2), round_figures(0.0996, 2)
    ('4.1', '12,000', '0.10')
    """
    if figures < 1:
        raise RangeError("figures", figures, "1 or more")
    number = _clean(value)
    if number == 0:
        return "0"
    rounded = _to_place(number, number.adjusted() - figures + 1)
    if rounded.adjusted() > number.adjusted():
        rounded = _to_place(number, rounded.adjusted() - figures + 1)
    return f"{rounded:,f}"


def round_step(value: float, step: float) -> str:
    """Round a number to the largest power of ten that does not exceed a step.

    Parameters
    ----------
    value
        Finite number.
    step
        Resolution of the number, above zero, in the same unit.

    Returns
    -------
    str
        Plain decimal text, thousands grouped by commas.

    Raises
    ------
    RangeError
        When the value is not finite or the step is not above zero.

    Examples
    --------
    >>> round_step(46.2598, 0.328)
    '46.3'
    """
    if not (math.isfinite(step) and step > 0):
        raise RangeError("step", step, "above zero")
    rounded = _to_place(_clean(value), _clean(step).adjusted())
    return f"{rounded:,f}" if rounded else f"{abs(rounded):,f}"


def _clean(value: float) -> Decimal:
    """Drop the last bits of a converted float, so that 0.1 + 0.2 rounds as 0.3 does."""
    if not math.isfinite(value):
        raise RangeError("value", value, "a finite number")
    number = Decimal(repr(float(value)))
    if number == 0:
        return Decimal(0)
    return number.quantize(Decimal(1).scaleb(number.adjusted() - _CLEAN_DIGITS), ROUND_HALF_EVEN)


def _to_place(number: Decimal, place: int) -> Decimal:
    rounded = number.quantize(Decimal(1).scaleb(place), ROUND_HALF_UP)
    return rounded.quantize(Decimal(1)) if place > 0 else rounded


def show(si: float, kind: str, system: str, resolution_si: float | None = None) -> str:
    """Write a value in the default unit of a system.

    Parameters
    ----------
    si
        Finite value in SI.
    kind
        Kind of quantity, a key of `ledgewell.units.DIMENSION`.
    system
        ``"us"`` or ``"si"``.
    resolution_si
        Resolution of a reading, in SI, which the text keeps; None for three figures, whole numbers kept
        whole.

    Returns
    -------
    str
        Number and unit.

    Raises
    ------
    RangeError
        When the value is not finite.

    Notes
    -----
    A duration takes the largest of s, min, h and d in which it reads naturally.

    Examples
    --------
    >>> show(14.1, "depth", "us", 0.1)
    '46.3 ft'
    >>> show(86400.0, "duration", "us")
    '24 h'
    """
    unit = _duration_unit(si) if kind == "duration" else DEFAULT_UNIT[system][kind]
    value = value_in(si, unit)
    if resolution_si is not None:
        found = unit_of(unit)
        text = round_step(value, resolution_si * found.denominator / found.numerator)
    elif abs(value) >= 10 ** (_PLAIN_FIGURES - 1):
        text = round_step(value, 1.0)
    else:
        text = _without_trailing_zeros(round_figures(value, _PLAIN_FIGURES))
    return f"{text} {unit}"


def _without_trailing_zeros(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _duration_unit(seconds: float) -> str:
    seconds = abs(seconds)
    if seconds >= 2 * 86_400:
        return "d"
    if seconds >= 7200 or (seconds >= 3600 and seconds % 3600 == 0):
        return "h"
    if seconds >= 120 or (seconds >= 60 and seconds % 60 == 0):
        return "min"
    return "s" if seconds else "min"


def show_estimate(low: float, mid: float, high: float, kind: str, system: str) -> ShownEstimate:
    """Round an estimate: two figures, or three where the band is under 5 %.

    Parameters
    ----------
    low, mid, high
        Finite values in SI, in rising order.
    kind
        Kind of quantity, a key of `ledgewell.units.DIMENSION`.
    system
        ``"us"`` or ``"si"``.

    Returns
    -------
    ShownEstimate

    Raises
    ------
    RangeError
        When a value is not finite or they do not rise.

    Examples
    --------
    >>> str(show_estimate(2.208e-4, 2.587e-4, 3.091e-4, "flow", "us"))
    '4.1 gpm (3.5 to 4.9)'
    """
    if not low <= mid <= high:
        raise RangeError("mid", mid, f"between low {low!r} and high {high!r}")
    unit = DEFAULT_UNIT[system][kind]
    values = [value_in(value, unit) for value in (low, mid, high)]
    narrow = values[2] - values[0] < _NARROW_BAND * abs(values[1])
    texts = [round_figures(value, 3 if narrow else 2) for value in values]
    return ShownEstimate(low=texts[0], mid=texts[1], high=texts[2], unit=unit)
