"""Numbers as people write them: fractions, mixed numbers, thousands separators, decimal commas."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import gcd

_MAX_DIGITS = 40
_MAX_EXPONENT = 60


class UnreadableNumberError(ValueError):
    """A piece of text is not one number; its message says why."""


@dataclass(frozen=True, slots=True)
class Number:
    """An exact number with the size of its last step.

    Parameters
    ----------
    top, bottom
        The number as a ratio.
    step_top, step_bottom
        The step: 1/100 for two decimals, 1/8 for eighths.
    whole
        True when it was written without a fraction or decimals.
    length
        Characters it took.
    """

    top: int
    bottom: int
    step_top: int
    step_bottom: int
    whole: bool
    length: int


_MIXED = re.compile(r"([0-9]{1,9})(?: ?- ?| +)([0-9]{1,6}) ?/ ?([0-9]{1,6})(?![0-9.,])")
_FRACTION = re.compile(r"([0-9]{1,9}) ?/ ?([0-9]{1,6})(?![0-9.,])")
_SPACED = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?(?![0-9.,])")
_DECIMAL = re.compile(r"(?:[0-9][0-9.,]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")
_PLAIN = re.compile(r"([0-9]*)\.?([0-9]*)(?:[eE]([+-]?[0-9]+))?")
_THOUSANDS_COMMA = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_THOUSANDS_DOT = re.compile(r"[1-9][0-9]{0,2}(?:(?:\.[0-9]{3})+,[0-9]+|(?:\.[0-9]{3}){2,})")
_DECIMAL_COMMA = re.compile(r"[0-9]*,[0-9]+")


def read_number(text: str) -> Number:
    """Read the number that text begins with.

    Parameters
    ----------
    text
        Text that begins with an unsigned number.

    Returns
    -------
    Number

    Raises
    ------
    UnreadableNumberError
        When it begins with no number, or with one that can be read two ways.

    Notes
    -----
    A comma before exactly three digits groups thousands, unless the number begins with 0; any other single
    comma is a decimal comma. `1.200,5` and `1.234.567` group thousands with dots.

    Examples
    --------
    >>> number = read_number("6 1/4 in")
    >>> number.top, number.bottom, number.length
    (25, 4, 5)
    """
    match = _MIXED.match(text)
    if match:
        return _fraction(int(match[1]), int(match[2]), int(match[3]), match.end())
    match = _FRACTION.match(text)
    if match:
        return _fraction(0, int(match[1]), int(match[2]), match.end())
    match = _SPACED.match(text)
    if match:
        return _decimal(match[0].replace(" ", ""), match.end(), grouped=True)
    match = _DECIMAL.match(text)
    if match is None:
        raise UnreadableNumberError("there is no number")
    written = match[0]
    trimmed = written.rstrip(",")
    return _decimal(trimmed, match.end() - (len(written) - len(trimmed)))


def _fraction(whole: int, top: int, bottom: int, length: int) -> Number:
    if bottom == 0:
        raise UnreadableNumberError("the fraction divides by zero")
    if whole and top >= bottom:
        raise UnreadableNumberError("the fraction of a mixed number must be less than one")
    return Number(whole * bottom + top, bottom, 1, bottom, whole=False, length=length)


def _decimal(written: str, length: int, *, grouped: bool = False) -> Number:
    plain = _without_separators(written, grouped=grouped)
    match = _PLAIN.fullmatch(plain)
    if match is None or not (match[1] or match[2]):
        raise UnreadableNumberError(f"{written} is not one number")
    digits, decimals, exponent = match[1] + match[2], len(match[2]), match[3] or "0"
    if len(digits) > _MAX_DIGITS or len(exponent) > 5 or abs(int(exponent)) > _MAX_EXPONENT:
        raise UnreadableNumberError("the number is too large or has too many digits")
    return number_of(int(digits), int(exponent) - decimals, length)


def number_of(digits: int, power: int, length: int = 0) -> Number:
    """Build the number digits x 10**power, whose step is one unit of its last digit.

    Parameters
    ----------
    digits
        Digits, as a whole number.
    power
        Power of ten of the last digit.
    length
        Characters it took.

    Returns
    -------
    Number

    Examples
    --------
    >>> number_of(385, -1).bottom
    2
    """
    top, bottom = (digits * 10**power, 1) if power >= 0 else (digits, 10**-power)
    step_top, step_bottom = (10**power, 1) if power >= 0 else (1, bottom)
    shared = gcd(top, bottom)
    return Number(top // shared, bottom // shared, step_top, step_bottom, whole=power >= 0, length=length)


def _without_separators(written: str, *, grouped: bool) -> str:
    mantissa, exponent_mark, exponent = written.replace("E", "e").partition("e")
    tail = exponent_mark + exponent
    if "," not in mantissa and mantissa.count(".") <= 1:
        return mantissa + tail
    if not grouped and _THOUSANDS_COMMA.fullmatch(mantissa):
        return mantissa.replace(",", "") + tail
    if not grouped and _THOUSANDS_DOT.fullmatch(mantissa):
        return mantissa.replace(".", "").replace(",", ".") + tail
    if _DECIMAL_COMMA.fullmatch(mantissa):
        return mantissa.replace(",", ".") + tail
    raise UnreadableNumberError(f"{written} can be read in more than one way")
