"""Properties that must hold for every quantity."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledgewell.errors import InputError
from ledgewell.units import DEFAULT_UNIT, DIMENSION, Unit, parse_quantity, show, si_from, value_in
from ledgewell.units.table import SPELLINGS

UNITS = [unit for table in SPELLINGS.values() for unit in set(table.values())]
NUMBERS = st.decimals(min_value=0, max_value=10**9, allow_nan=False, allow_infinity=False, places=4)


@given(value=st.floats(min_value=1e-9, max_value=1e9), unit=st.sampled_from(UNITS))
def test_there_and_back(value: float, unit: Unit) -> None:
    # two roundings, 2 × 2⁻⁵³ relative; a temperature also loses to its offset
    lost = 1e-12 if unit.offset else 0
    assert value_in(si_from(value, unit), unit) == pytest.approx(value, rel=4e-16, abs=lost)


@given(number=NUMBERS, unit=st.sampled_from([unit for unit in UNITS if not unit.offset and not unit.inverse]))
def test_text_is_read_exactly_and_rounded_once(number: Decimal, unit: Unit) -> None:
    kind = next(kind for kind, dimension in DIMENSION.items() if dimension == unit.dimension)
    exact = Fraction(number) * Fraction(unit.numerator, unit.denominator)
    if exact > 10**15:
        return
    assert parse_quantity(f"{number:f} {unit.symbol}", kind).si == float(exact)


@given(feet=st.integers(0, 30_000), eighths=st.integers(0, 95))
def test_feet_and_inches_any_way_they_are_written(feet: int, eighths: int) -> None:
    inches, part = divmod(eighths, 8)
    expected = float((12 * feet + Fraction(eighths, 8)) * Fraction(254, 10_000))
    ways = [f"{feet} ft {inches} {part}/8 in", f"{feet}' {inches} {part}/8\"", f"{feet}′{inches}-{part}/8″"]
    if part == 0:
        ways += [f"{feet}'{inches}\"", f"{feet} feet {inches} inches", f"{feet}'{inches}"]
    for way in ways:
        assert parse_quantity(way, "depth").si == expected, way


@given(number=st.integers(0, 10**12))
def test_thousands_separators_change_nothing(number: int) -> None:
    plain = parse_quantity(f"{number} L", "volume").si
    assert parse_quantity(f"{number:,} L", "volume").si == plain
    assert parse_quantity(f"{number:,} L".replace(",", " "), "volume").si == plain


@given(text=st.text(max_size=60), kind=st.sampled_from(sorted(DIMENSION)))
def test_any_text_is_read_or_refused_in_words(text: str, kind: str) -> None:
    try:
        quantity = parse_quantity(text, kind)
    except InputError as error:
        problem = error.problems[0]
    else:
        assert abs(quantity.si) <= 1e15
        assert parse_quantity(quantity.typed, kind) == quantity
        return
    assert problem.say
    assert problem.right


SHAPES = st.text(alphabet="0123456789.,/ '\"-ftingalmse:%°±¼½", max_size=24)


@given(text=SHAPES, kind=st.sampled_from(sorted(DIMENSION)), system=st.sampled_from([None, "us", "si"]))
def test_text_that_looks_like_a_quantity(text: str, kind: str, system: str | None) -> None:
    try:
        quantity = parse_quantity(text, kind, system=system, negative=True)
    except InputError:
        return
    assert quantity.resolution_si >= 0
    assert parse_quantity(quantity.typed, kind, negative=True) == quantity


@given(
    number=NUMBERS.filter(lambda number: number < 10**7),
    kind=st.sampled_from(sorted(set(DIMENSION) - {"duration", "temperature"})),
    system=st.sampled_from(["us", "si"]),
)
def test_what_is_shown_reads_back_within_its_resolution(number: Decimal, kind: str, system: str) -> None:
    quantity = parse_quantity(number, kind, system=system)
    text = show(quantity.si, kind, system, quantity.resolution_si)
    assert parse_quantity(text, kind).si == pytest.approx(quantity.si, rel=1e-11, abs=0)
    assert text.endswith(DEFAULT_UNIT[system][kind])
