"""The edge of the record: the reader that collects problems and the writer that knows its face."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from ledgewell.errors import InputError, Problem

MAX_GIVEN = 120
MAX_PROBLEMS = 500

Face = Literal["file", "json", "canonical"]


@dataclass(slots=True)
class Reader:
    """What one reading of a document carries along.

    Parameters
    ----------
    system
        Unit system of bare numbers, or None when a bare number is an error.
    problems
        Everything found wrong so far.
    """

    system: str | None = None
    problems: list[Problem] = field(default_factory=list)

    def problem(self, where: str, given: object, say: str, right: str) -> None:
        """Note one problem.

        Parameters
        ----------
        where
            Place in the document.
        given
            What stood there; shortened for printing.
        say
            What is wrong with it.
        right
            What would be right.

        Examples
        --------
        >>> reader = Reader()
        >>> reader.problem("well.zone", "Mars", "no such zone", "an IANA name")
        >>> len(reader.problems)
        1
        """
        if not self.full:
            self.problems.append(Problem(where=where, given=shorten(given), say=say, right=right))

    @property
    def full(self) -> bool:
        """Whether so much is wrong that reading on would say nothing new."""
        return len(self.problems) >= MAX_PROBLEMS

    def take(self, error: InputError) -> None:
        """Note the problems an error carries.

        Parameters
        ----------
        error
            The error that was caught.

        Examples
        --------
        >>> reader = Reader()
        >>> reader.take(InputError([Problem(where="a", given="b", say="c", right="d")]))
        >>> reader.problems[0].where
        'a'
        """
        self.problems.extend(error.problems[: MAX_PROBLEMS - len(self.problems)])

    def check(self) -> None:
        """Raise everything noted so far, together.

        Raises
        ------
        InputError
            When anything was noted.

        Examples
        --------
        >>> Reader().check()
        """
        if self.problems:
            raise InputError(self.problems)


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """What one writing of a record carries along.

    Parameters
    ----------
    face
        ``"file"`` for the well file, ``"json"``, or ``"canonical"`` for the record mark.
    system
        Unit system of bare numbers in a file, and of values in JSON.
    ids
        Whether ids are written.
    """

    face: Face
    system: str | None = None
    ids: bool = True


def shorten(given: object) -> str:
    """Write what was given so that it fits an error line.

    Parameters
    ----------
    given
        Any value out of a document.

    Returns
    -------
    str
        At most about 120 characters.

    Examples
    --------
    >>> shorten("wet")
    "'wet'"
    >>> shorten([1] * 1000)
    'a list of 1000'
    """
    if isinstance(given, dict):
        return f"a table of {len(given)}"
    if isinstance(given, (list, tuple)):
        return f"a list of {len(given)}"
    if isinstance(given, int) and not isinstance(given, bool) and abs(given) >= 10**MAX_GIVEN:
        return "a number of more than 120 digits"
    if isinstance(given, str):
        return repr(given if len(given) <= MAX_GIVEN else given[:MAX_GIVEN] + "…")
    return str(given)[:MAX_GIVEN]


def nearest(word: str, known: Iterable[str]) -> str:
    """Say which known word is nearest, or list them.

    Parameters
    ----------
    word
        The word that is not known.
    known
        Words that are.

    Returns
    -------
    str
        A phrase for the ``right`` of a problem.

    Examples
    --------
    >>> nearest("statc_level", ["static_level", "start"])
    'the nearest known one is static_level'
    """
    names = list(known)
    close = difflib.get_close_matches(word[:MAX_GIVEN], names, n=1, cutoff=0.5)
    if close:
        return f"the nearest known one is {close[0]}"
    return "one of " + ", ".join(names)
