"""The record of a well, folded from its journal once for each state the journal was in."""

from __future__ import annotations

import threading
from collections import OrderedDict

from ledgewell.record import Folded

_MOST_ENTRIES = 400_000
"""Entries whose folds are held in memory, all wells together: some hundreds of MB at worst."""


class FoldCache:
    """Folds by well, position and revision; the one longest unused goes first.

    Parameters
    ----------
    most_entries
        How many entries the folds held may have come from, all together. The newest one is always held.

    Examples
    --------
    >>> from ledgewell.record import fold
    >>> cache = FoldCache()
    >>> cache.put("w", (7, 0), 1, fold([]))
    >>> cache.get("w", (7, 0)) is None, cache.get("w", (8, 0)) is None
    (False, True)
    """

    def __init__(self, most_entries: int = _MOST_ENTRIES) -> None:
        self._most = most_entries
        self._held: OrderedDict[str, tuple[tuple[int, int], int, Folded]] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, well: str, state: tuple[int, int]) -> Folded | None:
        """Find the fold of a state.

        Parameters
        ----------
        well
            Id of the well.
        state
            Position and revision of its journal.

        Returns
        -------
        Folded or None
            None when it is not held.

        Examples
        --------
        >>> FoldCache().get("w", (1, 0)) is None
        True
        """
        with self._lock:
            held = self._held.get(well)
            if held is None or held[0] != state:
                return None
            self._held.move_to_end(well)
            return held[2]

    def put(self, well: str, state: tuple[int, int], entries: int, folded: Folded) -> None:
        """Hold the fold of a state in place of the well's earlier one.

        Parameters
        ----------
        well
            Id of the well.
        state
            Position and revision of its journal.
        entries
            How many entries it was folded from.
        folded
            The fold.

        Examples
        --------
        >>> from ledgewell.record import fold
        >>> cache = FoldCache(most_entries=10)
        >>> cache.put("v", (9, 0), 9, fold([]))
        >>> cache.put("w", (18, 0), 9, fold([]))
        >>> cache.get("v", (9, 0)) is None
        True
        """
        with self._lock:
            earlier = self._held.get(well)
            if earlier is not None and earlier[0] > state:
                return
            self._held[well] = (state, entries, folded)
            self._held.move_to_end(well)
            while len(self._held) > 1 and sum(count for _, count, _ in self._held.values()) > self._most:
                self._held.popitem(last=False)
