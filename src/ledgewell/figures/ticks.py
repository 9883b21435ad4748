"""Round numbers along an axis: ticks in the units of the trade, on linear, logarithmic and time axes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ledgewell.errors import RangeError
from ledgewell.figures.quantity import number_text, plain_text
from ledgewell.units import show


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark along an axis: where, in the axis's unit, and what it says."""

    value: float
    label: str


@dataclass(frozen=True, slots=True)
class Ladder:
    """Ends of an axis, its labelled ticks and the unlabelled ones between."""

    low: float
    high: float
    ticks: tuple[Tick, ...]
    minor: tuple[float, ...] = ()


DEFAULT_COUNT = 7
LEAST_SPAN = 1e-9
"""Values nearer than this share of themselves (or this many units near zero) are one value on a chart."""
DECIMAL_STEPS = (1.0, 2.0, 5.0)
TIME_STEPS = {
    "min": (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0),
    "h": (0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0),
    "d": (0.5, 1.0, 2.0, 5.0, 7.0, 10.0, 14.0, 30.0, 60.0, 90.0, 180.0, 365.0),
}
"""Steps people count time in; the decimal steps serve below and above them."""


def decimal_step(span: float, count: int = DEFAULT_COUNT) -> float:
    """Find the smallest step of 1, 2 or 5 times a power of ten that gives no more than so many intervals.

    Parameters
    ----------
    span
        Length of the axis, positive.
    count
        Most intervals wanted.

    Returns
    -------
    float
        The step.

    Raises
    ------
    RangeError
        When the span is not positive.

    Examples
    --------
    >>> decimal_step(260.0), decimal_step(0.7)
    (50.0, 0.1)
    """
    if not span > 0:
        raise RangeError("span", span, "above zero")
    power = math.floor(math.log10(span / count))
    for exponent in (power, power + 1):
        for lead in DECIMAL_STEPS:
            step = _scaled(lead, exponent)
            if span / step <= count * (1 + 1e-9):
                return step
    raise RangeError("span", span, "a finite number")


def _scaled(lead: float, exponent: int) -> float:
    # Dividing by a whole power of ten rounds once; multiplying by 0.001 would round twice.
    return lead * 10.0**exponent if exponent >= 0 else lead / 10.0 ** (-exponent)


def decimals_of(step: float) -> int:
    """Count the decimals a step needs.

    Parameters
    ----------
    step
        A positive step.

    Returns
    -------
    int
        Digits after the point, so that neighboring ticks read differently.

    Examples
    --------
    >>> decimals_of(50.0), decimals_of(0.25), decimals_of(0.5)
    (0, 2, 1)
    """
    for decimals in range(12):
        if math.isclose(round(step, decimals), step, rel_tol=1e-9):
            return decimals
    return 12


def linear_ladder(
    low: float, high: float, *, count: int = DEFAULT_COUNT, step: float | None = None, snap: bool = True
) -> Ladder:
    """Put round ticks on a linear axis.

    Parameters
    ----------
    low, high
        Least and greatest value to show; values that cannot be told apart are given room around them.
    count
        Most intervals wanted.
    step
        A step to use instead of the decimal one.
    snap
        Whether the ends are rounded outward to a tick; otherwise they stay where they are.

    Returns
    -------
    Ladder
        Ends and ticks; every tick is a whole multiple of the step.

    Raises
    ------
    RangeError
        When the ends are in the wrong order.

    Examples
    --------
    >>> ladder = linear_ladder(38.5, 287.0)
    >>> ladder.low, ladder.high, [tick.label for tick in ladder.ticks]
    (0.0, 300.0, ['0', '50', '100', '150', '200', '250', '300'])
    """
    if high < low:
        raise RangeError("high", high, f"at least the low end, {low!r}")
    if high - low <= LEAST_SPAN * max(1.0, abs(low), abs(high)):
        room = 0.1 * abs(low)
        low, high = (low - room, high + room) if room > LEAST_SPAN else (0.0, 1.0)
    step = step or decimal_step(high - low, count)
    inward, outward = (math.ceil, math.floor) if not snap else (math.floor, math.ceil)
    first = inward(low / step + (1e-9 if snap else -1e-9))
    last = outward(high / step - (1e-9 if snap else -1e-9))
    decimals = decimals_of(step)
    # Rounding to the step's own decimals keeps 3 * 0.1 from becoming 0.30000000000000004.
    values = [round(index * step, decimals) for index in range(first, last + 1)]
    ticks = tuple(Tick(value, number_text(value, decimals)) for value in values)
    return Ladder(values[0] if snap else low, values[-1] if snap else high, ticks)


DEPTH_ROOM = 0.04


