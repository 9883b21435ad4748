"""What the hole step says and writes. Volumes are computed here from gallons in a foot: π/4 D² · 12 / 231."""

from __future__ import annotations

import json
from datetime import date
from math import pi

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledgewell.record import read_well, record_mark
from ledgewell.steps.hole import HoleFindings, describe_hole


def found_in(body: str, units: str = "us", when: date | None = None) -> HoleFindings:
    return describe_hole(read_well(f'format = 1\nunits = "{units}"\n{body}'), when=when)


def gallons(feet: float, inches: float) -> float:
    return feet * inches**2 * pi / 4 * 12 / 231


CASING = '[[casing]]\ntop = 0\nbottom = 40\ninside_diameter = 6.065\nannulus = "sealed"\n'
BORE = '[[bore]]\ntop = 40\nbottom = 400\ndiameter = "6 1/4 in"\n'
LEVEL = "[[level]]\nat = 2026-09-14\ndepth = 38.5\n"
ROCK = '[[stratum]]\ntop = 0\nbottom = 400\nrock = "granite"\n'
AIRLIFT = (
    "fracture = [{depth = 120, airlift = 1, bit_depth = 140}, {depth = 290, airlift = 4, bit_depth = 300}]\n"
)
WHOLE = AIRLIFT + CASING + BORE + LEVEL + ROCK


def test_the_sentence_of_a_hole_of_which_all_is_known() -> None:
    found = found_in(WHOLE)
    # computed independently: 1.5 ft of 6.065 in and 360 ft of 6.25 in hold 576 gal; 5 % either way at 90 %
    assert gallons(1.5, 6.065) + gallons(360, 6.25) == pytest.approx(576.0, abs=0.05)
    assert found.sentence("us") == (
        "400 ft hole, 6 1/4 in below 40 ft of casing. Water stands at 38.5 ft: 580 gal (550 to 610) stored. "
        "4 gpm was blown by air with the bit at 300 ft, 3 gpm of it coming in between 140 ft and 300 ft."
    )
    assert (found.missing, found.contradictions) == ((), ())
    assert found.stored is not None
    assert found.stored.to_json("us")["mid"] == pytest.approx(576.0, abs=0.05)


def test_the_same_hole_in_metric_units() -> None:
    assert (
        found_in(WHOLE)
        .sentence("si")
        .startswith(
            "122 m hole, 159 mm below 12.2 m of casing. Water stands at 11.73 m: 2,200 L (2,100 to 2,300) stored."
        )
    )


@pytest.mark.parametrize(
    ("body", "begins"),
    [
        ("", "The depth of the hole is not recorded. No water level is recorded."),
        (BORE, "400 ft hole, 6 1/4 in, no casing recorded. No water level is recorded."),
        (
            CASING + BORE,
            "400 ft hole, 6 1/4 in below 40 ft of casing. No water level is recorded; full to the top it would "
            "hold 630 gal (600 to 670).",
        ),
        (
            CASING + BORE.replace("400", "200") + "[[bore]]\ntop = 200\nbottom = 400\ndiameter = 6\n",
            "400 ft hole, 6 1/4 in to 200 ft, then 6 in, below 40 ft of casing.",
        ),
        (
            "[[casing]]\ntop = 0\nbottom = 90\ninside_diameter = 6\n[[bore]]\nbottom = 90\ndiameter = 10",
            "90 ft hole, cased to the bottom.",
        ),
        (
            BORE + "[[level]]\ndepth = 400",
            "400 ft hole, 6 1/4 in, no casing recorded. It is dry: no water stands",
        ),
        (
            BORE.replace("40\n", "0\n") + "[[level]]\ndepth = -2",
            "400 ft hole, 6 1/4 in, no casing recorded. It flows: the level stands 2 ft above the measuring point, "
            "the hole is full, 640 gal (610 to 670) stored.",
        ),
        (
            CASING.replace("inside_diameter = 6.065\n", "") + BORE + LEVEL,
            "400 ft hole, 6 1/4 in below 40 ft of casing. Water stands at 38.5 ft: 570 gal (550 to 600) below "
            "40 ft, above which the hole is not known.",
        ),
        (
            CASING + BORE.replace('diameter = "6 1/4 in"', "") + LEVEL,
            "400 ft hole, width not known below 40 ft of casing. Water stands at 38.5 ft: how much is stored is not",
        ),
        (
            BORE + "[[fracture]]\ndepth = 250\nbit_depth = 260\nstatic_level = 44",
            "400 ft hole, 6 1/4 in, no casing recorded. Water stood at 44 ft when it was drilled: 570 gal (540 to ",
        ),
    ],
)
def test_sentences(body: str, begins: str) -> None:
    """Gallons by hand: 40 ft of 6.065 in 60.0, 360 ft of 6.25 in 573.8, 356 ft 567.4, 400 ft of 6.25 in 637.5."""
    hand = [gallons(*pair) for pair in ((40, 6.065), (360, 6.25), (356, 6.25), (400, 6.25))]
    assert hand == pytest.approx([60.0, 573.75, 567.4, 637.5], abs=0.05)
    assert found_in(body).sentence("us").startswith(begins)


