"""Quantities as people write them. Expected values are computed independently, from the legal definitions."""

from __future__ import annotations

import time
from decimal import Decimal

import pytest

from ledgewell.errors import InputError
from ledgewell.units import parse_quantity

FT, IN, GAL, IMP_GAL = 0.3048, 0.0254, 231 * 0.0254**3, 0.00454609

READS = [
    ("46 ft 3 in", "depth", 46.25 * FT),
    ("46'3\"", "depth", 46.25 * FT),
    ("46' 3\"", "depth", 46.25 * FT),
    ("46′ 3″", "depth", 46.25 * FT),
    ("46’ 3”", "depth", 46.25 * FT),
    ("46'3", "depth", 46.25 * FT),
    ("46 feet, 3 inches", "depth", 46.25 * FT),
    ("46 feet and 3 inches", "depth", 46.25 * FT),
    ("46 ft. 3 in.", "depth", 46.25 * FT),
    ("46ft3in", "depth", 46.25 * FT),
    ("46' 3 1/2\"", "depth", 46 * FT + 3.5 * IN),
    ("46′ 3 ½″", "depth", 46 * FT + 3.5 * IN),
    ("46.25'", "depth", 46.25 * FT),
    ("46.25 ft", "depth", 46.25 * FT),
    ("14.1 m", "depth", 14.1),
    ("14,1 m", "depth", 14.1),
    ("14.1 M", "depth", 14.1),
    ("6 1/4 in", "diameter", 6.25 * IN),
    ("6-1/4 in", "diameter", 6.25 * IN),
    ('6 1/4"', "diameter", 6.25 * IN),
    ('6¼"', "diameter", 6.25 * IN),
    ("6 ¼ in", "diameter", 6.25 * IN),
    ("1/2 in", "diameter", 0.5 * IN),
    ("5/4 in", "diameter", 1.25 * IN),
    ("159 mm", "diameter", 0.159),
    ("0.75 gpm", "flow", 0.75 * GAL / 60),
    (".75 gpm", "flow", 0.75 * GAL / 60),
    ("0,75 gpm", "flow", 0.75 * GAL / 60),
    ("3/4 gpm", "flow", 0.75 * GAL / 60),
    ("4 gallons per minute", "flow", 4 * GAL / 60),
    ("4 gallons a minute", "flow", 4 * GAL / 60),
    ("4 gal/min", "flow", 4 * GAL / 60),
    ("4 G.P.M.", "flow", 4 * GAL / 60),
    ("240 gal/hr", "flow", 4 * GAL / 60),
    ("4 igpm", "flow", 4 * IMP_GAL / 60),
    ("4 imp gpm", "flow", 4 * IMP_GAL / 60),
    ("4 imp. gal/min", "flow", 4 * IMP_GAL / 60),
    ("2.8 L/min", "flow", 0.0028 / 60),
    ("2.8 lpm", "flow", 0.0028 / 60),
    ("1.5 m³/h", "flow", 1.5 / 3600),
    ("1.5 m3/h", "flow", 1.5 / 3600),
    ("0.1 L/s", "flow", 0.0001),
    ("5 gal in 68 s", "flow", 5 * GAL / 68),
    ("5 gal in 68 sec", "flow", 5 * GAL / 68),
    ("5 gal in 68s", "flow", 5 * GAL / 68),
    ("5 gal in 1 min 8 s", "flow", 5 * GAL / 68),
    ("5 gal in 1:08", "flow", 5 * GAL / 68),
    ("5 gal / 68 s", "flow", 5 * GAL / 68),
    ("5-gal bucket in 68 s", "flow", 5 * GAL / 68),
    ("5 gallon pail in 68 seconds", "flow", 5 * GAL / 68),
    ("68 s per 5 gal", "flow", 5 * GAL / 68),
    ("68 s for a 5 gal bucket", "flow", 5 * GAL / 68),
    ("5 imp gal in 68 s", "flow", 5 * IMP_GAL / 68),
    ("20 L in 43.5 s", "flow", 0.020 / 43.5),
    ("12 gal", "volume", 12 * GAL),
    ("12 US gallons", "volume", 12 * GAL),
    ("12 imp gal", "volume", 12 * IMP_GAL),
    ("1,200 gal", "volume", 1200 * GAL),
    ("1,200.5 gal", "volume", 1200.5 * GAL),
    ("1 200 L", "volume", 1.2),
    ("1 200 L", "volume", 1.2),
    ("1.200,5 L", "volume", 1.2005),
    ("1,234,567 L", "volume", 1234.567),
    ("1.234.567 L", "volume", 1234.567),
    ("0,750 L", "volume", 0.00075),
    ("950 psi", "pressure", 950 * 4.4482216152605 / IN**2),
    ("6.5 MPa", "pressure", 6.5e6),
    ("65 bar", "pressure", 6.5e6),
    ("1 h 30 min", "duration", 5400.0),
    ("1 hr, 30 mins", "duration", 5400.0),
    ("90 min", "duration", 5400.0),
    ("30 d", "duration", 30 * 86400.0),
    ("20 ft/h", "penetration", 20 * FT / 3600),
    ("20 ft per hour", "penetration", 20 * FT / 3600),
    ("3 min/ft", "penetration", 20 * FT / 3600),
    ("5 ft in 15 min", "penetration", 20 * FT / 3600),
    ("50 °F", "temperature", 283.15),
    ("50 F", "temperature", 283.15),
    ("10 deg C", "temperature", 283.15),
    ("-10 °C", "temperature", 263.15),
    ("100 ppm", "concentration", 0.1),
    ("100 mg/L", "concentration", 0.1),
    ("5.25 %", "strength", 0.0525),
    ("65%", "strength", 0.65),
    ("3/4 hp", "power", 0.75 * 550 * FT * 4.4482216152605),
    ("0.55 kW", "power", 550.0),
    ("42,000 lb", "force", 42_000 * 4.4482216152605),
    ("187 kN", "force", 187_000.0),
    ("50 lb", "weight", 50 * 0.45359237),
    ("50 lbs 8 oz", "weight", 50.5 * 0.45359237),
    ("1,000 sq. ft.", "area", 1000 * FT**2),
    ("93 m2", "area", 93.0),
    ("93 m²", "area", 93.0),
    ("-1 ft 6 in", "height", -1.5 * FT),
    ("−18 in", "height", -18 * IN),
    ("+18 in", "height", 18 * IN),
    ("1.2e2 ft", "depth", 120 * FT),
    ("230 V", "voltage", 230.0),
]


