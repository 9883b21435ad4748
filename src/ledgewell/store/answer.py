"""What the store says of an entry it was sent."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One entry's answer: kept, or refused and why.

    Parameters
    ----------
    id
        Id of the entry; as far as it could be read.
    position
        Its place in the store's own order; None when it is refused.
    why
        Why it is refused; None when it is kept.

    Examples
    --------
    >>> Answer(id="01", why="there is no value").say
    'refused: there is no value'
    """

    id: str
    position: int | None = None
    why: str | None = None

    @property
    def kept(self) -> bool:
        """Whether the store keeps the entry, and the device may let go of it."""
        return self.why is None

    @property
    def say(self) -> str:
        """The answer in the words of the exchange: ``kept``, or ``refused: why``."""
        return "kept" if self.why is None else f"refused: {self.why}"
