"""Units of the trade: exact factors from the legal definitions, spellings, and the default of each kind.

Every factor is a ratio of two whole numbers, so a conversion rounds once and only once.

Source: nist_sp811 (international yard and pound of 1959, US gallon of 231 cubic inches, imperial gallon,
standard gravity, conventional water).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

Kind = Literal[
    "depth",
    "length",
    "height",
    "diameter",
    "area",
    "flow",
    "volume",
    "pressure",
    "duration",
    "penetration",
    "temperature",
    "concentration",
    "strength",
    "power",
    "force",
    "weight",
    "voltage",
]
System = Literal["us", "si"]

DIMENSION: Final[dict[str, str]] = {
    "depth": "length",
    "length": "length",
    "height": "length",
    "diameter": "length",
    "area": "area",
    "flow": "flow",
    "volume": "volume",
    "pressure": "pressure",
    "duration": "time",
    "penetration": "speed",
    "temperature": "temperature",
    "concentration": "concentration",
    "strength": "fraction",
    "power": "power",
    "force": "force",
    "weight": "mass",
    "voltage": "voltage",
}
"""Physical dimension of each kind of quantity."""

DEFAULT_UNIT: Final[dict[str, dict[str, str]]] = {
    "us": {
        "depth": "ft",
        "length": "ft",
        "height": "ft",
        "diameter": "in",
        "area": "ft²",
        "flow": "gpm",
        "volume": "gal",
        "pressure": "psi",
        "duration": "min",
        "penetration": "ft/h",
        "temperature": "°F",
        "concentration": "mg/L",
        "strength": "%",
        "power": "hp",
        "force": "lbf",
        "weight": "lb",
        "voltage": "V",
    },
    "si": {
        "depth": "m",
        "length": "m",
        "height": "m",
        "diameter": "mm",
        "area": "m²",
        "flow": "L/min",
        "volume": "L",
        "pressure": "kPa",
        "duration": "min",
        "penetration": "m/h",
        "temperature": "°C",
        "concentration": "mg/L",
        "strength": "%",
        "power": "kW",
        "force": "kN",
        "weight": "kg",
        "voltage": "V",
    },
}
"""Unit of a bare number, by unit system and kind."""

EXAMPLE: Final[dict[str, str]] = {
    "depth": "46 ft 3 in or 14.1 m",
    "length": "20 ft or 6.1 m",
    "height": "18 in or 0.45 m",
    "diameter": "6 1/4 in or 159 mm",
    "area": "1,000 sq ft or 93 m2",
    "flow": "0.75 gpm, 5 gal in 68 s or 2.8 L/min",
    "volume": "12 gal or 45 L",
    "pressure": "950 psi or 6.5 MPa",
    "duration": "90 min or 1 h 30 min",
    "penetration": "20 ft/h, 6 m/h or 3 min/ft",
    "temperature": "52 °F or 11 °C",
    "concentration": "100 mg/L or 100 ppm",
    "strength": "5.25 %",
    "power": "3/4 hp or 0.55 kW",
    "force": "42,000 lbf or 187 kN",
    "weight": "50 lb or 23 kg",
    "voltage": "230 V",
}
"""What would be right, by kind; used in error text."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: SI value = (number + offset) * numerator / denominator, or its reciprocal when inverse."""

    symbol: str
    dimension: str
    numerator: int
    denominator: int = 1
    offset: Fraction = Fraction(0)
    inverse: bool = False


_INCH = Fraction(254, 10_000)
_FOOT = 12 * _INCH
_POUND = Fraction(45_359_237, 100_000_000)
_GRAVITY = Fraction(980_665, 100_000)
_POUND_FORCE = _POUND * _GRAVITY
_US_GALLON = 231 * _INCH**3
_IMPERIAL_GALLON = Fraction(454_609, 100_000_000)
_LITER = Fraction(1, 1000)
_GRAIN = _POUND / 7000

