"""The section of the hole, read off its own depth axis and width bar."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression
from tests.figures import samples as s

from ledgewell import figures as f
from ledgewell.figures.lithology import PATTERNS, ROCK_CODES, code_of_rock
from ledgewell.figures.section.column import spread_tops
from ledgewell.figures.section.scale import round_factor


def depth_of(root: s.ElementTree.Element) -> Callable[[float], float]:
    """Read depths off the printed depth axis: a straight scale through its tick marks and labels."""
    level = [path[0][1] for path in s.paths(root, "tick") if path[0][1] == path[1][1] and path[0][0] < 90]
    labels = [
        line
        for line in s.written(root)
        if line.style == "lw-text-tick" and re.fullmatch(r"-?[\d,.]+", line.text)
    ]
    pairs = [(min(level, key=lambda y, at=label.y: abs(y - at + 4)), float(label.text)) for label in labels]
    slope, base = np.polyfit([place for place, _ in pairs], [value for _, value in pairs], 1)
    return lambda place: float(base + slope * place)


def edges(corners: list[tuple[float, float]]) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a rectangle."""
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@pytest.fixture(params=[390.0, 720.0], ids=["phone", "page"])
def drawn(request: pytest.FixtureRequest) -> s.ElementTree.Element:
    return s.parsed(f.svg_from_section(s.section(), units="us", width=request.param))


def test_strata_lie_at_their_depths(drawn: s.ElementTree.Element) -> None:
    depth = depth_of(drawn)
    contacts = [depth(path[0][1]) for path in s.paths(drawn, "contact")]
    assert contacts == pytest.approx([1.5, 14, 310, 505], abs=0.2)
    strata = [edges(path) for path in s.paths(drawn, "stratum")]
    assert [(depth(top), depth(bottom)) for _, top, _, bottom in strata] == [
        pytest.approx(ends, abs=0.2) for ends in ((1.5, 14), (14, 310), (310, 505))
    ]


def test_patterns_follow_the_codes(drawn: s.ElementTree.Element) -> None:
    fills = [
        path.attrib["fill"]
        for group in drawn.iter(f"{s.SVG}g")
        if group.attrib["class"] == "lw-stratum"
        for path in group
    ]
    assert [re.search(r"rock-(\d+)", fill).group(1) for fill in fills] == ["681", "708", "718"]


def test_widths_are_true_to_each_other(drawn: s.ElementTree.Element) -> None:
    upper, middle, lower = ((right - left) for left, _, right, _ in map(edges, s.paths(drawn, "hole")[-3:]))
    # Bores of 10 and 6.25 in (the topmost stretch is casing alone above the ground, cut at 62 and 64 ft).
    assert upper / lower == pytest.approx(10 / 6.25, rel=0.01)
    assert middle == pytest.approx(upper)
    left, _, right, _ = edges(
        [corner for path in s.paths(drawn, "casing") for corner in path if corner[1] < 130]
    )
    assert (right - left) / lower == pytest.approx(6.625 / 6.25, rel=0.03)


def test_exaggeration_is_what_the_caption_says(drawn: s.ElementTree.Element) -> None:
    depth = depth_of(drawn)
    (bore,) = s.paths(drawn, "hole")[-1:]
    left, top, right, bottom = edges(bore)
    foot_down = (bottom - top) / (depth(bottom) - depth(top))
    foot_across = (right - left) / (6.25 / 12)
    said = " ".join(line.text for line in s.written(drawn))
    times = float(re.search(r"Widths are drawn ([\d.]+) times", said).group(1))
    assert foot_across / foot_down == pytest.approx(times, rel=0.01)


def test_the_width_bar_measures_the_hole(drawn: s.ElementTree.Element) -> None:
    label = next(line for line in s.written(drawn) if line.text.endswith(" across"))
    inches = float(label.text.split()[0])
    bar = next(
        path
        for path in s.paths(drawn, "tick")
        if path[0][1] == path[1][1] and path[0][0] > 60 and abs(path[0][1] - label.y) < 30
    )
    left, _, right, _ = edges(s.paths(drawn, "hole")[-1])
    assert (bar[1][0] - bar[0][0]) / (right - left) == pytest.approx(inches / 6.25, rel=0.01)


def test_water_stands_at_its_level(drawn: s.ElementTree.Element) -> None:
    depth = depth_of(drawn)
    full = [edges(path) for path in s.paths(drawn, "water")]
    drawn_down = [edges(path) for path in s.paths(drawn, "water-drawn")]
    assert depth(min(top for _, top, _, _ in full)) == pytest.approx(288, abs=0.2)
    assert depth(max(bottom for _, _, _, bottom in full)) == pytest.approx(505, abs=0.2)
    assert depth(min(top for _, top, _, _ in drawn_down)) == pytest.approx(38.5, abs=0.2)
    assert depth(max(bottom for _, _, _, bottom in drawn_down)) == pytest.approx(288, abs=0.2)
    surfaces = sorted(depth(path[0][1]) for path in s.paths(drawn, "level-line"))
    assert surfaces == pytest.approx([38.5, 288], abs=0.2)


