"""What is done to a well over time, as spans of set rate or held level, and the steps that march it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, log2

import numpy as np
from numpy.typing import NDArray

from ledgewell.errors import RangeError

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One stretch of time with a set pump rate, or with the level held on a straight line.

    Parameters
    ----------
    seconds
        Length of the stretch [s].
    rate_m3s
        Pump rate [m³/s]; negative is injection. Ignored when ``level_m`` is given.
    level_m
        Depth to water at the start and the end of the stretch [m], when the level is held.
    taken_m3
        Volume taken out at once as the stretch begins [m³] (a bail); negative is poured in.
    drain_m2
        Inside area of a drop pipe that empties into the hole as the stretch begins [m²].
    """

    seconds: float
    rate_m3s: float = 0.0
    level_m: tuple[float, float] | None = None
    taken_m3: float = 0.0
    drain_m2: float = 0.0


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps of a schedule; steps of one length share a class so that its exponentials are made once."""

    spans: tuple[Span, ...]
    step_span: Integers
    step_class: Integers
    class_s: Floats
    time_s: Floats = field(repr=False)

    @property
    def count(self) -> int:
        """Number of steps."""
        return len(self.step_span)

    @property
    def longest_s(self) -> float:
        """Whole length of the schedule [s]."""
        return float(self.time_s[-1])

    @property
    def shortest_s(self) -> float:
        """Shortest step [s]."""
        return float(self.class_s.min())


def steps_for(spans: Sequence[Span], first_s: float, per_doubling: int = 6, *, shared: bool = False) -> Steps:
    """Lay steps over spans: each span begins with short steps, which double after every few.

    Parameters
    ----------
    spans
        The schedule, in order.
    first_s
        Wanted length of the first step of each span [s]; the step laid is at most this.
    per_doubling
        Steps of one length before the length doubles; 6 holds the step error of a usual test under 1e-4 of its
        drawdown, and doubling it cuts the error four times.
    shared
        Whether spans of one length share their classes: worth it for years of like days. Not for spans whose length
        may yet be stretched one by one.

    Raises
    ------
    RangeError
        When a span has no length or there is no span.

    Examples
    --------
    >>> steps = steps_for([Span(seconds=3600.0, rate_m3s=1e-4), Span(seconds=1800.0)], first_s=10.0)
    >>> steps.count, round(steps.longest_s, 6)
    (66, 5400.0)
    """
    if not spans:
        raise RangeError("spans", 0, "at least one stretch of time")
    if not (first_s > 0 and per_doubling >= 1):
        raise RangeError("first_s", first_s, "positive, with at least one step before the length doubles")
    known: dict[float, int] = {}
    span_of: list[int] = []
    class_of: list[int] = []
    lengths: list[float] = []
    for place, span in enumerate(spans):
        if not span.seconds > 0:
            raise RangeError("seconds", span.seconds, "a positive length of time")
        doublings = max(1, ceil(log2(span.seconds / (first_s * per_doubling) + 1)))
        shortest = span.seconds / (per_doubling * (2**doublings - 1))
        first = known.get(span.seconds) if shared else None
        if first is None:
            first = known[span.seconds] = len(lengths)
            lengths += [shortest * 2**doubling for doubling in range(doublings)]
        span_of += [place] * (per_doubling * doublings)
        class_of += [first + doubling for doubling in range(doublings) for _ in range(per_doubling)]
    class_s = np.array(lengths)
    step_class = np.array(class_of)
    time_s = np.concatenate(([0.0], np.cumsum(class_s[step_class])))
    return Steps(tuple(spans), np.array(span_of), step_class, class_s, time_s)
