"""The well file of the record's description reads, key by key, and what cannot be read is said all together.

Expected SI values are computed independently from the legal definitions of foot, inch, gallon and pound.
"""

from __future__ import annotations

import tomllib
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from tests.record.documents import EVERYTHING

from ledgewell.errors import InputError
from ledgewell.record import (
    Test,
    Well,
    read_well,
    record_mark,
    upgrade,
    well_from_json,
    well_to_json,
    write_well,
)
from ledgewell.record.fields import field_specs
from ledgewell.record.walk import TableSpec, TablesSpec

FT, IN, GAL = 0.3048, 0.0254, 231 * 0.0254**3


@pytest.fixture(scope="module")
def everything() -> Well:
    return read_well(EVERYTHING)


def test_site(everything: Well) -> None:
    site = everything.well
    assert (site.name, site.place, site.purpose) == ("Upper field", "Invented Hollow", "house")
    assert (site.latitude, site.longitude, site.zone) == (43.5, -71.5, "America/New_York")
    assert site.completed == date(2026, 8, 30)
    assert site.stickup is not None
    assert site.stickup.si == pytest.approx(18 * IN)
    assert site.note == "Two lines\nof text"
    assert everything.extras == {"x_office": {"job": 17, "tags": ["a", "b"], "seen": date(2026, 9, 14)}}


def test_ground(everything: Well) -> None:
    casing = everything.casings[0]
    assert casing.top is not None
    assert casing.top.si == pytest.approx(-18 * IN)
    assert casing.inside_diameter is not None
    assert casing.inside_diameter.si == pytest.approx(6.065 * IN)
    assert (casing.shoe, casing.annulus, casing.kind) == (True, "sealed", "casing")
    bore = everything.bores[1]
    assert bore.bottom is not None
    assert bore.diameter is not None
    assert bore.bottom.si == pytest.approx(405 * FT)
    assert (bore.diameter.si, bore.diameter.typed) == (pytest.approx(6.125 * IN), "6 1/8 in")
    stratum = everything.strata[0]
    assert (stratum.rock, stratum.symbol, stratum.depths_from) == ("till", "670", "ground")
    assert stratum.penetration is not None
    assert stratum.penetration.si == pytest.approx(60 * FT / 3600)
    first, zone = everything.fractures
    assert first.airlift is not None
    assert first.airlift.si == pytest.approx(0.5 * GAL / 60)
    assert first.minutes is not None
    assert first.minutes.si == 900.0
    assert (zone.depth, zone.top is None) == (None, False)
    assert everything.camera[0].observed == ("shoe", "rough")
    level = everything.levels[0]
    assert level.at == datetime(2026, 9, 1, 11, 30, tzinfo=UTC)
    assert level.depth is not None
    assert level.depth.si == pytest.approx(38.5 * FT)
    assert everything.neighbors[0].kind == "septic"


def test_yield_test(everything: Well) -> None:
    test = everything.tests[0]
    assert test.static_level is not None
    assert test.static_level.typed == "38.50 ft"
    assert test.static_level.resolution_si == pytest.approx(0.01 * FT)
    assert test.drain_back == "unknown"
    assert [(each.minute, each.state) for each in test.before] == [
        (-180, None),
        (-60, None),
        (-30, "unknown"),
    ]
    assert test.before[1].rate is not None
    assert test.before[1].rate.si == pytest.approx(-2 * GAL / 60)
    assert test.rates[0].rate is not None
    assert test.rates[0].rate.si == pytest.approx(7 * GAL / 60)
    assert (test.rates[2].rate, test.rates[2].state) == (None, "unknown")
    assert test.flows[0].flow is not None
    assert test.flows[0].flow.si == pytest.approx(5 * GAL / 43)
    assert test.meter[1].meter is not None
    assert test.meter[1].meter.si == pytest.approx(140 * GAL)
    assert test.bailed[0].volume is not None
    assert test.bailed[0].volume.si == pytest.approx(12 * GAL)
    assert test.poured_in[0].volume is not None
    assert test.events[0].event == "broke suction"
    assert (test.rule, test.file) == ("some_rule", "logger.csv")


