"""A laboratory's result as reported, read into a number and what stands before it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from ledgewell.record.supply import Sample
from ledgewell.units import UnreadableNumberError, read_number

_BOUND = re.compile(
    r"([<>≤≥]=?|less than|more than|greater than|below|above)?\s*(.*)", re.IGNORECASE | re.DOTALL
)
_BELOW = ("<", "<=", "≤", "less than", "below")
_NOT_DETECTED = (
    "nd",
    "n.d.",
    "n/d",
    "bdl",
    "bql",
    "not detected",
    "none detected",
    "non detect",
    "non-detect",
)
_ABSENT = ("absent", "negative", "a", "neg")
_PRESENT = ("present", "positive", "p", "pos")

Qualifier = Literal["equal", "below", "above", "not detected", "absent", "present", "text"]


@dataclass(frozen=True, slots=True)
class LaboratoryResult:
    """A result as reported.

    Parameters
    ----------
    qualifier
        How the number is meant, or what stands instead of one; ``"text"`` when it is none of the others.
    number
        The number, in the unit the laboratory gave; None without one.
    """

    qualifier: Qualifier
    number: float | None = None


def laboratory_result(sample: Sample) -> LaboratoryResult | None:
    """Read a sample's value.

    Parameters
    ----------
    sample
        The sample.

    Returns
    -------
    LaboratoryResult or None
        None when no value was written down.

    Examples
    --------
    >>> laboratory_result(Sample(value="<0.5"))
    LaboratoryResult(qualifier='below', number=0.5)
    >>> laboratory_result(Sample(value="ND")).qualifier
    'not detected'
    """
    if sample.value is None:
        return None
    text = " ".join(sample.value.split())
    word = text.casefold()
    if word in _NOT_DETECTED:
        return LaboratoryResult("not detected")
    if word in _ABSENT:
        return LaboratoryResult("absent")
    if word in _PRESENT:
        return LaboratoryResult("present")
    match = _BOUND.fullmatch(text)
    if match is None:
        return LaboratoryResult("text")
    try:
        number = read_number(match[2])
    except UnreadableNumberError:
        return LaboratoryResult("text")
    if match[2][number.length :].strip():
        return LaboratoryResult("text")
    bound = (match[1] or "").casefold()
    qualifier: Qualifier = "equal" if not bound else "below" if bound in _BELOW else "above"
    return LaboratoryResult(qualifier, number.top / number.bottom)