# symbol: (SI value of one, other spellings). Spellings are compared without case, dots or doubled spaces.
_LENGTHS: dict[str, tuple[Fraction, str]] = {
    "m": (Fraction(1), "meter meters metre metres"),
    "ft": (_FOOT, "foot feet '"),
    "in": (_INCH, 'inch inches ins "'),
    "mm": (Fraction(1, 1000), "millimeter millimeters millimetre millimetres"),
    "cm": (Fraction(1, 100), "centimeter centimeters centimetre centimetres"),
    "km": (Fraction(1000), "kilometer kilometers kilometre kilometres"),
    "yd": (3 * _FOOT, "yard yards yds"),
    "mi": (5280 * _FOOT, "mile miles"),
}
_VOLUMES: dict[str, tuple[Fraction, str]] = {
    "m³": (Fraction(1), "m3 m^3 cubic_meter cubic_meters cubic_metre cubic_metres cu_m"),
    "L": (_LITER, "l liter liters litre litres ℓ"),
    "mL": (_LITER / 1000, "ml milliliter milliliters millilitre millilitres"),
    "gal": (
        _US_GALLON,
        "gallon gallons gals us_gal us_gals us_gallon us_gallons usgal gal_us gallons_us us_liquid_gallon",
    ),
    "imp gal": (
        _IMPERIAL_GALLON,
        "imp_gals imp_gallon imp_gallons imperial_gallon imperial_gallons imperial_gal igal "
        "gal_imp uk_gal uk_gallon uk_gallons impgal",
    ),
    "qt": (_US_GALLON / 4, "quart quarts qts us_qt us_quart"),
    "pt": (_US_GALLON / 8, "pint pints pts us_pt us_pint"),
    "cup": (_US_GALLON / 16, "cups us_cup"),
    "fl oz": (_US_GALLON / 128, "floz fluid_ounce fluid_ounces us_fl_oz"),
    "ft³": (_FOOT**3, "ft3 ft^3 cubic_foot cubic_feet cu_ft cuft cf"),
    "in³": (_INCH**3, "in3 in^3 cubic_inch cubic_inches cu_in"),
}
_TIMES: dict[str, tuple[Fraction, str]] = {
    "s": (Fraction(1), "sec secs second seconds"),
    "min": (Fraction(60), "m mins minute minutes mn"),
    "h": (Fraction(3600), "hr hrs hour hours"),
    "d": (Fraction(86_400), "day days"),
    "wk": (Fraction(604_800), "week weeks wks"),
}
_AREAS: dict[str, tuple[Fraction, str]] = {
    "m²": (Fraction(1), "m2 m^2 square_meter square_meters square_metre square_metres sq_m sqm"),
    "ft²": (_FOOT**2, "ft2 ft^2 square_foot square_feet sq_ft sqft sf"),
    "in²": (_INCH**2, "in2 in^2 square_inch square_inches sq_in"),
    "cm²": (Fraction(1, 10_000), "cm2 cm^2 square_centimeters sq_cm"),
    "mm²": (Fraction(1, 1_000_000), "mm2 mm^2 square_millimeters sq_mm"),
    "yd²": (9 * _FOOT**2, "yd2 yd^2 square_yard square_yards sq_yd"),
    "acre": (43_560 * _FOOT**2, "acres ac"),
    "ha": (Fraction(10_000), "hectare hectares"),
}
_PRESSURES: dict[str, tuple[Fraction, str]] = {
    "Pa": (Fraction(1), "pa pascal pascals"),
    "kPa": (Fraction(1000), "kpa kilopascal kilopascals"),
    "MPa": (Fraction(1_000_000), "mpa megapascal megapascals"),
    "bar": (Fraction(100_000), "bars barg"),
    "mbar": (Fraction(100), "millibar millibars mb hpa"),
    "psi": (
        _POUND_FORCE / _INCH**2,
        "psig lbf/in2 lb/in2 lbs/in2 pounds_per_square_inch pound_per_square_inch",
    ),
    "ksi": (1000 * _POUND_FORCE / _INCH**2, ""),
    "atm": (Fraction(101_325), "atmosphere atmospheres"),
    "kgf/cm²": (_GRAVITY * 10_000, "kgf/cm2 kg/cm2 kgf/cm^2"),
    "ft H2O": (_FOOT * _GRAVITY * 1000, "fth2o ft_water ft_of_water feet_of_water foot_of_water feet_water"),
    "in H2O": (_INCH * _GRAVITY * 1000, "inh2o in_water in_of_water inches_of_water"),
    "m H2O": (_GRAVITY * 1000, "mh2o m_water m_of_water meters_of_water metres_of_water"),
}
_MASSES: dict[str, tuple[Fraction, str]] = {
    "kg": (Fraction(1), "kilogram kilograms kilo kilos"),
    "g": (Fraction(1, 1000), "gram grams"),
    "mg": (Fraction(1, 1_000_000), "milligram milligrams"),
    "µg": (Fraction(1, 1_000_000_000), "ug microgram micrograms mcg"),
    "t": (Fraction(1000), "tonne tonnes metric_ton metric_tons"),
    "lb": (_POUND, "lbs pound pounds lbm #"),
    "oz": (_POUND / 16, "ounce ounces"),
    "gr": (_GRAIN, "grain grains"),
    "short ton": (2000 * _POUND, "short_tons us_ton us_tons"),
}
_FORCES: dict[str, tuple[Fraction, str]] = {
    "N": (Fraction(1), "newton newtons"),
    "kN": (Fraction(1000), "kilonewton kilonewtons"),
    "lbf": (_POUND_FORCE, "lb lbs pound pounds pounds_force pound_force lb-f"),
    "kgf": (_GRAVITY, "kg kilogram-force kilograms_force"),
    "kip": (1000 * _POUND_FORCE, "kips klbf"),
}
_POWERS: dict[str, tuple[Fraction, str]] = {
    "W": (Fraction(1), "watt watts"),
    "kW": (Fraction(1000), "kilowatt kilowatts"),
    "hp": (550 * _FOOT * _POUND_FORCE, "horsepower horse_power bhp"),
    "metric hp": (75 * _GRAVITY, "metric_horsepower ps"),
}
_CONCENTRATIONS: dict[str, tuple[Fraction, str]] = {
    "mg/L": (Fraction(1, 1000), "ppm parts_per_million g/m3"),
    "µg/L": (Fraction(1, 1_000_000), "ug/l mcg/l ppb parts_per_billion mg/m3"),
    "g/L": (Fraction(1), "kg/m3"),
    "gpg": (_GRAIN / _US_GALLON, "grains_per_gallon gr/gal"),
}
_FRACTIONS: dict[str, tuple[Fraction, str]] = {
    "%": (Fraction(1, 100), "percent per_cent pct"),
    "‰": (Fraction(1, 1000), "per_mille permille"),
}
_VOLTAGES: dict[str, tuple[Fraction, str]] = {
    "V": (Fraction(1), "volt volts vac"),
    "kV": (Fraction(1000), "kilovolt kilovolts"),
}
_FLOW_ABBREVIATIONS: dict[str, tuple[Fraction, str]] = {
    "gpm": (_US_GALLON / 60, "usgpm us_gpm"),
    "gph": (_US_GALLON / 3600, "usgph us_gph"),
    "gpd": (_US_GALLON / 86_400, "usgpd us_gpd"),
    "igpm": (_IMPERIAL_GALLON / 60, "imp_gpm imperial_gpm impgpm"),
    "igph": (_IMPERIAL_GALLON / 3600, "imp_gph imperial_gph"),
    "igpd": (_IMPERIAL_GALLON / 86_400, "imp_gpd imperial_gpd"),
    "L/min": (_LITER / 60, "lpm"),
    "L/h": (_LITER / 3600, "lph"),
    "L/s": (_LITER, "lps"),
    "cfs": (_FOOT**3, "cusec"),
    "cfm": (_FOOT**3 / 60, ""),
}
_SPEED_ABBREVIATIONS: dict[str, tuple[Fraction, str]] = {
    "ft/h": (_FOOT / 3600, "fph"),
    "m/h": (Fraction(1, 3600), ""),
}

