"""What each chart shows: residuals, the untested part, projections, stairs, words. Expected by hand."""

from __future__ import annotations

import math

import numpy as np
import pint
import pytest
from tests.figures import samples as s

from ledgewell import figures as f

unit = pint.UnitRegistry()


def marks(figure: f.Figure, kind: type, panel: int = 0) -> list:
    """The marks of one kind in a panel."""
    return [mark for mark in figure.panels[panel].marks if isinstance(mark, kind)]


@pytest.mark.parametrize(
    ("units", "depth", "flow", "volume"),
    [("us", "foot", "gallon/minute", "gallon"), ("si", "meter", "liter/minute", "liter")],
)
def test_numbers_are_in_the_units_printed(units: f.System, depth: str, flow: str, volume: str) -> None:
    figure = s.stored(units)
    (line,) = marks(figure, f.Line)
    deep = unit.Quantity(505 * s.FOOT, "meter").to(depth).magnitude
    held = unit.Quantity(741 * s.GALLON, "meter**3").to(volume).magnitude
    blown = unit.Quantity(1.0 * s.GPM, "meter**3/second").to(flow).magnitude
    assert line.y[-1] == pytest.approx(deep, rel=1e-12)
    assert line.x[-1] == pytest.approx(held, rel=1e-12)
    assert marks(figure, f.Points, 1)[0].x[-1] == pytest.approx(blown, rel=1e-12)


def test_panels_are_stacked_on_one_axis_and_never_twinned() -> None:
    figure = s.levels()
    assert [panel.role for panel in figure.panels] == ["main", "residual", "rate"]
    assert figure.arrangement == "stacked"
    assert {figure.axes(panel)[0] for panel in figure.panels} == {figure.shared}


def test_residuals_are_reading_minus_fit_with_deeper_down() -> None:
    figure = s.levels()
    pumping, recovery = marks(figure, f.Points, 1)
    assert pumping.y == pytest.approx([0.5 if index % 2 else -0.5 for index in range(11)], abs=1e-9)
    assert pumping.stem == recovery.stem == 0.0
    assert figure.panels[1].axis.scale == "depth"
    (error,) = marks(figure, f.Band, 1)
    assert (error.low[0], error.high[0]) == pytest.approx((-0.4, 0.4))


def test_rate_is_held_from_each_setting_to_the_next() -> None:
    (line,) = marks(s.levels(), f.Line, 2)
    assert line.corners()[:3] == (
        pytest.approx((0.0, 7.0)),
        pytest.approx((s.PUMP_OFF_MIN, 7.0)),
        pytest.approx((s.PUMP_OFF_MIN, 0.0), abs=1e-12),
    )
    assert line.x[-1] == figure_end(s.levels())


def figure_end(figure: f.Figure) -> float:
    """Right end of the shared axis."""
    return figure.shared.high


def test_levels_known_only_as_deeper_have_no_residual() -> None:
    readings = f.LevelReadings(time_s=[60, 120], depth_m=[20, 90], kinds=["pumping", "deeper"])
    fit = f.LevelFit(time_s=[0, 120], low_m=[10, 20], mid_m=[11, 21], high_m=[12, 22], at_readings_m=[16, 21])
    figure = f.levels_figure(readings, units="si", fit=fit)
    assert [mark.marker for mark in marks(figure, f.Points)] == ["ring", "deeper"]
    assert [mark.y for mark in marks(figure, f.Points, 1)] == [(4.0,)]


def test_no_readings_yet_is_a_chart_too() -> None:
    figure = f.levels_figure(f.LevelReadings(time_s=[], depth_m=[], kinds=[]), units="us")
    assert figure.alt == "No readings yet."
    assert f.svg_from_figure(figure)


def test_a_long_logger_file_is_thinned_and_says_so() -> None:
    count = 20_000
    depth = 20 + np.sin(np.arange(count) / 500.0)
    readings = f.LevelReadings(time_s=60.0 * np.arange(count), depth_m=depth, kinds=["pumping"] * count)
    figure = f.levels_figure(readings, units="si")
    (points,) = marks(figure, f.Points)
    assert len(points.x) <= 400
    assert max(points.y) == pytest.approx(float(depth.max()))
    assert figure.caption == f"{len(points.x)} of 20,000 readings are drawn; all were used."


def test_the_untested_part_meets_the_tested_one_and_looks_different() -> None:
    figure = s.inflow()
    tested, untested = marks(figure, f.Line)
    assert (tested.status, untested.status) == ("modelled", "untested")
    assert (tested.x[-1], tested.y[-1]) == (untested.x[0], untested.y[0])
    assert tested.y[-1] == pytest.approx(290.0)
    assert [band.status for band in marks(figure, f.Band)] == ["modelled", "untested"]
    (region,) = marks(figure, f.Region)
    assert region.label == "not tested below 290 ft"
    assert region.low == pytest.approx(290.0)


def test_a_curve_tested_to_its_end_has_no_untested_part() -> None:
    curve = f.InflowCurve(
        level_m=[10, 20], low_m3s=[0, 1e-4], mid_m3s=[0, 2e-4], high_m3s=[0, 3e-4], tested_to_m=25.0
    )
    figure = f.inflow_figure(curve, units="si")
    assert [line.status for line in marks(figure, f.Line)] == ["modelled"]
    assert marks(figure, f.Region) == []


