"""Check values from outside the project, each with its origin and tolerance, read from ``data/*.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

DATA = Path(__file__).resolve().parent / "data"
MARKS = ("source-read", "from memory", "computed independently", "common practice, no source")
"""Where a value comes from: read in the source named, recalled from it, computed, or the trade's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One published table, named value or set of readings.

    Parameters
    ----------
    id
        What a test names in its ``published`` marker.
    item
        What it is.
    sources
        Keys of ``references.bib``.
    mark
        One of `MARKS`.
    how
        How the value was come by, where that needs saying.
    tolerance
        How near a result must come, and why.
    relative, absolute
        The tolerance as numbers, for the values it is the main one of.
    also_in
        Test files that must check it too, through another path of the program.
    reason
        Why nothing is checked; only then may tests be absent.
    given, expected
        What goes in and what must come out.
    misprints
        Entries of ``expected`` that are known to be wrong, with the exact values.
    """

    id: str
    item: str
    sources: tuple[str, ...]
    mark: str
    how: str = ""
    tolerance: str = ""
    relative: float = 0.0
    absolute: float = 0.0
    also_in: tuple[str, ...] = ()
    reason: str = ""
    given: Mapping[str, Any] = field(default_factory=dict)
    expected: Mapping[str, Any] = field(default_factory=dict)
    misprints: Mapping[str, Any] = field(default_factory=dict)
    file: str

    @property
    def count(self) -> int:
        """Number of values that must come out."""
        return sum(1 for _ in _leaves(self.expected))

    def inputs(self, name: str) -> NDArray[np.float64]:
        """Return what goes in under a name, as an array."""
        return np.asarray(self.given[name], dtype=np.float64)

    def values(self, name: str) -> NDArray[np.float64]:
        """Return what must come out under a name, as an array."""
        return np.asarray(self.expected[name], dtype=np.float64)


def _leaves(value: object) -> Iterator[object]:
    if isinstance(value, Mapping):
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from _leaves(item)
    else:
        yield value


@cache
def all_checks() -> Mapping[str, Check]:
    """Return every check by its id, in the order of the files.

    Raises
    ------
    ValueError
        If two checks share an id.
    """
    found: dict[str, Check] = {}
    for path in sorted(DATA.glob("*.toml")):
        for entry in tomllib.loads(path.read_text(encoding="utf-8"))["check"]:
            lists = {name: tuple(entry.pop(name, ())) for name in ("sources", "also_in")}
            check = Check(**entry, **lists, file=path.stem)
            if check.id in found:
                raise ValueError(f"{path.name}: the id {check.id} stands twice")
            found[check.id] = check
    return found


def check(check_id: str) -> Check:
    """Return one check by its id."""
    return all_checks()[check_id]
