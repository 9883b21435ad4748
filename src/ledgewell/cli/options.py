"""The options of the commands, and how their text becomes values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from ledgewell.errors import InputError, Problem
from ledgewell.units import parse_quantity

LARGEST_SEED = 2**63 - 1
"""The largest whole number that every reader of the JSON answer can hold."""


@Parameter(name="*")
@dataclass(frozen=True, kw_only=True)
class StepOptions:
    """Options that every step takes.

    Parameters
    ----------
    json
        Print the findings as JSON, numbers not rounded.
    units
        Unit system of the answer; the file's own when left out.
    seed
        Seed of the random numbers: same file and same seed, same answer.
    figures
        Folder into which to draw the charts, as SVG.
    working
        Show the working: formula, inputs and source of each figure.

    Raises
    ------
    InputError
        When the seed is below zero or too large.
    """

    json: Annotated[bool, Parameter(negative="", show_default=False)] = False
    units: Literal["us", "si"] | None = None
    seed: int = 1
    figures: Annotated[Path | None, Parameter(name="--figures")] = None
    working: Annotated[bool, Parameter(negative="", show_default=False)] = False

    def __post_init__(self) -> None:
        if not 0 <= self.seed <= LARGEST_SEED:
            say, right = "no random numbers begin here", f"a whole number from 0 to {LARGEST_SEED}"
            raise InputError([Problem(where="--seed", given=str(self.seed), say=say, right=right)])


DEFAULTS = StepOptions()
File = Annotated[str, Parameter(name="FILE", allow_leading_hyphen=True)]
"""A file on the command line; a lone hyphen is standard input."""


def checked_files(given: Sequence[str], known: Sequence[str]) -> tuple[str, ...]:
    """Check that there are files, and that none of them is a mistyped option.

    Parameters
    ----------
    given
        What stood where files stand.
    known
        Options of the command, for a suggestion.

    Returns
    -------
    tuple of str

    Raises
    ------
    InputError
        When there is no file, or one begins with a hyphen.

    Examples
    --------
    >>> checked_files(["well.toml", "-"], ["--units"])
    ('well.toml', '-')
    >>> checked_files(["--unit"], ["--units", "--json"])
    Traceback (most recent call last):
    ledgewell.errors.InputError: option: there is no such option (given '--unit'; --units)
    """
    problems = [_no_option(each, known) for each in given if each.startswith("-") and each != "-"]
    if not given:
        right = "the path of a well file, or - for standard input"
        problems.append(Problem(where="FILE", given="nothing", say="no well file was named", right=right))
    if problems:
        raise InputError(problems)
    return tuple(given)


def _no_option(given: str, known: Sequence[str]) -> Problem:
    near = get_close_matches(given, known, n=1)
    right = near[0] if near else f"one of {', '.join(known)}; or ./{given} for a file of that name"
    return Problem(where="option", given=repr(given), say="there is no such option", right=right)


def quantities_from(
    texts: Sequence[str], kind: str, option: str, system: str | None
) -> tuple[tuple[float, ...], list[Problem]]:
    """Read an option that may be repeated as quantities.

    Parameters
    ----------
    texts
        What was typed each time, such as ``290ft``.
    kind
        Kind of quantity, ``"depth"`` or ``"duration"``.
    option
        Name of the option, for error text.
    system
        Unit system of a bare number; None when a bare number is an error.

    Returns
    -------
    tuple
        Values in SI, and what could not be read.

    Examples
    --------
    >>> quantities_from(["24h", "30 d"], "duration", "--duration", None)
    ((86400.0, 2592000.0), [])
    """
    values: list[float] = []
    problems: list[Problem] = []
    for text in texts:
        try:
            found = parse_quantity(text, kind, system=system, where=option)
        except InputError as error:
            problems += error.problems
            continue
        if found.si > 0:
            values.append(found.si)
        else:
            problems.append(
                Problem(where=option, given=repr(text), say=f"this {kind} is zero", right="more than zero")
            )
    return tuple(values), problems
