"""One error tree: every error carries its data, says where, and says what would be right."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong with what was given.

    Parameters
    ----------
    where
        Place in the input, such as ``test[0].levels[3]``.
    given
        What was written there, as text.
    say
        What is wrong with it, in a plain sentence.
    right
        What would be right, in a plain sentence.
    """

    where: str
    given: str
    say: str
    right: str

    def __str__(self) -> str:
        return f"{self.where}: {self.say} (given {self.given}; {self.right})"


class LedgewellError(Exception):
    """Base of every error this package raises on purpose."""


class InputError(LedgewellError):
    """The input cannot be read; holds every problem found, not only the first.

    Examples
    --------
    >>> problem = Problem(where="test[0].levels[3]", given="'wet'", say="no number", right="a depth, such as 46 ft 3 in")
    >>> str(InputError([problem]))
    "test[0].levels[3]: no number (given 'wet'; a depth, such as 46 ft 3 in)"
    """

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class RangeError(LedgewellError, ValueError):
    """A physical function was asked outside the range where it holds.

    Parameters
    ----------
    name
        Name of the argument.
    given
        Its value.
    right
        The range that would be right.
    """

    def __init__(self, name: str, given: float, right: str) -> None:
        self.name, self.given, self.right = name, given, right
        super().__init__(f"{name} is {given!r}; it must be {right}")


class NotSettledError(LedgewellError):
    """A posterior sample did not settle within its allowance, so no band may be printed."""

    def __init__(self, rhat: float, effective_size: float) -> None:
        self.rhat, self.effective_size = rhat, effective_size
        super().__init__(
            f"the sample has not settled (R-hat {rhat:.3f}, effective size {effective_size:.0f}); "
            "more readings or a longer run are needed before a band can be printed"
        )
