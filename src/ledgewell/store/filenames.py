"""Names of files: a plain name and nothing that could point elsewhere on any system."""

from __future__ import annotations

import re
import unicodedata
from pathlib import PurePosixPath

from ledgewell.errors import InputError, Problem

LONGEST_NAME = 150
_DEVICES = re.compile(r"(con|prn|aux|nul|clock\$|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])", re.IGNORECASE)
_FORBIDDEN = frozenset('<>:"|?*/\\')


def plain_name(given: str) -> str:
    """Accept the name of a file, or say why it is none.

    Parameters
    ----------
    given
        Name, with its ending.

    Returns
    -------
    str
        The same name, in Unicode's composed form.

    Raises
    ------
    InputError
        When it is a path, hidden, empty, too long, or means something else to a system.

    Examples
    --------
    >>> plain_name("camera 312 ft.jpg")
    'camera 312 ft.jpg'
    >>> plain_name("../office.jpg")
    Traceback (most recent call last):
    ledgewell.errors.InputError: file: this is a path...
    """
    name = unicodedata.normalize("NFC", given)
    say = _wrong(name)
    if say is not None:
        right = "a plain name with its ending, such as camera-312.jpg"
        raise InputError([Problem(where="file", given=ascii(given)[:120], say=say, right=right)])
    return name


def ending_of(name: str) -> str:
    """Tell how a name ends, in small letters, without the dot.

    Parameters
    ----------
    name
        Name of a file.

    Returns
    -------
    str

    Examples
    --------
    >>> ending_of("IMG_0001.JPG")
    'jpg'
    """
    return PurePosixPath(name).suffix.removeprefix(".").lower()


def _wrong(name: str) -> str | None:
    if "/" in name or "\\" in name:
        return "this is a path, not the name of a file"
    if not name.strip(". ") or name.startswith(".") or name != name.strip() or name.endswith("."):
        return "the name is empty, hidden, or has a dot or blank at its end"
    if len(name.encode("utf-8", "surrogatepass")) > LONGEST_NAME:
        return f"the name has more than {LONGEST_NAME} bytes"
    if any(
        mark in _FORBIDDEN or unicodedata.category(mark) in ("Cc", "Cf", "Cs", "Zl", "Zp") for mark in name
    ):
        return "the name has a mark in it that means something else to a system, or that cannot be seen"
    if _DEVICES.fullmatch(name.split(".")[0].strip()):
        return "the name is that of a device on some systems"
    return None
