"""What a field of the record may hold: one small class per sort of value.

Each knows how to read a value out of a document, write it to each face, and describe itself as JSON Schema.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Protocol
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from ledgewell.record.edge import Reader, Writer, nearest

MAX_NOTE = 20_000
MAX_NAME = 400
MAX_LIST = 1000
FIRST_YEAR, LAST_YEAR = 1700, 2300
_LARGEST = 1e15
_MOST_DIGITS = 40
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")


class Spec(Protocol):
    """What every sort of value must answer."""

    def read(self, given: Any, where: str, reader: Reader, /) -> Any:
        """Read a value; note problems and return None when it cannot be read."""

    def write(self, value: Any, writer: Writer, /) -> Any:
        """Write a value for the writer's face."""

    def schema(self) -> dict[str, Any]:
        """Describe the value as JSON Schema."""


def is_number(given: object) -> bool:
    """Tell whether a value out of a document is a number; True and False are not.

    Examples
    --------
    >>> is_number(2.5), is_number(True)
    (True, False)
    """
    return isinstance(given, (int, float, Decimal)) and not isinstance(given, bool)


def number_text(given: float | Decimal) -> str | None:
    """Write a number plainly, digits and a point.

    Parameters
    ----------
    given
        Number out of a document.

    Returns
    -------
    str or None
        None when it is not finite, or would take more than some 30 digits.

    Examples
    --------
    >>> number_text(Decimal("47.10")), number_text(float("nan"))
    ('47.10', None)
    """
    if isinstance(given, int) and abs(given) >= 10**30:
        return None
    number = Decimal(repr(float(given))) if isinstance(given, float) else Decimal(given)
    exponent = number.as_tuple().exponent
    if not isinstance(exponent, int) or abs(exponent) > _MOST_DIGITS or abs(number.adjusted()) > _MOST_DIGITS:
        return None
    return f"{number:f}"


def clean_text(given: object, where: str, reader: Reader, longest: int = MAX_NAME) -> str | None:
    """Read text; empty text counts as not given.

    Parameters
    ----------
    given
        Value out of a document.
    where
        Its place.
    reader
        Takes the problems.
    longest
        Characters allowed.

    Returns
    -------
    str or None

    Examples
    --------
    >>> clean_text("Upper field", "well.name", Reader())
    'Upper field'
    """
    if not isinstance(given, str):
        reader.problem(where, given, "this must be text", 'text in quotes, such as "…"')
        return None
    text = given.replace("\r\n", "\n")
    if len(text) > longest:
        reader.problem(where, text, f"this is {len(text)} characters long", f"at most {longest} characters")
        return None
    if any((mark < " " and mark not in "\n\t") or "\x7f" <= mark < "\xa0" for mark in text):
        reader.problem(where, text, "this has a control character in it", "plain text")
        return None
    if any("\ud800" <= mark <= "\udfff" for mark in text):
        reader.problem(where, ascii(text), "this has half a character in it", "plain text")
        return None
    return text or None


@dataclass(frozen=True, slots=True)
class TextSpec:
    """Plain text."""

    longest: int = MAX_NAME

    def read(self, given: Any, where: str, reader: Reader, /) -> str | None:
        return clean_text(given, where, reader, self.longest)

    def write(self, value: str, _writer: Writer, /) -> str:
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "maxLength": self.longest}


@dataclass(frozen=True, slots=True)
class TextOrNumberSpec:
    """Text that people often type as a bare number: a pipe size, a laboratory value."""

    def read(self, given: Any, where: str, reader: Reader, /) -> str | None:
        if is_number(given):
            written = number_text(given)
            if written is None:
                reader.problem(where, given, "this is not a usable number", "a number, or text")
            return written
        return clean_text(given, where, reader)

    def write(self, value: str, _writer: Writer, /) -> str:
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"]}


@dataclass(frozen=True, slots=True)
class IdSpec:
    """Name of an item within its table, used in the journal's paths."""

    def read(self, given: Any, where: str, reader: Reader, /) -> str | None:
        if isinstance(given, str) and _ID.fullmatch(given):
            return given
        reader.problem(
            where, given, "this cannot be an id", "1 to 64 letters, digits, dots, dashes or underscores"
        )
        return None

    def write(self, value: str, _writer: Writer, /) -> str:
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{_ID.pattern}$"}


@dataclass(frozen=True, slots=True)
class ChoiceSpec:
    """One of a few words."""

    choices: tuple[str, ...]

    def read(self, given: Any, where: str, reader: Reader, /) -> str | None:
        if isinstance(given, str):
            word = " ".join(given.split()).casefold()
            if word in self.choices:
                return word
            reader.problem(where, given, "this word is not known here", nearest(word, self.choices))
        else:
            reader.problem(where, given, "this must be one word", "one of " + ", ".join(self.choices))
        return None

    def write(self, value: str, _writer: Writer, /) -> str:
        return value

    def schema(self) -> dict[str, Any]:
        return {"enum": list(self.choices)}


