"""A straight line through readings, over a window that the answer reports."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import ArrayLike

from ledgewell.errors import RangeError
from ledgewell.physics.closed_forms.arguments import paired, positive

Window = tuple[float, float]
"""First and last value on the horizontal axis that a fit may use, both included."""
WHOLE: Window = (0.0, inf)
"""The window that leaves nothing out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StraightLine:
    """A least-squares line and what it rests on.

    Parameters
    ----------
    slope
        Rise of the line per unit of x.
    intercept
        Value of the line at x = 0.
    slope_error
        Standard error of the slope.
    rms_misfit
        Root mean square misfit, in units of y.
    window
        Smallest and largest horizontal value that was used (before any logarithm).
    count
        Number of readings used.
    """

    slope: float
    intercept: float
    slope_error: float
    rms_misfit: float
    window: Window
    count: int

    def at(self, x: float) -> float:
        """Return the value of the line at x."""
        return self.intercept + self.slope * x


def line_through(x: ArrayLike, y: ArrayLike, window: Window | None = None) -> StraightLine:
    """Fit a least-squares line.

    Parameters
    ----------
    x, y
        Readings, shape (K,), K ≥ 2.
    window
        What to report as the window; the range of x when left out.

    Returns
    -------
    StraightLine
        The line; with two readings its slope has no error to speak of (infinite).

    Raises
    ------
    RangeError
        With fewer than two different x.

    Examples
    --------
    >>> line_through([0, 1, 2], [1, 3, 5]).slope
    2.0
    """
    across = np.asarray(x, dtype=np.float64)
    up = paired("y", y, across)
    if len(np.unique(across)) < 2:
        raise RangeError("readings in the window", across.size, "at least two at different places")
    centered = across - across.mean()
    spread = float(np.sum(centered**2))
    slope = float(np.sum(centered * up)) / spread
    intercept = float(up.mean()) - slope * float(across.mean())
    squares = float(np.sum((up - intercept - slope * across) ** 2))
    error = sqrt(squares / (across.size - 2) / spread) if across.size > 2 else inf
    return StraightLine(
        slope=slope,
        intercept=intercept,
        slope_error=error,
        rms_misfit=sqrt(squares / across.size),
        window=window if window is not None else (float(across.min()), float(across.max())),
        count=int(across.size),
    )


def semilog_line(x: ArrayLike, y: ArrayLike, window: Window = WHOLE) -> StraightLine:
    """Fit y against log₁₀ x over a window of x.

    Parameters
    ----------
    x
        Positive values, shape (K,), such as times [s].
    y
        Readings, shape (K,).
    window
        First and last x that may be used, both included.

    Returns
    -------
    StraightLine
        Slope per tenfold of x; the window is that of the readings really used.

    Raises
    ------
    RangeError
        If an x is not positive or fewer than two readings lie in the window.

    Examples
    --------
    >>> line = semilog_line([1, 10, 100, 1000], [9, 1, 2, 3], window=(10, 1000))
    >>> round(line.slope, 6), line.window, line.count
    (1.0, (10.0, 1000.0), 3)
    """
    across = positive("x", x)
    up = paired("y", y, across)
    used = (across >= window[0]) & (across <= window[1])
    if np.count_nonzero(used) < 2:
        raise RangeError("readings in the window", float(np.count_nonzero(used)), "at least two")
    kept = across[used]
    return line_through(np.log10(kept), up[used], (float(kept.min()), float(kept.max())))
