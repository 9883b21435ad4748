"""The section and the chart of stored water, read off a record. Depths are converted here by hand."""

from __future__ import annotations

import json
from datetime import date
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from tests.record.documents import EVERYTHING, documents

from ledgewell.cli.hole_drawings import hole_drawings, stored_chart
from ledgewell.cli.section import section_of
from ledgewell.figures import SectionSpec
from ledgewell.record import read_well, well_from_json
from ledgewell.steps.hole import HoleFindings, describe_hole

FT, IN = 0.3048, 0.0254
WELL = """
format = 1
units = "us"
well = {name = "Upper field", depths_from = "ground", stickup = "18 in", note = "invented"}
casing = [
    {top = "-18 in", bottom = 40, inside_diameter = 6.065, outside_diameter = 6.625, annulus = "sealed"},
    {top = 30, bottom = 200, inside_diameter = 4, kind = "liner", since = 2026-05-01},
    {top = 50, bottom = 45, inside_diameter = 4},
]
bore = [{bottom = 400, diameter = 6}, {top = 0, bottom = 40, diameter = 10}, {bottom = 500, until = 2026-01-01}]
stratum = [{bottom = 12, rock = "till"}, {bottom = 400, rock = "granite", symbol = 718}, {top = 9, bottom = 3}]
fracture = [{bottom = 300, top = 290, airlift = 4, bit_depth = 320, note = "clean"}, {depth = 120}, {airlift = 1}]
camera = [{depth = 290, observed = ["fracture", "inflow"], note = "open"}, {depth = 10}, {note = "nowhere"}]
level = [{at = 2026-09-14, depth = 38.5}]
pump = [{role = "installed", name = "the pump", setting = 380, diameter = 3.75}]
pipe = [{role = "drop", length = 380, outside_diameter = 1.315}]
"""


def found_in(text: str, when: date | None = None) -> HoleFindings:
    return describe_hole(read_well(text), when=when)


def below_measuring_point(feet: float) -> float:
    return pytest.approx((feet + 1.5) * FT)


@pytest.fixture(scope="module")
def section() -> SectionSpec:
    return section_of(found_in(WELL), "us")


def test_casing_and_liner_stand_where_they_are_recorded(section: SectionSpec) -> None:
    casing, liner = section.casings
    assert (casing.top_m, casing.bottom_m) == (pytest.approx(0.0, abs=1e-12), below_measuring_point(40))
    assert (casing.inside_diameter_m, casing.outside_diameter_m) == pytest.approx((6.065 * IN, 6.625 * IN))
    assert (casing.kind, casing.shoe, casing.annulus) == ("casing", True, "sealed")
    assert (liner.kind, liner.shoe, liner.annulus, liner.outside_diameter_m) == (
        "liner",
        False,
        "unknown",
        None,
    )


def test_a_liner_is_not_there_before_its_day() -> None:
    [casing] = section_of(found_in(WELL, date(2026, 4, 30)), "us").casings
    assert casing.kind == "casing"


def test_bores_follow_each_other_down(section: SectionSpec) -> None:
    assert [(each.top_m, each.bottom_m, each.diameter_m) for each in section.bores] == [
        (below_measuring_point(0), below_measuring_point(40), pytest.approx(10 * IN)),
        (below_measuring_point(40), below_measuring_point(400), pytest.approx(6 * IN)),
    ]
    assert (section.ground_m, section.bottom_m) == (pytest.approx(1.5 * FT), below_measuring_point(400))


def test_strata_fractures_and_camera_notes(section: SectionSpec) -> None:
    assert [(each.bottom_m, each.rock, each.symbol) for each in section.strata] == [
        (below_measuring_point(12), "till", ""),
        (below_measuring_point(400), "granite", "718"),
    ]
    upper, lower = section.fractures
    assert (upper.top_m, upper.bottom_m, upper.airlift_m3s) == (*[below_measuring_point(120)] * 2, None)
    assert (lower.top_m, lower.bottom_m) == (below_measuring_point(290), below_measuring_point(300))
    assert (lower.bit_depth_m, lower.note) == (below_measuring_point(320), "clean")
    assert [(each.top_m, each.text) for each in section.cameras] == [
        (below_measuring_point(290), "fracture, inflow, open")
    ]


def test_level_pump_and_words(section: SectionSpec) -> None:
    [level] = section.levels
    assert (level.depth_m, level.kind) == (below_measuring_point(38.5), "static")
    assert section.pump is not None
    assert (section.pump.intake_m, section.pump.label) == (below_measuring_point(380), "the pump")
    assert (section.pump.diameter_m, section.pump.pipe_outside_diameter_m) == pytest.approx(
        (3.75 * IN, 1.315 * IN)
    )
    assert section.sentence.startswith("402 ft hole")
    assert section.notice == "invented"


def test_the_chart_of_stored_water_ends_with_all_of_it() -> None:
    found = found_in(WELL)
    chart = stored_chart(found, "us")
    assert chart is not None
    assert found.stored is not None
    [line] = [mark for mark in chart.panels[0].marks if getattr(mark, "ink", "") == "water"]
    gallons = found.stored.to_json("us")["mid"]
    assert (line.x[0], line.x[-1]) == pytest.approx((0.0, gallons))
    assert (line.y[0], line.y[-1]) == pytest.approx((40.0, 401.5))


@pytest.mark.parametrize(
    "text",
    [
        "format = 1",
        'format = 1\nunits = "us"\nbore = [{top = 0, bottom = 300, diameter = 6}]\nlevel = [{depth = 300}]',
        'format = 1\nunits = "us"\nbore = [{top = 0, bottom = 300, diameter = 6}]\nlevel = [{depth = -3}]',
        'format = 1\nunits = "us"\nbore = [{top = 0, bottom = 300, diameter = 6}]\nfracture = [{depth = 900}]',
        'format = 1\nunits = "us"\ncasing = [{top = 0, bottom = 400, inside_diameter = 9}]\n'
        "bore = [{top = 0, bottom = 300, diameter = 6}]\nlevel = [{depth = 800}]",
        WELL,
        EVERYTHING,
    ],
    ids=["nothing", "dry", "flowing", "fracture below the bottom", "contradictory", "whole", "every key"],
)
@pytest.mark.parametrize("system", ["us", "si"])
def test_whatever_is_recorded_is_drawn(text: str, system: str) -> None:
    drawings = hole_drawings(found_in(text), "si" if system == "si" else "us")
    assert drawings[0].chart == "section"
    for each in drawings:
        assert ElementTree.fromstring(each.svg).tag == "{http://www.w3.org/2000/svg}svg"


@settings(
    max_examples=40,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(document=documents())
def test_any_record_is_described_and_drawn(document: dict[str, Any]) -> None:
    found = describe_hole(well_from_json(document))
    json.dumps(found.to_json("si"), allow_nan=False)
    for each in hole_drawings(found, "us"):
        ElementTree.fromstring(each.svg)
