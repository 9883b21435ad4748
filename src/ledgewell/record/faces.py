"""The faces of a record: well file (TOML), JSON, and the canonical bytes that name it."""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import Any

from ledgewell.errors import InputError, Problem
from ledgewell.record.edge import Writer
from ledgewell.record.walk import write_table
from ledgewell.record.well import Well, read_document

MAX_CHARACTERS = 4_000_000
"""Longest well file; a logger's readings belong in their own file beside it."""

_DEEP_KEY = re.compile(r"^[ \t]*\[{0,2}(?:[A-Za-z0-9_\"'-]+[ \t]*\.[ \t]*){16}", re.MULTILINE)


def read_toml(text: str, *, source: str = "") -> dict[str, Any]:
    """Read TOML into plain tables, decimals kept as they were typed.

    Parameters
    ----------
    text
        TOML.
    source
        Name of the file, for error text.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        When it is not TOML, too long, or nested too deeply.

    Examples
    --------
    >>> read_toml("a = 1.50")
    {'a': Decimal('1.50')}
    """
    right = "a well file in TOML; the manual shows one"
    where = source or "file"
    if not isinstance(text, str):
        raise InputError(
            [Problem(where=where, given=type(text).__name__, say="this is not text", right=right)]
        )
    if len(text) > MAX_CHARACTERS:
        say = f"the file has {len(text)} characters, more than {MAX_CHARACTERS}"
        right = "the logger's readings in their own file, named by file = in the test"
        raise InputError([Problem(where=where, given=repr(text[:40]), say=say, right=right)])
    deep = _DEEP_KEY.search(text)
    if deep is not None:
        say = "a name with more than 16 parts"
        raise InputError([Problem(where=where, given=repr(deep[0][:60]), say=say, right=right)])
    try:
        return tomllib.loads(text.removeprefix("\ufeff"), parse_float=_decimal)
    except RecursionError:
        say = "this is nested too deeply"
        raise InputError([Problem(where=where, given=repr(text[:40]), say=say, right=right)]) from None
    except ValueError as error:
        say = f"this is not TOML: {str(error)[:200]}"
        raise InputError(
            [Problem(where=where, given=_line_of(text, str(error)), say=say, right=right)]
        ) from None


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("inf")


def _line_of(text: str, message: str) -> str:
    found = re.search(r"line (\d+)", message)
    lines = text.splitlines()
    number = int(found[1]) if found else len(lines)
    return repr(lines[number - 1][:80]) if 0 < number <= len(lines) else "the end of the file"


def read_well(text: str, *, source: str = "") -> Well:
    """Read a well file.

    Parameters
    ----------
    text
        The file's text, TOML.
    source
        Name of the file; when given, the place of every problem begins with it.

    Returns
    -------
    Well

    Raises
    ------
    InputError
        With everything that cannot be read, together.

    Examples
    --------
    >>> read_well('format = 1\\n[[bore]]\\nbottom = "405 ft"').bores[0].bottom.typed
    '405 ft'
    """
    return _named(source, lambda: read_document(read_toml(text, source=source)))


def _named(source: str, read: Callable[[], Well]) -> Well:
    try:
        return read()
    except InputError as error:
        if not source:
            raise
        problems = [
            problem
            if problem.where.startswith(source)
            else Problem(
                where=f"{source}: {problem.where}", given=problem.given, say=problem.say, right=problem.right
            )
            for problem in error.problems
        ]
    raise InputError(problems)


def write_well(well: Well, *, ids: bool = True) -> str:
    """Write a well file, every quantity as it was typed.

    Parameters
    ----------
    well
        The record.
    ids
        Whether the ids of items and readings are written, so that the file can be merged back.

    Returns
    -------
    str
        TOML.

    Examples
    --------
    >>> print(write_well(Well(units="us")))
    format = 1
    units = "us"
    <BLANKLINE>
    """
    return toml_text(write_table(well, Writer(face="file", system=well.units, ids=ids)))


def toml_text(document: dict[str, Any]) -> str:
    """Write plain tables as TOML, short rows on one line.

    Parameters
    ----------
    document
        Tables, lists, text, numbers, dates.

    Returns
    -------
    str
        TOML.

    Examples
    --------
    >>> print(toml_text({"curve": [[5, 320]]}))
    curve = [
        [5, 320],
    ]
    <BLANKLINE>
    """
    import tomli_w

    return _rows_on_one_line(tomli_w.dumps(document))


def _rows_on_one_line(toml: str) -> str:
    """Write `[5, 320]` where tomli-w spreads a row of an array over four lines; the meaning is the same.

    A line that is only an opening bracket begins such a row: text stands in quotes and on one line.
    """
    lines: list[str] = []
    row: list[str] | None = None
    for line in toml.split("\n"):
        bare = line.strip()
        if bare == "[":
            row = []
        elif row is not None and bare in ("]", "],"):
            indent = line[: len(line) - len(line.lstrip())]
            lines.append(f"{indent}[{', '.join(row)}{bare}")
            row = None
        elif row is not None:
            row.append(bare.removesuffix(","))
        else:
            lines.append(line)
    return "\n".join(lines)


def well_to_json(well: Well, *, units: str | None = None) -> dict[str, Any]:
    """Write a record as JSON values.

    Parameters
    ----------
    well
        The record.
    units
        ``"us"`` or ``"si"`` for the values; None for the file's own, or else US.

    Returns
    -------
    dict
        Quantities as value, unit and typed text; values are not rounded.

    Examples
    --------
    >>> well_to_json(read_well('format = 1\\n[[bore]]\\nbottom = "14.1 m"'), units="si")["bore"][0]["bottom"]
    {'value': 14.1, 'unit': 'm', 'typed': '14.1 m'}
    """
    return write_table(well, Writer(face="json", system=units or well.units))


def well_from_json(document: object) -> Well:
    """Read a record from JSON values.

    Parameters
    ----------
    document
        What `json.loads` gave.

    Returns
    -------
    Well

    Raises
    ------
    InputError
        With everything that cannot be read, together.

    Examples
    --------
    >>> well_from_json({"format": 1, "well": {"stickup": {"value": 18, "unit": "in"}}}).well.stickup.typed
    '18 in'
    """
    return read_document(document)


def canonical_bytes(well: Well) -> bytes:
    """Write a record so that equal records give equal bytes.

    Parameters
    ----------
    well
        The record.

    Returns
    -------
    bytes
        UTF-8 JSON: keys sorted, items in their computed order, quantities as typed, unit system left out.

    Examples
    --------
    >>> canonical_bytes(Well(units="us"))
    b'{"format":1}'
    """
    document = write_table(well, Writer(face="canonical"))
    document.pop("units", None)
    return json.dumps(
        document, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
    ).encode()


def record_mark(well: Well) -> str:
    """Name a record by its content.

    Parameters
    ----------
    well
        The record.

    Returns
    -------
    str
        SHA-256 of the canonical bytes, in hexadecimal.

    Examples
    --------
    >>> record_mark(Well())[:16]
    '3f0a99256beeb89a'
    """
    return hashlib.sha256(canonical_bytes(well)).hexdigest()
