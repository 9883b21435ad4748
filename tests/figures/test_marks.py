"""What cannot be drawn honestly is refused: gaps in columns, bands upside down, points beyond the axes."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from tests.figures import samples as s

from ledgewell import figures as f
from ledgewell.errors import InputError


def inflow_of(levels_m: list[float]) -> f.InflowCurve:
    """A dry curve at some levels."""
    nothing = [0.0] * len(levels_m)
    return f.InflowCurve(
        level_m=levels_m, low_m3s=nothing, mid_m3s=nothing, high_m3s=nothing, tested_to_m=1.0
    )


def yield_of(durations_s: list[float]) -> f.YieldByDuration:
    """A dry yield at some durations."""
    nothing = [0.0] * len(durations_s)
    bands = {"low_m3s": nothing, "mid_m3s": nothing, "high_m3s": nothing}
    return f.YieldByDuration(duration_s=durations_s, level_m=9.0, test_s=60.0, **bands)


@pytest.mark.parametrize(
    ("make", "where"),
    [
        (lambda: f.Points(name="levels", x=(1.0, 2.0), y=(3.0,)), "levels.y"),
        (lambda: f.Points(name="levels", x=(math.nan,), y=(3.0,)), "levels.x[0]"),
        (lambda: f.Line(name="fit", x=(1.0,), y=(math.inf,)), "fit.y[0]"),
        (lambda: f.Band(name="band", along="x", at=(1.0,), low=(3.0,), high=(2.0,)), "band.high[0]"),
        (
            lambda: f.Estimates(name="e", along="x", at=(1.0,), low=(3.0,), mid=(2.0,), high=(4.0,)),
            "e.mid[0]",
        ),
        (
            lambda: f.Estimates(
                name="e", along="x", at=(1.0,), low=(1.0,), mid=(2.0,), high=(4.0,), labels=("a", "b")
            ),
            "e",
        ),
        (lambda: f.Limit(axis="y", value=math.nan, label="static"), "static.value[0]"),
        (lambda: f.Region(axis="y", low=3.0, high=2.0, label="dry"), "dry.high[0]"),
        (lambda: f.LevelReadings(time_s=[1.0], depth_m=[2.0, 3.0], kinds=["pumping"]), "readings.time_s"),
        (lambda: f.LevelReadings(time_s=[1.0], depth_m=[2.0], kinds=[]), "readings.kinds"),
        (lambda: f.LevelReadings(time_s=[1.0], depth_m=[2.0], kinds=["guessed"]), "readings.kinds[0]"),
        (lambda: f.BeforeAfter(level_m=1.0, duration_s=[], before=[], after=[]), "comparison"),
        (lambda: f.StoredByDepth(depth_m=[], volume_m3=[]), "stored.depth_m"),
        (lambda: inflow_of([1.0]), "inflow.level_m"),
        (lambda: inflow_of([2.0, 1.0]), "inflow.next_level_m[0]"),
        (lambda: yield_of([]), "yield.duration_s"),
        (lambda: f.StoredByDepth(depth_m=[2.0, 1.0], volume_m3=[0.0, 1.0]), "stored.next_depth_m[0]"),
        (lambda: f.SectionSpec(bores=(f.SectionBore(top_m=9.0, bottom_m=1.0),)), "bores[0].bottom_m"),
        (
            lambda: f.SectionSpec(bores=(f.SectionBore(top_m=0.0, bottom_m=1.0, diameter_m=0.0),)),
            "bores[0].diameter_m",
        ),
        (lambda: f.SectionSpec(bottom_m=math.inf), "bottom_m"),
        (
            lambda: f.SectionSpec(levels=(f.SectionLevel(depth_m=math.nan, kind="static"),)),
            "levels[0].depth_m",
        ),
    ],
)
def test_bad_columns_are_refused_with_their_place(make: Any, where: str) -> None:
    with pytest.raises(InputError) as caught:
        make()
    assert where in [problem.where for problem in caught.value.problems]


def test_nothing_is_cut_off_in_silence() -> None:
    figure = s.levels()
    main = figure.panels[0]
    stray = f.Points(name="stray", x=(30.0,), y=(main.axis.high + 1,))
    with pytest.raises(InputError, match="cut off") as caught:
        replace(figure, panels=(replace(main, marks=(*main.marks, stray)),))
    assert caught.value.problems[0].where == "levels.levels.stray"


def test_an_axis_must_have_a_length_and_a_logarithm_no_zero() -> None:
    axis = s.levels().shared
    with pytest.raises(InputError, match="no length"):
        replace(axis, high=axis.low)
    with pytest.raises(InputError, match="no zero"):
        replace(axis, scale="log", low=0.0)


def test_a_fit_must_answer_every_reading() -> None:
    fit = replace(s.fit(), at_readings_m=(1.0,))
    with pytest.raises(InputError) as caught:
        f.levels_figure(s.readings(), units="us", fit=fit)
    assert caught.value.problems[0].where == "fit.at_readings_m"


def test_a_derivative_of_nothing_is_refused() -> None:
    flat = f.TimeCurve(time_s=[60.0], value_m=[0.0])
    with pytest.raises(InputError, match="nothing is above zero"):
        f.derivative_figure(flat, f.TimeCurve(), units="us")
