"""The record is the fold of its journal: whatever order the entries came in, the same record and conflicts."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any, Literal

from ledgewell.errors import InputError, Problem
from ledgewell.record.fields import Item, Part
from ledgewell.record.journal import Entry, check_entry, new_id
from ledgewell.record.paths import document_from_values, locate, values_by_path
from ledgewell.record.walk import order_key
from ledgewell.record.well import Well, read_document


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """More than one entry left standing at a path.

    Parameters
    ----------
    path
        The path.
    standing
        The entries, by corrected time; the last is the one that shows.
    say
        One plain sentence.
    """

    path: str
    standing: tuple[Entry, ...]
    say: str

    @property
    def shown(self) -> Entry:
        """The entry that shows until another names them all."""
        return self.standing[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """What a journal amounts to.

    Parameters
    ----------
    well
        The record, its items in their computed order.
    conflicts
        Paths at which more than one entry stands.
    standing
        Ids of the entries standing at each path; what a writer who looks at it has seen.
    shown
        Id of the entry that shows, by path.
    hidden
        Paths of the items that are withdrawn.
    withheld
        Paths whose value an administrator withheld.
    unreadable
        Entries this version cannot read, each with what is wrong; they are kept and not folded.
    """

    well: Well
    conflicts: tuple[Conflict, ...]
    standing: dict[str, tuple[str, ...]]
    shown: dict[str, str]
    hidden: frozenset[str]
    withheld: tuple[str, ...]
    unreadable: tuple[tuple[Entry, Problem], ...]


def _by_time(entry: Entry) -> tuple[datetime, str]:
    return entry.corrected_at, entry.id


def fold(entries: Iterable[Entry], *, units: str | None = None) -> Folded:
    """Fold a journal into the record.

    Parameters
    ----------
    entries
        Entries of one well in any order; the same one twice is one.
    units
        Unit system the record is to speak by default.

    Returns
    -------
    Folded

    Notes
    -----
    An entry supersedes those of its own path that it saw. Of what is left standing the last in corrected time
    shows; equal values are no conflict. A withdrawn item takes its fields along, except those written by
    someone who had not seen the withdrawal, and later: these bring it back, as a conflict. A clock time in a
    test whose start is gone cannot be placed; it is set aside among the unreadable.

    Examples
    --------
    >>> fold([]).well
    Well(extras={}, format=1, ...
    """
    unique = {entry.id: entry for entry in entries}
    readable: dict[str, list[Entry]] = defaultdict(list)
    unreadable = []
    for entry in sorted(unique.values(), key=_by_time):
        try:
            check_entry(entry)
        except InputError as error:
            unreadable.append((entry, error.problems[0]))
        else:
            readable[entry.path].append(entry)
    standing = {path: _standing(found) for path, found in readable.items()}
    conflicts = [_conflict(path, left) for path, left in standing.items() if _differ(left)]
    hidden, revived = _withdrawn_items(standing)
    values, withheld = _values(standing, readable, hidden)
    well, unplaced = _read(values, units)
    latest = {entry.id: entry for found in readable.values() for entry in found}
    unreadable += [(latest[standing[path][-1].id], problem) for path, problem in unplaced]
    return Folded(
        well=well,
        conflicts=tuple(sorted([*conflicts, *revived], key=lambda each: each.path)),
        standing={path: tuple(entry.id for entry in left) for path, left in sorted(standing.items())},
        shown={path: left[-1].id for path, left in sorted(standing.items())},
        hidden=frozenset(hidden),
        withheld=tuple(withheld),
        unreadable=tuple(unreadable),
    )


def _read(values: dict[str, Any], units: str | None) -> tuple[Well, list[tuple[str, Problem]]]:
    """Read the values as a record; a reading that cannot be placed in time is set aside, not lost."""
    aside: list[tuple[str, Problem]] = []
    while True:
        document = document_from_values(values)
        if units is not None:
            document["units"] = units
        try:
            return _sorted(read_document(document)), aside
        except InputError as error:
            found = {
                path: problem for problem in error.problems if (path := _path_of(problem.where, document))
            }
            if not found:
                raise
            aside += found.items()
            values = {path: value for path, value in values.items() if path not in found}


def _path_of(where: str, document: Any) -> str | None:
    """Turn ``test[0].levels[3]`` into the path of that reading."""
    parts = []
    for name, index in re.findall(r"([a-z_]+)(?:\[(\d+)\])?", where):
        if not isinstance(document, dict) or name not in document:
            return None
        document = document[name]
        parts.append(name)
        if index:
            document = document[int(index)]
            parts.append(document["id"])
    path = "/".join(parts)
    return path if parts and locate(path).kind == "reading" else None


def _standing(entries: list[Entry]) -> tuple[Entry, ...]:
    """The entries of one path that no other has superseded, by corrected time."""
    superseded = {seen for entry in entries for seen in entry.saw if seen != entry.id}
    left = tuple(entry for entry in entries if entry.id not in superseded)
    return left or (entries[-1],)  # entries that name each other in a circle: the last one stands


def _differ(standing: tuple[Entry, ...]) -> bool:
    first = standing[0]
    return any((entry.kind, entry.given) != (first.kind, first.given) for entry in standing[1:])


def _conflict(path: str, standing: tuple[Entry, ...]) -> Conflict:
    authors = ", ".join(dict.fromkeys(entry.author for entry in standing))
    say = (
        f"{len(standing)} entries stand here, by {authors}; the last one shows until an entry names them all"
    )
    return Conflict(path=path, standing=standing, say=say)


def _withdrawn_items(standing: Mapping[str, tuple[Entry, ...]]) -> tuple[set[str], list[Conflict]]:
    """Items that are withdrawn, and conflicts with those who wrote to them without having seen it."""
    withdrawn = {
        path: left[-1]
        for path, left in standing.items()
        if left[-1].kind == "withdraw" and locate(path).kind == "item"
    }
    unseen: dict[str, list[Entry]] = defaultdict(list)
    for path, left in standing.items() if withdrawn else ():
        for item in locate(path).items:
            withdrawal = withdrawn.get(item)
            if withdrawal is not None and path != item:
                unseen[item] += [
                    entry
                    for entry in left
                    if entry.kind != "withdraw"
                    and entry.id not in withdrawal.saw
                    and withdrawal.id not in entry.saw
                ]
    hidden, conflicts = set(withdrawn), []
    for item, found in unseen.items():
        if not found:
            continue
        both = tuple(sorted((*found, withdrawn[item]), key=_by_time))
        say = "this was withdrawn while someone who had not seen that wrote to it"
        conflicts.append(Conflict(path=item, standing=both, say=say))
        if both[-1] is not withdrawn[item]:
            hidden.discard(item)
    return hidden, conflicts


def _values(
    standing: Mapping[str, tuple[Entry, ...]], readable: Mapping[str, list[Entry]], hidden: set[str]
) -> tuple[dict[str, Any], list[str]]:
    values: dict[str, Any] = {}
    withheld = []
    for path, left in standing.items():
        place = locate(path)
        if hidden.intersection(place.items) or left[-1].kind == "withdraw":
            continue
        if place.kind == "item":
            values[path] = {}
            continue
        source = left[-1] if left[-1].kind == "set" else _restored(left[-1], readable[path])
        if source is None:
            continue
        if source.withheld is not None:
            withheld.append(path)
        elif place.kind == "reading":
            values[path] = _as_table(source.given, place.readings.value_key if place.readings else None)
        else:
            values[path] = source.given
    return values, withheld


def _as_table(given: Any, value_key: str | None) -> Any:
    if isinstance(given, (list, tuple)) and len(given) == 2 and value_key is not None:
        return {"minute": given[0], value_key: given[1]}
    return given


def _restored(entry: Entry, entries: list[Entry]) -> Entry | None:
    """What a restoring entry brings back: its own value, or the last one set that it can have known of."""
    if entry.given is not None:
        return entry
    by_id = {each.id: each for each in entries}
    known, todo = set[str](), list(entry.saw)
    while todo:
        seen = todo.pop()
        if seen in by_id and seen not in known:
            known.add(seen)
            todo += by_id[seen].saw
    sets = [each for each in entries if each.kind == "set" and (each.id in known or not known)]
    return sets[-1] if sets else None


def _sorted(part: Any) -> Any:
    """Put every list of items in its computed order: by time or depth, then by id."""
    changes = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if isinstance(value, Part):
            changes[field.name] = _sorted(value)
        elif isinstance(value, tuple) and value and isinstance(value[0], Item):
            changes[field.name] = tuple(sorted((_sorted(item) for item in value), key=order_key))
    return replace(part, **changes) if changes else part


def entries_from_well(
    well: Well,
    *,
    well_id: str,
    device: str,
    author: str,
    at: datetime,
    change: str,
    before: Folded | None = None,
    sequence: int = 0,
    zone: str | None = None,
    note: str | None = None,
    make_id: Callable[[], str] = new_id,
) -> tuple[Entry, ...]:
    """Write the entries that make a record, or that lead to it from an earlier one.

    Parameters
    ----------
    well
        The record there shall be.
    well_id
        Id of the well.
    device, author, at, zone
        Where, by whom and when the entries are made; `at` carries its offset.
    change
        Id of the act that groups them.
    before
        What the journal amounts to so far; None for an empty one.
    sequence
        Place of the first entry among what the device sends.
    note
        Reason; without one a withdrawal says that the value is not in the record read in.
    make_id
        Makes the id of an entry.

    Returns
    -------
    tuple of Entry
        Only what differs, by path; nothing when the records agree.

    Examples
    --------
    >>> from ledgewell.record.faces import read_well
    >>> well = read_well('format = 1\\n[[bore]]\\nid = "b1"\\nmethod = "air rotary"')
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00+00:00")
    >>> entries = entries_from_well(well, well_id="w", device="d", author="a", at=now, change="c")
    >>> [(entry.path, entry.value) for entry in entries]
    [('bore/b1/method', 'air rotary')]
    """
    changes = _changes(well, before, note or "not in the record that was read in")
    made = []
    for place, change_made in enumerate(changes):
        value = change_made.value
        typed = value.get("typed") if isinstance(value, dict) and "unit" in value else None
        plain = {key: inner for key, inner in value.items() if key != "typed"} if typed is not None else value
        made.append(
            Entry(
                id=make_id(),
                well=well_id,
                device=device,
                sequence=sequence + place,
                author=author,
                at=at,
                zone=zone,
                change=change,
                kind=change_made.kind,
                path=change_made.path,
                value=plain,
                typed=typed,
                saw=change_made.saw,
                note=change_made.note or note,
            )
        )
    return tuple(made)


@dataclass(frozen=True, slots=True)
class _Change:
    kind: Literal["set", "withdraw", "restore"]
    path: str
    value: Any
    saw: tuple[str, ...]
    note: str | None = None


def _changes(well: Well, before: Folded | None, reason: str) -> list[_Change]:
    wanted = values_by_path(well)
    present = values_by_path(before.well) if before is not None else {}
    standing = before.standing if before is not None else {}
    changes = [
        _Change("set", path, value, standing.get(path, ()))
        for path, value in sorted(wanted.items())
        if path not in present or present[path] != value
    ]
    kept = {item for path in wanted for item in locate(path).items}
    gone: set[str] = set()
    for path in sorted(present):
        lost = next((item for item in locate(path).items if item not in kept), None)
        if lost is not None and lost not in gone:
            gone.add(lost)
            seen = [
                id_
                for under, ids in standing.items()
                if under == lost or under.startswith(f"{lost}/")
                for id_ in ids
            ]
            changes.append(_Change("withdraw", lost, None, tuple(seen), reason))
        elif lost is None and path not in wanted and locate(path).kind != "item":
            changes.append(_Change("withdraw", path, None, standing.get(path, ()), reason))
    return changes + _brought_back(before, wanted, present, kept, reason)


def _brought_back(
    before: Folded | None, wanted: Mapping[str, Any], present: Mapping[str, Any], kept: set[str], reason: str
) -> list[_Change]:
    """Items that were withdrawn and are wanted again, without the old fields that are not."""
    if before is None:
        return []
    back = kept & before.hidden
    changes = [
        _Change("restore", item, None, before.standing.get(item, ())) for item in sorted(back - wanted.keys())
    ]
    for path, ids in before.standing.items():
        place = locate(path)
        if (
            place.kind != "item"
            and back.intersection(place.items)
            and path not in wanted
            and path not in present
        ):
            changes.append(_Change("withdraw", path, None, ids, reason))
    return changes
