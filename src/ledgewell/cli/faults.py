"""What is wrong with the input, written for a terminal and as JSON: where, given, what is wrong, what is right."""

from __future__ import annotations

from collections.abc import Sequence

from ledgewell.errors import Problem

ANSWERED, OUR_FAULT, INPUT_WRONG = 0, 1, 2
"""Exit codes."""
STOPPED = 130
"""Exit code after Ctrl-C, as shells give it."""


def fault_lines(given: str, problems: Sequence[Problem], failed: str = "read") -> list[str]:
    """Write what is wrong with one file for a terminal.

    Parameters
    ----------
    given
        What stood on the command line.
    problems
        Everything that is wrong.
    failed
        What could not be done with it: ``"read"``, ``"answered"`` or ``"drawn"``.

    Returns
    -------
    list of str

    Examples
    --------
    >>> problem = Problem(where="bore[0].bottom", given="'deep'", say="no number", right="a depth, such as 405 ft")
    >>> print("\\n".join(fault_lines("well.toml", [problem])))
    well.toml cannot be read; 1 thing is wrong:
      bore[0].bottom: no number
        given  'deep'
        right  a depth, such as 405 ft
    """
    count = f"{len(problems)} things are" if len(problems) > 1 else "1 thing is"
    name = "standard input" if given == "-" else given
    lines = [f"{name} cannot be {failed}; {count} wrong:"]
    for each in problems:
        lines += [f"  {each.where}: {each.say}", f"    given  {each.given}", f"    right  {each.right}"]
    return lines


def faults_to_json(given: str, problems: Sequence[Problem]) -> dict[str, object]:
    """Write what is wrong with one file as a JSON object.

    Parameters
    ----------
    given
        What stood on the command line.
    problems
        Everything that is wrong.

    Returns
    -------
    dict
        ``{"file", "errors"}``.

    Examples
    --------
    >>> faults_to_json("well.toml", [])
    {'file': 'well.toml', 'errors': []}
    """
    errors = [
        {"where": each.where, "given": each.given, "say": each.say, "right": each.right} for each in problems
    ]
    return {"file": given, "errors": errors}
