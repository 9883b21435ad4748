"""Chart of yield before and after, band beside band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledgewell.errors import InputError, Problem
from ledgewell.figures.columns import Column, check_order, freeze_columns
from ledgewell.figures.heading import (
    Heading,
    chance_text,
    depth_text,
    duration_text,
    flow_estimate_text,
    headed_figure,
    percent_text,
    sentences,
)
from ledgewell.figures.marks import Estimates, Ink
from ledgewell.figures.quantity import display_unit
from ledgewell.figures.spec import Axis, Figure, Panel, axis_from_ladder
from ledgewell.figures.ticks import Tick, linear_ladder
from ledgewell.figures.words import say
from ledgewell.units import System, round_figures

PAIR_PITCH = 2.3
"""Rows from one pair to the next: two rows and a little room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowBand:
    """A flow with its band [m³/s]."""

    low_m3s: float
    mid_m3s: float
    high_m3s: float

    def __post_init__(self) -> None:
        check_order("flow", low_m3s=(self.low_m3s,), mid_m3s=(self.mid_m3s,), high_m3s=(self.high_m3s,))


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeAfter:
    """Rock yield before and after at one level.

    Parameters
    ----------
    level_m
        The level [m].
    duration_s
        Durations [s], shape (n,), at least one.
    before, after
        Yields, shape (n,).
    probability
        Share of chance the bands hold.
    chance_rose
        Probability that the yield rose, when known.
    factor
        How many times it rose: low, middle and high, when known.
    """

    level_m: float
    duration_s: Column
    before: Sequence[FlowBand]
    after: Sequence[FlowBand]
    probability: float = 0.9
    chance_rose: float | None = None
    factor: tuple[float, float, float] | None = None

    def __post_init__(self) -> None:
        freeze_columns(self, "duration_s")
        counts = (len(self.duration_s), len(self.before), len(self.after))
        if len(set(counts)) > 1 or not counts[0]:
            say_what, right = (
                "durations, before and after differ in number or are none",
                "one of each, at least one",
            )
            raise InputError([Problem(where="comparison", given=str(counts), say=say_what, right=right)])


def comparison_figure(data: BeforeAfter, *, units: System, heading: Heading | None = None) -> Figure:
    """Show yields before and after as bands under one another on one flow axis.

    Parameters
    ----------
    data
        The yields.
    units
        Unit system of the chart.
    heading
        Words around the chart.

    Returns
    -------
    Figure
        One panel with a row for each band.

    Examples
    --------
    >>> before = FlowBand(low_m3s=0.8e-4, mid_m3s=1.1e-4, high_m3s=1.5e-4)
    >>> after = FlowBand(low_m3s=2.2e-4, mid_m3s=2.6e-4, high_m3s=3.1e-4)
    >>> bands = {"before": [before], "after": [after]}
    >>> data = BeforeAfter(level_m=88.4, duration_s=[86400.0], chance_rose=0.97, **bands)
    >>> comparison_figure(data, units="us").caption
    'The chance that the yield rose is 97 %. Bands hold only if the rock behaves as modelled.'
    """
    flow = display_unit("flow", units)
    highs = flow.all_from_si(band.high_m3s for band in (*data.before, *data.after))
    shared = axis_from_ladder(
        "flow", say("comparison.flow"), flow.symbol, "linear", linear_ladder(0.0, max(highs) or 1.0)
    )
    pairs = len(data.duration_s)
    ticks = []
    for index, duration_s in enumerate(data.duration_s):
        names = {
            key: say(f"comparison.row.{key}", duration=duration_text(duration_s))
            for key in ("before", "after")
        }
        ticks += [Tick(_row(index, 0), names["before"]), Tick(_row(index, 1), names["after"])]
    axis = Axis(
        kind="category",
        title=say("comparison.rows", depth=depth_text(data.level_m, units)),
        unit="",
        scale="depth",
        low=0.0,
        high=(pairs - 1) * PAIR_PITCH + 2.0,
        ticks=tuple(ticks),
    )
    marks = (
        _row_marks("before", "clay", 0, data.before, data.probability, units),
        _row_marks("after", "water", 1, data.after, data.probability, units),
    )
    return headed_figure(
        heading,
        name="comparison",
        title=say("comparison.title"),
        alt=_alt(data, units),
        caption=sentences(_chance(data), say("if_modelled")),
        units=units,
        shared=shared,
        panels=(Panel(name="comparison", role="main", axis=axis, marks=marks),),
    )


def _row(pair: int, offset: int) -> float:
    return pair * PAIR_PITCH + offset + 0.5


def _row_marks(
    key: str, ink: Ink, offset: int, bands: Sequence[FlowBand], probability: float, units: System
) -> Estimates:
    flow = display_unit("flow", units)
    low = flow.all_from_si(band.low_m3s for band in bands)
    mid = flow.all_from_si(band.mid_m3s for band in bands)
    high = flow.all_from_si(band.high_m3s for band in bands)
    return Estimates(
        name=say(f"comparison.{key}", percent=percent_text(probability)),
        along="y",
        at=tuple(_row(index, offset) for index in range(len(bands))),
        low=low,
        mid=mid,
        high=high,
        labels=tuple(flow_estimate_text(band.low_m3s, band.mid_m3s, band.high_m3s, units) for band in bands),
        probability=probability,
        ink=ink,
    )


def _chance(data: BeforeAfter) -> str:
    chance = factor = ""
    if data.chance_rose is not None:
        chance = say("comparison.chance", chance=chance_text(data.chance_rose))
    if data.factor is not None:
        low, mid, high = (round_figures(value, 2) for value in data.factor)
        factor = say("comparison.factor", low=low, mid=mid, high=high)
    return sentences(chance, factor)


def _alt(data: BeforeAfter, units: System) -> str:
    rows = []
    for duration_s, before, after in zip(data.duration_s, data.before, data.after, strict=True):
        was, became = (
            flow_estimate_text(band.low_m3s, band.mid_m3s, band.high_m3s, units) for band in (before, after)
        )
        rows.append(say("comparison.alt.row", duration=duration_text(duration_s), before=was, after=became))
    text = say("comparison.alt", depth=depth_text(data.level_m, units), list="; ".join(rows))
    return sentences(text, _chance(data))
