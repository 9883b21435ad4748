"""Well documents for the tests: one that holds every key of the record, and a strategy that draws any."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from functools import cache
from typing import Any

from hypothesis import strategies as st

from ledgewell.record.fields import Part, field_specs
from ledgewell.record.quantities import PatternSpec, QuantitySpec, RowsSpec, StatedQuantitySpec
from ledgewell.record.readings import ReadingsSpec
from ledgewell.record.specs import (
    ChoiceSpec,
    ChoicesSpec,
    DateSpec,
    FlagSpec,
    IdSpec,
    NumberSpec,
    TextOrNumberSpec,
    TextSpec,
    ZoneSpec,
)
from ledgewell.record.walk import TableSpec, TablesSpec
from ledgewell.units import DEFAULT_UNIT

EVERYTHING = """
format = 1
units = "us"
x_office = {job = 17, tags = ["a", "b"], seen = 2026-09-14}

[well]
name = "Upper field"
owner = "An invented owner"
contact = "555 0100"
place = "Invented Hollow"
latitude = 43.5
longitude = -71.5
zone = "America/New_York"
permit = "P-1"
driller = "A. Driller"
license = "L-1"
completed = 2026-08-30
purpose = "house"
depths_from = "measuring point"
stickup = "18 in"
note = "Two lines\\nof text"

[[measuring_point]]
stickup = "2 ft"
since = 2026-12-01

[[casing]]
top = "-18 in"
bottom = 42
inside_diameter = 6.065
outside_diameter = 6.625
wall = 0.28
material = "steel"
kind = "casing"
shoe = true
annulus = "sealed"
grout = "neat cement"
since = 2026-08-29

[[bore]]
top = 0
bottom = 42
diameter = 10
method = "air rotary"
[[bore]]
top = 42
bottom = 405
diameter = "6 1/8 in"

[[stratum]]
top = 0
bottom = 12
rock = "till"
symbol = 670
color = "gray"
hardness = "soft"
penetration = 60
note = "boulders"
depths_from = "ground"

[[fracture]]
depth = 210
airlift = 0.5
bit_depth = 225
minutes = 15
static_level = 60
note = "first water"
[[fracture]]
top = 300
bottom = 304

[[camera]]
depth = 43
observed = ["shoe", "rough"]
diameter = 6.25
note = "clean"
photo = "shoe.jpg"
[[camera]]
top = 209
bottom = 211
observed = "inflow"

[[level]]
at = 2026-09-01T07:30:00-04:00
depth = "38 ft 6 in"
method = "steel tape"
note = "cold"

[[neighbor]]
kind = "septic"
distance = 120
depth = 6
note = "uphill"

[[test]]
name = "after"
when = "before stimulation"
start = 2026-09-14T09:10:00
static_level = 38.50
method = "acoustic"
pump_setting = 400
drop_pipe_outside_diameter = 1.315
drop_pipe_inside_diameter = 1.049
drain_back = "unknown"
before = [[-180, "5 gpm"], [-60, "-2 gpm"], [-30, "unknown"]]
rates  = [[0, 7.0], [62, 0], [70, "unknown"]]
flows  = [[10, "5 gal in 43 s"]]
meter = [[10, 71], [20, 140]]
levels = [
  [2, 47.1], ["09:14:30", 58.9], {minute = 5, level = 58.95, method = "electric tape", note = "cloudy"},
  {at = 2026-09-14T09:16:00, level = "62 ft"}, ["90 min", "at pump"], [91, "below 300 ft"], [92, -1.5],
]
bailed = [[0, "12 gal"]]
poured_in = [[1, "5 gal"]]
events = [[38, "broke suction"]]
rule = "some_rule"
file = "logger.csv"

