"""Charts of the hole: stored water by depth beside air-lifted flow by depth, on one depth axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledgewell.figures.columns import Column, check_columns, check_order, check_some, freeze_columns
from ledgewell.figures.heading import Heading, depth_text, flow_text, headed_figure
from ledgewell.figures.marks import Limit, Line, Mark, Points
from ledgewell.figures.quantity import DisplayUnit, display_unit
from ledgewell.figures.spec import Figure, Panel, axis_from_ladder
from ledgewell.figures.ticks import depth_ladder, linear_ladder
from ledgewell.figures.words import say
from ledgewell.units import System, show

COLUMN_TICKS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredByDepth:
    """Water stored from the static level down.

    Parameters
    ----------
    depth_m
        Depths [m], rising, shape (n,).
    volume_m3
        Water stored between the static level and each depth [m³], shape (n,).
    """

    depth_m: Column
    volume_m3: Column

    def __post_init__(self) -> None:
        freeze_columns(self, "depth_m", "volume_m3")
        depth = tuple(self.depth_m)
        check_some("stored.depth_m", depth)
        check_columns("stored", depth_m=depth, volume_m3=tuple(self.volume_m3))
        check_order("stored", depth_m=depth[:-1], next_depth_m=depth[1:])


@dataclass(frozen=True, slots=True, kw_only=True)
class AirliftByDepth:
    """Total flow blown by air while drilling.

    Parameters
    ----------
    bit_depth_m
        Depth of the bit [m], rising, shape (k,).
    flow_m3s
        Flow of all fractures so far [m³/s], shape (k,).
    """

    bit_depth_m: Column = ()
    flow_m3s: Column = ()

    def __post_init__(self) -> None:
        freeze_columns(self, "bit_depth_m", "flow_m3s")
        depth = tuple(self.bit_depth_m)
        check_columns("airlift", bit_depth_m=depth, flow_m3s=tuple(self.flow_m3s))
        check_order("airlift", bit_depth_m=depth[:-1], next_bit_depth_m=depth[1:])


def stored_figure(
    stored: StoredByDepth,
    airlift: AirliftByDepth,
    *,
    units: System,
    static_level_m: float | None = None,
    marked: Sequence[tuple[float, str]] = (),
    heading: Heading | None = None,
) -> Figure:
    """Show stored water and air-lifted flow by depth, side by side on one depth axis.

    Parameters
    ----------
    stored
        Stored water by depth.
    airlift
        Flow while drilling; may be empty.
    units
        Unit system of the chart.
    static_level_m
        Static level to mark [m].
    marked
        Depths [m] and labels to mark in the stored panel, such as the casing shoe.
    heading
        Words around the chart.

    Returns
    -------
    Figure
        Two panels side by side.

    Raises
    ------
    InputError
        When columns differ in length, are out of order or hold something that is no number.

    Examples
    --------
    >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
    >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
    >>> figure.arrangement, figure.panels[0].axis.unit
    ('side by side', 'L')
    """
    depth = display_unit("depth", units)
    depths = [*stored.depth_m, *airlift.bit_depth_m, *(level for level, _ in marked), 0.0]
    depths += [static_level_m] if static_level_m is not None else []
    ladder = depth_ladder(*depth.all_from_si((min(depths), max(depths))), count=8)
    limits: list[Mark] = []
    if static_level_m is not None:
        label = say("stored.static", depth=depth_text(static_level_m, units))
        limits.append(Limit(axis="y", value=depth.from_si(static_level_m), label=label))
    limits += [Limit(axis="y", value=depth.from_si(level), label=label) for level, label in marked]
    panels = (
        _stored_panel(stored, limits, depth, units),
        _airlift_panel(airlift, depth, units, ladder.low),
    )
    return headed_figure(
        heading,
        name="stored",
        title=say("stored.title"),
        alt=_alt(stored, airlift, units),
        caption=say("stored.caption"),
        units=units,
        arrangement="side by side",
        shared=axis_from_ladder("depth", say("stored.depth"), depth.symbol, "depth", ladder),
        panels=panels,
    )


def _stored_panel(stored: StoredByDepth, limits: list[Mark], depth: DisplayUnit, units: System) -> Panel:
    volume = display_unit("volume", units)
    x, y = volume.all_from_si(stored.volume_m3), depth.all_from_si(stored.depth_m)
    ladder = linear_ladder(min([0.0, *x]), max([*x, 0.0]), count=COLUMN_TICKS)
    line = Line(name=say("stored.line"), x=x, y=y, status="computed", ink="water")
    axis = axis_from_ladder("volume", say("stored.volume"), volume.symbol, "linear", ladder)
    return Panel(name="stored", role="main", axis=axis, marks=(*limits, line))


def _airlift_panel(airlift: AirliftByDepth, depth: DisplayUnit, units: System, top: float) -> Panel:
    flow = display_unit("flow", units)
    x, y = flow.all_from_si(airlift.flow_m3s), depth.all_from_si(airlift.bit_depth_m)
    ladder = linear_ladder(0.0, max([*x, 0.0]), count=COLUMN_TICKS) if any(x) else linear_ladder(0.0, 1.0)
    marks: list[Mark] = []
    if x:
        # Nothing flows until the first reading: the stairs start at zero flow at the top.
        stairs = {"x": (0.0, *x), "y": (top, *y)}
        marks.append(Line(name=say("stored.stairs"), status="computed", ink="ink", stairs="y", **stairs))
        marks.append(Points(name=say("stored.airlift"), x=x, y=y))
    axis = axis_from_ladder("flow", say("stored.yield"), flow.symbol, "linear", ladder)
    return Panel(name="airlift", role="main", axis=axis, marks=tuple(marks))


def _alt(stored: StoredByDepth, airlift: AirliftByDepth, units: System) -> str:
    if len(airlift.flow_m3s):
        flow, bit = flow_text(airlift.flow_m3s[-1], units), depth_text(airlift.bit_depth_m[-1], units)
        blown = say("stored.alt.airlift", flow=flow, depth=bit)
    else:
        blown = say("stored.alt.dry")
    held = show(stored.volume_m3[-1], "volume", units)
    return say("stored.alt", depth=depth_text(stored.depth_m[-1], units), volume=held, airlift=blown)
