"""What is hard to believe is kept, warned about and asked, and nothing that is merely rough is.

Each case is a small well whose oddity is plain to a reader; no number here comes from the code.
"""

from __future__ import annotations

import math

import pytest

from ledgewell.record import Doubt, implausible, read_well, write_well

HOLE = """
[[casing]]
top = 0
bottom = 40
inside_diameter = 6
outside_diameter = 6.625
[[bore]]
top = 40
bottom = 400
diameter = 6
"""


def doubts(body: str, site: str = "") -> dict[str, Doubt]:
    well = read_well(f'format = 1\nunits = "us"\n[well]\n{site}\n{HOLE}\n{body}')
    assert read_well(write_well(well)) == well, "what is doubted is kept"
    return {doubt.where: doubt for doubt in implausible(well)}


def test_an_ordinary_well_raises_no_doubt() -> None:
    body = """
[[stratum]]
top = 0
bottom = 30
rock = "till"
[[fracture]]
depth = 210
airlift = 0.5
bit_depth = 225
[[fracture]]
depth = 330
airlift = 2
bit_depth = 400
[[level]]
at = 2026-09-01
depth = 38
[[test]]
start = 2026-09-14T09:10:00
static_level = 38.5
pump_setting = 380
drop_pipe_outside_diameter = 1.315
rates = [[0, 6], [40, 0]]
flows = [[10, "5 gal in 50 s"]]
levels = [[2, 46.0], [5, 57.9], [10, 76.5], [20, 112.3], [40, 180.1], [41, 178], [50, 160.2], [60, 141.9]]
meter = [[10, 71], [20, 140]]
bailed = []
"""
    assert doubts(body) == {}


def test_time_backwards() -> None:
    found = doubts("[[test]]\nlevels = [[1, 40], [5, 41], [4, 41], [6, 42]]\nflows = [[3, 5], [2, 5]]\n")
    assert set(found) == {"test[0].levels[2]", "test[0].flows[1]"}
    assert found["test[0].levels[2]"].down_weight
    assert "backwards" in found["test[0].levels[2]"].say


def test_a_level_rising_while_pumping() -> None:
    rates = "static_level = 38\nrates = [[0, 6], [30, 0]]\n"
    found = doubts(f"[[test]]\n{rates}levels = [[5, 57.9], [10, 76.5], [15, 70.1], [20, 88.0]]\n")
    assert set(found) == {"test[0].levels[2]"}
    assert "rose while the pump" in found["test[0].levels[2]"].say
    assert found["test[0].levels[2]"].down_weight


@pytest.mark.parametrize(
    "lines",
    [
        "rates = [[0, 6], [12, 3]]\nlevels = [[5, 57.9], [10, 76.5], [15, 70.1]]\n",  # throttled between
        "rates = [[0, 6], [12, 'unknown']]\nlevels = [[5, 57.9], [10, 76.5], [15, 70.1]]\n",
        "rates = [[0, 'unknown']]\nlevels = [[5, 57.9], [10, 76.5], [15, 70.1]]\n",
        "rates = [[0, 6], [10, 0]]\nlevels = [[5, 57.9], [10, 76.5], [15, 70.1]]\n",  # recovering
        "rates = [[0, 6]]\nlevels = [[5, 57.9], [10, 57.7]]\n",  # a wave on the water
        "rates = [[0, 6]]\nevents = [[12, 'surged']]\nlevels = [[5, 57.9], [10, 76.5], [15, 70.1]]\n",
    ],
)
def test_levels_that_may_well_rise(lines: str) -> None:
    assert doubts(f"[[test]]\nstatic_level = 38\n{lines}") == {}


def test_below_the_bottom_and_below_the_pump() -> None:
    found = doubts(
        '[[test]]\npump_setting = 300\nlevels = [[1, 305], [2, 410], [3, "below 300"], [4, "at pump"]]\n'
    )
    assert {where: doubt.say for where, doubt in found.items()} == {
        "test[0].levels[0]": "this level is below the pump",
        "test[0].levels[1]": "this level is below the bottom of the hole",
    }
    assert all(doubt.down_weight for doubt in found.values())


@pytest.mark.parametrize(("odd", "asked"), [("179.8", "meters"), ("16.8", "feet")])
def test_a_jump_of_three_point_two_eight(odd: str, asked: str) -> None:
    # 54.8 ft among its neighbors: 54.8 × 3.281 = 179.8 was written in feet among meters; 54.8 / 3.281 = 16.7
    found = doubts(f"[[test]]\nlevels = [[5, 52.0], [6, 53.5], [7, {odd}], [8, 56.1], [9, 57.5]]\n")
    assert set(found) == {"test[0].levels[2]"}
    assert "3.28" in found["test[0].levels[2]"].say
    assert asked in found["test[0].levels[2]"].ask
    assert found["test[0].levels[2]"].down_weight