@dataclass(frozen=True, slots=True)
class ChoicesSpec:
    """A list of words, each one of a few."""

    choices: tuple[str, ...]

    def read(self, given: Any, where: str, reader: Reader, /) -> tuple[str, ...] | None:
        if isinstance(given, str):
            given = [given]
        if not isinstance(given, (list, tuple)):
            reader.problem(where, given, "this must be a list of words", f'such as ["{self.choices[0]}"]')
            return None
        one = ChoiceSpec(self.choices)
        words = [one.read(word, f"{where}[{i}]", reader) for i, word in enumerate(given[:MAX_LIST])]
        return tuple(dict.fromkeys(word for word in words if word is not None))

    def write(self, value: Sequence[str], _writer: Writer, /) -> list[str] | None:
        return list(value) or None

    def schema(self) -> dict[str, Any]:
        return {"type": "array", "items": {"enum": list(self.choices)}}


@dataclass(frozen=True, slots=True)
class FlagSpec:
    """True or false, and for some fields "unknown"."""

    unknown: bool = False

    def read(self, given: Any, where: str, reader: Reader, /) -> bool | str | None:
        if isinstance(given, bool):
            return given
        if self.unknown and given == "unknown":
            return "unknown"
        reader.problem(where, given, "this must be true or false", self._right())
        return None

    def _right(self) -> str:
        return 'true, false or "unknown"' if self.unknown else "true or false"

    def write(self, value: bool | str, _writer: Writer, /) -> bool | str:
        return value

    def schema(self) -> dict[str, Any]:
        return {"enum": [True, False, "unknown"]} if self.unknown else {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class NumberSpec:
    """A number without a unit: a count, a latitude, a price."""

    least: float = 0
    most: float = _LARGEST
    whole: bool = False

    def read(self, given: Any, where: str, reader: Reader, /) -> float | int | None:
        right = f"a {'whole ' if self.whole else ''}number from {self.least:g} to {self.most:g}"
        if not is_number(given):
            reader.problem(where, given, "this must be a number", right)
            return None
        if Decimal(given).is_nan():
            reader.problem(where, given, "this is not a number", right)
            return None
        if not self.least <= given <= self.most:
            reader.problem(where, given, "this number is out of range", right)
            return None
        if self.whole and given != int(given):
            reader.problem(where, given, "this must be a whole number", right)
            return None
        return int(given) if self.whole else float(given)

    def write(self, value: float, _writer: Writer, /) -> float:
        return value

    def schema(self) -> dict[str, Any]:
        kind = "integer" if self.whole else "number"
        return {"type": kind, "minimum": self.least, "maximum": self.most}


@dataclass(frozen=True, slots=True)
class DateSpec:
    """A day, or a day and time; the time may carry its offset from UTC."""

    day_only: bool = False

    def read(self, given: Any, where: str, reader: Reader, /) -> date | datetime | None:
        moment = parse_moment(given) if isinstance(given, str) else given
        if isinstance(moment, date) and not FIRST_YEAR <= moment.year <= LAST_YEAR:
            reader.problem(
                where, given, "no well has such a date", f"a year from {FIRST_YEAR} to {LAST_YEAR}"
            )
            return None
        if isinstance(moment, datetime):
            return moment.date() if self.day_only else moment
        if isinstance(moment, date):
            return moment
        right = "a day such as 2026-09-14" + (
            "" if self.day_only else ", or a day and time 2026-09-14T09:10:00"
        )
        reader.problem(where, given, "this is not a date", right)
        return None

    def write(self, value: date | datetime, writer: Writer, /) -> date | datetime | str:
        return value if writer.face == "file" else value.isoformat()

    def schema(self) -> dict[str, Any]:
        if self.day_only:
            return {"type": "string", "format": "date"}
        return {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}"}


def parse_moment(text: str) -> date | datetime | None:
    """Read a day, or a day and time, from ISO 8601 text.

    Parameters
    ----------
    text
        Such as ``2026-09-14``, ``2026-09-14 09:10`` or ``2026-09-14T09:10:00-04:00``.

    Returns
    -------
    date or datetime or None
        None when it is neither.

    Examples
    --------
    >>> parse_moment("2026-09-14T09:10")
    datetime.datetime(2026, 9, 14, 9, 10)
    >>> parse_moment("14/9/26") is None
    True
    """
    text = text.strip()
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
            return date.fromisoformat(text)
        if re.match(r"\d{4}-\d{2}-\d{2}[T ]\d", text):
            return datetime.fromisoformat(text)
    except ValueError:
        return None
    return None


@dataclass(frozen=True, slots=True)
class ZoneSpec:
    """An IANA time zone name."""

    def read(self, given: Any, where: str, reader: Reader, /) -> str | None:
        name = clean_text(given, where, reader)
        if name is None:
            return None
        try:
            ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            reader.problem(
                where, given, "no time zone has this name", "an IANA name, such as America/New_York"
            )
            return None
        return name

    def write(self, value: str, _writer: Writer, /) -> str:
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "description": "IANA time zone name"}