def test_water_inside_sealed_casing_stays_inside_it(drawn: s.ElementTree.Element) -> None:
    inside = edges(s.paths(drawn, "water-drawn")[0])
    below = edges(s.paths(drawn, "water")[-1])
    assert (inside[2] - inside[0]) / (below[2] - below[0]) == pytest.approx(6.065 / 6.25, rel=0.01)


def test_pump_and_fractures_stand_at_their_depths(drawn: s.ElementTree.Element) -> None:
    depth = depth_of(drawn)
    slots = sorted(depth(path[0][1]) for path in s.paths(drawn, "slot"))
    assert slots[1] == pytest.approx(420, abs=0.3)
    ends = {round(depth(path[0][1])) for path in s.paths(drawn, "fracture")}
    assert {172, 310, 318} <= ends
    tips = [depth(path[0][1]) for path in s.paths(drawn, "flow") if len(path) == 3]
    assert tips == pytest.approx([172, 314], abs=0.3)
    lengths = [path[1][0] - path[0][0] for path in s.paths(drawn, "flow") if len(path) == 2]
    assert lengths[0] < lengths[1]


def test_lines_to_notes_do_not_cross(drawn: s.ElementTree.Element) -> None:
    leaders = s.paths(drawn, "leader")
    right = sorted((path[0][1], path[-1][1]) for path in leaders if path[-1][0] > path[0][0])
    assert [end for _, end in right] == sorted(end for _, end in right)


def test_notes_say_what_is_there() -> None:
    said = " ".join(
        line.text for line in s.written(s.parsed(f.svg_from_section(s.section(), units="us", width=1280.0)))
    )
    for text in (
        "62 ft casing 6.07 in inside ends, with drive shoe, annulus sealed",
        "172 ft fracture, air-lifted 0.25 gpm in all, bit at 180 ft",
        "310 to 318 ft fracture, air-lifted 1 gpm",
        "38.5 ft static level",
        "288 ft pumping level",
        "262 ft packer seat, stage 1",
        "420 ft pump intake",
        "505 ft bottom of hole",
        "14 to 310 ft Lower pasture",
        "168 to 176 ft camera: inflow, north side, Lower pasture",
        "Depth below the measuring point (ft)",
    ):
        assert text in said


def test_the_page_can_find_a_depth() -> None:
    root = s.parsed(f.svg_from_section(s.section(), units="us"))
    top_m, bottom_m, top, bottom = (
        float(root.attrib[f"data-{key}"]) for key in ("top-m", "bottom-m", "top", "bottom")
    )
    depth = depth_of(root)
    assert depth(top) == pytest.approx(top_m / s.FOOT, abs=0.2)
    assert depth(bottom) == pytest.approx(bottom_m / s.FOOT, abs=0.2)


def test_a_strip_has_the_picture_and_no_notes() -> None:
    drawing = f.strip_from_section(s.section(), units="us")
    assert drawing.width == 120
    assert {text.style for text in drawing.texts()} == {"tick", "notice"}
    assert all(text.box().right <= 120 for text in drawing.texts())


def test_a_hole_of_which_nothing_is_known() -> None:
    root = s.parsed(f.svg_from_section(f.SectionSpec(), units="us"))
    said = " ".join(line.text for line in s.written(root))
    assert "No diameter is recorded; the width of the hole is not to scale." in said
    assert "No water level is recorded." in said
    assert s.paths(root, "water") == []
    assert s.paths(root, "wall") == []
    assert s.paths(root, "wall-unknown")


def test_a_flowing_well_is_full_to_the_top() -> None:
    spec = f.SectionSpec(
        ground_m=0.6,
        casings=(f.SectionCasing(top_m=0.0, bottom_m=12.0, inside_diameter_m=0.15),),
        bores=(f.SectionBore(top_m=0.6, bottom_m=60.0, diameter_m=0.15),),
        levels=(f.SectionLevel(depth_m=-1.2, kind="static"),),
    )
    root = s.parsed(f.svg_from_section(spec, units="si"))
    depth = depth_of(root)
    tops = [edges(path)[1] for path in s.paths(root, "water")]
    assert depth(min(tops)) == pytest.approx(0.0, abs=0.05)
    assert "the well flows" in " ".join(line.text for line in s.written(root))


def test_an_open_annulus_holds_water() -> None:
    def widest(annulus: f.section.spec.Annulus) -> float:
        spec = f.SectionSpec(
            casings=(
                f.SectionCasing(
                    top_m=0.0,
                    bottom_m=20.0,
                    inside_diameter_m=0.15,
                    outside_diameter_m=0.168,
                    annulus=annulus,
                ),
            ),
            bores=(f.SectionBore(top_m=0.0, bottom_m=20.0, diameter_m=0.25),),
            levels=(f.SectionLevel(depth_m=5.0, kind="static"),),
        )
        (water,) = s.paths(s.parsed(f.svg_from_section(spec, units="si")), "water")
        left, _, right, _ = edges(water)
        return right - left

    assert widest("open") / widest("sealed") == pytest.approx(0.25 / 0.15, rel=0.01)


