"""The charts of `prove`: for every test levels, inflow, yield by duration, slope; for every comparison both yields."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from ledgewell.figures.comparison import BeforeAfter, FlowBand, comparison_figure
from ledgewell.figures.derivative import TimeCurve, derivative_figure
from ledgewell.figures.duration import YieldByDuration, duration_figure
from ledgewell.figures.heading import Heading, duration_text, flow_estimate_text, sentences
from ledgewell.figures.inflow import InflowCurve, inflow_figure
from ledgewell.figures.levels import LevelFit, LevelReadings, PumpRate, ReadingKind, levels_figure
from ledgewell.figures.marks import Line
from ledgewell.figures.quantity import display_unit
from ledgewell.figures.spec import Figure
from ledgewell.units import System

if TYPE_CHECKING:
    from ledgewell.record import Test
    from ledgewell.steps.findings import Estimate
    from ledgewell.steps.prove.answer import ProveFindings, TestFindings
    from ledgewell.steps.prove.comparing import Comparison
    from ledgewell.steps.prove.levels import PlacedLevel
    from ledgewell.steps.prove.standing import RockYield

MINUTE_S = 60.0
BOUNDED = "middle, if a barrier stands where the test could not reach"
BOUNDED_CAPTION = "If a barrier stands where the test could not reach, {list}."
BOUNDED_ITEM = "{duration} gives {flow}"
SINCE_FIRST = "Time since the first reading"

Chart = tuple[str, str, Figure]
"""Name of the test, name of the chart, and the chart."""


def prove_figures(findings: ProveFindings, system: System) -> tuple[Chart, ...]:
    """Draw everything `prove` found for one well.

    Parameters
    ----------
    findings
        The findings.
    system
        Unit system of the charts.

    Returns
    -------
    tuple of (str, str, Figure)
        Name of the test, name of the chart (``levels``, ``inflow``, ``duration``, ``derivative``, ``comparison``),
        and the chart; a comparison stands under the later of its tests. A test whose sample did not settle has its
        readings only, for then no band may be shown; the derivative is left out where nothing was pumped at one known
        rate from the start.
    """
    charts: list[Chart] = []
    for index, found in enumerate(findings.tests):
        drawn = _TestCharts(findings, index, system)
        charts += [(found.name, figure.name, figure) for figure in drawn.figures()]
        charts += [
            (found.name, "comparison", _comparison_figure(findings, each, system))
            for each in findings.comparisons
            if each.after == found.name
        ]
    return tuple(charts)


class _TestCharts:
    """The charts of one test."""

    def __init__(self, findings: ProveFindings, index: int, system: System) -> None:
        from ledgewell.record import implausible
        from ledgewell.steps.prove.say import sentence_of_test

        self.found: TestFindings = findings.tests[index]
        self.test: Test = findings.well.tests[index]
        self.system: System = system
        self.doubted = frozenset(doubt.where for doubt in implausible(findings.well) if doubt.down_weight)
        # Where inflow may be below nil the level lies within the doubt about the static level: no point to draw.
        self.giving = [each for each in self.found.inflow if each.rate.low >= 0]
        self.heading = Heading(
            well=findings.well.well.name or "",
            test=self.found.name if len(findings.tests) > 1 else "",
            sentence=sentence_of_test(self.found, system),
            notice=findings.well.well.note or "",
            sources=tuple(dict.fromkeys(each.source for each in self.found.working)),
        )

    def figures(self) -> Iterator[Figure]:
        """Draw them, in the order they are read."""
        yield self.levels()
        if len(self.giving) > 1:
            yield self.inflow()
        if any(each.level_m == self.found.levels_m[0] for each in self.found.yields):
            yield self.duration()
        derivative = self.derivative() if self.found.fit.settled else None
        if derivative is not None:
            yield derivative

    def levels(self) -> Figure:
        """Draw levels with the fit, the residuals and the pump's rate."""
        fit = self.found.fit
        layout, timeline = fit.layout, fit.layout.timeline
        off_min = timeline.last_pump_off_min
        readings = LevelReadings(
            time_s=[level.minute * MINUTE_S for level in layout.levels],
            depth_m=[level.depth_m for level in layout.levels],
            kinds=[self._kind(level) for level in layout.levels],
        )
        errors = sorted(level.error_m for level in layout.levels if level.where not in self.doubted)
        figure = levels_figure(
            readings,
            units=self.system,
            fit=self._fitted(),
            rate=_pump_rate(self.test),
            static_level_m=layout.static_m if layout.static_known else None,
            pump_intake_m=layout.hole.pump_setting_m,
            pump_off_s=[off_min * MINUTE_S] if off_min is not None and off_min > 0 else (),
            reading_error_m=errors[len(errors) // 2] if errors and fit.settled else None,
            heading=self.heading,
        )
        if timeline.unknown_history:
            return replace(figure, shared=replace(figure.shared, title=SINCE_FIRST))
        return figure

    def _fitted(self) -> LevelFit | None:
        from ledgewell.steps.prove.curves import level_curve

        if not self.found.fit.settled or not self.found.fit.layout.levels:
            return None
        curve = level_curve(self.found.fit)
        return LevelFit(
            time_s=curve.time_s,
            low_m=curve.low_m,
            mid_m=curve.mid_m,
            high_m=curve.high_m,
            at_readings_m=curve.at_levels_m,
            probability=curve.probability,
        )

    def _kind(self, level: PlacedLevel) -> ReadingKind:
        if level.where in self.doubted:
            return "doubted"
        if level.deeper:
            return "deeper"
        pumped = [each for each in self.found.fit.layout.timeline.stretches if each.pumping]
        running = any(max(each.start_min, 0.0) < level.minute <= each.end_min for each in pumped)
        rested = not any(each.end_min <= level.minute for each in pumped)
        return "pumping" if running or rested else "recovery"

    def inflow(self) -> Figure:
        """Draw the inflow at every level, tested and not."""
        layout = self.found.fit.layout
        held = [
            (each.held_m, reading.flow.si)
            for reading in self.test.flows
            for each in layout.timeline.stretches
            if each.held_m is not None
            and reading.flow is not None
            and each.start_min < reading.minute <= each.end_min
        ]
        # At rest nothing flows, whatever the rock: the curve begins there.
        points = [(each.level_m, each.rate.low, each.rate.mid, each.rate.high) for each in self.giving]
        rest_m = float(sorted(self.found.fit.wells.rest_m)[self.found.fit.wells.count // 2])
        if rest_m < points[0][0]:
            points.insert(0, (rest_m, 0.0, 0.0, 0.0))
        level_m, low, mid, high = zip(*points, strict=True)
        curve = InflowCurve(
            level_m=level_m,
            low_m3s=low,
            mid_m3s=mid,
            high_m3s=high,
            tested_to_m=layout.deepest_m,
            probability=self.giving[0].rate.probability,
        )
        return inflow_figure(
            curve,
            units=self.system,
            static_level_m=layout.static_m if layout.static_known else None,
            fractures_m=layout.mouths.depths_m if layout.mouths.recorded else (),
            measured_level_m=[level for level, _ in held],
            measured_m3s=[flow for _, flow in held],
            heading=self.heading,
        )

    def duration(self) -> Figure:
        """Draw the yield at the first level by duration, and the bounded case beside each projection."""
        first_m = self.found.levels_m[0]
        by_duration = {each.duration_s: each for each in self.found.yields if each.level_m == first_m}
        yields = [by_duration[duration] for duration in sorted(by_duration)]
        data = YieldByDuration(
            duration_s=[each.duration_s for each in yields],
            low_m3s=[each.rate.low for each in yields],
            mid_m3s=[each.rate.mid for each in yields],
            high_m3s=[each.rate.high for each in yields],
            level_m=first_m,
            test_s=self.found.fit.layout.minutes * MINUTE_S,
            probability=yields[0].rate.probability,
        )
        return _with_bounded(
            duration_figure(data, units=self.system, heading=self.heading), yields, self.system
        )

    def derivative(self) -> Figure | None:
        """Draw drawdown and its slope against ln t, both axes logarithmic."""
        from ledgewell.steps.prove.curves import drawdown_curves

        curves = drawdown_curves(self.found.fit, self.doubted)
        if curves is None:
            return None
        return derivative_figure(
            TimeCurve(time_s=curves.read_s, value_m=curves.read_m),
            TimeCurve(time_s=curves.slope_s, value_m=curves.slope_m),
            units=self.system,
            fitted_drawdown=TimeCurve(time_s=curves.fitted_s, value_m=curves.fitted_m),
            fitted_derivative=TimeCurve(time_s=curves.fitted_slope_s, value_m=curves.fitted_slope_m),
            storage_ms=curves.storage_m_s,
            heading=replace(
                self.heading, sources=tuple(dict.fromkeys((*self.heading.sources, "bourdet1989")))
            ),
        )


def _pump_rate(test: Test) -> PumpRate | None:
    """Return the rates set, when all are known, and those measured with bucket and meter; None without either."""
    set_rates = [(each.minute, each.rate.si if each.rate is not None else None) for each in test.rates]
    known = [(minute, rate) for minute, rate in set_rates if rate is not None]
    if len(known) < len(set_rates):
        known = []
    measured = [(each.minute, each.flow.si) for each in test.flows if each.flow is not None]
    measured += _metered(test)
    if not (known or measured):
        return None
    return PumpRate(
        set_time_s=[minute * MINUTE_S for minute, _ in known],
        set_m3s=[rate for _, rate in known],
        measured_time_s=[minute * MINUTE_S for minute, _ in measured],
        measured_m3s=[flow for _, flow in measured],
    )


def _metered(test: Test) -> Iterator[tuple[float, float]]:
    """Give the mean rate between two readings of a totalizer, at the minute halfway."""
    shown = [(each.minute, each.meter.si) for each in test.meter if each.meter is not None]
    for (begin, before), (end, after) in pairwise(shown):
        if end > begin:
            yield (begin + end) / 2, (after - before) / ((end - begin) * MINUTE_S)


def _with_bounded(figure: Figure, yields: list[RockYield], system: System) -> Figure:
    """Draw the middle of the bounded case through the projections, and say it with its band under the chart."""
    bounded = [(each.duration_s, each.bounded) for each in yields if each.bounded is not None]
    if not bounded:
        return figure
    said = [
        BOUNDED_ITEM.format(
            duration=duration_text(duration_s), flow=flow_estimate_text(rate.low, rate.mid, rate.high, system)
        )
        for duration_s, rate in bounded
    ]
    told = BOUNDED_CAPTION.format(list="; ".join(said))
    line = Line(
        name=BOUNDED,
        x=tuple(duration_s for duration_s, _ in bounded),
        y=display_unit("flow", system).all_from_si(rate.mid for _, rate in bounded),
        status="projection",
        ink="clay",
    )
    (panel,) = figure.panels
    panel = replace(panel, marks=(*panel.marks, line)) if len(bounded) > 1 else panel
    caption, alt = sentences(told, figure.caption), sentences(figure.alt, told)
    return replace(figure, panels=(panel,), caption=caption, alt=alt)


def _comparison_figure(findings: ProveFindings, found: Comparison, system: System) -> Figure:
    from ledgewell.steps.prove.say import comparison_sentence

    factor = found.factor
    data = BeforeAfter(
        level_m=found.level_m,
        duration_s=[found.duration_s],
        before=[_flow_band(found.before_rate)],
        after=[_flow_band(found.after_rate)],
        probability=found.after_rate.probability,
        chance_rose=found.probability_rose,
        factor=None if factor is None else (factor.low, factor.mid, factor.high),
    )
    heading = Heading(
        well=findings.well.well.name or "",
        sentence=comparison_sentence(found, system),
        notice=findings.well.well.note or "",
    )
    return comparison_figure(data, units=system, heading=heading)


def _flow_band(rate: Estimate) -> FlowBand:
    return FlowBand(low_m3s=rate.low, mid_m3s=rate.mid, high_m3s=rate.high)
