"""Print lines and JSON so that no file can make a terminal do anything but show text."""

from __future__ import annotations

import json
import os
import shutil
import sys
import textwrap
from collections.abc import Iterable
from typing import TextIO
from unicodedata import category

REPLACEMENT = "�"
NARROWEST = 40
"""Lines are never broken shorter than this."""


def plain_text(text: str) -> str:
    """Replace every control character but the end of a line, so that text stays text on a terminal.

    Parameters
    ----------
    text
        Text that may hold what a file held.

    Returns
    -------
    str

    Examples
    --------
    >>> plain_text("Upper \\x1b[2Jfield")
    'Upper �[2Jfield'
    """
    if text.isprintable():
        return text
    return "".join(
        each if each == "\n" or category(each) not in ("Cc", "Cs") else REPLACEMENT for each in text
    )


def line_width(stream: TextIO) -> int | None:
    """Find the width at which prose is to be broken.

    Parameters
    ----------
    stream
        Where it will be printed.

    Returns
    -------
    int or None
        That of the terminal, or of ``COLUMNS`` where it is set; None for a pipe or a file, whose lines stay whole.

    Examples
    --------
    >>> import io
    >>> line_width(io.StringIO()) == (int(os.environ["COLUMNS"]) if "COLUMNS" in os.environ else None)
    True
    """
    if "COLUMNS" not in os.environ and not stream.isatty():
        return None
    return max(shutil.get_terminal_size().columns, NARROWEST)


def broken_at(line: str, width: int) -> str:
    """Break a line of prose between words, the rest indented under it; a row of a table stays whole.

    Parameters
    ----------
    line
        One line.
    width
        Longest line wanted.

    Returns
    -------
    str

    Examples
    --------
    >>> print(broken_at("  level: no depth to water at rest is recorded", 30))
      level: no depth to water at
        rest is recorded
    >>> broken_at("  40 ft  400 ft  6 1/4 in  1.59 gal/ft  bore", 30)
    '  40 ft  400 ft  6 1/4 in  1.59 gal/ft  bore'
    """
    words = line.strip()
    if len(line) <= width or "  " in words:
        return line
    indent = line[: len(line) - len(line.lstrip())]
    further = indent + "  " if indent else ""
    return textwrap.fill(
        words,
        width,
        initial_indent=indent,
        subsequent_indent=further,
        break_long_words=False,
        break_on_hyphens=False,
    )


def print_lines(lines: Iterable[str], stream: TextIO | None = None) -> None:
    """Print lines of text, broken between words to the width of a terminal.

    Parameters
    ----------
    lines
        What to print.
    stream
        Where; standard output when left out.

    Examples
    --------
    >>> print_lines(["400 ft hole", "dry"])
    400 ft hole
    dry
    """
    out = sys.stdout if stream is None else stream
    width = line_width(out)
    plain = [each for line in lines for each in plain_text(line).split("\n")]
    broken = plain if width is None else [broken_at(line, width) for line in plain]
    out.write("".join(f"{line}\n" for line in broken))
    out.flush()


def print_json(document: object) -> None:
    """Print JSON values, indented, in characters as they are.

    Parameters
    ----------
    document
        Tables, lists, text, finite numbers, truth values and None.

    Examples
    --------
    >>> print_json({"value": 290.0, "unit": "ft"})
    {
      "value": 290.0,
      "unit": "ft"
    }
    """
    sys.stdout.write(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n")
    sys.stdout.flush()
