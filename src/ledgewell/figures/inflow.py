"""Chart of inflow against level: what the rock gives at each depth, and where nothing was tested."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

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
from ledgewell.figures.marks import Band, Limit, Line, Mark, Points, Region, Status
from ledgewell.figures.quantity import HOUR_S, DisplayUnit, display_unit
from ledgewell.figures.spec import Figure, Panel, axis_from_ladder
from ledgewell.figures.ticks import depth_ladder, linear_ladder
from ledgewell.figures.words import say
from ledgewell.units import System

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True, slots=True, kw_only=True)
class InflowCurve:
    """Inflow with its band at levels.

    Parameters
    ----------
    level_m
        Depth to water held [m], rising, shape (n,).
    low_m3s, mid_m3s, high_m3s
        Inflow [m³/s], shape (n,).
    tested_to_m
        Deepest level the test reached [m].
    held_s
        How long the level is held [s].
    probability
        Share of chance the band holds.
    """

    level_m: Column
    low_m3s: Column
    mid_m3s: Column
    high_m3s: Column
    tested_to_m: float
    held_s: float = HOUR_S
    probability: float = 0.9

    def __post_init__(self) -> None:
        freeze_columns(self, "level_m", "low_m3s", "mid_m3s", "high_m3s")
        level = tuple(self.level_m)
        check_some("inflow.level_m", level, least=2)
        columns = {key: tuple(getattr(self, key)) for key in ("low_m3s", "mid_m3s", "high_m3s")}
        check_columns("inflow", level_m=level, **columns)
        check_order("inflow", **columns)
        check_order("inflow", level_m=level[:-1], next_level_m=level[1:])

    def part(self, top_m: float, bottom_m: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Cut the curve to a stretch of levels, with its ends interpolated.

        Parameters
        ----------
        top_m, bottom_m
            Ends of the stretch [m].

        Returns
        -------
        tuple of ndarray
            Level [m], low, mid and high [m³/s]; empty when the stretch holds nothing.

        Examples
        --------
        >>> flows = {"low_m3s": [0.0, 1.0], "mid_m3s": [0.0, 2.0], "high_m3s": [0.0, 3.0]}
        >>> level, low, mid, high = InflowCurve(level_m=[0.0, 10.0], tested_to_m=5.0, **flows).part(5.0, 10.0)
        >>> [float(value) for value in mid]
        [1.0, 2.0]
        """
        import numpy as np  # only when a chart is asked for: the command line must start quickly

        level = np.asarray(self.level_m, dtype=float)
        top, bottom = max(top_m, float(level[0])), min(bottom_m, float(level[-1]))
        if not bottom > top:
            return np.empty(0), np.empty(0), np.empty(0), np.empty(0)
        inside = level[(level > top) & (level < bottom)]
        at = np.concatenate(([top], inside, [bottom]))
        low, mid, high = (
            np.interp(at, level, np.asarray(column, dtype=float))
            for column in (self.low_m3s, self.mid_m3s, self.high_m3s)
        )
        return at, low, mid, high


