"""The charts of `prove`: which there are, that they show the readings as written, and when a band may not be shown."""

from __future__ import annotations

import tomllib
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pytest
from scripts.make_examples import EXAMPLES

from ledgewell.figures import Band, Estimates, Figure, Limit, Line, Points, svg_from_figure
from ledgewell.figures.prove import BOUNDED, SINCE_FIRST, prove_figures
from ledgewell.record import read_well, record_mark
from ledgewell.steps.findings import Estimate
from ledgewell.steps.prove.answer import ProveFindings, findings_of
from ledgewell.steps.prove.comparing import Comparison
from ledgewell.steps.prove.fitting import Fit
from ledgewell.steps.prove.layout import layout_of
from ledgewell.steps.prove.misfit import misfit_of
from ledgewell.steps.prove.posterior import TestTarget, wells_from_rows
from ledgewell.steps.prove.priors import Priors
from ledgewell.steps.prove.sampler import tempered
from ledgewell.steps.prove.settling import Settling
from ledgewell.steps.prove.standing import DAY_S, HOUR_S

DURATIONS_S = (30 * DAY_S, HOUR_S, 180 * DAY_S, DAY_S)
"""Out of order, as a command may be given them."""
LPM = 1e-3 / 60.0


def text_of(file: str) -> str:
    """Text of one example."""
    return (EXAMPLES / f"{file}.toml").read_text(encoding="utf-8")


def rough_findings(text: str) -> ProveFindings:
    """Findings from tempered particles alone, called settled: enough to draw charts from."""
    well, priors = read_well(text), Priors()
    tests = []
    for index in range(len(well.tests)):
        layout = layout_of(well, index, priors)
        target = TestTarget(layout.problem, layout.beliefs, priors)
        rng = np.random.default_rng(1)
        cloud = tempered(target, rng, count=300, sweeps=2)
        wells = wells_from_rows(target, cloud.rows, rng)
        fit = Fit(
            layout=layout,
            target=target,
            wells=wells,
            settling=Settling(rhat=1.0, effective_size=5000.0),
            misfit=misfit_of(target.problem, wells),
            cloud=cloud,
        )
        tests.append(findings_of(well, index, fit, (), DURATIONS_S, seed=1))
    return ProveFindings(
        well=well, mark=record_mark(well), seed=1, tests=tuple(tests), comparisons=(), warned=()
    )


@pytest.fixture(scope="module")
def findings() -> ProveFindings:
    """Findings of the well with two fractures, in meters and liters."""
    return rough_findings(text_of("two-fractures"))


@pytest.fixture(scope="module")
def charts(findings: ProveFindings) -> dict[str, Figure]:
    """Its charts by name."""
    return {name: figure for _, name, figure in prove_figures(findings, "si")}


def marks_of(figure: Figure, sort: type, panel: str) -> list[object]:
    """Marks of one sort in one panel."""
    (found,) = [each for each in figure.panels if each.name == panel]
    return [mark for mark in found.marks if isinstance(mark, sort)]


def test_every_chart_is_there_under_its_test(findings: ProveFindings) -> None:
    names = [(test, name) for test, name, _ in prove_figures(findings, "si")]
    assert names == [("yield test", name) for name in ("levels", "inflow", "duration", "derivative")]


def test_the_levels_are_drawn_as_written(charts: dict[str, Figure]) -> None:
    written = tomllib.loads(text_of("two-fractures"))["test"][0]["levels"]
    pumping, recovery = marks_of(charts["levels"], Points, "levels")
    assert isinstance(pumping, Points)
    assert isinstance(recovery, Points)
    drawn = sorted([*zip(pumping.x, pumping.y, strict=True), *zip(recovery.x, recovery.y, strict=True)])
    assert drawn == [pytest.approx(tuple(pair)) for pair in written]
    assert (max(pumping.x), min(recovery.x)) == pytest.approx((71.0, 72.0))


def test_the_rate_is_drawn_as_set(charts: dict[str, Figure]) -> None:
    (line,) = marks_of(charts["levels"], Line, "rate")
    assert isinstance(line, Line)
    assert line.x[:2] == pytest.approx((0.0, 71.0))
    assert line.y == pytest.approx((19.5, 0.0, 0.0))


def test_fractures_and_the_level_at_rest_are_marked(charts: dict[str, Figure]) -> None:
    limits = [mark for mark in marks_of(charts["inflow"], Limit, "inflow") if isinstance(mark, Limit)]
    assert sorted(limit.value for limit in limits) == pytest.approx([9.63, 36.4, 91.3])


def test_inflow_begins_at_rest_with_nothing_and_never_less(charts: dict[str, Figure]) -> None:
    lines = [mark for mark in marks_of(charts["inflow"], Line, "inflow") if isinstance(mark, Line)]
    tested = next(line for line in lines if line.status == "modelled")
    assert (tested.x[0], tested.y[0]) == pytest.approx((0.0, 9.63), abs=0.1)
    assert charts["inflow"].shared.low == 0.0
    bands = [mark for mark in marks_of(charts["inflow"], Band, "inflow") if isinstance(mark, Band)]
    assert all(min(band.low) >= 0.0 for band in bands)


def test_inflow_bends_at_the_upper_fracture(charts: dict[str, Figure]) -> None:
    """Above it both give, below it one: the curve must grow more slowly below 36.4 m than above."""
    lines = [mark for mark in marks_of(charts["inflow"], Line, "inflow") if isinstance(mark, Line)]
    tested = next(line for line in lines if line.status == "modelled")
    above, at, below = np.interp([26.4, 36.4, 46.4], tested.y, tested.x)
    assert at - above > 1.4 * (below - at) > 0


