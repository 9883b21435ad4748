"""Open a well: from a path or standard input to a record, or to words that say why not."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from ledgewell.errors import InputError, Problem
from ledgewell.record import Well, read_well
from ledgewell.steps.findings import Warned

STANDARD_INPUT = "-"
BOOK = "book:"
MAX_BYTES = 16_000_000
"""Longest file that is read; the record itself allows a quarter as many characters."""
_RIGHT = "the path of a well file, or - for standard input"
_BYTE_ORDER_MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_TEXT_CONTROLS = frozenset("\t\n\r\f")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A well file as read.

    Parameters
    ----------
    given
        What stood on the command line.
    well
        The record.
    warned
        What had to be supposed to read the file at all.
    """

    given: str
    well: Well
    warned: tuple[Warned, ...] = ()

    @property
    def name(self) -> str:
        """Name of the well, or else of its file."""
        return self.well.well.name or ("well" if self.given == STANDARD_INPUT else Path(self.given).stem)


def open_well(given: str) -> Opened:
    """Read one well from what stands on the command line.

    Parameters
    ----------
    given
        A path, or ``-`` for standard input. ``book:NAME`` is understood and refused: there is no book yet.

    Returns
    -------
    Opened

    Raises
    ------
    InputError
        When there is no such file, it is a folder, empty, too large or not text, or the record cannot be read.

    Examples
    --------
    >>> open_well("book:Upper field")
    Traceback (most recent call last):
    ledgewell.errors.InputError: FILE: there is no book yet (given 'book:Upper field'; the path of a well ...
    """
    if given.startswith(BOOK):
        raise _unopened(given, "there is no book yet")
    data = _standard_input() if given == STANDARD_INPUT else _file_bytes(given)
    if len(data) > MAX_BYTES:
        raise _too_large(given, f"more than {MAX_BYTES}")
    if not data.strip():
        raise _unopened(given, "there is nothing in it")
    text, warned = text_from_bytes(data, given)
    return Opened(given=given, well=read_well(text), warned=warned)


def _unopened(given: str, say: str, right: str = _RIGHT) -> InputError:
    return InputError([Problem(where="FILE", given=repr(given), say=say, right=right)])


def _too_large(given: str, size: str) -> InputError:
    right = (
        f"at most {MAX_BYTES} bytes; a logger's readings stay in their own file, named by file = in the test"
    )
    return _unopened(given, f"it has {size} bytes, which is too much for a well file", right)


def _standard_input() -> bytes:
    return sys.stdin.buffer.read(MAX_BYTES + 1)


def _file_bytes(given: str) -> bytes:
    path = Path(given)
    try:
        if path.is_dir():
            raise _unopened(given, "this is a folder", "the path of a well file in it")
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise _too_large(given, str(size))
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise _unopened(given, "there is no such file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _unopened(given, f"it cannot be opened: {reason.lower()}") from None


def text_from_bytes(data: bytes, given: str) -> tuple[str, tuple[Warned, ...]]:
    """Decode a well file: UTF-8, else Windows-1252 or UTF-16 with a warning that says so.

    Parameters
    ----------
    data
        The file.
    given
        Its name, for error text.

    Returns
    -------
    tuple
        The text, and a warning when it is not UTF-8.

    Raises
    ------
    InputError
        When it is not text.

    Examples
    --------
    >>> text, warned = text_from_bytes('color = "grisâtre"'.encode("cp1252"), "well.toml")
    >>> text, warned[0].where
    ('color = "grisâtre"', 'file')
    """
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return _decoded(data, encoding, "UTF-16", given)
    try:
        return _checked(data.decode("utf-8-sig"), given), ()
    except UnicodeDecodeError:
        return _decoded(data, "cp1252", "Windows-1252", given)


def _decoded(data: bytes, encoding: str, called: str, given: str) -> tuple[str, tuple[Warned, ...]]:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        raise _not_text(given) from None
    say = f"this is not UTF-8 and was read as {called}; look at its accents and signs, and save it as UTF-8"
    return _checked(text, given), (Warned("file", say),)


def _checked(text: str, given: str) -> str:
    """Refuse what decodes but is no text: a picture, a spreadsheet, a program."""
    if any(letter < " " and letter not in _TEXT_CONTROLS for letter in text):
        raise _not_text(given)
    return text


def _not_text(given: str) -> InputError:
    return _unopened(given, "this is not text", "a well file: TOML, saved as UTF-8")