@pytest.mark.parametrize(("typed", "kind", "si"), READS)
def test_reads(typed: str, kind: str, si: float) -> None:
    quantity = parse_quantity(typed, kind)
    # relative tolerance: the expected value itself rounds up to four times, 4 × 2⁻⁵³
    assert quantity.si == pytest.approx(si, rel=5e-16)
    assert quantity.typed == typed
    assert quantity.kind == kind


UNREADABLE = [
    ("", "depth", "empty"),
    ("   ", "depth", "empty"),
    ("wet", "depth", "no number"),
    ("-", "duration", "no number"),
    ("+", "depth", "no number"),
    ("ft", "depth", "no number"),
    ("'", "depth", "no number"),
    ("nan", "depth", "no number"),
    ("nan ft", "depth", "no number"),
    ("inf ft", "depth", "no number"),
    ("46.3", "depth", "no unit"),
    ("46 ft 3", "depth", "no unit"),
    ("46 ft 14 in", "depth", "a whole ft or more"),
    ("46.5 ft 3 in", "depth", "left over"),
    ("3 in 46 ft", "depth", "cannot follow"),
    ("46 ft 46 ft", "depth", "cannot follow"),
    ("46 fr", "depth", "not known"),
    ("5 gpm", "depth", "a unit of flow"),
    ("5 gal", "flow", "a unit of volume"),
    ("12 gpn", "flow", "gpm"),
    ("5 gal in 0 s", "flow", "zero"),
    ("5 gal in 68", "flow", "no unit"),
    ("5 gal in", "flow", ""),
    ("0 min/ft", "penetration", "zero"),
    ("1/0 in", "diameter", "divides by zero"),
    ("6 5/4 in", "diameter", "less than one"),
    ("1,2,3 ft", "depth", "more than one way"),
    ("1,20,000 ft", "depth", "more than one way"),
    ("1.2.3 ft", "depth", "more than one way"),
    ("1 20 ft", "depth", ""),
    ("-3 ft", "depth", "below zero"),
    ("--3 ft", "depth", "no number"),
    ("-500 °F", "temperature", "absolute zero"),
    ("1e400 ft", "depth", "too large"),
    ("1e99999999999999999999 ft", "depth", "too large"),
    ("9" * 80 + " ft", "depth", "too many digits"),
    ("1e30 ft", "depth", "too large"),
    ("12\x00 ft", "depth", "control"),
    ("12\n ft", "depth", "control"),
    ("12\u200b ft", "depth", "control"),
    ("١٢ ft", "depth", "no number"),
    ("12 ft" + " " * 5000, "depth", "too long"),
    ("12 ft; DROP TABLE", "depth", "not known"),
    ("5:30", "duration", ""),
    ("12 ML", "volume", "not known"),
]