def test_a_jump_at_the_last_reading_is_seen_from_the_two_before() -> None:
    assert set(doubts("[[test]]\nlevels = [[5, 52.0], [6, 53.5], [7, 16.7]]\n")) == {"test[0].levels[2]"}


def test_a_fast_drawdown_is_no_jump() -> None:
    assert doubts("[[test]]\nlevels = [[1, 20], [2, 45], [3, 80], [4, 130]]\n") == {}


def test_flowing_is_asked_once() -> None:
    found = doubts("[[test]]\nstatic_level = -2\nlevels = [[1, -1.5], [2, -1.2], [3, 4]]\n")
    assert set(found) == {"test[0].static_level"}
    assert found["test[0].static_level"].ask == "Is the well flowing?"
    assert not found["test[0].static_level"].down_weight
    alone = doubts("[[test]]\nstatic_level = 2\nlevels = [[1, 3], [2, -4]]\n")
    assert set(alone) == {"test[0].levels[1]"}
    assert alone["test[0].levels[1]"].ask == "Is it flowing?"
    assert set(doubts("[[level]]\ndepth = -1\n")) == {"level[0].depth"}


def test_more_bailed_than_was_stored() -> None:
    # the hole holds 1.469 gal/ft × (400 − 100) ft = 441 gal of water (6 in; computed independently)
    assert doubts("[[test]]\nstatic_level = 100\nbailed = [[0, 430]]\n") == {}
    found = doubts("[[test]]\nstatic_level = 100\nbailed = [[0, 600]]\n")
    assert set(found) == {"test[0].bailed[0]"}
    assert "more was taken out at once than the hole stores" in found["test[0].bailed[0]"].say


def test_a_level_that_falls_faster_than_the_pump_could_pull_it() -> None:
    # 6 gpm lowers a 6 in hole by at most 6 / 1.469 = 4.08 ft a minute (computed independently)
    assert doubts("[[test]]\nstatic_level = 40\nrates = [[0, 6]]\nlevels = [[5, 60], [10, 80]]\n") == {}
    found = doubts("[[test]]\nstatic_level = 40\nrates = [[0, 6]]\nlevels = [[5, 60], [10, 95]]\n")
    assert set(found) == {"test[0].levels[1]"}
    assert "faster than the pump" in found["test[0].levels[1]"].say
    first = doubts("[[test]]\nstatic_level = 40\nrates = [[0, 6]]\nlevels = [[5, 90]]\n")
    assert set(first) == {"test[0].levels[0]"}
    poured = (
        "[[test]]\nstatic_level = 40\nrates = [[0, 6]]\npoured_in = [[1, 50]]\nlevels = [[5, 60], [10, 95]]\n"
    )
    assert doubts(poured) == {}


def test_measured_flow_against_the_rate_set() -> None:
    assert doubts("[[test]]\nrates = [[0, 6]]\nflows = [[10, 5.2]]\n") == {}
    found = doubts("[[test]]\nrates = [[0, 6]]\nflows = [[10, 22.7], [20, 14]]\n")
    assert found["test[0].flows[0]"].ask == "Were gallons and liters mixed up?"
    assert found["test[0].flows[1]"].ask == "Are the flow and the rate set right?"


def test_a_totalizer_that_runs_backwards() -> None:
    assert set(doubts("[[test]]\nmeter = [[10, 71], [20, 70]]\n")) == {"test[0].meter[1]"}


