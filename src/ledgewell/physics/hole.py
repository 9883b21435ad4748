"""The hole as a bucket of known shape: free area by depth, stored volume, displacement and drain-back.

Depths run down from the measuring point in meters. The *free* area is what water can fill: the inside of the
casing or bore less what hangs in it.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite, pi

from ledgewell.errors import RangeError

Interval = tuple[float, float, float]
"""A stretch of hole or of hung pipe: top [m], bottom [m], diameter [m]."""


def area_from_diameter(diameter_m: float) -> float:
    """Return the area of a circle [m²] from its diameter [m].

    Examples
    --------
    >>> round(area_from_diameter(0.1524), 6)  # a 6 in hole
    0.018241
    """
    if not (diameter_m > 0 and isfinite(diameter_m)):
        raise RangeError("diameter_m", diameter_m, "a positive number of meters")
    return pi * diameter_m**2 / 4


@dataclass(frozen=True, slots=True)
class HoleShape:
    """Free area of the hole by depth.

    Parameters
    ----------
    bounds_m
        Depths [m] of the M + 1 bounds, strictly increasing; the last is the bottom.
    areas_m2
        Free area [m²] of each of the M intervals.

    Notes
    -----
    Above the first bound the first area goes on (a level may stand in the stickup); below the last bound the last
    area goes on for the arithmetic only: callers keep levels above the bottom.

    Examples
    --------
    >>> shape = HoleShape((0.0, 10.0, 100.0), (0.02, 0.018))
    >>> round(shape.volume_between(5.0, 15.0), 4)
    0.19
    >>> round(shape.depth_after(5.0, 0.19), 6)
    15.0
    """

    bounds_m: tuple[float, ...]
    areas_m2: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.bounds_m) != len(self.areas_m2) + 1 or not self.areas_m2:
            raise RangeError("bounds_m", float(len(self.bounds_m)), "one more than the number of areas")
        for above, below in pairwise(self.bounds_m):
            if not (isfinite(above) and below > above):
                raise RangeError("bounds_m", below, "strictly increasing depths")
        for area in self.areas_m2:
            if not (area > 0 and isfinite(area)):
                raise RangeError(
                    "areas_m2", area, "a positive free area; what hangs in the hole must fit in it"
                )

    @property
    def bottom_m(self) -> float:
        """Depth of the bottom [m]."""
        return self.bounds_m[-1]

    def area_at(self, depth_m: float) -> float:
        """Return the free area [m²] at a depth [m]."""
        place = bisect_right(self.bounds_m, depth_m) - 1
        return self.areas_m2[min(max(place, 0), len(self.areas_m2) - 1)]

    def volume_to(self, depth_m: float) -> float:
        """Return the free volume [m³] between the first bound and a depth; negative above it."""
        last = len(self.areas_m2) - 1
        volume = (depth_m - self.bounds_m[0]) * self.areas_m2[0]
        for place in range(1, last + 1):
            if depth_m > self.bounds_m[place]:
                volume += (depth_m - self.bounds_m[place]) * (self.areas_m2[place] - self.areas_m2[place - 1])
        return volume

    def volume_between(self, upper_m: float, lower_m: float) -> float:
        """Return the free volume [m³] between two depths; negative when ``lower_m`` is the shallower.

        Notes
        -----
        V = ∫ A(z) dz from ``upper_m`` to ``lower_m``; exact for piecewise constant areas.
        """
        return self.volume_to(lower_m) - self.volume_to(upper_m)

    def depth_after(self, depth_m: float, taken_m3: float) -> float:
        """Return the level [m] after a volume [m³] is taken out at once (negative: put in)."""
        target = self.volume_to(depth_m) + taken_m3
        for place in range(len(self.areas_m2) - 1, 0, -1):
            spare = target - self.volume_to(self.bounds_m[place])
            if spare > 0:
                return self.bounds_m[place] + spare / self.areas_m2[place]
        return self.bounds_m[0] + target / self.areas_m2[0]


def shape_from_intervals(intervals: list[Interval], hung: list[Interval] | None = None) -> HoleShape:
    """Build the free shape of a hole from its casing and bore intervals and what hangs in it.

    Parameters
    ----------
    intervals
        Inside of the hole from the top down, touching and not overlapping: (top, bottom, inside diameter) [m].
    hung
        Pipe, cable or pump that displaces water: (top, bottom, outside diameter) [m]; may overlap one another.

    Returns
    -------
    HoleShape

    Raises
    ------
    RangeError
        When the intervals leave a gap, overlap, or what hangs in the hole is wider than the hole.

    Notes
    -----
    A(z) = π/4 (D² − Σ dᵢ²): a full drop pipe displaces its outside area.

    Examples
    --------
    >>> shape = shape_from_intervals([(0, 12.2, 0.1541), (12.2, 91.4, 0.1524)])
    >>> round(shape.volume_between(12.2, 13.2) * 1000, 2)  # liters in a meter of 6 in hole
    18.24
    """
    for (_, lower, _), (upper, _, _) in pairwise(intervals):
        if abs(upper - lower) > 1e-6:
            raise RangeError("intervals", upper, f"touching: the next stretch must begin at {lower:g} m")
    cuts = {depth for top, bottom, _ in intervals for depth in (top, bottom)}
    top_m, bottom_m = intervals[0][0], intervals[-1][1]
    for top, bottom, _ in hung or []:
        cuts |= {depth for depth in (top, bottom) if top_m < depth < bottom_m}
    bounds = sorted(cuts)
    bounds = [bounds[0]] + [depth for above, depth in pairwise(bounds) if depth - above > 1e-9]
    areas = [_free_area((above + below) / 2, intervals, hung or []) for above, below in pairwise(bounds)]
    return HoleShape(tuple(bounds), tuple(areas))


def _free_area(depth_m: float, intervals: list[Interval], hung: list[Interval]) -> float:
    inside = next(diameter for top, bottom, diameter in intervals if top <= depth_m <= bottom)
    displaced = sum(diameter**2 for top, bottom, diameter in hung if top <= depth_m <= bottom)
    return area_from_diameter(inside) - pi * displaced / 4


def drained_volume(level_m: float, pipe_inside_diameter_m: float, discharge_depth_m: float = 0.0) -> float:
    """Return the water [m³] a drop pipe gives back at shut-off when it empties into the hole.

    Parameters
    ----------
    level_m
        Depth to water at shut-off [m]; the pipe below it stays full.
    pipe_inside_diameter_m
        Inside diameter of the drop pipe [m].
    discharge_depth_m
        Depth [m] of the point where the pipe leaves the hole, 0 at the measuring point.

    Notes
    -----
    V = π d²/4 · (level − discharge), never negative.

    Examples
    --------
    >>> round(drained_volume(121.92, 0.02664) / 0.003785411784, 1)  # 400 ft of 1 in pipe, US gal
    18.0
    """
    return area_from_diameter(pipe_inside_diameter_m) * max(level_m - discharge_depth_m, 0.0)


def hand_rate(shape: HoleShape, lower_m: float, upper_m: float, seconds: float) -> float:
    """Return the trade's hand figure [m³/s]: volume refilled between two levels over the time it took.

    Parameters
    ----------
    shape
        The hole.
    lower_m, upper_m
        Deeper level at the start and shallower level at the end of the refill [m].
    seconds
        Time between them [s], positive.

    Raises
    ------
    RangeError
        When the time is not positive.

    Notes
    -----
    Q = V(upper, lower) / t. Source: common practice, no source.

    Examples
    --------
    >>> six_inch = HoleShape((0.0, 100.0), (area_from_diameter(0.1524),))
    >>> round(hand_rate(six_inch, 60.96, 54.864, 1800.0) * 15850.323, 4)  # 20 ft in 30 min, gpm
    0.9792
    """
    if not seconds > 0:
        raise RangeError("seconds", seconds, "a positive time between the two levels")
    return shape.volume_between(upper_m, lower_m) / seconds