@pytest.mark.parametrize(
    ("fractures", "said"),
    [
        ("{depth = 50, airlift = 0, bit_depth = 300}", "Air blew no water with the bit at 300 ft."),
        ("{depth = 50, airlift = 2, bit_depth = 300}", "2 gpm was blown by air with the bit at 300 ft."),
        (
            "{depth = 50, airlift = 0, bit_depth = 100}, {depth = 150, airlift = 2, bit_depth = 300}",
            "2 gpm was blown by air with the bit at 300 ft, all of it coming in between 100 ft and 300 ft.",
        ),
        (
            "{depth = 50, airlift = 3, bit_depth = 100}, {depth = 150, airlift = 2, bit_depth = 300}",
            "2 gpm was blown by air with the bit at 300 ft.",
        ),
    ],
)
def test_the_sentence_of_what_was_blown(fractures: str, said: str) -> None:
    assert said in found_in(f"fracture = [{fractures}]\n" + BORE).sentence("us")


def test_what_is_missing_is_said_in_words_with_its_place() -> None:
    found = found_in(
        'casing = [{top = 0, bottom = 40}]\nbore = [{top = 40, bottom = 100}]\npipe = [{role = "drop"}]'
    )
    assert [(each.where, each.text("us")) for each in found.missing] == [
        ("casing[0]", "its diameter is not known from 0 ft to 40 ft"),
        ("bore[0]", "its diameter is not known from 40 ft to 100 ft"),
        ("level", "no depth to water at rest is recorded, so what stands in the hole is not known"),
        ("fracture", "no fracture is recorded, so where water comes in is not known"),
        ("stratum", "what rock was drilled is not recorded"),
    ]


def test_an_annulus_above_the_water_is_not_asked_about() -> None:
    unsaid = CASING.replace('annulus = "sealed"\n', "")
    assert "casing[0].annulus" in [each.where for each in found_in(unsaid + BORE + LEVEL).missing]
    deeper = LEVEL.replace("38.5", "60")
    assert "casing[0].annulus" not in [each.where for each in found_in(unsaid + BORE + deeper).missing]


def test_contradictions_are_asked_and_readings_of_tests_are_not_spoken_of_here() -> None:
    body = WHOLE + (
        '[[pump]]\nrole = "installed"\nsetting = 410\n'
        "[[test]]\nstatic_level = 38.5\nrates = [[0, 5]]\nlevels = [[2, 60], [1, 50]]\n"
    )
    found = found_in(body.replace("depth = 120", "depth = 420"))
    wheres = [each.where for each in found.contradictions]
    assert "pump[0].setting" in wheres
    assert "fracture[0]" in wheres
    assert not any(where.startswith("test[0].levels") for where in wheres)
    assert "do not fit" in found.sentence("us")


def test_a_casing_below_the_bottom_of_the_bore_is_a_contradiction() -> None:
    found = found_in(CASING.replace("40", "420") + BORE)
    said = {each.where: each.text("us") for each in found.contradictions}
    assert said["casing[0]"].startswith("this goes down to 420 ft, below the bottom of the hole at 400 ft")


def test_one_fault_is_told_once() -> None:
    found = found_in(WHOLE.replace("airlift = 4", "airlift = 0.5"))
    places = [each.where for each in (*found.contradictions, *found.warnings)]
    assert places.count("fracture[1].airlift") == 1
    unknown = found_in("bore = [{top = 0, bottom = 100}]")
    places = [each.where for each in (*unknown.missing, *unknown.contradictions)]
    assert places.count("bore[0]") == 1


def test_the_hole_of_another_day() -> None:
    body = (
        BORE.replace("400", "300")
        + '[[bore]]\ntop = 300\nbottom = 500\ndiameter = "6 in"\nsince = 2026-05-01\n'
    )
    assert found_in(body, when=date(2026, 4, 30)).hole.bottom_m == pytest.approx(300 * 0.3048)
    assert found_in(body, when=date(2026, 5, 1)).hole.bottom_m == pytest.approx(500 * 0.3048)
    assert found_in(body, when=date(2026, 4, 30)).to_json("us")["on"] == "2026-04-30"