def test_durations_stand_in_order_with_projections_apart(charts: dict[str, Figure]) -> None:
    bars = [mark for mark in marks_of(charts["duration"], Estimates, "yield") if isinstance(mark, Estimates)]
    assert [bar.at for bar in bars] == [(HOUR_S, DAY_S), (30 * DAY_S, 180 * DAY_S)]
    assert [bar.status for bar in bars] == ["modelled", "projection"]


def test_a_barrier_lowers_the_projection_and_is_told_with_its_band(
    findings: ProveFindings, charts: dict[str, Figure]
) -> None:
    (line,) = [
        mark
        for mark in marks_of(charts["duration"], Line, "yield")
        if isinstance(mark, Line) and mark.name == BOUNDED
    ]
    (bars,) = [
        mark
        for mark in marks_of(charts["duration"], Estimates, "yield")
        if isinstance(mark, Estimates) and mark.status == "projection"
    ]
    assert line.x == bars.at
    assert all(bounded < open_rock for bounded, open_rock in zip(line.y, bars.mid, strict=True))
    longest = next(
        each for each in findings.tests[0].yields if each.duration_s == 180 * DAY_S and each.bounded
    )
    assert longest.bounded is not None
    said = f"180 d gives {longest.bounded.show('si')}"
    assert said in charts["duration"].caption
    assert said in charts["duration"].alt


def test_one_test_needs_no_name_and_every_chart_says_it_is_invented(charts: dict[str, Figure]) -> None:
    for figure in charts.values():
        assert figure.title.endswith(": Invented well with two fractures")
        assert figure.notice.startswith("Invented well.")
        assert figure.sentence.startswith("About ")


@pytest.mark.parametrize("width", [390.0, 1280.0])
def test_every_chart_draws(charts: dict[str, Figure], width: float) -> None:
    for figure in charts.values():
        root = ElementTree.fromstring(svg_from_figure(figure, width=width))
        assert root.get("width") == f"{width:g}"


def test_without_a_settled_sample_no_band_is_shown(findings: ProveFindings) -> None:
    (found,) = findings.tests
    unsettled = replace(
        found,
        fit=replace(found.fit, settling=Settling(rhat=1.3, effective_size=40.0)),
        yields=(),
        inflow=(),
        delivered=(),
    )
    ((_, name, figure),) = prove_figures(replace(findings, tests=(unsettled,)), "si")
    assert name == "levels"
    assert [panel.name for panel in figure.panels] == ["levels", "rate"]
    assert not any(isinstance(mark, (Band, Estimates)) for panel in figure.panels for mark in panel.marks)


def test_a_doubted_level_is_marked_and_kept() -> None:
    """56.58 m divided by 3.28: as if a number of meters had been taken for feet and turned into meters."""
    text = text_of("two-fractures").replace("[101, 56.58]", "[101, 17.25]")
    assert text != text_of("two-fractures")
    figure = next(fig for _, name, fig in prove_figures(rough_findings(text), "si") if name == "levels")
    doubted = [
        mark
        for mark in marks_of(figure, Points, "levels")
        if isinstance(mark, Points) and mark.marker == "cross"
    ]
    assert [(mark.x, mark.y) for mark in doubted] == [((pytest.approx(101.0),), (pytest.approx(17.25),))]


def test_a_meter_gives_the_rate_between_its_readings() -> None:
    """By hand: 200 L in 10 min is 20 L/min, at minute 5; 380 L in the 20 min after, 19 L/min, at minute 20."""
    text = text_of("two-fractures").replace(
        "rates = [[0, 19.5], [71, 0]]", "rates = [[0, 19.5], [71, 0]]\nmeter = [[0, 0], [10, 200], [30, 580]]"
    )
    figure = next(fig for _, name, fig in prove_figures(rough_findings(text), "si") if name == "levels")
    (points,) = marks_of(figure, Points, "rate")
    assert isinstance(points, Points)
    assert points.x == pytest.approx((5.0, 20.0))
    assert points.y == pytest.approx((20.0, 19.0))


def test_levels_read_after_an_unwritten_pumping_count_from_the_first() -> None:
    charts = {name: fig for _, name, fig in prove_figures(rough_findings(text_of("two-levels")), "us")}
    assert set(charts) == {"levels", "inflow", "duration"}
    assert charts["levels"].shared.title == SINCE_FIRST
    (points,) = marks_of(charts["levels"], Points, "levels")
    assert isinstance(points, Points)
    assert points.marker == "triangle"
    assert points.y == pytest.approx((222.5, 182.0))


def test_a_comparison_stands_under_the_later_test(findings: ProveFindings) -> None:
    (found,) = findings.tests

    def flow(low: float, mid: float, high: float) -> Estimate:
        return Estimate(low=low * LPM, mid=mid * LPM, high=high * LPM, kind="flow")

    comparison = Comparison(
        before="before",
        after="yield test",
        level_m=61.0,
        duration_s=DAY_S,
        before_rate=flow(0.9, 1.1, 1.4),
        after_rate=flow(5.2, 6.0, 6.9),
        factor=None,
        gained_m3=Estimate(low=5.0, mid=7.0, high=8.0, kind="volume"),
        probability_rose=0.98,
        warned=(),
    )
    drawn = prove_figures(replace(findings, comparisons=(comparison,)), "si")
    test, name, figure = drawn[-1]
    assert (test, name) == (found.name, "comparison")
    bars = [mark for mark in marks_of(figure, Estimates, "comparison") if isinstance(mark, Estimates)]
    assert [bar.mid for bar in bars] == [pytest.approx((1.1,)), pytest.approx((6.0,))]
    assert "98 %" in figure.caption