_PLAIN: dict[str, dict[str, tuple[Fraction, str]]] = {
    "length": _LENGTHS,
    "volume": _VOLUMES,
    "time": _TIMES,
    "area": _AREAS,
    "pressure": _PRESSURES,
    "mass": _MASSES,
    "force": _FORCES,
    "power": _POWERS,
    "concentration": _CONCENTRATIONS,
    "fraction": _FRACTIONS,
    "voltage": _VOLTAGES,
    "flow": _FLOW_ABBREVIATIONS,
    "speed": _SPEED_ABBREVIATIONS,
}
_QUOTIENTS: dict[str, tuple[str, str]] = {"flow": ("volume", "time"), "speed": ("length", "time")}
_TEMPERATURES: dict[str, Unit] = {
    "°C": Unit("°C", "temperature", 1, 1, Fraction(27_315, 100)),
    "°F": Unit("°F", "temperature", 5, 9, Fraction(45_967, 100)),
    "K": Unit("K", "temperature", 1),
}
_TEMPERATURE_SPELLINGS = {
    "°c": "°C",
    "c": "°C",
    "deg c": "°C",
    "degc": "°C",
    "degrees c": "°C",
    "celsius": "°C",
    "degrees celsius": "°C",
    "°f": "°F",
    "f": "°F",
    "deg f": "°F",
    "degf": "°F",
    "degrees f": "°F",
    "fahrenheit": "°F",
    "degrees fahrenheit": "°F",
    "k": "K",
    "kelvin": "K",
}


