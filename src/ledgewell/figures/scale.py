"""Where a value lies on the drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ledgewell.figures.canvas import Point
from ledgewell.figures.spec import Axis
from ledgewell.figures.typeface import Box


def fraction(axis: Axis, value: float) -> float:
    """Give how far along an axis a value lies.

    Parameters
    ----------
    axis
        The axis.
    value
        Value [the axis's unit].

    Returns
    -------
    float
        0 at the low end, 1 at the high end.

    Notes
    -----
    linear (v − low)/(high − low); logarithmic ln(v/low)/ln(high/low).

    Examples
    --------
    >>> axis = Axis(kind="time", title="Time", unit="min", scale="log", low=1.0, high=100.0, ticks=())
    >>> fraction(axis, 10.0)
    0.5
    """
    if axis.scale == "log":
        return math.log(value / axis.low) / math.log(axis.high / axis.low)
    return (value - axis.low) / (axis.high - axis.low)


@dataclass(frozen=True, slots=True)
class Plot:
    """A rectangle of the drawing with a horizontal and a vertical axis laid on it."""

    box: Box
    horizontal: Axis
    vertical: Axis

    def x(self, value: float) -> float:
        """Place a value of the horizontal axis.

        Parameters
        ----------
        value
            Value [the axis's unit].

        Returns
        -------
        float
            Drawing units from the left of the drawing.

        Examples
        --------
        >>> from ledgewell.figures.spec import Axis
        >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
        >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
        >>> plot.x(5.0)
        50.0
        """
        return self.box.left + fraction(self.horizontal, value) * (self.box.right - self.box.left)

    def y(self, value: float) -> float:
        """Place a value of the vertical axis; a depth axis runs down, any other up.

        Parameters
        ----------
        value
            Value [the axis's unit].

        Returns
        -------
        float
            Drawing units from the top of the drawing.

        Examples
        --------
        >>> from ledgewell.figures.spec import Axis
        >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
        >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
        >>> plot.y(2.0)
        80.0
        """
        share = fraction(self.vertical, value)
        if self.vertical.scale != "depth":
            share = 1.0 - share
        return self.box.top + share * (self.box.bottom - self.box.top)

    def at(self, x: float, y: float) -> Point:
        """Place a position.

        Parameters
        ----------
        x, y
            Values [the axes' units].

        Returns
        -------
        tuple of float
            Drawing units from the upper left of the drawing.

        Examples
        --------
        >>> from ledgewell.figures.spec import Axis
        >>> axis = Axis(kind="flow", title="", unit="", scale="linear", low=0.0, high=10.0, ticks=())
        >>> plot = Plot(Box(0.0, 0.0, 100.0, 100.0), axis, axis)
        >>> plot.at(5.0, 2.0)
        (50.0, 80.0)
        """
        return self.x(x), self.y(y)