def test_json_holds_the_same_findings_unrounded() -> None:
    found = found_in(WHOLE)
    answer = json.loads(json.dumps(found.to_json("us"), allow_nan=False))
    assert (answer["format"], answer["record_mark"]) == (1, record_mark(found.well))
    assert answer["say"] == found.sentence("us")
    assert answer["bottom"] == {"value": pytest.approx(400, rel=1e-14), "unit": "ft"}
    assert answer["standing"]["level"] == {"value": pytest.approx(38.5, rel=1e-14), "unit": "ft"}
    assert answer["stored"]["mid"] == pytest.approx(gallons(1.5, 6.065) + gallons(360, 6.25), rel=1e-12)
    assert (answer["stored"]["unit"], answer["stored"]["probability"]) == ("gal", 0.9)
    assert [each["holds"]["value"] for each in answer["lengths"]] == pytest.approx(
        [gallons(1, 6.065), gallons(1, 6.25)], rel=1e-12
    )
    assert [each["gain"]["value"] for each in answer["airlift"]] == pytest.approx([1, 3], rel=1e-12)
    first, last = answer["stored_by_depth"][0], answer["stored_by_depth"][-1]
    assert (first["above"]["value"], last["below"]["value"]) == (0.0, 0.0)
    assert last["above"]["value"] == pytest.approx(answer["stored"]["mid"], rel=1e-12)
    assert [each["key"] for each in answer["sources"]] == ["milhdbk1164"]
    assert {each["title"] for each in answer["working"]} >= {"Water stored now", "Band of the stored water"}


def test_the_terminal_text_begins_with_the_answer_and_says_what_to_care_about() -> None:
    found = found_in(WHOLE.replace(ROCK, ""))
    lines = found.say("us").split("\n")
    assert lines[0] == found.sentence("us")
    assert "  stratum: what rock was drilled is not recorded" in lines
    assert "  40 ft  400 ft  6 1/4 in  1.59 gal/ft  bore" in lines
    assert any(line.startswith("  fracture: flows blown by air are rough") for line in lines)


def test_the_working_shows_annulus_and_pipe() -> None:
    body = (
        CASING.replace('annulus = "sealed"', 'annulus = "open"\noutside_diameter = 6.625')
        + "[[bore]]\ntop = 0\nbottom = 40\ndiameter = 10\n" + BORE + LEVEL
        + '[[pipe]]\nrole = "drop"\nlength = 300\noutside_diameter = 1.315\n'
    )  # fmt: skip
    found = found_in(body)
    lines = found.working_lines("us")
    assert "  V/L = π/4 D² + π/4 (Dₒ² − Dᵢ²) − π/4 d²" in lines
    assert found.lengths[0].words == "casing, open annulus counted, drop pipe taken off"
    assert [each.pipe for each in found.lengths] == [True, True, False]


DEPTHS = st.one_of(st.none(), st.floats(0, 2000).map(lambda depth: round(depth, 2)))
HEIGHTS = st.one_of(DEPTHS, st.floats(-20, 0).map(lambda depth: round(depth, 2)))


def _item(given: dict[str, float | str | None]) -> str:
    return "{" + ", ".join(f"{name} = {value}" for name, value in given.items() if value is not None) + "}"


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.data())
def test_any_record_that_can_be_read_is_described(data: st.DataObject) -> None:
    width = st.one_of(st.none(), st.floats(1, 20).map(lambda inches: round(inches, 3)))
    flow = st.one_of(st.none(), st.floats(0, 50).map(lambda gpm: round(gpm, 2)))

    pipe: st.SearchStrategy[str] = st.just('"drop"')
    tables: dict[str, dict[str, st.SearchStrategy[float | str | None]]] = {
        "casing": {"top": HEIGHTS, "bottom": DEPTHS, "inside_diameter": width, "wall": width},
        "bore": {"top": DEPTHS, "bottom": DEPTHS, "diameter": width},
        "fracture": {"depth": DEPTHS, "top": DEPTHS, "bottom": DEPTHS, "airlift": flow, "bit_depth": DEPTHS},
        "level": {"depth": HEIGHTS},
        "pipe": {"role": pipe, "length": width, "outside_diameter": width},
    }
    body = ""
    for table, columns in tables.items():
        count = data.draw(st.integers(0, 3))
        items = [_item({name: data.draw(each) for name, each in columns.items()}) for _ in range(count)]
        body += f"{table} = [{', '.join(items)}]\n"
    found = found_in(body)
    for system in ("us", "si"):
        json.dumps(found.to_json(system), allow_nan=False)
        assert found.say(system).startswith(found.sentence(system))
        assert found.working_lines(system) is not None
    assert found.stored is None or found.stored.mid >= 0
