"""What can go wrong in a store that is nobody's input: no room, no connection, a version that is too new."""

from __future__ import annotations

from ledgewell.errors import LedgewellError


class StoreError(LedgewellError):
    """The store could not do what was asked; nothing of it was done.

    Parameters
    ----------
    where
        The database, without its password.
    say
        What is wrong, in a plain sentence.
    right
        What would be right.

    Examples
    --------
    >>> str(StoreError("ledgewell.sqlite3", "the disk is full", "make room, then send again"))
    'ledgewell.sqlite3: the disk is full (make room, then send again)'
    """

    def __init__(self, where: str, say: str, right: str) -> None:
        self.where, self.say, self.right = where, say, right
        super().__init__(f"{where}: {say} ({right})")