@pytest.mark.parametrize(("typed", "kind", "says"), UNREADABLE)
def test_unreadable_says_where_and_what(typed: str, kind: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_quantity(typed, kind, where="well.stickup")
    (problem,) = caught.value.problems
    assert problem.where == "well.stickup"
    assert says in problem.say
    assert kind in problem.right or "unit" in problem.right
    assert len(problem.given) <= 250


@pytest.mark.parametrize(
    "given", [True, False, float("nan"), float("inf"), Decimal("nan"), Decimal("1e400"), 10**400]
)
def test_not_numbers(given: float | Decimal) -> None:
    with pytest.raises(InputError):
        parse_quantity(given, "depth", system="us")


def test_bare_numbers_need_a_system() -> None:
    with pytest.raises(InputError, match="no unit"):
        parse_quantity(46.3, "depth")
    assert parse_quantity(10, "depth", system="us").si == pytest.approx(3.048, rel=1e-15)
    assert parse_quantity(10, "depth", system="si").si == 10.0
    assert parse_quantity("10", "depth", system="us").si == pytest.approx(3.048, rel=1e-15)
    assert parse_quantity(6, "diameter", system="us").si == pytest.approx(0.1524, rel=1e-15)
    assert parse_quantity(150, "diameter", system="si").si == pytest.approx(0.150, rel=1e-15)


def test_typed_text_always_carries_a_unit() -> None:
    assert parse_quantity(38.5, "depth", system="us").typed == "38.5 ft"
    assert parse_quantity(Decimal("38.50"), "depth", system="us").typed == "38.50 ft"
    assert parse_quantity("38.5", "depth", system="si").typed == "38.5 m"


@pytest.mark.parametrize(
    ("typed", "kind", "resolution_si"),
    [
        ("46.25 ft", "depth", 0.01 * FT),
        ("46 ft", "depth", FT),
        ("46 ft 3 in", "depth", IN),
        ("46' 3 1/8\"", "depth", IN / 8),
        ("1,200 gal", "volume", GAL),
        ("14.10 m", "depth", 0.01),
        ("1.2e3 m", "depth", 100.0),
        ("5 gal in 50 s", "flow", 5 * GAL / 50 / 50),
        ("5 gal in 50.0 s", "flow", 5 * GAL / 50 / 500),
        ("10.5 °C", "temperature", 0.1),
    ],
)  # computed independently: the last place typed
def test_resolution_is_the_last_place_typed(typed: str, kind: str, resolution_si: float) -> None:
    assert parse_quantity(typed, kind).resolution_si == pytest.approx(resolution_si, rel=1e-14)


def test_below_zero_where_allowed() -> None:
    assert parse_quantity("-2 ft", "depth", negative=True).si == pytest.approx(-2 * FT, rel=1e-15)
    assert str(parse_quantity("-0 ft", "depth").si) == "0.0"


def test_five_hundred_readings_parse_in_a_few_milliseconds() -> None:
    best = 1.0
    for attempt in range(5):
        never_seen = [f"{1000 * (attempt + 2) + hundredths / 100:.2f} ft" for hundredths in range(500)]
        begin = time.perf_counter()
        for text in never_seen:
            parse_quantity(text, "depth")
        best = min(best, time.perf_counter() - begin)
    assert best < 0.05  # measured 1 ms; the margin is for a busy machine
