"""SVG text: well-formed, escaped, readable aloud, and the same bytes every time."""

from __future__ import annotations

import os
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.figures import samples as s

from ledgewell import figures as f
from ledgewell.figures.canvas import Drawing, Text, number
from ledgewell.figures.svg import clean_text, svg_from_drawing

ALLOWED = {"svg", "title", "desc", "defs", "pattern", "g", "path", "circle", "text", "tspan"}
THEMES = ["day", "dark", "sunlight", "print"]


def every_svg(name: str) -> list[str]:
    """Every kind of drawing with one name in it."""
    charts = [f.svg_from_figure(build(name=name), theme="day") for build in s.BUILDERS.values()]
    return [*charts, f.svg_from_section(s.section(name), units="us")]


def test_hostile_names_are_text_and_nothing_else() -> None:
    for svg in every_svg(s.HOSTILE):
        root = ElementTree.fromstring(svg)
        assert {element.tag.removeprefix(s.SVG) for element in root.iter()} <= ALLOWED
        assert "<script" not in svg
        for element in root.iter():
            assert not any(key.startswith("on") or key.endswith("href") for key in element.attrib)
        said = root.findtext(f"{s.SVG}title") or ""
        assert '</text><script>alert("x")</script> & ' in said
        assert "\N{REPLACEMENT CHARACTER}" in said


@settings(max_examples=200, deadline=None)
@given(st.text(st.characters(codec=None), max_size=60))
def test_any_text_makes_well_formed_xml(text: str) -> None:
    shape = Text(text, (5.0, 10.0), "note", 10.0)
    drawing = Drawing(name="x", title=text, description=text, width=50, height=20, shapes=(shape,))
    svg = svg_from_drawing(drawing)
    root = ElementTree.fromstring(svg.encode("utf-8"))
    assert root.findtext(f"{s.SVG}title") == clean_text(text)
    assert root.findtext(f"{s.SVG}g/{s.SVG}text") == clean_text(text)


@settings(max_examples=200)
@given(st.text(st.characters(codec=None), max_size=60))
def test_clean_text_keeps_what_may_stand(text: str) -> None:
    cleaned = clean_text(text)
    assert len(cleaned) == len(text)
    for before, after in zip(text, cleaned, strict=True):
        assert after == before or after in {" ", "\N{REPLACEMENT CHARACTER}"}
        # XML 1.0, production 2 (Char): the characters a document may hold.
        code = ord(after)
        assert (
            code == 0x20 or 0x20 < code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or 0x10000 <= code <= 0x10FFFF
        )


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", s.BUILDERS)
def test_every_chart_speaks_to_a_screen_reader(name: str, theme: f.theme.ThemeName) -> None:
    figure = s.BUILDERS[name]()
    root = ElementTree.fromstring(f.svg_from_figure(figure, theme=theme))
    by_id = {element.attrib["id"]: element.text for element in root.iter() if "id" in element.attrib}
    assert root.attrib["role"] == "img"
    assert [by_id[key] for key in root.attrib["aria-labelledby"].split()] == [figure.title, figure.alt]
    assert figure.alt.endswith(".")
    # Plain words: a screen reader must not be left with a missing field.
    assert "{" not in figure.alt


def test_drawings_on_one_page_share_no_id() -> None:
    ids: list[str] = []
    for svg in every_svg("Lower pasture"):
        ids += [
            element.attrib["id"] for element in ElementTree.fromstring(svg).iter() if "id" in element.attrib
        ]
    assert len(ids) == len(set(ids))


def test_every_reference_is_defined() -> None:
    for svg in every_svg("Lower pasture"):
        ids = {
            element.attrib["id"] for element in ElementTree.fromstring(svg).iter() if "id" in element.attrib
        }
        used = {part.partition(")")[0] for part in svg.split("url(#")[1:]}
        assert used <= ids


SCRIPT = """
import hashlib
from ledgewell import figures as f
from tests.figures import samples as s
text = "".join(f.svg_from_figure(build()) for build in s.BUILDERS.values())
text += f.svg_from_section(s.section(), units="si", width=390.0)
print(hashlib.sha256(text.encode()).hexdigest())
"""


def test_the_same_bytes_in_every_process() -> None:
    marks = set()
    for shuffle in ("0", "1", "4711"):
        environment = {**os.environ, "PYTHONHASHSEED": shuffle}
        run = subprocess.run(
            [sys.executable, "-c", SCRIPT], env=environment, capture_output=True, text=True, check=True
        )
        marks.add(run.stdout)
    assert len(marks) == 1


def test_themes_differ_in_color_only() -> None:
    figure = s.levels()
    shapes = set()
    for theme in ("day", "dark", "print"):
        root = ElementTree.fromstring(f.svg_from_figure(figure, theme=theme))
        shapes.add(tuple(path.attrib["d"] for path in root.iter(f"{s.SVG}path")))
    assert len(shapes) == 1


@pytest.mark.parametrize(
    ("value", "text"), [(1.005, "1"), (2.50, "2.5"), (-0.004, "0"), (-3.14159, "-3.14"), (100, "100")]
)
def test_coordinates_are_written_one_way(value: float, text: str) -> None:
    assert number(value) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_coordinate_must_be_a_number(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        number(value)


@pytest.mark.parametrize(
    ("well", "test", "chart", "name"),
    [
        ("Lower pasture", "after", "levels", "lower-pasture-after-levels.svg"),
        ("../../etc/passwd", "", "levels", "etc-passwd-levels.svg"),
        ("井戸", "", "inflow", "unnamed-inflow.svg"),
        ("Peña & Søn", "t\x00/", "levels", "pena-s-n-t-levels.svg"),
        ("con:" + "x" * 300, "", "levels", "con-" + "x" * 36 + "-levels.svg"),
    ],
)
def test_file_names_are_safe(well: str, test: str, chart: str, name: str) -> None:
    assert f.file_name(well, test, chart) == name