[[stimulation]]
date = 2026-09-20
kind = "straddle"
water_source = "town"
free_chlorine = 3
injected = 1500
recovered = 1600
gauge_height = 3
note = "quiet"
[stimulation.ratings]
pump_pressure = 3000
pump_flow = 85
power = 75
relief_setting = 2500
hose_pressure = 4000
hose_inside_diameter = 1.25
hose_length = 100
string_pressure = 5000
string_tension = 60000
string_inside_diameter = 2
string_outside_diameter = 2.375
packer_pressure = 3000
packer_diameter = 4.5
packer_length = 3
packer_max_bore = 8
inflation = "water"
inflation_pressure = 3500
wellhead_pressure = 3000
gauge_pressure = 5000
tank = 2000
[[stimulation.stage]]
packer_top = 100
packer_length = 3
lower_packer_top = 140
start = 2026-09-20T10:00:00
readings = [
  {minute = 1, pressure = 900, flow = 40, tank = 1900, inflation = 1500, above = 40},
  {minute = 2, pressure = 1100}, {clock = "10:03", flow = "-3 gpm", note = "flow back"},
]
events = [[1.5, "broke"]]
file = "stage1.csv"
note = "north side"

[need]
people = 4
bedrooms = 3
garden_area = 1000
stock = [["horse", 3]]
daily_pattern = "even"
peak = 10

[[pump]]
role = "installed"
name = "small one"
horsepower = 0.75
voltage = 230
phase = 1
setting = 380
diameter = 3.75
curve = [[5, 420], [10, 300]]
cut_off = 370
since = 2026-10-01
until = 2027-10-01

[[pipe]]
role = "drop"
material = "PE"
size = 1
inside_diameter = 1.049
outside_diameter = 1.315
pressure_rating = 200
length = 380
fittings = [["90 elbow", 3]]
rise = 4

[[wire]]
gauge = "12 AWG"
material = "copper"
length = 420

[[tank]]
kind = "pressure"
volume = 44
precharge = 28
cut_in = 30
cut_out = 50
elevation = 6

[[dose]]
date = 2026-10-02
product = "bleach"
strength = 5.25
target = 100
amount = "3 lb"
contact = 720

[[sample]]
date = 2026-10-10
laboratory = "An invented laboratory"
analyte = "arsenic"
value = "<0.5"
unit = "µg/L"
[[sample]]
analyte = "nitrate"
value = 1.20
unit = "mg/L"

[[photo]]
file = "shoe.jpg"
depth = 43
caption = "the shoe"
taken = 2026-09-15T12:00:00

