"""Quantities as people write them: `46 ft 3 in`, `6 1/4"`, `5 gal in 68 s`, `1,200 gal`, `0,75 gpm`."""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from ledgewell.errors import InputError, Problem
from ledgewell.units.numbers import Number, UnreadableNumberError, read_number
from ledgewell.units.quantity import Quantity, si_from_ratio
from ledgewell.units.table import DEFAULT_UNIT, DIMENSION, EXAMPLE, SPELLINGS, Unit, find_any_unit, find_unit

_MAX_LENGTH = 120
_LIMIT_SI = 1e15
_MAY_BE_NEGATIVE = frozenset({"temperature", "height"})
_COMPOUND = frozenset({"length", "time", "volume", "mass"})
_SIMPLE = re.compile(r"(-?)([0-9]{1,15})(?:\.([0-9]{1,15}))? ?([^0-9\s.,/'\"-]\S*)")
_IN_TIME = re.compile(
    r"(.*?[a-z\"'.])(?: (?:bucket|pail|can))?(?: (?:in|every|over|per) | ?[/@] ?)([0-9].*)", re.IGNORECASE
)
_TIME_FOR = re.compile(
    r"(.*?[a-z.])(?: (?:for|per) (?:an? )?| ?/ ?)([0-9].*?)(?: (?:bucket|pail|can))?", re.IGNORECASE
)
_CLOCK = re.compile(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?(?:\.([0-9]{1,3}))?")
_UNIT_RUN = re.compile(r"[^0-9]*?(?=[ ,]*(?:and )?\.?[0-9]|$)")
_LOOKALIKES = str.maketrans(
    {
        "′": "'",
        "’": "'",
        "‘": "'",
        "´": "'",
        "`": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "−": "-",
        "–": "-",
        "—": "-",
        "‐": "-",
        "‑": "-",
        "⁄": "/",
        "∕": "/",
        "μ": "µ",
        "²": "2",
        "³": "3",
        "º": "°",
        "˚": "°",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u2007": " ",
        "\t": " ",
    }
)
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3",
    "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip


class _UnreadableError(ValueError):
    def __init__(self, say: str, right: str = "") -> None:
        self.say, self.right = say, right
        super().__init__(say)


def parse_quantity(
    given: str | float | Decimal,
    kind: str,
    *,
    system: str | None = None,
    where: str = "",
    negative: bool = False,
) -> Quantity:
    """Read a quantity as typed.

    Parameters
    ----------
    given
        Text with a unit, or a bare number in the default unit of `system`. True, NaN and infinity are
        refused.
    kind
        What is measured, such as ``"depth"``; a key of `ledgewell.units.DIMENSION`.
    system
        ``"us"``, ``"si"``, or None when a bare number is an error.
    where
        Place of the value in the input, for error text.
    negative
        Whether a value below zero is allowed (a flowing level, injection). Temperatures and heights
        always may.

    Returns
    -------
    Quantity

    Raises
    ------
    InputError
        When the text has no number, no unit, or can be read in more than one way.

    Notes
    -----
    A bucket timing resolves what its stopwatch resolves; the bucket itself is taken as exact.

    Examples
    --------
    >>> parse_quantity("46 ft 3 in", "depth").si
    14.097
    >>> round(parse_quantity("5 gal in 68 s", "flow").si * 1e6, 1)
    278.3
    """
    try:
        if isinstance(given, str):
            quantity = _from_text(given, kind, system)
        else:
            quantity = _from_number(given, kind, system)
        _check_sign(quantity, negative=negative)
    except _UnreadableError as error:
        right = error.right or f"{_article(kind)} {kind}, such as {EXAMPLE[kind]}"
        shown = repr(given if not isinstance(given, str) else given[:_MAX_LENGTH])
        raise InputError([Problem(where=where or kind, given=shown, say=error.say, right=right)]) from None
    return quantity


def _article(kind: str) -> str:
    return "an" if kind[0] in "aeiou" else "a"


def _check_sign(quantity: Quantity, *, negative: bool) -> None:
    if quantity.si >= 0:
        return
    if quantity.kind == "temperature":
        raise _UnreadableError("this is colder than absolute zero")
    if not negative and quantity.kind not in _MAY_BE_NEGATIVE:
        raise _UnreadableError(f"{_article(quantity.kind)} {quantity.kind} cannot be below zero here")


def _from_number(given: float | Decimal, kind: str, system: str | None) -> Quantity:
    if isinstance(given, bool) or not isinstance(given, (int, float, Decimal)):
        raise _UnreadableError(f"this is not {_article(kind)} {kind}")
    if isinstance(given, int) and abs(given) >= 10**20:
        raise _UnreadableError("the number is too large")
    number = Decimal(repr(float(given))) if isinstance(given, float) else Decimal(given)
    if not number.is_finite():
        raise _UnreadableError("this is not a finite number")
    if system is None:
        raise _UnreadableError(
            "the number has no unit", f'write the unit, such as {EXAMPLE[kind]}, or set units = "us" or "si"'
        )
    return _from_text(f"{_plain_text(number)} {DEFAULT_UNIT[system][kind]}", kind, None)


def _plain_text(number: Decimal) -> str:
    exponent = number.as_tuple().exponent
    if not isinstance(exponent, int) or abs(exponent) > 60 or number.adjusted() > 60:
        raise _UnreadableError("the number is too large or too small")
    return f"{number:f}"


@lru_cache(maxsize=8192)
def _from_text(given: str, kind: str, system: str | None) -> Quantity:
    dimension = DIMENSION[kind]
    match = _SIMPLE.fullmatch(given)
    if match is not None:
        unit = find_unit(match[4], dimension)
        if unit is not None and not unit.offset and not unit.inverse:
            decimals = match[3] or ""
            digits, scale = int(match[2] + decimals), 10 ** len(decimals)
            si = si_from_ratio(-digits if match[1] else digits, scale, unit)
            return _checked(Quantity(si, given, kind, si_from_ratio(1, scale, unit)))
    text = _normalized(given)
    sign, text = (-1, text[1:].lstrip()) if text[:1] == "-" else (1, text.removeprefix("+").lstrip())
    value = _timed(text, dimension) or _compound(text, dimension, system and DEFAULT_UNIT[system][kind])
    typed = given.strip()
    if value[2]:
        typed = f"{typed} {value[2]}"
    if dimension == "temperature":
        return _checked(_temperature(sign, value, typed))
    si, resolution = _as_float(value[0]), _as_float(value[1])
    return _checked(Quantity(sign * si + 0.0, typed, kind, resolution))


def _as_float(exact: Fraction) -> float:
    return exact.numerator / exact.denominator


def _checked(quantity: Quantity) -> Quantity:
    if not math.isfinite(quantity.si) or abs(quantity.si) > _LIMIT_SI:
        raise _UnreadableError("the number is too large to be real")
    return quantity


def _normalized(given: str) -> str:
    if len(given) > _MAX_LENGTH:
        raise _UnreadableError("this is too long to be one quantity")
    text = given
    for glyph, fraction in _VULGAR.items():
        if glyph in text:
            text = text.replace(glyph, f" {fraction}")
    text = unicodedata.normalize("NFKC", text.translate(_LOOKALIKES)).translate(_LOOKALIKES)
    text = text.replace("''", '"')
    if any(unicodedata.category(letter)[0] == "C" for letter in text):
        raise _UnreadableError("this has a control character in it")
    text = " ".join(text.split())
    if not text:
        raise _UnreadableError("this is empty")
    return text


_Value = tuple[Fraction, Fraction, str, "Unit | None"]


def _temperature(sign: int, value: _Value, typed: str) -> Quantity:
    number, step, _, unit = value
    if unit is None:
        raise _UnreadableError("the temperature has no unit")
    size = Fraction(unit.numerator, unit.denominator)
    kelvin = (sign * number + unit.offset) * size
    return Quantity(_as_float(kelvin), typed, "temperature", _as_float(step * size))


def _timed(text: str, dimension: str) -> _Value | None:
    """Read `5 gal in 68 s`, `20 ft in 15 min`, `68 s per 5 gal`."""
    above = {"flow": "volume", "speed": "length"}.get(dimension)
    if above is None:
        return None
    match = _IN_TIME.fullmatch(text)
    if match is not None and _begins_with(match[1], above):
        return _over_time(match[1], match[2], above)
    match = _TIME_FOR.fullmatch(text)
    if match is not None and _begins_with(match[1], "time"):
        return _over_time(match[2], match[1], above)
    return None


def _begins_with(text: str, dimension: str) -> bool:
    try:
        _compound(_bucketless(text), dimension, None)
    except _UnreadableError:
        return False
    return True


def _bucketless(text: str) -> str:
    return re.sub(r"(?<=[0-9])-(?=[a-z])", " ", text, flags=re.IGNORECASE)


def _over_time(amount_text: str, time_text: str, above: str) -> _Value:
    amount = _compound(_bucketless(amount_text), above, None)
    clock = _CLOCK.fullmatch(time_text)
    if clock is not None:
        time, step = _clock_seconds(clock)
    else:
        time, step, *_ = _compound(time_text, "time", None)
    if time == 0:
        raise _UnreadableError("the time is zero")
    rate = amount[0] / time
    return rate, rate * step / time, "", None


def _clock_seconds(clock: re.Match[str]) -> tuple[Fraction, Fraction]:
    parts = [int(part) for part in clock.group(1, 2, 3) if part is not None]
    seconds = Fraction(sum(part * 60**place for place, part in enumerate(reversed(parts))))
    if clock[4]:
        return seconds + Fraction(int(clock[4]), 10 ** len(clock[4])), Fraction(1, 10 ** len(clock[4]))
    return seconds, Fraction(1)


def _compound(text: str, dimension: str, default: str | None) -> _Value:
    """Read one number and unit, or several of falling size (`46 ft 3 in`, `1 h 20 min`)."""
    total, step, added = Fraction(0), Fraction(0), ""
    last: Unit | None = None
    primed = False
    if not text:
        raise _UnreadableError("there is no number")
    while text:
        number = _number(text)
        rest = text[number.length :].lstrip()
        if not rest:
            unit, given = _missing_unit(dimension, primed, default)
            added = added or given
        else:
            primed = rest.startswith("'")
            unit, rest = _unit(rest, dimension)
        if last is not None:
            _check_falling(number, unit, last)
        if rest and (not number.whole or dimension not in _COMPOUND):
            raise _UnreadableError(f"{rest!r} is left over after the quantity")
        if dimension == "temperature":
            step = Fraction(number.step_top, number.step_bottom)
            return Fraction(number.top, number.bottom), step, added, unit
        total += _exact(number, unit)
        size = Fraction(unit.numerator, unit.denominator)
        step = Fraction(number.step_top, number.step_bottom) * size
        if unit.inverse:
            step = total * Fraction(number.step_top * number.bottom, number.step_bottom * number.top)
        text, last, default = rest, unit, None
    return total, step, added, last


def _number(text: str) -> Number:
    try:
        return read_number(text)
    except UnreadableNumberError as error:
        raise _UnreadableError(str(error)) from None


def _exact(number: Number, unit: Unit) -> Fraction:
    if not unit.inverse:
        return Fraction(number.top * unit.numerator, number.bottom * unit.denominator)
    if number.top == 0:
        raise _UnreadableError("the time is zero")
    return Fraction(number.bottom * unit.numerator, number.top * unit.denominator)


def _check_falling(number: Number, unit: Unit, last: Unit) -> None:
    smaller, larger = Fraction(unit.numerator, unit.denominator), Fraction(last.numerator, last.denominator)
    if smaller >= larger:
        raise _UnreadableError(f"{unit.symbol} cannot follow {last.symbol}")
    if Fraction(number.top, number.bottom) * smaller >= larger:
        raise _UnreadableError(f"the {unit.symbol} after {last.symbol} make a whole {last.symbol} or more")


def _unit(rest: str, dimension: str) -> tuple[Unit, str]:
    """Find the unit at the head of rest, and what follows it."""
    unit = find_unit(rest, dimension)
    if unit is not None:
        return unit, ""
    head = rest[: run.end()] if (run := _UNIT_RUN.match(rest)) else ""
    if head and len(head) < len(rest) and find_any_unit(rest) is None:
        unit = find_unit(head, dimension)
        if unit is not None:
            return unit, re.sub(r"^[ ,]*(?:and )?", "", rest[len(head) :])
    raise _unknown_unit(rest, dimension)


def _missing_unit(dimension: str, primed: bool, default: str | None) -> tuple[Unit, str]:
    """Choose the unit of a number typed without one, and the text to add to what was typed."""
    unit = find_unit("in", dimension) if primed else None
    if unit is not None:
        return unit, ""
    unit = find_unit(default, dimension) if default else None
    if unit is not None and default is not None:
        return unit, default
    raise _UnreadableError("the number has no unit")


def _unknown_unit(rest: str, dimension: str) -> _UnreadableError:
    other = find_any_unit(rest)
    if other is not None:
        return _UnreadableError(f"{rest} is a unit of {other.dimension}, not of {dimension}")
    near = difflib.get_close_matches(rest.casefold(), list(SPELLINGS[dimension]), n=1)
    hint = f"; the nearest known unit is {SPELLINGS[dimension][near[0]].symbol}" if near else ""
    return _UnreadableError(f"the unit {rest!r} is not known{hint}")