def test_projections_stand_apart() -> None:
    figure = s.duration()
    near, far = marks(figure, f.Estimates)
    # The test took 3 h: everything beyond 30 h is a projection.
    assert near.at == pytest.approx([3600, 14400, 36000, 86400])
    assert far.at == pytest.approx([720 * 3600, 4320 * 3600])
    assert (near.status, far.status) == ("modelled", "projection")
    assert near.labels == ("4.9", "4.5", "4.3", "4.1")
    # No band bridges the two.
    bands = marks(figure, f.Band)
    assert [max(band.at) <= 86400 or min(band.at) > 86400 for band in bands] == [True, True]
    (region,) = marks(figure, f.Region)
    assert 86400 < region.low < 720 * 3600


@pytest.mark.parametrize(("test_h", "projected"), [(0.05, 1), (1000.0, 0), (2.4, 1), (2.41, 0)])
def test_ten_times_the_test_is_the_edge(test_h: float, projected: int) -> None:
    data = f.YieldByDuration(
        duration_s=[86700.0],
        low_m3s=[1e-5],
        mid_m3s=[2e-5],
        high_m3s=[3e-5],
        level_m=90.0,
        test_s=test_h * 3600,
    )
    figure = f.duration_figure(data, units="us")
    assert len(marks(figure, f.Region)) == projected
    assert [mark.status for mark in marks(figure, f.Estimates)] == [["modelled"], ["projection"]][projected]


def test_every_estimate_has_a_band() -> None:
    for build in s.BUILDERS.values():
        figure = build()
        for panel in figure.panels:
            for mark in panel.marks:
                if isinstance(mark, f.Estimates):
                    assert all(low < high for low, high in zip(mark.low, mark.high, strict=True))
                    assert mark.probability == 0.9
    for build in (s.levels, s.inflow):
        modelled = [mark for mark in marks(build(), f.Line) if mark.status in {"modelled", "untested"}]
        assert len(marks(build(), f.Band)) == len(modelled)


def test_values_without_a_logarithm_are_counted_in_words() -> None:
    figure = s.derivative()
    assert "Not drawn, being at or below zero: 1." in figure.caption
    drawdown, slope = marks(figure, f.Points)
    assert len(drawdown.x) - len(slope.x) == 1


def test_stored_water_shares_its_depth_axis_with_the_airlift() -> None:
    figure = s.stored()
    assert figure.arrangement == "side by side"
    assert {figure.axes(panel)[1] for panel in figure.panels} == {figure.shared}
    (stairs,) = marks(figure, f.Line, 1)
    # Nothing until the bit is at 180 ft, then a quarter of a gallon a minute until 320 ft.
    assert stairs.corners() == (
        pytest.approx((0.0, 0.0)),
        pytest.approx((0.0, 180.0)),
        pytest.approx((0.25, 180.0)),
        pytest.approx((0.25, 320.0)),
        pytest.approx((1.0, 320.0)),
    )


def test_comparison_words() -> None:
    figure = s.comparison()
    assert "over 99 %" in figure.caption
    assert "4.4 times (3.1 to 6.2)" in figure.caption
    before, after = marks(figure, f.Estimates)
    assert before.labels[-1] == "0.80 gpm (0.50 to 1.2)"
    assert after.labels[-1] == "4.1 gpm (3.5 to 4.9)"
    assert all(one < other for one, other in zip(before.at, after.at, strict=True))


@pytest.mark.parametrize("name", s.BUILDERS)
def test_words_around_the_chart(name: str) -> None:
    figure = s.BUILDERS[name]()
    assert figure.title.endswith(": Lower pasture, after")
    root = s.parsed(f.svg_from_figure(figure))
    said = " ".join(line.text for line in s.written(root))
    for text in (figure.title, figure.sentence, figure.caption, figure.source_note, figure.notice):
        assert text in said
    bare = " ".join(line.text for line in s.written(s.parsed(f.svg_from_figure(figure, words=False))))
    assert figure.title not in bare
    assert figure.notice in bare


@pytest.mark.parametrize("name", s.BUILDERS)
def test_axes_say_their_unit(name: str) -> None:
    figure = s.BUILDERS[name]("us")
    root = s.parsed(f.svg_from_figure(figure))
    headings = " ".join(line.text for line in s.written(root) if line.style == "lw-text-heading")
    for axis in (figure.shared, *(panel.axis for panel in figure.panels)):
        assert axis.heading in headings
        if axis.kind not in {"duration", "category"}:
            assert axis.heading.endswith(f"({axis.unit})")


def test_a_flowing_well_and_a_dry_hole_are_charts_too() -> None:
    flowing = f.LevelReadings(time_s=[60, 120], depth_m=[-1.2, -0.4], kinds=["pumping", "pumping"])
    figure = f.levels_figure(flowing, units="si", static_level_m=-1.5)
    assert figure.panels[0].axis.low < -1.5
    dry = f.YieldByDuration(
        duration_s=[3600.0], low_m3s=[0.0], mid_m3s=[0.0], high_m3s=[0.0], level_m=90.0, test_s=7200.0
    )
    axis = f.duration_figure(dry, units="us").panels[0].axis
    assert (axis.low, axis.high) == (0.0, 1.0)
    assert math.isfinite(axis.high)