def inflow_figure(
    curve: InflowCurve,
    *,
    units: System,
    static_level_m: float | None = None,
    fractures_m: Column = (),
    measured_level_m: Column = (),
    measured_m3s: Column = (),
    heading: Heading | None = None,
) -> Figure:
    """Show inflow against level, the tested part solid and the part below it visibly different.

    Parameters
    ----------
    curve
        Inflow with its band.
    units
        Unit system of the chart.
    static_level_m
        Static level to mark [m].
    fractures_m
        Depths of recorded fractures to mark [m].
    measured_level_m, measured_m3s
        Levels held [m] and the inflow measured there [m³/s], shape (k,).
    heading
        Words around the chart.

    Returns
    -------
    Figure
        One panel: flow across, level down.

    Raises
    ------
    InputError
        When columns differ in length, are out of order or hold something that is no number.

    Examples
    --------
    >>> flows = {"low_m3s": [0.0, 2.2e-4], "mid_m3s": [0.0, 2.6e-4], "high_m3s": [0.0, 3.1e-4]}
    >>> curve = InflowCurve(level_m=[12.0, 90.0], tested_to_m=60.0, **flows)
    >>> [mark.status for mark in inflow_figure(curve, units="us").panels[0].marks if isinstance(mark, Line)]
    ['modelled', 'untested']
    """
    depth, flow = display_unit("depth", units), display_unit("flow", units)
    levels = [*curve.level_m, *fractures_m, *measured_level_m]
    levels += [static_level_m] if static_level_m is not None else []
    flows = [*curve.high_m3s, *measured_m3s]
    down = depth_ladder(*depth.all_from_si((min(levels), max(levels))))
    across = linear_ladder(min(0.0, *flow.all_from_si(curve.low_m3s)), max(flow.all_from_si(flows)) or 1.0)
    marks = _curve_marks(curve, depth, flow)
    if depth.from_si(curve.tested_to_m) < down.high:
        top = max(depth.from_si(curve.tested_to_m), down.low)
        label = say("inflow.region", depth=depth_text(curve.tested_to_m, units))
        marks.append(Region(axis="y", low=top, high=down.high, label=label))
    for fracture_m in fractures_m:
        label = say("inflow.fracture", depth=depth_text(fracture_m, units))
        marks.append(Limit(axis="y", value=depth.from_si(fracture_m), label=label, faint=True))
    if static_level_m is not None:
        label = say("levels.static", depth=depth_text(static_level_m, units))
        marks.append(Limit(axis="y", value=depth.from_si(static_level_m), label=label))
    if len(measured_level_m):
        x, y = flow.all_from_si(measured_m3s), depth.all_from_si(measured_level_m)
        marks.append(Points(name=say("inflow.measured"), x=x, y=y, marker="square"))
    title = say("inflow.flow", held=duration_text(curve.held_s))
    panel_axis = axis_from_ladder("depth", say("level"), depth.symbol, "depth", down)
    return headed_figure(
        heading,
        name="inflow",
        title=say("inflow.title"),
        alt=_alt(curve, units),
        caption=say("if_modelled"),
        units=units,
        shared=axis_from_ladder("flow", title, flow.symbol, "linear", across),
        panels=(Panel(name="inflow", role="main", axis=panel_axis, marks=tuple(marks), share=1.3),),
    )


def _curve_marks(curve: InflowCurve, depth: DisplayUnit, flow: DisplayUnit) -> list[Mark]:
    """Draw the curve in two parts that meet at the deepest level tested."""
    percent = percent_text(curve.probability)
    marks: list[Mark] = []
    parts: tuple[tuple[Status, str, str, float, float], ...] = (
        ("modelled", say("inflow.tested"), say("band", percent=percent), -math.inf, curve.tested_to_m),
        (
            "untested",
            say("inflow.untested"),
            say("band.untested", percent=percent),
            curve.tested_to_m,
            math.inf,
        ),
    )
    for status, line_name, band_name, top_m, bottom_m in parts:
        level, low, mid, high = curve.part(top_m, bottom_m)
        if level.size:
            at = depth.all_from_si(level)
            least, most = flow.all_from_si(low), flow.all_from_si(high)
            chance = curve.probability
            marks.append(
                Band(
                    name=band_name,
                    along="y",
                    at=at,
                    low=least,
                    high=most,
                    probability=chance,
                    status=status,
                )
            )
            marks.append(Line(name=line_name, x=flow.all_from_si(mid), y=at, status=status))
    return marks


def _alt(curve: InflowCurve, units: System) -> str:
    deepest = min(curve.tested_to_m, float(curve.level_m[-1]))
    level, low, mid, high = curve.part(-math.inf, deepest)
    if not level.size:
        return say("inflow.alt.untested", depth=depth_text(curve.tested_to_m, units))
    flow = flow_estimate_text(float(low[-1]), float(mid[-1]), float(high[-1]), units)
    untested = curve.level_m[-1] > curve.tested_to_m
    return sentences(
        say("inflow.alt", depth=depth_text(deepest, units), flow=flow),
        say("inflow.alt.untested", depth=depth_text(curve.tested_to_m, units)) if untested else "",
    )