def test_two_levels_at_one_minute() -> None:
    assert set(doubts("[[test]]\nlevels = [[5, 52.0], [5, 54.5]]\n")) == {"test[0].levels[1]"}
    assert doubts("[[test]]\nlevels = [[5, 52.0], [5, 52.4]]\n") == {}


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ("[[stratum]]\ntop = 390\nbottom = 410\n", "stratum[0]"),
        ("[[stratum]]\ntop = 30\nbottom = 20\n", "stratum[0].bottom"),
        ("[[stratum]]\nrock = 'granite'\n", "stratum[0]"),
        ("[[fracture]]\ndepth = 405\n", "fracture[0]"),
        ("[[fracture]]\ndepth = 200\nbit_depth = 190\n", "fracture[0].bit_depth"),
        (
            "[[fracture]]\ndepth = 100\nbit_depth = 110\nairlift = 4\n"
            "[[fracture]]\ndepth = 200\nbit_depth = 210\nairlift = 1\n",
            "fracture[1].airlift",
        ),
        ("[[camera]]\ndepth = 500\n", "camera[0]"),
        ("[[level]]\ndepth = 500\n", "level[0].depth"),
        ("[[casing]]\ntop = 50\nbottom = 60\ninside_diameter = 7\nkind = 'liner'\n", "casing[1]"),
        (
            "[[casing]]\ntop = 50\nbottom = 60\ninside_diameter = 4\noutside_diameter = 4\n",
            "casing[1].inside_diameter",
        ),
        ("[[pump]]\nrole = 'installed'\nsetting = 410\n", "pump[0].setting"),
        ("[[pump]]\nrole = 'installed'\nsetting = 100\n[[level]]\ndepth = 120\n", "level[0].depth"),
        ("[[pump]]\nrole = 'candidate'\ncurve = [[5, 100], [10, 200]]\n", "pump[0].curve"),
        ("[[pump]]\nsince = 2026-09-14\nuntil = 2026-09-13\n", "pump[0].until"),
        ("[[test]]\npump_setting = 410\n", "test[0].pump_setting"),
        ("[[test]]\ndrop_pipe_outside_diameter = 6.1\n", "test[0].drop_pipe_outside_diameter"),
        ("[[tank]]\ncut_in = 50\ncut_out = 30\n", "tank[0].cut_in"),
        ("[[tank]]\ncut_in = 30\ncut_out = 50\nprecharge = 38\n", "tank[0].precharge"),
        ("[[dose]]\nstrength = 95\n", "dose[0].strength"),
        ("[[stimulation]]\n[[stimulation.stage]]\npacker_top = 450\n", "stimulation[0].stage[0].packer_top"),
        (
            "[[stimulation]]\n[[stimulation.stage]]\npacker_top = 200\nlower_packer_top = 180\n",
            "stimulation[0].stage[0].lower_packer_top",
        ),
        (
            "[[stimulation]]\n[[stimulation.stage]]\n"
            "readings = [{minute = 2, pressure = 9}, {minute = 1, pressure = 8}]\n",
            "stimulation[0].stage[0].readings[1]",
        ),
        (
            "[[stimulation]]\ninjected = 100\n[[stimulation.stage]]\n"
            "readings = [{minute = 0, flow = 40}, {minute = 5, flow = 0}]\n",
            "stimulation[0].injected",
        ),
    ],
)
def test_the_hole_and_what_is_in_it(body: str, where: str) -> None:
    found = doubts(body)
    assert where in found
    assert found[where].say
    assert found[where].ask.endswith(("?", "."))


def test_gallons_in_canada_are_asked_about_once() -> None:
    test = "[[test]]\nrates = [[0, 6]]\nflows = [[5, 6]]\n"
    assert set(doubts(test, 'place = "Antigonish, Nova Scotia"')) == {"well.place"}
    assert set(doubts(test, 'place = "Invented Hollow, NS"')) == {"well.place"}
    assert doubts(test, 'place = "Ontario Street, Invented Hollow, NH"').keys() <= {"well.place"}
    assert doubts(test, 'place = "Invented Hollow, NH"') == {}
    imperial = '[[test]]\nrates = [[0, "6 igpm"]]\nflows = [[5, "5 imp gal in 50 s"]]\n'
    assert doubts(imperial, 'place = "Antigonish, Nova Scotia"') == {}


def test_half_a_position() -> None:
    assert set(doubts("", "latitude = 43.5")) == {"well.latitude"}
    assert set(doubts("", "latitude = 0\nlongitude = 0")) == {"well.latitude"}
    assert doubts("", "latitude = 43.5\nlongitude = -71.5") == {}


@pytest.mark.parametrize(
    ("method", "error_ft"), [("electric tape", 0.04), ("acoustic", 0.15), ("air line", 0.6)]
)
def test_honest_noise_is_not_doubted(method: str, error_ft: float) -> None:
    """Two hundred wells: a 6 in hole fed in proportion to its drawdown, rate off by 4 %, area by 3 %, levels by their
    method's usual error. The level is the closed form of A dh/dt = Q - k s (independent of the code under test).
    """
    import random

    chance = random.Random(20260914)
    area = math.pi / 4 * 0.5**2 * 7.48052  # gallons per foot of a 6 in hole
    doubted = 0
    for _ in range(200):
        rate, feed = chance.uniform(1, 8), math.exp(chance.uniform(math.log(0.002), math.log(0.2)))
        true_rate, true_area = rate * math.exp(chance.gauss(0, 0.04)), area * math.exp(chance.gauss(0, 0.03))
        minutes = [1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30]
        most = true_rate / feed
        down = [most * (1 - math.exp(-feed * minute / true_area)) for minute in minutes]
        stop = down[-1]
        later = [31, 32, 33, 35, 40, 50, 60]
        up = [stop * math.exp(-feed * (minute - 30) / true_area) for minute in later]
        rows = [
            f"[{minute}, {38.5 + drawdown + chance.gauss(0, error_ft):.2f}]"
            for minute, drawdown in zip([*minutes, *later], [*down, *up], strict=True)
        ]
        body = (
            f'[[test]]\nmethod = "{method}"\nstatic_level = 38.5\nrates = [[0, {rate:.2f}], [30, 0]]\n'
            f"levels = [{', '.join(rows)}]\n"
        )
        doubted += len(doubts(body))
    assert doubted <= 4  # of 4,000 readings
