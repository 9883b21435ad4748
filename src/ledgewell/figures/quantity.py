"""From SI to the numbers a chart shows: display units, time units, and labels of ticks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledgewell.units import DEFAULT_UNIT, Kind, System, si_from, value_in

HOUR_S = 3600.0
DAY_S = 86400.0

MINUTES_UP_TO_S = 4 * HOUR_S
HOURS_UP_TO_S = 4 * DAY_S
"""A span up to the first is told in minutes, up to the second in hours, a longer one in days."""


@dataclass(frozen=True, slots=True)
class DisplayUnit:
    """A unit a chart shows."""

    symbol: str

    def from_si(self, value_si: float) -> float:
        """Turn an SI value into this unit.

        Parameters
        ----------
        value_si
            Value [SI].

        Returns
        -------
        float
            Value [this unit].

        Raises
        ------
        RangeError
            When the value is not finite.

        Examples
        --------
        >>> round(display_unit("flow", "us").from_si(1e-3), 4)
        15.8503
        """
        return value_in(float(value_si), self.symbol)

    def to_si(self, value: float) -> float:
        """Turn a number in this unit into SI.

        Parameters
        ----------
        value
            Value [this unit].

        Returns
        -------
        float
            Value [SI].

        Examples
        --------
        >>> display_unit("depth", "us").to_si(100.0)
        30.48
        """
        return si_from(value, self.symbol)

    def all_from_si(self, values_si: Iterable[float]) -> tuple[float, ...]:
        """Turn a run of SI values into this unit.

        Parameters
        ----------
        values_si
            Values [SI], any length.

        Returns
        -------
        tuple of float
            Values [this unit], same length.

        Raises
        ------
        RangeError
            When a value is not finite.

        Examples
        --------
        >>> display_unit("depth", "us").all_from_si([3.048, 30.48])
        (10.0, 100.0)
        """
        return tuple(self.from_si(value) for value in values_si)


def display_unit(kind: Kind, system: System) -> DisplayUnit:
    """Choose the unit a chart shows for a kind of quantity.

    Parameters
    ----------
    kind
        Kind of quantity, such as ``depth``, ``flow`` or ``volume``.
    system
        ``us`` or ``si``.

    Returns
    -------
    DisplayUnit
        The default unit of the trade.

    Examples
    --------
    >>> display_unit("flow", "us").symbol
    'gpm'
    """
    return DisplayUnit(DEFAULT_UNIT[system][kind])


def time_unit(span_s: float) -> DisplayUnit:
    """Choose minutes, hours or days for a span of time.

    Parameters
    ----------
    span_s
        Longest time shown [s].

    Returns
    -------
    DisplayUnit
        ``min`` up to 4 h, ``h`` up to 4 d, ``d`` beyond.

    Examples
    --------
    >>> time_unit(5400.0).symbol, time_unit(86400.0).symbol
    ('min', 'h')
    """
    if span_s <= MINUTES_UP_TO_S:
        return DisplayUnit("min")
    return DisplayUnit("h" if span_s <= HOURS_UP_TO_S else "d")


def number_text(value: float, decimals: int) -> str:
    """Label a tick with a fixed count of decimals, thousands set off, and a true minus sign.

    Parameters
    ----------
    value
        Any finite number.
    decimals
        Digits after the point.

    Returns
    -------
    str
        The number; never ``-0``.

    Examples
    --------
    >>> number_text(-1234.56, 1), number_text(-0.01, 1)
    ('−1,234.6', '0.0')
    """
    text = f"{abs(value):,.{decimals}f}"
    negative = value < 0 and any(digit in "123456789" for digit in text)
    return f"−{text}" if negative else text


def plain_text(value: float, decimals: int = 1) -> str:
    """Label a place with at most so many decimals and no trailing zeros.

    Parameters
    ----------
    value
        Any finite number.
    decimals
        Most digits after the point.

    Returns
    -------
    str
        The number.

    Examples
    --------
    >>> plain_text(38.50), plain_text(60.0), plain_text(6.25, 2)
    ('38.5', '60', '6.25')
    """
    text = number_text(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text