def depth_ladder(low: float, high: float, *, count: int = DEFAULT_COUNT) -> Ladder:
    """Put round ticks on a depth axis, which begins at zero unless that would waste half of it.

    Parameters
    ----------
    low, high
        Least and greatest depth to show.
    count
        Most intervals wanted.

    Returns
    -------
    Ladder
        Ends with a little room below the deepest (and above the shallowest), and ticks between them.

    Raises
    ------
    RangeError
        When the ends are in the wrong order.

    Examples
    --------
    >>> ladder = depth_ladder(38.5, 420.0)
    >>> ladder.low, round(ladder.high, 1), [tick.label for tick in ladder.ticks]
    (0.0, 436.8, ['0', '100', '200', '300', '400'])
    """
    if high < low:
        raise RangeError("high", high, f"at least the low end, {low!r}")
    start = 0.0 if 0 <= low <= high / 2 else low
    room = DEPTH_ROOM * ((high - start) or abs(high) or 1.0)
    return linear_ladder(start if start == 0 else start - room, high + room, count=count, snap=False)


def time_ladder(low: float, high: float, unit: str, *, count: int = DEFAULT_COUNT) -> Ladder:
    """Put ticks people count time by on a linear time axis, whose ends stay where they are.

    Parameters
    ----------
    low, high
        Ends [``unit``].
    unit
        ``min``, ``h`` or ``d``.
    count
        Most intervals wanted.

    Returns
    -------
    Ladder
        Ends and ticks.

    Raises
    ------
    RangeError
        When the ends are in the wrong order.

    Examples
    --------
    >>> [tick.label for tick in time_ladder(0.0, 92.0, "min").ticks]
    ['0', '15', '30', '45', '60', '75', '90']
    """
    span = high - low
    steps = TIME_STEPS[unit]
    fitting = [step for step in steps if span / step <= count]
    counted = bool(fitting) and span >= 2 * steps[0]
    return linear_ladder(low, high, count=count, step=fitting[0] if counted else None, snap=False)


def log_ladder(low: float, high: float) -> Ladder:
    """Put ticks on a logarithmic axis: decades, and 2 and 5 between them on a short axis.

    Parameters
    ----------
    low, high
        Least and greatest value, both positive.

    Returns
    -------
    Ladder
        Ends rounded outward to 1, 2 or 5 times a power of ten, labelled ticks, and minor ones at 2 … 9.

    Raises
    ------
    RangeError
        When an end is not positive.

    Examples
    --------
    >>> [tick.label for tick in log_ladder(0.5, 90.0).ticks]
    ['0.5', '1', '2', '5', '10', '20', '50', '100']
    """
    if not low > 0:
        raise RangeError("low", low, "above zero on a logarithmic axis")
    if high < low:
        raise RangeError("high", high, f"at least the low end, {low!r}")
    ladder = _one_two_five(low, high)
    if len(ladder) == 1:
        ladder = _one_two_five(low / 1.5, high * 1.5)
    start, end = ladder[0], ladder[-1]
    labelled = ladder
    if math.log10(end / start) > 3:
        labelled = [value for value in ladder if is_decade(value)]
    named = set(labelled)
    minor = tuple(value for value in _one_to_nine(start, end) if value not in named)
    return Ladder(start, end, tuple(Tick(value, plain_text(value, 9)) for value in labelled), minor)


def is_decade(value: float) -> bool:
    """Say whether a number is a whole power of ten.

    Parameters
    ----------
    value
        A positive number.

    Returns
    -------
    bool
        True for 0.1, 1, 10 …

    Examples
    --------
    >>> is_decade(0.001), is_decade(50.0)
    (True, False)
    """
    power = math.log10(value)
    return abs(power - round(power)) < 1e-9


def _one_two_five(low: float, high: float) -> list[float]:
    exponents = range(math.floor(math.log10(low)) - 1, math.ceil(math.log10(high)) + 2)
    values = [_scaled(lead, exponent) for exponent in exponents for lead in DECIMAL_STEPS]
    start = max(value for value in values if value <= low * (1 + 1e-12))
    end = min(value for value in values if value >= high * (1 - 1e-12))
    return [value for value in values if start <= value <= end]


def _one_to_nine(low: float, high: float) -> list[float]:
    exponents = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    values = [_scaled(float(lead), exponent) for exponent in exponents for lead in range(1, 10)]
    return [value for value in values if low <= value <= high]


def duration_ladder(durations_s: Sequence[float], room: float) -> Ladder:
    """Put a tick at each of a few durations on a logarithmic time axis.

    Parameters
    ----------
    durations_s
        Durations [s], rising, positive, at least one.
    room
        Factor of time left free before the first and after the last, above 1.

    Returns
    -------
    Ladder
        Ends and ticks [s].

    Raises
    ------
    RangeError
        When the first duration is not positive or the room is no room.

    Examples
    --------
    >>> [tick.label for tick in duration_ladder([3600.0, 86400.0, 180 * 86400.0], 1.5).ticks]
    ['1 h', '24 h', '180 d']
    """
    if not durations_s[0] > 0:
        raise RangeError("durations_s", durations_s[0], "above zero on a logarithmic axis")
    if not room > 1:
        raise RangeError("room", room, "above 1")
    ticks = tuple(Tick(value, show(value, "duration", "us")) for value in durations_s)
    return Ladder(durations_s[0] / room, durations_s[-1] * room, ticks)