def test_contradictions_are_drawn_as_recorded() -> None:
    spec = f.SectionSpec(
        bottom_m=50.0,
        strata=(f.SectionStratum(top_m=40.0, bottom_m=80.0, rock="schist"),),
        levels=(f.SectionLevel(depth_m=70.0, kind="static"),),
        casings=(f.SectionCasing(top_m=0.0, bottom_m=10.0, outside_diameter_m=0.3),),
        bores=(f.SectionBore(top_m=0.0, bottom_m=50.0, diameter_m=0.15),),
    )
    assert spec.extent_m() == (0.0, 80.0)
    root = s.parsed(f.svg_from_section(spec, units="si"))
    assert depth_of(root)(s.paths(root, "contact")[-1][0][1]) == pytest.approx(80.0, abs=0.05)


def test_an_unknown_code_is_said() -> None:
    spec = f.SectionSpec(strata=(f.SectionStratum(top_m=0.0, bottom_m=9.0, rock="ledge", symbol="999"),))
    said = " ".join(line.text for line in s.written(s.parsed(f.svg_from_section(spec, units="us"))))
    assert "No pattern is known for the code 999." in said
    assert "FGDC" not in said


def test_shallow_and_wide_holes_keep_the_scale_honest() -> None:
    dug = f.SectionSpec(bores=(f.SectionBore(top_m=0.0, bottom_m=3.0, diameter_m=1.2),))
    root = s.parsed(f.svg_from_section(dug, units="si"))
    depth = depth_of(root)
    left, top, right, bottom = edges(s.paths(root, "hole")[0])
    meter_down = (bottom - top) / (depth(bottom) - depth(top))
    said = " ".join(line.text for line in s.written(root))
    times = float(re.search(r"Widths are drawn ([\d.]+) times", said).group(1))
    assert (right - left) / 1.2 / meter_down == pytest.approx(times, rel=0.02)


@pytest.mark.parametrize("code", PATTERNS)
def test_every_pattern_draws_something_of_its_own(code: str) -> None:
    pattern = PATTERNS[code]
    assert pattern.code == code
    assert re.fullmatch(r"[67]\d\d", code)
    assert pattern.lines or pattern.solids
    twins = [
        other for other in PATTERNS.values() if (other.lines, other.solids) == (pattern.lines, pattern.solids)
    ]
    assert twins == [pattern]


# Codes and their rocks: FGDC-STD-013-2006, section 37, as listed in public copies of its tables.
@pytest.mark.parametrize(
    ("rock", "symbol", "code"),
    [
        ("granite, pink", "", "718"),
        ("Gneiss", "", "708"),
        ("contorted gneiss", "", "709"),
        ("mica schist", "", "705"),
        ("limestone", "", "627"),
        ("dolostone", "", "642"),
        ("clay, blue", "", "620"),
        ("gravel", "", "601"),
        ("peat", "", "657"),
        ("coal", "", "658"),
        ("basalt", "", "717"),
        ("anything", " 705 ", "705"),
        ("slate", "999", "703"),
        ("ledge", "", ""),
    ],
)
def test_rocks_find_their_pattern(rock: str, symbol: str, code: str) -> None:
    assert code_of_rock(rock, symbol) == code


def test_every_rock_word_leads_to_a_pattern() -> None:
    assert {code for _, code in ROCK_CODES} <= set(PATTERNS)
    # A word that holds an earlier word could never be reached.
    for index, (word, _) in enumerate(ROCK_CODES):
        assert not any(earlier in word for earlier, _ in ROCK_CODES[:index]), word


blocks = st.lists(st.tuples(st.floats(0, 1000), st.floats(5, 80)), min_size=1, max_size=12)


@given(blocks, st.floats(0, 10))
def test_notes_move_as_little_as_least_squares_allows(found: list[tuple[float, float]], gap: float) -> None:
    """Against scipy: with each wish shifted by the room above it, this is isotonic regression."""
    wanted = sorted(want for want, _ in found)
    heights = [height for _, height in found]
    room = np.concatenate(([0.0], np.cumsum(np.array(heights[:-1]) + gap)))
    best = isotonic_regression(np.array(wanted) - room).x + room
    assert spread_tops(wanted, heights, -1e9, gap) == pytest.approx(list(best), abs=1e-6)


@given(st.floats(1e-4, 1e6))
def test_round_factors_do_not_pass_their_limit_by_much(most: float) -> None:
    factor = round_factor(most)
    assert factor <= most * (1 + 1e-6)
    # The widest step between round factors is from 1 to 1.5.
    assert factor >= most / 1.51