[closure]
date = 2030-01-01
method = "tremie"
materials = "neat cement"
by = "A. Driller"
"""

_ZONES = st.sampled_from(["America/New_York", "Europe/Oslo", "UTC", "America/Halifax"])
_WORDS = st.text(
    alphabet=st.characters(exclude_categories=("C", "Zl", "Zp")) | st.just("\n"), min_size=1, max_size=30
)
_MAGNITUDE = st.decimals(min_value="0.001", max_value="9000", places=3)
_MOMENT = st.datetimes(datetime(1900, 1, 1), datetime(2200, 1, 1)).map(lambda moment: moment.replace(fold=0))
_OFFSET = st.sampled_from([None, UTC, timezone(timedelta(hours=-4, minutes=-30))])


def quantity_values(spec: QuantitySpec, system: str | None) -> st.SearchStrategy[Any]:
    """Draw a quantity as a person might write it."""
    kind = spec.kinds[0]
    units = [DEFAULT_UNIT["us"][kind], DEFAULT_UNIT["si"][kind]]
    forms: list[st.SearchStrategy[Any]] = [
        st.builds("{} {}".format, _MAGNITUDE, st.sampled_from(units)),
        st.builds(
            lambda value, unit: {"value": float(value), "unit": unit}, _MAGNITUDE, st.sampled_from(units)
        ),
    ]
    if system is not None or spec.assumed is not None:
        forms += [_MAGNITUDE, st.integers(1, 9000), st.floats(0.001, 9000)]
    if kind in ("depth", "length", "height"):
        forms.append(
            st.builds("{} ft {} {}/8 in".format, st.integers(0, 900), st.integers(0, 11), st.integers(1, 7))
        )
    if kind == "flow":
        forms.append(st.builds("{} gal in {} s".format, st.integers(1, 10), st.integers(5, 300)))
    if spec.negative:
        forms.append(st.builds("-{} {}".format, _MAGNITUDE, st.sampled_from(units)))
    if len(spec.kinds) > 1:
        forms.append(st.builds("{} lb".format, _MAGNITUDE))
    return st.one_of(forms)


def _stated(spec: StatedQuantitySpec, system: str | None) -> st.SearchStrategy[Any]:
    bounds = [st.builds(f"{bound} {{}} ft".format, _MAGNITUDE) for bound in spec.bounds]
    return st.one_of(quantity_values(spec.quantity, system), st.sampled_from(spec.words), *bounds)


def _readings(spec: ReadingsSpec, system: str | None) -> st.SearchStrategy[Any]:
    minutes = st.one_of(st.integers(0, 5000), _MAGNITUDE, st.just("90 s"), st.floats(0.25, 5000))
    table = tables(spec.reading, system)
    if spec.value_key is not None:
        value = values(field_specs(spec.reading)[spec.value_key].spec, system)
        key = spec.value_key
        table = st.builds(lambda base, given: {**base, key: given}, table, value)
        pair = st.tuples(minutes, value).map(list)
        timed = st.builds(lambda base, minute: {"minute": minute, **base}, table, minutes)
        return st.lists(st.one_of(pair, timed), max_size=4)
    return st.lists(st.builds(lambda base, minute: {"minute": minute, **base}, table, minutes), max_size=4)


@cache
def values(spec: Any, system: str | None) -> st.SearchStrategy[Any]:
    """Draw a value that a field takes."""
    match spec:
        case QuantitySpec():
            return quantity_values(spec, system)
        case StatedQuantitySpec():
            return _stated(spec, system)
        case ReadingsSpec():
            return _readings(spec, system)
        case TableSpec():
            return tables(spec.table, system)
        case TablesSpec():
            return st.lists(tables(spec.table, system), max_size=2)
        case RowsSpec():
            return st.lists(
                st.tuples(*(values(column, system) for column in spec.columns)).map(list), max_size=3
            )
        case PatternSpec():
            hours = st.lists(st.floats(0.001, 1), min_size=24, max_size=24)
            return st.one_of(st.just("even"), hours)
        case ChoiceSpec():
            return st.sampled_from(spec.choices)
        case ChoicesSpec():
            return st.lists(st.sampled_from(spec.choices), max_size=3)
        case FlagSpec():
            return st.booleans()
        case NumberSpec(whole=True):
            return st.integers(int(spec.least), int(min(spec.most, 1000)))
        case NumberSpec():
            return st.floats(spec.least, min(spec.most, 1e6))
        case DateSpec(day_only=True):
            return st.dates(date(1900, 1, 1), date(2200, 1, 1))
        case DateSpec():
            return _moments()
        case ZoneSpec():
            return _ZONES
        case TextOrNumberSpec():
            return st.one_of(_WORDS, _MAGNITUDE, st.integers(0, 999))
        case TextSpec():
            return _WORDS
    raise AssertionError(spec)


def _moments() -> st.SearchStrategy[Any]:
    timed = st.builds(lambda moment, offset: moment.replace(tzinfo=offset), _MOMENT, _OFFSET)
    return st.one_of(st.dates(date(1900, 1, 1), date(2200, 1, 1)), timed)


@cache
def tables(table: type[Part], system: str | None) -> st.SearchStrategy[dict[str, Any]]:
    """Draw a table of a document with any of its keys."""
    optional = {
        key: values(field.spec, system)
        for key, field in field_specs(table).items()
        if key not in ("format", "units") and not isinstance(field.spec, IdSpec)
    }
    optional["x_more"] = st.one_of(_WORDS, st.integers(-5, 5), st.lists(st.booleans(), max_size=2))
    return st.fixed_dictionaries({}, optional=optional)


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a whole document that can be read."""
    from ledgewell.record import Well

    system = draw(st.sampled_from([None, "us", "si"]))
    document: dict[str, Any] = {"format": 1, **({"units": system} if system else {})}
    drawn = draw(tables(Well, system))
    return {**document, **drawn}


def plain(value: Any) -> Any:
    """Turn a drawn document into what `json.loads` could have given."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    return value