def test_level_readings(everything: Well) -> None:
    levels = everything.tests[0].levels
    assert [each.minute for each in levels] == [2.0, 4.5, 5.0, 6.0, 90.0, 91.0, 92.0]
    assert [each.time.how for each in levels[:4]] == ["minute", "clock", "minute", "instant"]
    assert (levels[2].method, levels[2].note) == ("electric tape", "cloudy")
    assert [each.state for each in levels] == [None, None, None, None, "at pump", "below", None]
    assert levels[4].level is None
    assert levels[5].level is not None
    assert levels[5].level.si == pytest.approx(300 * FT)
    assert levels[6].level is not None
    assert levels[6].level.si == pytest.approx(-1.5 * FT)


def test_stimulation(everything: Well) -> None:
    job = everything.stimulations[0]
    assert (job.kind, job.date) == ("straddle", date(2026, 9, 20))
    assert job.ratings is not None
    assert job.ratings.pump_pressure is not None
    assert job.ratings.pump_pressure.si == pytest.approx(3000 * 6894.757293168361)
    assert job.ratings.string_tension is not None
    assert job.ratings.string_tension.si == pytest.approx(60_000 * 4.4482216152605)
    readings = job.stages[0].readings
    assert [each.minute for each in readings] == [1.0, 2.0, 3.0]
    assert readings[1].flow is None
    assert readings[2].flow is not None
    assert readings[2].flow.si == pytest.approx(-3 * GAL / 60)
    assert job.stages[0].events[0].event == "broke"


def test_supply(everything: Well) -> None:
    assert everything.need is not None
    assert (everything.need.people, everything.need.stock) == (4, (("horse", 3),))
    pump = everything.pumps[0]
    assert pump.voltage is not None
    assert (pump.voltage.si, pump.phase, pump.role) == (230.0, 1, "installed")
    assert pump.curve[1][0].si == pytest.approx(10 * GAL / 60)
    assert pump.curve[1][1].si == pytest.approx(300 * FT)
    assert (everything.pipes[0].size, everything.pipes[0].fittings) == ("1", (("90 elbow", 3),))
    assert everything.wires[0].gauge == "12 AWG"
    assert everything.tanks[0].cut_out is not None
    dose = everything.doses[0]
    assert dose.amount is not None
    assert (dose.amount.kind, dose.amount.si) == ("weight", pytest.approx(3 * 0.45359237))
    assert dose.contact is not None
    assert dose.contact.si == 720 * 60.0
    assert [sample.value for sample in everything.samples] == ["<0.5", "1.20"]
    assert everything.closure is not None
    assert everything.closure.by == "A. Driller"


def test_every_key_of_every_table_is_in_the_example() -> None:
    """Guards the example, and with it the round trips below, against keys that are added later."""
    document = tomllib.loads(EVERYTHING)

    def missing(table: type, given: object, where: str) -> list[str]:
        rows = given if isinstance(given, list) else [given]
        found = []
        for key, field in field_specs(table).items():
            values = [row[key] for row in rows if isinstance(row, dict) and key in row]
            if isinstance(field.spec, (TableSpec, TablesSpec)) and values:
                found += missing(field.spec.table, values[0], f"{where}.{key}")
            elif not values and key not in ("id", "note", "depths_from", "since", "until"):
                found.append(f"{where}.{key}")
        return found

    assert missing(Well, document, "") == []


def test_faces_of_the_example(everything: Well) -> None:
    import json

    assert read_well(write_well(everything)) == everything
    assert read_well(write_well(everything, ids=False)) == everything
    through_json = well_from_json(json.loads(json.dumps(well_to_json(everything))))
    assert record_mark(through_json) == record_mark(everything)
    # the one thing JSON cannot carry is a date under an x_ key, which it spells out
    assert through_json.extras == {"x_office": {"job": 17, "tags": ["a", "b"], "seen": "2026-09-14"}}


