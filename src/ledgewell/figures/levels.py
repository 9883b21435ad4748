"""Chart of a yield test: levels as read, the fitted level with its band, what is left over, the rate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ledgewell.errors import InputError, Problem
from ledgewell.figures.columns import Column, check_columns, check_order, freeze_columns
from ledgewell.figures.heading import (
    Heading,
    depth_text,
    duration_text,
    headed_figure,
    percent_text,
    sentences,
)
from ledgewell.figures.marks import Band, Limit, Line, Mark, Marker, Points
from ledgewell.figures.quantity import DisplayUnit, display_unit, plain_text, time_unit
from ledgewell.figures.spec import Figure, Panel, axis_from_ladder
from ledgewell.figures.thinning import kept_indices
from ledgewell.figures.ticks import depth_ladder, linear_ladder, time_ladder
from ledgewell.figures.words import say
from ledgewell.units import System, round_figures

ReadingKind = Literal["pumping", "recovery", "deeper", "doubted"]
MARKERS: dict[ReadingKind, Marker] = {
    "pumping": "ring",
    "recovery": "triangle",
    "deeper": "deeper",
    "doubted": "cross",
}
RESIDUAL_SHARE = 0.36
RATE_SHARE = 0.36
SMALL_COUNT = 4
TIME_ROOM = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelReadings:
    """Levels as read.

    Parameters
    ----------
    time_s
        Time since pumping started [s], shape (n,).
    depth_m
        Depth to water [m], shape (n,).
    kinds
        What each reading is, shape (n,): read while ``pumping`` or in ``recovery``, known only to be at
        least that deep (``deeper``), or ``doubted``.
    """

    time_s: Column
    depth_m: Column
    kinds: Sequence[ReadingKind]

    def __post_init__(self) -> None:
        freeze_columns(self, "time_s", "depth_m")
        check_columns("readings", time_s=tuple(self.time_s), depth_m=tuple(self.depth_m))
        if len(self.kinds) != len(self.time_s):
            given, right = f"{len(self.kinds)} kinds", f"{len(self.time_s)}, one for each reading"
            problem = Problem(where="readings.kinds", given=given, say="kinds differ in number", right=right)
            raise InputError([problem])
        for index, kind in enumerate(self.kinds):
            if kind not in MARKERS:
                where, right = f"readings.kinds[{index}]", f"one of {', '.join(MARKERS)}"
                raise InputError([Problem(where=where, given=repr(kind), say="no such kind", right=right)])


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFit:
    """The fitted level.

    Parameters
    ----------
    time_s
        Times [s], shape (m,).
    low_m, mid_m, high_m
        Least, middle and greatest depth to water of the band [m], shape (m,).
    at_readings_m
        The middle at the time of each reading [m], shape (n,).
    probability
        Share of chance the band holds.
    """

    time_s: Column
    low_m: Column
    mid_m: Column
    high_m: Column
    at_readings_m: Column
    probability: float = 0.9

    def __post_init__(self) -> None:
        freeze_columns(self, "time_s", "low_m", "mid_m", "high_m", "at_readings_m")
        band = {key: tuple(getattr(self, key)) for key in ("low_m", "mid_m", "high_m")}
        check_columns("fit", time_s=tuple(self.time_s), **band)
        check_order("fit", **band)
        check_columns("fit", at_readings_m=tuple(self.at_readings_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpRate:
    """The rate of the pump: as set, from each time on, and as measured with bucket or meter.

    Parameters
    ----------
    set_time_s, set_m3s
        Times [s] and the rate from then on [m³/s], shape (k,).
    measured_time_s, measured_m3s
        Times [s] and measured rates [m³/s], shape (j,).
    """

    set_time_s: Column = ()
    set_m3s: Column = ()
    measured_time_s: Column = ()
    measured_m3s: Column = ()

    def __post_init__(self) -> None:
        freeze_columns(self, "set_time_s", "set_m3s", "measured_time_s", "measured_m3s")
        check_columns("rate", set_time_s=tuple(self.set_time_s), set_m3s=tuple(self.set_m3s))
        measured = {"measured_time_s": tuple(self.measured_time_s), "measured_m3s": tuple(self.measured_m3s)}
        check_columns("rate", **measured)


def levels_figure(
    readings: LevelReadings,
    *,
    units: System,
    fit: LevelFit | None = None,
    rate: PumpRate | None = None,
    static_level_m: float | None = None,
    pump_intake_m: float | None = None,
    pump_off_s: Column = (),
    reading_error_m: float | None = None,
    heading: Heading | None = None,
) -> Figure:
    """Show a yield test: levels with their fit, the residuals under them, and the pump rate under those.

    Parameters
    ----------
    readings
        Levels as read; may be empty.
    units
        Unit system of the chart.
    fit
        The fitted level, when there is one.
    rate
        The pump's rate, when it is to be shown.
    static_level_m, pump_intake_m
        Depths [m] to mark.
    pump_off_s
        Times at which the pump was shut off [s].
    reading_error_m
        Standard error of a reading [m], shown as a band about zero under the residuals.
    heading
        Words around the chart.

    Returns
    -------
    Figure
        Panels stacked on one time axis; times in min, h or d by their span.

    Raises
    ------
    InputError
        When columns differ in length or hold something that is no number.

    Examples
    --------
    >>> readings = LevelReadings(time_s=[60.0, 300.0], depth_m=[12.0, 15.0], kinds=["pumping", "pumping"])
    >>> figure = levels_figure(readings, units="us", static_level_m=11.0)
    >>> figure.panels[0].marks[0].y
    (39.37007874015748, 49.21259842519685)
    """
    if fit is not None:
        check_columns("fit", at_readings_m=tuple(fit.at_readings_m), depth_m=tuple(readings.depth_m))
    clock = _clock(readings, fit, rate, pump_off_s)
    shared = axis_from_ladder(
        "time",
        say("time"),
        clock.unit.symbol,
        "linear",
        time_ladder(clock.low, clock.high, clock.unit.symbol),
    )
    main = _main_panel(readings, fit, clock, units, static_level_m, pump_intake_m, pump_off_s)
    panels = [main]
    if fit is not None:
        panels.append(_residual_panel(readings, fit, clock, units, reading_error_m))
    if rate is not None:
        panels.append(_rate_panel(rate, clock, units))
    return headed_figure(
        heading,
        name="levels",
        title=say("levels.title"),
        alt=_alt(readings, fit, units),
        caption=sentences(_thinned(readings), say("if_modelled") if fit else ""),
        units=units,
        shared=shared,
        panels=tuple(panels),
    )


@dataclass(frozen=True, slots=True)
class _Clock:
    unit: DisplayUnit
    low: float
    high: float


def _clock(
    readings: LevelReadings, fit: LevelFit | None, rate: PumpRate | None, pump_off_s: Column
) -> _Clock:
    times = [*readings.time_s, *pump_off_s, *(fit.time_s if fit else ())]
    times += [*rate.set_time_s, *rate.measured_time_s] if rate else []
    low, high = min([0.0, *times]), max([60.0, *times])
    unit = time_unit(high - low)
    room = TIME_ROOM * (high - low)
    return _Clock(unit, unit.from_si(low), unit.from_si(high + room))


def _main_panel(
    readings: LevelReadings,
    fit: LevelFit | None,
    clock: _Clock,
    units: System,
    static_level_m: float | None,
    pump_intake_m: float | None,
    pump_off_s: Column,
) -> Panel:
    depth = display_unit("depth", units)
    marks: list[Mark] = []
    if fit is not None:
        at = clock.unit.all_from_si(fit.time_s)
        low, mid, high = (depth.all_from_si(column) for column in (fit.low_m, fit.mid_m, fit.high_m))
        band = say("band", percent=percent_text(fit.probability))
        marks.append(Band(name=band, along="x", at=at, low=low, high=high, probability=fit.probability))
        marks.append(Line(name=say("levels.fit"), x=at, y=mid))
    marks += _reading_marks(readings, readings.depth_m, clock, depth)
    shown = [*readings.depth_m, *(fit.low_m if fit else ()), *(fit.high_m if fit else ())]
    for key, level_m in (("levels.static", static_level_m), ("levels.setting", pump_intake_m)):
        if level_m is not None:
            label = say(key, depth=depth_text(level_m, units))
            marks.append(Limit(axis="y", value=depth.from_si(level_m), label=label))
            shown.append(level_m)
    for off_s in pump_off_s:
        label = say("levels.off", time=f"{plain_text(clock.unit.from_si(off_s), 2)} {clock.unit.symbol}")
        marks.append(Limit(axis="x", value=clock.unit.from_si(off_s), label=label))
    ends = depth.all_from_si((min(shown, default=0.0), max(shown, default=1.0)))
    axis = axis_from_ladder("depth", say("level"), depth.symbol, "depth", depth_ladder(*ends))
    return Panel(name="levels", role="main", axis=axis, marks=tuple(marks))


def _reading_marks(
    readings: LevelReadings,
    values_m: Column,
    clock: _Clock,
    depth: DisplayUnit,
    *,
    stem: float | None = None,
    leave_out: frozenset[ReadingKind] = frozenset(),
    named: bool = True,
) -> list[Mark]:
    """Make points of readings, one series for each kind."""
    marks: list[Mark] = []
    for kind, marker in MARKERS.items():
        rows = [] if kind in leave_out else _drawn_rows(readings, values_m, kind)
        if rows:
            x = clock.unit.all_from_si(readings.time_s[row] for row in rows)
            y = depth.all_from_si(values_m[row] for row in rows)
            name = say(f"levels.{kind}") if named else ""
            marks.append(Points(name=name, x=x, y=y, marker=marker, stem=stem))
    return marks


def _drawn_rows(readings: LevelReadings, values_m: Column, kind: ReadingKind) -> list[int]:
    """Choose the readings of one kind to draw: all of them, unless they are very many."""
    rows = [index for index, each in enumerate(readings.kinds) if each == kind]
    return [rows[kept] for kept in kept_indices([values_m[row] for row in rows])]


def _residual_panel(
    readings: LevelReadings, fit: LevelFit, clock: _Clock, units: System, reading_error_m: float | None
) -> Panel:
    depth = display_unit("depth", units)
    left_m = [read - fitted for read, fitted in zip(readings.depth_m, fit.at_readings_m, strict=True)]
    reach = max(
        [abs(value) for value in _comparable(readings, left_m)] + [reading_error_m or 0.0], default=0.0
    )
    # A fit through every reading still needs an axis of some length.
    reach = max(depth.from_si(reach), 1e-3) * 1.05
    ladder = linear_ladder(-reach, reach, count=SMALL_COUNT)
    marks: list[Mark] = []
    if reading_error_m:
        error = depth.from_si(reading_error_m)
        name = say("levels.error", error=f"{round_figures(error, 2)} {depth.symbol}")
        at, low, high = (clock.low, clock.high), (-error, -error), (error, error)
        marks.append(Band(name=name, along="x", at=at, low=low, high=high, status="computed", ink="ink"))
    marks.append(Line(name="", x=(clock.low, clock.high), y=(0.0, 0.0), status="computed", ink="water"))
    marks += _reading_marks(
        readings, left_m, clock, depth, stem=0.0, leave_out=frozenset({"deeper"}), named=False
    )
    axis = axis_from_ladder("residual", say("levels.residual"), depth.symbol, "depth", ladder)
    return Panel(name="residual", role="residual", axis=axis, marks=tuple(marks), share=RESIDUAL_SHARE)


def _comparable(readings: LevelReadings, left_m: Sequence[float]) -> list[float]:
    """Leave out readings that only say how deep at least: they have no residual."""
    return [value for value, kind in zip(left_m, readings.kinds, strict=True) if kind != "deeper"]


def _rate_panel(rate: PumpRate, clock: _Clock, units: System) -> Panel:
    flow = display_unit("flow", units)
    marks: list[Mark] = []
    if len(rate.set_time_s):
        x = (*clock.unit.all_from_si(rate.set_time_s), clock.high)
        values = flow.all_from_si(rate.set_m3s)
        y = (*values, values[-1])
        marks.append(Line(name=say("levels.rate.set"), x=x, y=y, status="computed", ink="ink", stairs="x"))
    if len(rate.measured_time_s):
        x, y = clock.unit.all_from_si(rate.measured_time_s), flow.all_from_si(rate.measured_m3s)
        marks.append(Points(name=say("levels.rate.measured"), x=x, y=y, marker="square"))
    shown = flow.all_from_si([*rate.set_m3s, *rate.measured_m3s])
    ladder = linear_ladder(min([0.0, *shown]), max([*shown, 0.0]), count=SMALL_COUNT)
    axis = axis_from_ladder("flow", say("levels.rate"), flow.symbol, "linear", ladder)
    return Panel(name="rate", role="rate", axis=axis, marks=tuple(marks), share=RATE_SHARE)


def _thinned(readings: LevelReadings) -> str:
    total = len(readings.time_s)
    drawn = sum(len(_drawn_rows(readings, readings.depth_m, kind)) for kind in MARKERS)
    return say("thinned", drawn=f"{drawn:,}", total=f"{total:,}") if drawn < total else ""


def _alt(readings: LevelReadings, fit: LevelFit | None, units: System) -> str:
    if not len(readings.time_s):
        return say("levels.alt.none")
    depths = readings.depth_m
    text = say(
        "levels.alt",
        span=duration_text(max(readings.time_s)),
        count=len(depths),
        first=depth_text(depths[0], units),
        deepest=depth_text(max(depths), units),
        last=depth_text(depths[-1], units),
    )
    if fit is None:
        return text
    left_m = [read - fitted for read, fitted in zip(depths, fit.at_readings_m, strict=True)]
    residual = depth_text(max(map(abs, _comparable(readings, left_m)), default=0.0), units)
    return sentences(text, say("levels.alt.fit", percent=percent_text(fit.probability), residual=residual))
