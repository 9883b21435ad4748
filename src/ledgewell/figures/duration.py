"""Chart of rock yield by how long it is drawn, with projections set apart."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.figures.columns import Column, check_columns, check_order, check_some, freeze_columns
from ledgewell.figures.heading import (
    Heading,
    depth_text,
    duration_text,
    flow_estimate_text,
    headed_figure,
    percent_text,
    sentences,
)
from ledgewell.figures.marks import Band, Estimates, Mark, Region, Status
from ledgewell.figures.quantity import display_unit
from ledgewell.figures.spec import Figure, Panel, axis_from_ladder
from ledgewell.figures.ticks import duration_ladder, linear_ladder
from ledgewell.figures.words import say
from ledgewell.units import System, show_estimate

PROJECTION_FROM = 10.0
"""A figure beyond this many times the test's length is a projection."""
ROOM = 1.45
"""Room left of the first and right of the last duration, as a factor of time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YieldByDuration:
    """Rock yield at one level by duration.

    Parameters
    ----------
    duration_s
        How long the level is held [s], rising, shape (n,).
    low_m3s, mid_m3s, high_m3s
        Rock yield [m³/s], shape (n,).
    level_m
        The level [m].
    test_s
        Length of the test [s].
    probability
        Share of chance the bands hold.
    """

    duration_s: Column
    low_m3s: Column
    mid_m3s: Column
    high_m3s: Column
    level_m: float
    test_s: float
    probability: float = 0.9

    def __post_init__(self) -> None:
        freeze_columns(self, "duration_s", "low_m3s", "mid_m3s", "high_m3s")
        duration = tuple(self.duration_s)
        check_some("yield.duration_s", duration)
        columns = {key: tuple(getattr(self, key)) for key in ("low_m3s", "mid_m3s", "high_m3s")}
        check_columns("yield", duration_s=duration, **columns)
        check_order("yield", **columns)
        check_order("yield", duration_s=duration[:-1], next_duration_s=duration[1:])

    @property
    def projection_from_s(self) -> float:
        """Duration beyond which a figure is a projection [s]."""
        return PROJECTION_FROM * self.test_s

    def rows(self, *, projected: bool) -> list[int]:
        """List the rows that are projections, or those that are not.

        Parameters
        ----------
        projected
            Which of the two.

        Returns
        -------
        list of int
            Indices.

        Examples
        --------
        >>> flows = {"low_m3s": [1e-4, 1e-4], "mid_m3s": [2e-4, 2e-4], "high_m3s": [3e-4, 3e-4]}
        >>> data = YieldByDuration(duration_s=[3600.0, 2592000.0], level_m=88.4, test_s=5400.0, **flows)
        >>> data.rows(projected=True)
        [1]
        """
        limit = self.projection_from_s
        return [index for index, value in enumerate(self.duration_s) if (value > limit) == projected]


def duration_figure(data: YieldByDuration, *, units: System, heading: Heading | None = None) -> Figure:
    """Show rock yield against duration on a logarithmic time axis, projections apart from the rest.

    Parameters
    ----------
    data
        Yield by duration; at least one.
    units
        Unit system of the chart.
    heading
        Words around the chart.

    Returns
    -------
    Figure
        One panel; flow from zero.

    Raises
    ------
    InputError
        When columns differ in length, are out of order or hold something that is no number.

    Examples
    --------
    >>> flows = {"low_m3s": [2.2e-4, 1e-4], "mid_m3s": [2.6e-4, 1.5e-4], "high_m3s": [3.1e-4, 2.4e-4]}
    >>> data = YieldByDuration(duration_s=[3600.0, 2592000.0], level_m=88.4, test_s=5400.0, **flows)
    >>> marks = duration_figure(data, units="us").panels[0].marks
    >>> [mark.status for mark in marks if isinstance(mark, Estimates)]
    ['modelled', 'projection']
    """
    flow = display_unit("flow", units)
    across = duration_ladder(tuple(data.duration_s), ROOM)
    marks: list[Mark] = []
    limit = data.projection_from_s
    if limit < data.duration_s[-1]:
        low = max(_boundary(data), across.low)
        marks.append(Region(axis="x", low=low, high=across.high, label=say("duration.region")))
    for projected in (False, True):
        marks += _estimate_marks(data, data.rows(projected=projected), projected, units)
    # A tenth above the highest band leaves room for its label.
    ladder = linear_ladder(0.0, 1.1 * max(flow.all_from_si(data.high_m3s)) or 1.0)
    title = say("duration.flow", depth=depth_text(data.level_m, units))
    axis = axis_from_ladder("flow", title, flow.symbol, "linear", ladder)
    return headed_figure(
        heading,
        name="duration",
        title=say("duration.title"),
        alt=_alt(data, units),
        caption=sentences(say("duration.caption", length=duration_text(data.test_s)), say("if_modelled")),
        units=units,
        shared=axis_from_ladder("duration", say("duration.time"), "", "log", across),
        panels=(Panel(name="yield", role="main", axis=axis, marks=tuple(marks)),),
    )


def _boundary(data: YieldByDuration) -> float:
    """Put the edge of the projection clear of the last estimate before it."""
    limit = data.projection_from_s
    before = [value for value in data.duration_s if value <= limit]
    return limit if not before else max(limit, before[-1] * ROOM**0.5)


def _estimate_marks(data: YieldByDuration, rows: list[int], projected: bool, units: System) -> list[Mark]:
    if not rows:
        return []
    flow = display_unit("flow", units)
    at = tuple(float(data.duration_s[row]) for row in rows)
    low, mid, high = (
        flow.all_from_si(column[row] for row in rows)
        for column in (data.low_m3s, data.mid_m3s, data.high_m3s)
    )
    bands = ((data.low_m3s[row], data.mid_m3s[row], data.high_m3s[row]) for row in rows)
    labels = tuple(show_estimate(*band, "flow", units).mid for band in bands)
    key = "duration.projection" if projected else "duration.estimate"
    name = say(key, percent=percent_text(data.probability))
    status: Status = "projection" if projected else "modelled"
    band = Band(name="", along="x", at=at, low=low, high=high, probability=data.probability, status=status)
    bars = Estimates(
        name=name,
        along="x",
        at=at,
        low=low,
        mid=mid,
        high=high,
        labels=labels,
        probability=data.probability,
        status=status,
    )
    return [band, bars]


def _alt(data: YieldByDuration, units: System) -> str:
    projected = set(data.rows(projected=True))
    parts = []
    columns = zip(data.duration_s, data.low_m3s, data.mid_m3s, data.high_m3s, strict=True)
    for row, (duration_s, low, mid, high) in enumerate(columns):
        key = "duration.alt.projection" if row in projected else "duration.alt.estimate"
        flow = flow_estimate_text(low, mid, high, units)
        parts.append(say(key, duration=duration_text(duration_s), flow=flow))
    return say("duration.alt", depth=depth_text(data.level_m, units), list="; ".join(parts))