def test_a_written_file_reads_like_a_typed_one(everything: Well) -> None:
    text = write_well(everything, ids=False)
    assert '    [2, 47.1],\n    { clock = "09:14:30", level = 58.9 },\n' in text
    assert "static_level = 38.50\n" in text
    assert 'flows = [\n    [10, "5 gal in 43 s"],\n]' in text
    assert 'diameter = "6 1/8 in"' in text


def test_json_speaks_the_units_asked_for(everything: Well) -> None:
    us = well_to_json(everything)["bore"][1]["bottom"]
    assert us == {"value": 405.0, "unit": "ft", "typed": "405 ft"}
    si = well_to_json(everything, units="si")["bore"][1]["bottom"]
    assert si == {"value": pytest.approx(123.444, rel=1e-15), "unit": "m", "typed": "405 ft"}
    bare = read_well('format = 1\n[[bore]]\nbottom = "100 m"')
    assert well_to_json(bare)["bore"][0]["bottom"]["unit"] == "ft"


def test_json_quantities_without_typed_text() -> None:
    given = {"format": 1, "units": "us", "bore": [{"bottom": {"value": 100, "unit": "m"}, "diameter": 6}]}
    bore = well_from_json(given).bores[0]
    assert bore.bottom is not None
    assert bore.diameter is not None
    assert (bore.bottom.si, bore.bottom.typed) == (100.0, "100 m")
    assert bore.diameter.si == pytest.approx(6 * IN)


def test_json_typed_text_must_agree_with_its_value() -> None:
    bad = {"format": 1, "bore": [{"bottom": {"value": 100, "unit": "m", "typed": "100 ft"}}]}
    with pytest.raises(InputError, match="the typed text is not 100 m"):
        well_from_json(bad)


def test_everything_wrong_is_said_together() -> None:
    text = """
format = 1
[well]
nmae = "x"
zone = "Mars/Olympus"
latitude = 91
[[casing]]
bottom = 40
inside_diameter = "0 in"
kind = "linr"
[[test]]
static_level = "wet"
start = "yesterday"
drain_back = "maybe"
levels = [[1, "46 ft"], [2, "nan ft"], ["x", "3 ft"], 7, [1, 2, 3], {minute = 1}, {level = "3 ft"}]
rates = "full"
[[pump]]
phase = 1.5
curve = [["5 gpm"]]
[[stimulation]]
[[stimulation.stage]]
readings = [{minute = 1, presure = "900 psi"}]
[closure]
date = 2026-13-01
"""
    with pytest.raises(InputError, match="not TOML"):
        read_well(text)
    with pytest.raises(InputError) as caught:
        read_well(text.replace("2026-13-01", '"2026-13-01"'), source="bad.toml")
    places = {problem.where.removeprefix("bad.toml: "): problem for problem in caught.value.problems}
    assert set(places) == {
        "well.nmae",
        "well.zone",
        "well.latitude",
        "casing[0].bottom",
        "casing[0].inside_diameter",
        "casing[0].kind",
        "test[0].static_level",
        "test[0].start",
        "test[0].drain_back",
        "test[0].levels[1].level",
        "test[0].levels[2]",
        "test[0].levels[3]",
        "test[0].levels[4]",
        "test[0].levels[5]",
        "test[0].levels[6]",
        "test[0].rates",
        "pump[0].phase",
        "pump[0].curve[0]",
        "stimulation[0].stage[0].readings[0].presure",
        "closure.date",
    }
    assert places["well.nmae"].right == "the nearest known one is name"
    assert places["casing[0].kind"].right == "the nearest known one is liner"
    assert places["casing[0].bottom"].say == "the number has no unit"
    assert places["stimulation[0].stage[0].readings[0].presure"].right == "the nearest known one is pressure"
    assert all(problem.where.startswith("bad.toml: ") for problem in caught.value.problems)


