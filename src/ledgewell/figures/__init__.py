"""Charts and the section of the hole: what they show, and one drawing of each for screen and paper."""

from __future__ import annotations

from ledgewell.figures.comparison import BeforeAfter, FlowBand, comparison_figure
from ledgewell.figures.derivative import TimeCurve, derivative_figure
from ledgewell.figures.duration import YieldByDuration, duration_figure
from ledgewell.figures.heading import Heading
from ledgewell.figures.inflow import InflowCurve, inflow_figure
from ledgewell.figures.levels import LevelFit, LevelReadings, PumpRate, levels_figure
from ledgewell.figures.marks import Annotation, Band, Estimates, Limit, Line, Points, Region
from ledgewell.figures.output import file_name, svg_from_figure, svg_from_section
from ledgewell.figures.plain import section_from_json, spec_from_json, spec_to_json
from ledgewell.figures.section.draw import drawing_from_section, strip_from_section
from ledgewell.figures.section.spec import (
    SectionBore,
    SectionCamera,
    SectionCasing,
    SectionFracture,
    SectionLevel,
    SectionPump,
    SectionSeat,
    SectionSpec,
    SectionStratum,
)
from ledgewell.figures.spec import Axis, Figure, Panel
from ledgewell.figures.stored import AirliftByDepth, StoredByDepth, stored_figure
from ledgewell.figures.theme import THEMES, stylesheet
from ledgewell.figures.ticks import Tick

__all__ = [
    "THEMES",
    "AirliftByDepth",
    "Annotation",
    "Axis",
    "Band",
    "BeforeAfter",
    "Estimates",
    "Figure",
    "FlowBand",
    "Heading",
    "InflowCurve",
    "LevelFit",
    "LevelReadings",
    "Limit",
    "Line",
    "Panel",
    "Points",
    "PumpRate",
    "Region",
    "SectionBore",
    "SectionCamera",
    "SectionCasing",
    "SectionFracture",
    "SectionLevel",
    "SectionPump",
    "SectionSeat",
    "SectionSpec",
    "SectionStratum",
    "StoredByDepth",
    "Tick",
    "TimeCurve",
    "YieldByDuration",
    "comparison_figure",
    "derivative_figure",
    "drawing_from_section",
    "duration_figure",
    "file_name",
    "inflow_figure",
    "levels_figure",
    "section_from_json",
    "spec_from_json",
    "spec_to_json",
    "stored_figure",
    "strip_from_section",
    "stylesheet",
    "svg_from_figure",
    "svg_from_section",
]
