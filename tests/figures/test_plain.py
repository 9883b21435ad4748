"""A figure survives the trip through JSON text, and a broken one is refused with its place."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.figures import samples as s

from ledgewell import figures as f
from ledgewell.errors import InputError


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("name", s.BUILDERS)
def test_figures_come_back_equal(name: str, units: f.System) -> None:
    figure = s.BUILDERS[name](units)
    text = json.dumps(f.spec_to_json(figure), allow_nan=False)
    assert f.spec_from_json(json.loads(text)) == figure


def test_the_section_comes_back_equal() -> None:
    spec = s.section(s.HOSTILE)
    text = json.dumps(f.spec_to_json(spec), allow_nan=False)
    assert f.section_from_json(json.loads(text)) == spec


def test_the_drawing_is_made_from_what_json_holds() -> None:
    figure = s.inflow("si")
    again = f.spec_from_json(json.loads(json.dumps(f.spec_to_json(figure))))
    assert f.svg_from_figure(again) == f.svg_from_figure(figure)


def test_json_holds_what_a_page_needs() -> None:
    plain = f.spec_to_json(s.levels())
    main = plain["panels"][0]
    assert plain["shared"]["unit"] == "min"
    assert (main["axis"]["scale"], main["axis"]["unit"]) == ("depth", "ft")
    assert [tick["label"] for tick in main["axis"]["ticks"]] == ["0", "50", "100", "150", "200", "250", "300"]
    drawn = {mark["draw"] for panel in plain["panels"] for mark in panel["marks"]}
    assert drawn == {"band", "line", "points", "limit"}


def broken(change: Any) -> dict[str, Any]:
    """The JSON of a chart with one thing changed."""
    plain: dict[str, Any] = json.loads(json.dumps(f.spec_to_json(s.levels())))
    change(plain)
    return plain


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (lambda plain: plain.pop("title"), "figure.title"),
        (lambda plain: plain.update(colour="red"), "figure.colour"),
        (lambda plain: plain.update(panels={}), "figure.panels"),
        (lambda plain: plain.update(units="metric"), "figure.units"),
        (lambda plain: plain["shared"].update(low="0"), "figure.shared.low"),
        (lambda plain: plain["shared"].update(low=True), "figure.shared.low"),
        (lambda plain: plain["panels"][0]["marks"][0].update(draw="blob"), "figure.panels[0].marks[0].draw"),
        (lambda plain: plain["panels"][0]["marks"][1].update(x=3), "figure.panels[0].marks[1].x"),
        (lambda plain: plain["panels"][0]["marks"][1]["x"].append(None), "figure.panels[0].marks[1].x[185]"),
        (lambda plain: plain["panels"].append(7), "figure.panels[3]"),
    ],
)
def test_broken_json_says_where(change: Any, where: str) -> None:
    with pytest.raises(InputError) as caught:
        f.spec_from_json(broken(change))
    assert [problem.where for problem in caught.value.problems] == [where]