@pytest.mark.parametrize(
    ("text", "where", "say"),
    [
        ("", "format", "does not say its format"),
        ("format = 2", "format", "later version"),
        ("format = true", "format", "not known"),
        ('format = "1"', "format", "not known"),
        ("format = 0", "format", "not known"),
        ('format = 1\nunits = "metric"', "units", "not known"),
        ("format = 1\n[casing]\ntop = 1", "casing", "list of tables"),
        ("format = 1\nwell = 3", "well", "must be a table"),
        ('format = 1\n[[test]]\nid = "a/b"', "test[0].id", "cannot be an id"),
        ('format = 1\n[[test]]\nid = "a"\n[[test]]\nid = "a"', "test[1].id", "used twice"),
        ("format = 1\n[well]\nname = 7", "well.name", "must be text"),
        ('format = 1\n[well]\nname = "a\\u0007"', "well.name", "control character"),
        ("format = 1\n[well]\ncompleted = 1066-10-14", "well.completed", "no well has such a date"),
        ("format = 1\n[need]\npeople = 2.5", "need.people", "whole number"),
        ("format = 1\n[need]\npeople = true", "need.people", "must be a number"),
        ("format = 1\n[need]\npeople = nan", "need.people", "not a number"),
        ("format = 1\n[need]\npeople = inf", "need.people", "out of range"),
        ("format = 1\n[need]\ndaily_pattern = [1, 2]", "need.daily_pattern", "daily pattern"),
        ("format = 1\nx_a = nan", "x_a", "not a finite number"),
        ("format = 1\ncasing = 1", "casing", "list of tables"),
        ('format = 1\n[[test]]\nlevels = [["09:14", "3 ft"]]', "test[0].levels[0]", "needs the day and time"),
        (
            'format = 1\n[[test]]\nlevels = [[1e300, "3 ft"]]',
            "test[0].levels[0]",
            "not a usable number of minutes",
        ),
        (
            "format = 1\n[[test]]\nstart = 2026-09-14T09:10:00\n"
            'levels = [{at = 2026-09-14T09:11:00Z, level = "3 ft"}]',
            "test[0].levels[0]",
            "offset from UTC",
        ),
    ],
)
def test_refusals(text: str, where: str, say: str) -> None:
    with pytest.raises(InputError) as caught:
        read_well(text)
    (problem,) = caught.value.problems
    assert problem.where == where
    assert say in problem.say
    assert problem.right


def test_ids_are_made_from_content_and_kept_when_given() -> None:
    bores = '[[bore]]\nbottom = "9 m"\n' * 2
    text = f'format = 1\n[[casing]]\nid = "mine"\n{bores}[[test]]\nname = "after"\n'
    well = read_well(text)
    assert well.casings[0].id == "mine"
    assert well.bores[1].id == f"{well.bores[0].id}-2"
    assert read_well(text).tests[0].id == well.tests[0].id
    longer = read_well(text + 'levels = [[1, "3 m"]]\n')
    assert longer.tests[0].id == well.tests[0].id, "a test keeps its id when readings are added"


def test_extra_keys_are_kept_everywhere() -> None:
    text = 'format = 1\n[[test]]\nx_a = 1\nlevels = [{minute = 1, level = "3 m", x_b = [true, {c = 1.5}]}]\n'
    well = read_well(text)
    assert well.tests[0].extras == {"x_a": 1}
    assert well.tests[0].levels[0].extras == {"x_b": [True, {"c": 1.5}]}
    assert read_well(write_well(well)) == well


def test_upgrade_leaves_the_present_format_alone() -> None:
    document = {"format": 1, "well": {}}
    assert upgrade(document) is document


def test_offsets_survive() -> None:
    text = "format = 1\n[[test]]\nstart = 2026-09-14T09:10:00-04:00\n"
    start = read_well(text).tests[0].start
    assert start == datetime(2026, 9, 14, 9, 10, tzinfo=timezone(timedelta(hours=-4)))
    assert "2026-09-14 09:10:00-04:00" in write_well(read_well(text))


def test_a_test_is_a_record_and_no_test_case() -> None:
    assert Test.__test__ is False
