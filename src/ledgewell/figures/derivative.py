"""Chart of drawdown and its logarithmic derivative, both axes logarithmic."""

from __future__ import annotations

from dataclasses import dataclass

from ledgewell.errors import InputError, Problem
from ledgewell.figures.columns import Column, Numbers, check_columns, freeze_columns
from ledgewell.figures.heading import Heading, depth_text, duration_text, headed_figure, sentences
from ledgewell.figures.marks import Ink, Line, Mark, Marker, Points, Status
from ledgewell.figures.quantity import DisplayUnit, display_unit, time_unit
from ledgewell.figures.spec import Figure, Panel, axis_from_ladder
from ledgewell.figures.thinning import kept_indices
from ledgewell.figures.ticks import log_ladder
from ledgewell.figures.words import say
from ledgewell.units import System


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeCurve:
    """Values against time.

    Parameters
    ----------
    time_s
        Time since pumping started [s], shape (n,).
    value_m
        Drawdown, or its derivative with respect to ln t [m], shape (n,).
    """

    time_s: Column = ()
    value_m: Column = ()

    def __post_init__(self) -> None:
        freeze_columns(self, "time_s", "value_m")
        check_columns("curve", time_s=tuple(self.time_s), value_m=tuple(self.value_m))

    def positive(self) -> tuple[Numbers, Numbers]:
        """Give times and values where both are above zero.

        Returns
        -------
        tuple
            Times [s] and values [m].

        Examples
        --------
        >>> TimeCurve(time_s=[0.0, 60.0, 120.0], value_m=[0.0, 1.5, -0.1]).positive()
        ((60.0,), (1.5,))
        """
        pairs = zip(self.time_s, self.value_m, strict=True)
        kept = [(float(time), float(value)) for time, value in pairs if time > 0 and value > 0]
        return tuple(time for time, _ in kept), tuple(value for _, value in kept)


def derivative_figure(
    drawdown: TimeCurve,
    derivative: TimeCurve,
    *,
    units: System,
    fitted_drawdown: TimeCurve | None = None,
    fitted_derivative: TimeCurve | None = None,
    storage_ms: float | None = None,
    heading: Heading | None = None,
) -> Figure:
    """Show drawdown with its Bourdet derivative on logarithmic axes.

    Parameters
    ----------
    drawdown
        Drawdown as read.
    derivative
        Its derivative with respect to the natural logarithm of time.
    units
        Unit system of the chart.
    fitted_drawdown, fitted_derivative
        The engine's curves, when there are any.
    storage_ms
        Rate at which the level would fall if the hole alone gave the water, Q/A [m/s], drawn as a line of
        slope 1.
    heading
        Words around the chart.

    Returns
    -------
    Figure
        One panel. Values at or below zero cannot be drawn; the caption says how many.

    Raises
    ------
    InputError
        When there is no reading above zero.

    Notes
    -----
    Drawdown and derivative ds/d ln t are both lengths, so they share one axis.

    Source: bourdet1989.

    Examples
    --------
    >>> curve = TimeCurve(time_s=[60.0, 120.0, 240.0], value_m=[1.0, 2.0, 4.0])
    >>> slope = TimeCurve(time_s=[120.0], value_m=[2.0])
    >>> figure = derivative_figure(curve, slope, units="si")
    >>> figure.shared.scale, figure.panels[0].axis.scale
    ('log', 'log')
    """
    curves = (drawdown, derivative, fitted_drawdown or TimeCurve(), fitted_derivative or TimeCurve())
    times = [time for curve in curves for time in curve.positive()[0]]
    values = [value for curve in curves for value in curve.positive()[1]]
    if not times:
        right = "at least one reading after the start with the level drawn down"
        given = f"{len(drawdown.time_s)} readings"
        say_what = "nothing is above zero, so nothing can be drawn on logarithmic axes"
        raise InputError([Problem(where="drawdown", given=given, say=say_what, right=right)])
    clock, depth = time_unit(max(times)), display_unit("depth", units)
    across = log_ladder(clock.from_si(min(times)), clock.from_si(max(times)))
    up = log_ladder(depth.from_si(min(values)), depth.from_si(max(values)))
    shared = axis_from_ladder("time", say("time"), clock.symbol, "log", across)
    axis = axis_from_ladder("drawdown", say("derivative.axis"), depth.symbol, "log", up)
    marks: list[Mark] = []
    if storage_ms is not None:
        marks += _storage_line(storage_ms, clock, depth, (across.low, across.high), (up.low, up.high))
    marks += _fitted("derivative.fit", curves[2], clock, depth, "water", "modelled")
    marks += _fitted("derivative.fit.slope", curves[3], clock, depth, "clay", "projection")
    marks += _read("derivative.drawdown", drawdown, clock, depth, "ring", "ink")
    marks += _read("derivative.slope", derivative, clock, depth, "triangle", "clay")
    dropped = sum(len(curve.time_s) - len(curve.positive()[0]) for curve in (drawdown, derivative))
    return headed_figure(
        heading,
        name="derivative",
        title=say("derivative.title"),
        alt=_alt(drawdown, derivative, units),
        caption=sentences(
            say("derivative.caption"), say("derivative.dropped", count=dropped) if dropped else ""
        ),
        units=units,
        shared=shared,
        panels=(Panel(name="derivative", role="main", axis=axis, marks=tuple(marks), share=1.15),),
    )


def _fitted(
    key: str, curve: TimeCurve, clock: DisplayUnit, depth: DisplayUnit, ink: Ink, status: Status
) -> list[Mark]:
    times, values = curve.positive()
    if not times:
        return []
    x, y = clock.all_from_si(times), depth.all_from_si(values)
    return [Line(name=say(key), x=x, y=y, ink=ink, status=status)]


def _read(
    key: str, curve: TimeCurve, clock: DisplayUnit, depth: DisplayUnit, marker: Marker, ink: Ink
) -> list[Mark]:
    times, values = curve.positive()
    rows = kept_indices(values)
    if not rows:
        return []
    x = clock.all_from_si(times[row] for row in rows)
    y = depth.all_from_si(values[row] for row in rows)
    return [Points(name=say(key), x=x, y=y, marker=marker, ink=ink)]


def _storage_line(
    rate_ms: float,
    clock: DisplayUnit,
    depth: DisplayUnit,
    time_ends: tuple[float, float],
    value_ends: tuple[float, float],
) -> list[Mark]:
    """Draw s = (Q/A) t as far as it lies on the chart."""
    rate = depth.from_si(rate_ms * clock.to_si(1.0))
    first = max(time_ends[0], value_ends[0] / rate)
    last = min(time_ends[1], value_ends[1] / rate)
    if not last > first:
        return []
    x = (first, last)
    y = tuple(min(max(rate * time, value_ends[0]), value_ends[1]) for time in x)
    return [Line(name=say("derivative.storage"), x=x, y=y, status="computed", ink="ink")]


def _alt(drawdown: TimeCurve, derivative: TimeCurve, units: System) -> str:
    times, values = drawdown.positive()
    slopes = derivative.positive()[1]
    return say(
        "derivative.alt",
        first=duration_text(times[0]) if times else "–",
        last=duration_text(times[-1]) if times else "–",
        drawdown=depth_text(values[-1], units) if values else "–",
        slope=depth_text(slopes[-1], units) if slopes else "–",
    )
