"""Print lines and JSON so that no file can make a terminal do anything but show text."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import TextIO
from unicodedata import category

REPLACEMENT = "�"


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


def print_lines(lines: Iterable[str], stream: TextIO | None = None) -> None:
    """Print lines of text.

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
    written = "".join(f"{plain_text(line)}\n" for line in lines)
    out = sys.stdout if stream is None else stream
    out.write(written)
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