def _plain_table(dimension: str) -> dict[str, Unit]:
    table: dict[str, Unit] = {}
    for symbol, (size, spellings) in _PLAIN[dimension].items():
        unit = Unit(symbol, dimension, size.numerator, size.denominator)
        table[symbol.casefold()] = unit
        for spelling in spellings.split():
            table[spelling.replace("_", " ")] = unit
    return table


SPELLINGS: Final[dict[str, dict[str, Unit]]] = {dimension: _plain_table(dimension) for dimension in _PLAIN}
SYMBOLS: Final[dict[str, Unit]] = {
    **{unit.symbol: unit for table in SPELLINGS.values() for unit in table.values()},
    **_TEMPERATURES,
}
SPELLINGS["temperature"] = {
    spelling: _TEMPERATURES[symbol] for spelling, symbol in _TEMPERATURE_SPELLINGS.items()
}


_MEGALITER = re.compile(r"(?<![A-Za-z])ML(?![A-Za-z])")  # must not be read as a milliliter


def _plain_spelling(text: str) -> str:
    return " ".join(text.replace(".", "").split()).casefold()


def _split_quotient(spelling: str) -> tuple[str, str] | None:
    for separator in ("/", " per ", " a ", " an "):
        above, found, below = spelling.partition(separator)
        if found and above.strip() and below.strip():
            return above.strip(), below.strip()
    return None


def _quotient_unit(spelling: str, dimension: str) -> Unit | None:
    parts = _split_quotient(spelling)
    if parts is None:
        return None
    above_table, below_table = (SPELLINGS[name] for name in _QUOTIENTS[dimension])
    above, below = above_table.get(parts[0]), below_table.get(parts[1])
    if above and below:
        size = Fraction(above.numerator, above.denominator) / Fraction(below.numerator, below.denominator)
        return Unit(f"{above.symbol}/{below.symbol}", dimension, size.numerator, size.denominator)
    above, below = below_table.get(parts[0]), above_table.get(parts[1])
    if above and below:
        size = Fraction(above.numerator, above.denominator) / Fraction(below.numerator, below.denominator)
        return Unit(
            f"{above.symbol}/{below.symbol}", dimension, size.denominator, size.numerator, inverse=True
        )
    return None


@lru_cache(maxsize=4096)
def find_unit(text: str, dimension: str) -> Unit | None:
    """Find the unit of one dimension that a spelling names.

    Parameters
    ----------
    text
        Spelling, in any case, with or without dots.
    dimension
        A value of `DIMENSION`.

    Returns
    -------
    Unit or None
        None when the spelling names no unit of that dimension.

    Examples
    --------
    >>> find_unit("Imp. gallons per minute", "flow").symbol
    'imp gal/min'
    """
    spelling = _plain_spelling(text)
    if not spelling or _MEGALITER.search(text):
        return None
    unit = SPELLINGS[dimension].get(spelling)
    if unit is None and dimension in _QUOTIENTS:
        unit = _quotient_unit(spelling, dimension)
    return unit


@lru_cache(maxsize=1024)
def find_any_unit(text: str) -> Unit | None:
    """Find a unit of whatever dimension: first by symbol, then in the order of `DIMENSION`.

    Parameters
    ----------
    text
        Spelling of the unit.

    Returns
    -------
    Unit or None
        None when no dimension knows it.

    Examples
    --------
    >>> find_any_unit("psi").dimension
    'pressure'
    """
    if text in SYMBOLS:
        return SYMBOLS[text]
    for dimension in dict.fromkeys(DIMENSION.values()):
        unit = find_unit(text, dimension)
        if unit is not None:
            return unit
    return None
