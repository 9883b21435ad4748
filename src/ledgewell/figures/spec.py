"""What a chart shows, apart from how it is drawn: the one thing screen, paper and table are made from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ledgewell.errors import InputError, Problem
from ledgewell.figures.marks import Annotation, Direction, Limit, Mark, Region
from ledgewell.figures.ticks import Ladder, Tick
from ledgewell.units import System

AxisKind = Literal["time", "duration", "depth", "drawdown", "residual", "flow", "volume", "category"]
Scale = Literal["linear", "log", "depth"]
"""``depth`` is linear and runs down the page."""
PanelRole = Literal["main", "residual", "rate"]
Arrangement = Literal["stacked", "side by side"]
"""``stacked`` panels share the horizontal axis, panels ``side by side`` share the vertical one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """An axis: what it measures, in which unit, how it is scaled, its ends and its ticks."""

    kind: AxisKind
    title: str
    unit: str
    scale: Scale
    low: float
    high: float
    ticks: tuple[Tick, ...]
    minor: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not self.high > self.low:
            say, right = "the axis has no length", f"above the low end, {self.low!r}"
            raise InputError([Problem(where=self.title, given=repr(self.high), say=say, right=right)])
        if self.scale == "log" and not self.low > 0:
            say, right = "a logarithmic axis has no zero", "above zero"
            raise InputError([Problem(where=self.title, given=repr(self.low), say=say, right=right)])

    @property
    def heading(self) -> str:
        """The title with its unit, as printed beside the axis."""
        return f"{self.title} ({self.unit})" if self.unit else self.title

    def holds(self, value: float) -> bool:
        """Say whether a value lies on the axis.

        Parameters
        ----------
        value
            Value [the axis's unit].

        Returns
        -------
        bool
            True between the ends, which belong to it.

        Examples
        --------
        >>> axis = Axis(kind="flow", title="Yield", unit="gpm", scale="linear", low=0.0, high=5.0, ticks=())
        >>> axis.holds(5.0), axis.holds(5.1)
        (True, False)
        """
        slack = 1e-9 * (self.high - self.low)
        return self.low - slack <= value <= self.high + slack


def axis_from_ladder(kind: AxisKind, title: str, unit: str, scale: Scale, ladder: Ladder) -> Axis:
    """Make an axis from its title, unit, scale and ticks.

    Parameters
    ----------
    kind, title, unit, scale
        What the axis measures and how.
    ladder
        Ends and ticks [``unit``].

    Returns
    -------
    Axis
        The axis.

    Examples
    --------
    >>> from ledgewell.figures.ticks import linear_ladder
    >>> axis_from_ladder("flow", "Yield", "gpm", "linear", linear_ladder(0.0, 4.9)).heading
    'Yield (gpm)'
    """
    ends = {"low": ladder.low, "high": ladder.high}
    return Axis(
        kind=kind, title=title, unit=unit, scale=scale, ticks=ladder.ticks, minor=ladder.minor, **ends
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One plot: its own axis, what it shows, and its height beside the main panel's."""

    name: str
    role: PanelRole
    axis: Axis
    marks: tuple[Mark, ...]
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A chart: its words, and panels that share one axis. There is never a second axis on the same side.

    Parameters
    ----------
    name
        Key of the chart, such as ``levels``.
    title, sentence, caption
        Head, the sentence a crew can act on, and what must be known to read the chart.
    alt
        What a person who cannot see it should be told.
    source_note, sources
        Where the data and the method come from, in words and as citation keys.
    notice
        Something that must stand on every showing, such as that the data are invented; may be empty.
    units
        Unit system of every number.
    arrangement, shared, panels
        How panels lie, the axis they share and the panels in order.
    """

    name: str
    title: str
    sentence: str
    alt: str
    caption: str
    source_note: str
    shared: Axis
    panels: tuple[Panel, ...]
    units: System
    arrangement: Arrangement = "stacked"
    notice: str = ""
    sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.panels:
            say, right = "no panel", "at least one"
            raise InputError([Problem(where=self.name, given="()", say=say, right=right)])
        problems = [problem for panel in self.panels for problem in self._outside(panel)]
        if problems:
            raise InputError(problems)

    def axes(self, panel: Panel) -> tuple[Axis, Axis]:
        """Give the horizontal and the vertical axis of a panel.

        Parameters
        ----------
        panel
            One of the figure's panels.

        Returns
        -------
        tuple of Axis
            (horizontal, vertical).

        Examples
        --------
        >>> from ledgewell.figures.stored import AirliftByDepth, StoredByDepth, stored_figure
        >>> stored = StoredByDepth(depth_m=[10.0, 100.0], volume_m3=[0.0, 1.64])
        >>> figure = stored_figure(stored, AirliftByDepth(), units="si")
        >>> [axis.title for axis in figure.axes(figure.panels[0])]
        ['Water stored down to this depth', 'Depth']
        """
        return (self.shared, panel.axis) if self.arrangement == "stacked" else (panel.axis, self.shared)

    def _outside(self, panel: Panel) -> list[Problem]:
        """Find what would be cut off: nothing may lie beyond the ends of its axes."""
        by_direction: dict[Direction, Axis] = dict(zip(("x", "y"), self.axes(panel), strict=True))
        problems = []
        for mark in panel.marks:
            for direction, value in _reach(mark):
                axis = by_direction[direction]
                if not axis.holds(value):
                    say = f"lies beyond the {axis.title} axis and would be cut off"
                    right = f"{axis.low!r} to {axis.high!r} {axis.unit}".rstrip()
                    where = f"{self.name}.{panel.name}.{_called(mark)}"
                    problems.append(Problem(where=where, given=repr(value), say=say, right=right))
        return problems


def _called(mark: Mark) -> str:
    if isinstance(mark, Annotation):
        return mark.text
    return mark.label if isinstance(mark, Limit | Region) else mark.name


def _reach(mark: Mark) -> list[tuple[Direction, float]]:
    """List every (axis, value) a mark touches."""
    if isinstance(mark, Limit):
        return [(mark.axis, mark.value)]
    if isinstance(mark, Region):
        return [(mark.axis, mark.low), (mark.axis, mark.high)]
    reach: list[tuple[Direction, float]] = []
    for x, y in mark.positions():
        reach += [("x", x), ("y", y)]
    return reach
