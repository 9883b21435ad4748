"""Labels stay inside the drawing and off each other, at every width, by two different measures of text.

The reader's own measure is independent of the layout's table; the layout's own boxes are held to the
same rule.
"""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.figures import samples as s

from ledgewell import figures as f
from ledgewell.figures.canvas import Drawing
from ledgewell.figures.layout import drawing_from_figure

WIDTHS = [320.0, 390.0, 720.0, 1280.0]


def held_apart(drawing: Drawing) -> None:
    """Hold a drawing's own text boxes inside it and apart."""
    boxes = [(text.text, text.box()) for text in drawing.texts()]
    for text, box in boxes:
        assert box.left >= 0, text
        assert box.top >= 0, text
        assert box.right <= drawing.width, text
        assert box.bottom <= drawing.height, text
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        # Lines set under one another may share the room of a descender.
        assert not a.overlaps(b, gap=-3.0), (one, other)


def read_apart(svg: str) -> None:
    """Hold the text found in an SVG inside it and apart, by the reader's own measure."""
    root = s.parsed(svg)
    _, _, width, height = (float(number) for number in root.attrib["viewBox"].split())
    lines = list(s.written(root))
    assert lines
    for line in lines:
        left, top, right, bottom = line.edges()
        assert left >= 0, line
        assert top >= 0, line
        assert bottom <= height, line
        assert right <= width, line
    for one, other in itertools.combinations(lines, 2):
        a, b = one.edges(), other.edges()
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, (one, other)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("name", s.BUILDERS)
def test_charts_keep_labels_inside_and_apart(name: str, units: f.System, width: float) -> None:
    figure = s.BUILDERS[name](units)
    held_apart(drawing_from_figure(figure, width))
    read_apart(f.svg_from_figure(figure, width=width))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", s.BUILDERS)
def test_hostile_names_stay_inside(name: str, width: float) -> None:
    held_apart(drawing_from_figure(s.BUILDERS[name](name=s.HOSTILE), width))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["Lower pasture", s.HOSTILE])
def test_section_keeps_notes_inside_and_apart(name: str, width: float) -> None:
    held_apart(f.drawing_from_section(s.section(name), units="us", width=width))


@pytest.mark.parametrize("width", WIDTHS)
def test_section_as_read_from_the_svg(width: float) -> None:
    read_apart(f.svg_from_section(s.section(), units="us", width=width))


@pytest.mark.parametrize("width", [390.0, 720.0])
def test_field_page_text_is_at_least_18_units(width: float) -> None:
    figure = s.levels()
    svg = f.svg_from_figure(figure, width=width, theme="sunlight", text_scale=1.45)
    assert min(line.size for line in s.written(s.parsed(svg))) >= 18
    held_apart(drawing_from_figure(figure, width, text_scale=1.45))


@pytest.mark.parametrize("name", s.BUILDERS)
def test_text_can_be_read_on_a_phone_and_in_print(name: str) -> None:
    figure = s.BUILDERS[name]()
    phone = s.written(s.parsed(f.svg_from_figure(figure, width=390.0)))
    assert min(line.size for line in phone) >= 12
    # 720 units across 6.5 in of paper: 0.65 pt a unit; nothing under 8 pt.
    paper = s.written(s.parsed(f.svg_from_figure(figure, width=720.0, theme="print")))
    assert min(line.size for line in paper) * 6.5 * 72 / 720 >= 8


depths = st.floats(0.0, 300.0)


@settings(max_examples=40, deadline=None)
@given(
    limits=st.lists(st.tuples(depths, st.text(max_size=40)), max_size=8),
    stored=st.floats(0.0, 1e4),
    width=st.floats(280.0, 1300.0),
)
def test_any_limits_and_names(limits: list[tuple[float, str]], stored: float, width: float) -> None:
    figure = f.stored_figure(
        f.StoredByDepth(depth_m=[10.0, 150.0], volume_m3=[0.0, stored]),
        f.AirliftByDepth(),
        units="us",
        marked=limits,
    )
    held_apart(drawing_from_figure(figure, width))
    read = s.parsed(f.svg_from_figure(figure, width=width))
    assert read.tag == f"{s.SVG}svg"


@settings(max_examples=40, deadline=None)
@given(
    notes=st.lists(st.tuples(depths, st.floats(0.0, 60.0), st.text(min_size=1, max_size=60)), max_size=14),
    width=st.floats(280.0, 1000.0),
)
def test_any_notes_beside_the_section(notes: list[tuple[float, float, str]], width: float) -> None:
    cameras = tuple(f.SectionCamera(top_m=top, bottom_m=top + long, text=text) for top, long, text in notes)
    strata = tuple(f.SectionStratum(top_m=top, bottom_m=top + long, rock=text) for top, long, text in notes)
    spec = f.SectionSpec(cameras=cameras, strata=strata)
    held_apart(f.drawing_from_section(spec, units="si", width=width))


def test_a_label_without_room_is_said_below_the_chart() -> None:
    label = (
        "a label far too long for a plot of this width, whatever place is tried for it, said below instead"
    )
    figure = f.stored_figure(
        f.StoredByDepth(depth_m=[10.0, 150.0], volume_m3=[0.0, 1.0]),
        f.AirliftByDepth(),
        units="us",
        marked=[(60.0, label)],
    )
    lines = [text.text for text in drawing_from_figure(figure, 320.0).texts()]
    assert label in " ".join(lines)
