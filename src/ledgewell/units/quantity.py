"""What a quantity is, and conversion between a number in a unit and SI with a single rounding."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from ledgewell.errors import InputError, Problem, RangeError
from ledgewell.units.table import Unit, find_any_unit


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with the text that was typed for it.

    Parameters
    ----------
    si
        Value in SI: m, m², m³/s, m³, Pa, s, m/s, K, kg/m³, fraction, W, N, kg, V.
    typed
        Text as typed; always carries its unit.
    kind
        Kind of quantity, a key of `ledgewell.units.DIMENSION`.
    resolution_si
        Smallest step the typed text could express, in SI.
    """

    si: float
    typed: str
    kind: str
    resolution_si: float


def unit_of(unit: str | Unit) -> Unit:
    """Look up a unit by any of its spellings.

    Parameters
    ----------
    unit
        Spelling, or the unit itself.

    Returns
    -------
    Unit

    Raises
    ------
    InputError
        When no unit has that spelling.

    Examples
    --------
    >>> unit_of("gallons per minute").symbol
    'gal/min'
    """
    if isinstance(unit, Unit):
        return unit
    found = find_any_unit(unit)
    if found is None:
        raise InputError(
            [
                Problem(
                    where="unit",
                    given=repr(unit),
                    say="this unit is not known",
                    right="a unit of the trade, such as ft, gpm, psi or L/min",
                )
            ]
        )
    return found


def si_from_ratio(numerator: int, denominator: int, unit: Unit) -> float:
    """Convert an exact ratio in a unit to SI, rounding once.

    Parameters
    ----------
    numerator, denominator
        The number in the unit, as a ratio.
    unit
        Its unit.

    Returns
    -------
    float
        Value in SI.

    Raises
    ------
    OverflowError
        When the value has no floating-point number.
    ZeroDivisionError
        When the number is zero and the unit is a reciprocal, such as min/ft.

    Examples
    --------
    >>> si_from_ratio(185, 4, unit_of("ft"))
    14.097
    """
    if unit.offset:
        exact = Fraction(numerator, denominator) + unit.offset
        numerator, denominator = exact.numerator, exact.denominator
    if unit.inverse:
        numerator, denominator = denominator, numerator
    return (numerator * unit.numerator) / (denominator * unit.denominator)


def si_from(value: float, unit: str | Unit) -> float:
    """Convert a number in a unit to SI.

    Parameters
    ----------
    value
        Finite number, in `unit`.
    unit
        Spelling of the unit, or the unit.

    Returns
    -------
    float
        Value in SI.

    Raises
    ------
    RangeError
        When the value is not finite.

    Notes
    -----
    Factors are the legal definitions. Source: nist_sp811.

    Examples
    --------
    >>> si_from(1, "gal")
    0.003785411784
    """
    if not math.isfinite(value):
        raise RangeError("value", value, "a finite number")
    top, bottom = float(value).as_integer_ratio()
    return si_from_ratio(top, bottom, unit_of(unit))


def value_in(si: float, unit: str | Unit) -> float:
    """Convert an SI value to a number in a unit.

    Parameters
    ----------
    si
        Finite value in SI.
    unit
        Spelling of the unit, or the unit.

    Returns
    -------
    float
        Number in `unit`, rounded once and to nothing coarser than a float.

    Raises
    ------
    RangeError
        When the value is not finite.

    Notes
    -----
    Factors are the legal definitions. Source: nist_sp811.

    Examples
    --------
    >>> value_in(0.3048, "ft")
    1.0
    """
    if not math.isfinite(si):
        raise RangeError("si", si, "a finite number")
    unit = unit_of(unit)
    top, bottom = float(si).as_integer_ratio()
    top, bottom = top * unit.denominator, bottom * unit.numerator
    if unit.inverse:
        top, bottom = bottom, top
    if unit.offset:
        exact = Fraction(top, bottom) - unit.offset
        top, bottom = exact.numerator, exact.denominator
    return top / bottom
