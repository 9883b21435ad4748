"""The book: finding a well in it, taking what devices send, and a well file against what is kept already."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from ledgewell.errors import InputError, Problem
from ledgewell.record import Entry, Folded, Well, entries_from_well, entry_from_json, new_id, values_by_path
from ledgewell.store import Answer, Store, WellSummary
from ledgewell.store.summary import alike

_LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Parsed:
    """Entries as they were sent, those that can be read and those that cannot.

    Parameters
    ----------
    entries
        One for each entry sent, in order; where it cannot be read, its refusal.
    refused
        Why, by change, for acts of which a part cannot be read.
    """

    entries: tuple[Entry | Answer, ...]
    refused: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One place where a well file says something else than the book.

    Parameters
    ----------
    path
        Place in the record.
    kind
        ``"set"``, ``"withdraw"`` or ``"restore"``: what the entry would do.
    before, after
        JSON values; None where there is none.
    """

    path: str
    kind: str
    before: Any
    after: Any

    @property
    def say(self) -> str:
        """The difference in a line."""
        return f"{self.path}: {_shown(self.before)} becomes {_shown(self.after)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """What a well file would write into the book, not yet written.

    Parameters
    ----------
    well
        Id of the well, new or in the book.
    differences
        To be shown first.
    entries
        What `write_merge` sends.
    """

    well: str
    differences: tuple[Difference, ...]
    entries: tuple[Entry, ...]


def well_in_book(store: Store, said: str) -> WellSummary:
    """Find the well that a person means.

    Parameters
    ----------
    store
        The book.
    said
        Id of a well, its name in any case, or words of its name, owner, place or permit.

    Returns
    -------
    WellSummary

    Raises
    ------
    InputError
        When there is none, or more than one.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     well_in_book(store, "Upper field")
    Traceback (most recent call last):
    ledgewell.errors.InputError: book: the book has no such well ...
    """
    known = store.wells(search=said) if alike(said) else ()
    found = (
        [well for well in store.wells() if well.id == said]
        or [well for well in known if alike(well.name or "") == alike(said)]
        or list(known)
    )
    if len(found) == 1:
        return found[0]
    say = f"{len(found)} wells in the book fit this" if found else "the book has no such well"
    right = "; ".join(f"{well.name or 'without a name'} ({well.id})" for well in found[:10])
    problem = Problem(
        where="book", given=repr(said[:120]), say=say, right=right or "a name or id in the list of wells"
    )
    raise InputError([problem])


def parse_entries(sent: Sequence[object], *, where: str = "entries") -> Parsed:
    """Read entries out of JSON values; one that cannot be read takes its whole act along.

    Parameters
    ----------
    sent
        As `json.loads` gave them.
    where
        Their place, for error text.

    Returns
    -------
    Parsed

    Examples
    --------
    >>> parse_entries([{"id": "7", "kind": "erase"}]).entries[0].kept
    False
    """
    found: list[Entry | Answer] = []
    refused: dict[str, str] = {}
    for place, given in enumerate(sent):
        try:
            found.append(entry_from_json(given, where=f"{where}[{place}]"))
        except InputError as error:
            why = "; ".join(str(problem) for problem in error.problems)
            id_, change = (_text(given, "id"), _text(given, "change"))
            found.append(Answer(id=id_, why=why))
            refused.setdefault(change, why)
    return Parsed(entries=tuple(found), refused=refused)


def take_parsed(store: Store, parsed: Parsed, *, received: datetime) -> tuple[Answer, ...]:
    """Keep what can be kept of parsed entries.

    Parameters
    ----------
    store
        The book.
    parsed
        The entries.
    received
        When they came.

    Returns
    -------
    tuple of Answer
        One for each entry sent, in order.

    Examples
    --------
    >>> import tempfile
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     print(take_parsed(store, Parsed(entries=(), refused={}), received=now))
    ()
    """
    readable = [one for one in parsed.entries if isinstance(one, Entry)]
    answers = iter(store.add_entries(readable, received=received, refused=parsed.refused))
    return tuple(next(answers) if isinstance(one, Entry) else one for one in parsed.entries)


def take_sent(
    store: Store, sent: Sequence[object], *, received: datetime, offset_s: float
) -> tuple[Answer, ...]:
    """Keep what a device sends.

    Parameters
    ----------
    store
        The book.
    sent
        Entries as JSON values.
    received
        When they came.
    offset_s
        What this exchange measured the device's clock to be slow by [s].

    Returns
    -------
    tuple of Answer
        One for each entry sent, in order; the device lets go only of those kept.

    Raises
    ------
    StoreError
        When nothing could be kept; the device sends all again.

    Examples
    --------
    >>> import tempfile
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    >>> entry = {"id": new_id(), "well": "w", "device": "phone", "sequence": 1, "author": "Ann", "change": "c",
    ...     "at": "2026-09-14T09:10:00-04:00", "kind": "set", "path": "well/well/name", "value": "Upper field"}
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     print([answer.say for answer in take_sent(store, [entry], received=now, offset_s=0.5)])
    ['kept']
    """
    parsed = parse_entries(sent)
    entries: list[Entry | Answer] = []
    refused = dict(parsed.refused)
    for one in parsed.entries:
        if isinstance(one, Entry) and one.withheld is not None:
            why = "only an administrator withholds, and not by an entry"
            refused.setdefault(one.change, why)
            entries.append(Answer(id=one.id, why=why))
        else:
            entries.append(replace(one, offset_s=offset_s) if isinstance(one, Entry) else one)
    return take_parsed(store, Parsed(entries=tuple(entries), refused=refused), received=received)


def merge_of(
    store: Store,
    well: Well,
    *,
    into: str | None,
    author: str,
    at: datetime,
    device: str = "office",
    zone: str | None = None,
    note: str | None = None,
) -> Merge:
    """Lay a well file against the book; nothing is written yet.

    Parameters
    ----------
    store
        The book.
    well
        The record as the file says it.
    into
        Id of a well in the book; None for a new one.
    author, at, device, zone
        Who reads it in, when and where.
    note
        Reason, kept with each entry.

    Returns
    -------
    Merge

    Raises
    ------
    InputError
        When the book has no such well.

    Examples
    --------
    >>> import tempfile
    >>> from ledgewell.record import read_well
    >>> well = read_well('format = 1\\n[well]\\nname = "Upper field"')
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     merge = merge_of(store, well, into=None, author="Ann", at=now)
    ...     print(merge.differences[0].say, [answer.say for answer in write_merge(store, merge, received=now)])
    well/well/name: nothing becomes "Upper field" ['kept']
    """
    before = store.well(into) if into is not None else None
    id_ = into or new_id()
    entries = entries_from_well(
        well,
        well_id=id_,
        device=device,
        author=author,
        at=at,
        zone=zone,
        change=new_id(),
        before=before,
        sequence=store.next_sequence(device),
        note=note,
    )
    return Merge(well=id_, differences=differences_of(entries, before), entries=entries)


def differences_of(entries: Sequence[Entry], before: Folded | None) -> tuple[Difference, ...]:
    """Say what entries would change.

    Parameters
    ----------
    entries
        As `entries_from_well` wrote them.
    before
        What the journal amounts to so far; None for an empty one.

    Returns
    -------
    tuple of Difference

    Examples
    --------
    >>> differences_of((), None)
    ()
    """
    present = values_by_path(before.well) if before is not None else {}
    return tuple(
        Difference(path=each.path, kind=each.kind, before=_standing(present, each.path), after=each.given)
        for each in entries
    )


def write_merge(store: Store, merge: Merge, *, received: datetime) -> tuple[Answer, ...]:
    """Write what was shown; what others wrote meanwhile stands beside it as a conflict.

    Parameters
    ----------
    store
        The book.
    merge
        As `merge_of` laid it out.
    received
        When.

    Returns
    -------
    tuple of Answer
        All kept, or all refused.

    Examples
    --------
    >>> import tempfile
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     print(write_merge(store, Merge(well="w", differences=(), entries=()), received=now))
    ()
    """
    return store.add_entries(merge.entries, received=received)


def _standing(present: dict[str, Any], path: str) -> Any:
    """The value at a path; of an item that is withdrawn whole, all that lies in it."""
    if path in present:
        return present[path]
    inside = {name[len(path) + 1 :]: value for name, value in present.items() if name.startswith(f"{path}/")}
    return inside or None


def _shown(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, dict) and isinstance(value.get("typed"), str):
        return str(value["typed"])
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"


def _text(given: object, key: str) -> str:
    found = given.get(key) if isinstance(given, dict) else None
    return found[:200] if isinstance(found, str) else ""
