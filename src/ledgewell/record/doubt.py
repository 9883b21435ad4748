"""What can be read but is hard to believe: kept, warned about, weighed down and asked; never refused."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One thing that is hard to believe, or was missing and had to be assumed.

    Parameters
    ----------
    where
        Place in the record, such as ``test[0].levels[3]``.
    say
        What is odd, in a plain sentence.
    ask
        The question to put to whoever was there.
    down_weight
        Whether an engine should trust this reading less.
    """

    where: str
    say: str
    ask: str
    down_weight: bool = False
