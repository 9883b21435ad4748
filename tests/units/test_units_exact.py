"""Factors against published constants and against pint.

Published values: NIST Special Publication 811 (2008), appendix B.8, and the legal definitions it rests on
(foot 0.3048 m, pound 0.45359237 kg, US gallon 231 in³, imperial gallon 4.54609 L). Figures from memory.
"""

from __future__ import annotations

import pint
import pytest

from ledgewell.errors import InputError, RangeError
from ledgewell.units import DEFAULT_UNIT, DIMENSION, find_unit, si_from, unit_of, value_in
from ledgewell.units.table import SPELLINGS

# NIST SP 811 B.8, printed to seven figures (exact where it prints bold): tolerance is half its last figure.
PUBLISHED = [
    ("ft", 0.3048, 0.0),
    ("in", 0.0254, 0.0),
    ("yd", 0.9144, 0.0),
    ("mi", 1609.344, 0.0),
    ("gal", 3.785412e-3, 5e-10),
    ("imp gal", 4.54609e-3, 0.0),
    ("gpm", 6.309020e-5, 5e-12),
    ("ft³", 2.831685e-2, 5e-9),
    ("psi", 6.894757e3, 5e-4),
    ("bar", 1e5, 0.0),
    ("atm", 1.01325e5, 0.0),
    ("ft H2O", 2.989067e3, 5e-4),
    ("in H2O", 2.490889e2, 5e-5),
    ("lbf", 4.448222, 5e-7),
    ("lb", 4.535924e-1, 5e-8),
    ("hp", 7.456999e2, 5e-5),
    ("metric hp", 7.354988e2, 5e-5),
    ("gr", 6.479891e-5, 0.0),
    ("d", 86400.0, 0.0),
]


@pytest.mark.parametrize(("symbol", "published", "tolerance"), PUBLISHED)
def test_factor_matches_the_published_one(symbol: str, published: float, tolerance: float) -> None:
    assert si_from(1, symbol) == pytest.approx(published, rel=1e-15, abs=tolerance)


def test_acre_is_of_the_international_foot() -> None:
    # computed independently: 43,560 square feet of 0.3048 m; the US survey acre (4046.873 m²) is not meant
    assert si_from(1, "acre") == pytest.approx(43_560 * 0.3048**2, rel=1e-15)


PINT_NAMES = {
    "m³": "meter**3",
    "L": "liter",
    "mL": "milliliter",
    "gal": "US_liquid_gallon",
    "imp gal": "imperial_gallon",
    "qt": "US_liquid_quart",
    "pt": "US_pint",
    "cup": "US_liquid_cup",
    "fl oz": "US_fluid_ounce",
    "ft³": "foot**3",
    "in³": "inch**3",
    "m²": "meter**2",
    "ft²": "foot**2",
    "in²": "inch**2",
    "cm²": "centimeter**2",
    "mm²": "millimeter**2",
    "yd²": "yard**2",
    "acre": "43560*foot**2",
    "ha": "hectare",
    "kgf/cm²": "kilogram_force/centimeter**2",
    "ft H2O": "foot*standard_gravity*gram/centimeter**3",
    "in H2O": "inch*standard_gravity*gram/centimeter**3",
    "m H2O": "meter*standard_gravity*gram/centimeter**3",
    "gr": "grain",
    "short ton": "short_ton",
    "t": "metric_ton",
    "kip": "kip",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "metric hp": "metric_horsepower",
    "mg/L": "milligram/liter",
    "µg/L": "microgram/liter",
    "g/L": "gram/liter",
    "gpg": "grain/US_liquid_gallon",
    "%": "percent",
    "‰": "permille",
    "gpm": "US_liquid_gallon/minute",
    "gph": "US_liquid_gallon/hour",
    "gpd": "US_liquid_gallon/day",
    "igpm": "imperial_gallon/minute",
    "igph": "imperial_gallon/hour",
    "igpd": "imperial_gallon/day",
    "L/min": "liter/minute",
    "L/h": "liter/hour",
    "L/s": "liter/second",
    "cfs": "foot**3/second",
    "cfm": "foot**3/minute",
    "ft/h": "foot/hour",
    "m/h": "meter/hour",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "wk": "week",
    "s": "second",
    "yd": "yard",
    "mi": "mile",
    "kgf": "kilogram_force",
    "lbf": "pound_force",
    "kN": "kilonewton",
    "N": "newton",
    "kV": "kilovolt",
    "V": "volt",
    "Pa": "pascal",
    "atm": "atm",
}
PINT_BASE = {
    "length": "meter",
    "area": "meter**2",
    "flow": "meter**3/second",
    "volume": "meter**3",
    "pressure": "pascal",
    "time": "second",
    "speed": "meter/second",
    "concentration": "kilogram/meter**3",
    "fraction": "dimensionless",
    "power": "watt",
    "force": "newton",
    "mass": "kilogram",
    "voltage": "volt",
}


def test_every_plain_unit_agrees_with_pint() -> None:
    registry = pint.UnitRegistry()
    checked = 0
    for dimension, base in PINT_BASE.items():
        for unit in set(SPELLINGS[dimension].values()):
            expected = registry(PINT_NAMES.get(unit.symbol, unit.symbol)).to(base).magnitude
            assert si_from(1, unit) == pytest.approx(expected, rel=1e-12), unit.symbol
            checked += 1
    assert checked == sum(len(set(SPELLINGS[name].values())) for name in PINT_BASE) > 80


@pytest.mark.parametrize(
    ("number", "unit", "kelvin"),
    [
        (32.0, "°F", 273.15),
        (212.0, "°F", 373.15),
        (0.0, "°C", 273.15),
        (-40.0, "°F", 233.15),
        (-40.0, "°C", 233.15),
    ],
)  # fixed points of the scales, from memory
def test_temperature(number: float, unit: str, kelvin: float) -> None:
    assert si_from(number, unit) == kelvin
    assert value_in(kelvin, unit) == pytest.approx(number, abs=1e-12)


def test_minutes_per_foot_is_a_penetration() -> None:
    # computed independently: 3 min/ft is 20 ft/h
    assert si_from(3, "min/ft") == pytest.approx(20 * 0.3048 / 3600, rel=1e-15)
    assert value_in(20 * 0.3048 / 3600, "min/ft") == pytest.approx(3, rel=1e-15)


def test_pounds_are_mass_unless_force_is_meant() -> None:
    assert unit_of("lb").dimension == "mass"
    force = find_unit("lb", "force")
    assert force is not None
    assert force.symbol == "lbf"


def test_every_kind_has_a_default_in_both_systems() -> None:
    for system in ("us", "si"):
        assert set(DEFAULT_UNIT[system]) == set(DIMENSION)
        for kind, symbol in DEFAULT_UNIT[system].items():
            assert find_unit(symbol, DIMENSION[kind]) is not None, (system, kind)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_no_conversion_of_what_is_not_finite(bad: float) -> None:
    with pytest.raises(RangeError):
        si_from(bad, "ft")
    with pytest.raises(RangeError):
        value_in(bad, "ft")


def test_unknown_unit_is_named() -> None:
    with pytest.raises(InputError, match="furlongs"):
        value_in(1.0, "furlongs")


def test_a_megaliter_is_not_a_milliliter() -> None:
    assert find_unit("ML", "volume") is None
    assert find_unit("ML/d", "flow") is None
    assert find_unit("ml", "volume") is not None
