"""The journal of a well: entries that are only ever added, each made where it was typed."""

from __future__ import annotations

import secrets
import time
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

from ledgewell.errors import InputError, Problem
from ledgewell.record.edge import Reader, nearest, shorten
from ledgewell.record.paths import locate
from ledgewell.record.specs import LAST_YEAR, MAX_NOTE, clean_text, parse_moment
from ledgewell.record.walk import read_extra

ENTRY_KEYS = (
    *("id", "well", "device", "sequence", "author", "at", "zone", "change"),
    *("kind", "path", "value", "typed", "saw", "note"),
)
"""Keys of an entry, as the journal file and the API name them."""
KINDS = ("set", "withdraw", "restore")
_MOST_SEEN = 10_000
_MOST_OFFSET_S = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry.

    Parameters
    ----------
    id
        UUIDv7 made where it was typed.
    well
        Id of the well.
    device, sequence
        Who sent it, and its place among what that device sent.
    author
        Who typed it.
    at
        When, by the device's own clock; never rewritten.
    zone
        IANA zone of the device, or None.
    change
        Id of the act it belongs to; an act is kept whole or not at all.
    kind
        ``"set"``, ``"withdraw"`` or ``"restore"``.
    path
        What it is about: ``table/item-id/field``.
    value
        JSON value; a reading is one value.
    typed
        Text as typed, for a quantity.
    saw
        Ids of the entries the writer was looking at.
    note
        Reason; a withdrawal needs one.
    offset_s
        What the exchange measured the device's clock to be slow by [s].
    withheld
        SHA-256 of a value an administrator withheld, or None.
    """

    id: str
    well: str
    device: str
    sequence: int
    author: str
    at: datetime
    change: str
    kind: Literal["set", "withdraw", "restore"]
    path: str
    zone: str | None = None
    value: Any = None
    typed: str | None = None
    saw: tuple[str, ...] = ()
    note: str | None = None
    offset_s: float = 0.0
    withheld: str | None = None

    @property
    def corrected_at(self) -> datetime:
        """When, by the device's clock put right; what an ordering by time uses."""
        return (self.at + timedelta(seconds=self.offset_s)).astimezone(UTC)

    @property
    def given(self) -> Any:
        """The value as a document would give it: typed text beside value and unit."""
        if self.typed is None:
            return self.value
        if isinstance(self.value, dict) and "value" in self.value:
            return {**self.value, "typed": self.typed}
        return self.typed if self.value is None else self.value


def new_id() -> str:
    """Make a UUIDv7: the time in milliseconds, then chance.

    Returns
    -------
    str

    Notes
    -----
    Layout after RFC 9562, section 5.7.

    Examples
    --------
    >>> uuid.UUID(new_id()).version
    7
    """
    return id_at(time.time_ns() // 1_000_000, secrets.randbits(74))


def id_at(milliseconds: int, chance: int) -> str:
    """Make the UUIDv7 of a moment.

    Parameters
    ----------
    milliseconds
        Since 1970-01-01 UTC [ms].
    chance
        74 random bits.

    Returns
    -------
    str

    Notes
    -----
    Layout after RFC 9562, section 5.7: 48 bits of time, version 7, 12 bits, variant, 62 bits.

    Examples
    --------
    >>> id_at(0x017F22E279B0, 0xCC3 << 62 | 0x18C4DC0C0C07398F)
    '017f22e2-79b0-7cc3-98c4-dc0c0c07398f'
    """
    high, low = chance >> 62 & 0xFFF, chance & (1 << 62) - 1
    return str(uuid.UUID(int=(milliseconds & (1 << 48) - 1) << 80 | 7 << 76 | high << 64 | 2 << 62 | low))


def entry_to_json(entry: Entry) -> dict[str, Any]:
    """Write an entry as JSON values.

    Parameters
    ----------
    entry
        The entry.

    Returns
    -------
    dict
        Keys of `ENTRY_KEYS`; what is not known is left out.

    Examples
    --------
    >>> entry = Entry(id=id_at(0, 0), well="w", device="d", sequence=1, author="a", change="c", kind="set",
    ...     at=datetime(2026, 9, 14, tzinfo=UTC), path="well/well/name", value="Upper field")
    >>> entry_to_json(entry)["path"]
    'well/well/name'
    """
    written = {key: getattr(entry, key) for key in ENTRY_KEYS}
    written.update(at=entry.at.isoformat(), saw=list(entry.saw))
    if entry.offset_s:
        written["offset_s"] = entry.offset_s
    if entry.withheld is not None:
        written["withheld"] = entry.withheld
    return {key: value for key, value in written.items() if value is not None}


def entry_from_json(given: object, *, where: str = "entry") -> Entry:
    """Read an entry out of JSON values.

    Parameters
    ----------
    given
        What `json.loads` gave.
    where
        Its place, for error text.

    Returns
    -------
    Entry

    Raises
    ------
    InputError
        With everything that cannot be read, together.

    Examples
    --------
    >>> try:
    ...     entry_from_json({"kind": "erase"})
    ... except InputError as error:
    ...     print(error.problems[0].where)
    entry.kind
    """
    reader = Reader()
    if not isinstance(given, dict):
        raise _wrong(where, given, "this is not an entry", "keys " + ", ".join(ENTRY_KEYS))
    for key in sorted(str(key) for key in set(given) - set(ENTRY_KEYS) - {"offset_s", "withheld"}):
        reader.problem(
            f"{where}.{key}"[:200], given.get(key), "this key is not known here", nearest(key, ENTRY_KEYS)
        )
    kind, moment = _kind(given.get("kind"), where, reader), _moment(given.get("at"), where, reader)
    entry = Entry(
        id=_ids([given.get("id")], f"{where}.id", reader)[0],
        well=_text(given, "well", where, reader),
        device=_text(given, "device", where, reader),
        sequence=_sequence(given.get("sequence"), where, reader),
        author=_text(given, "author", where, reader),
        at=moment,
        change=_text(given, "change", where, reader),
        kind=kind,
        path=_text(given, "path", where, reader),
        zone=_optional(given, "zone", where, reader),
        value=read_extra(given["value"], f"{where}.value", reader)
        if given.get("value") is not None
        else None,
        typed=_optional(given, "typed", where, reader),
        saw=_ids(given.get("saw", []), f"{where}.saw", reader),
        note=_optional(given, "note", where, reader),
        offset_s=_offset(given.get("offset_s", 0.0), where, reader),
        withheld=_optional(given, "withheld", where, reader),
    )
    reader.check()
    check_entry(entry, where=where)
    return entry


def _kind(given: object, where: str, reader: Reader) -> Literal["set", "withdraw", "restore"]:
    if given == "set" or given == "withdraw" or given == "restore":
        return given
    reader.problem(f"{where}.kind", given, "this kind is not known", "one of " + ", ".join(KINDS))
    return "set"


def _sequence(given: object, where: str, reader: Reader) -> int:
    if isinstance(given, int) and not isinstance(given, bool) and 0 <= given < 2**53:
        return given
    reader.problem(
        f"{where}.sequence", given, "this is not a place in a sequence", "a whole number from 0 on"
    )
    return 0


def _ids(given: object, where: str, reader: Reader) -> tuple[str, ...]:
    if (
        isinstance(given, (list, tuple))
        and len(given) <= _MOST_SEEN
        and all(_is_uuid(each) for each in given)
    ):
        return tuple(each.lower() for each in given)
    reader.problem(where, given, "this is not an id of an entry", "a UUID, such as entries made here carry")
    return ("",)


def _offset(given: object, where: str, reader: Reader) -> float:
    if isinstance(given, (int, float)) and not isinstance(given, bool) and abs(given) < _MOST_OFFSET_S:
        return float(given)
    reader.problem(
        f"{where}.offset_s", given, "this is not a clock's offset", "seconds, less than 30 years of them"
    )
    return 0.0


def _text(given: dict[str, Any], key: str, where: str, reader: Reader) -> str:
    if given.get(key) in (None, ""):
        reader.problem(f"{where}.{key}", given.get(key), f"an entry needs its {key}", "text")
        return ""
    return clean_text(given[key], f"{where}.{key}", reader, 1000) or ""


def _optional(given: dict[str, Any], key: str, where: str, reader: Reader) -> str | None:
    return clean_text(given[key], f"{where}.{key}", reader, MAX_NOTE) if given.get(key) is not None else None


def _moment(given: object, where: str, reader: Reader) -> datetime:
    moment = parse_moment(given) if isinstance(given, str) else given
    if isinstance(moment, datetime) and moment.tzinfo is not None and 1970 <= moment.year <= LAST_YEAR:
        return moment
    reader.problem(f"{where}.at", given, "this is not an instant", "such as 2026-09-14T13:10:00Z")
    return datetime(1970, 1, 1, tzinfo=UTC)


def _is_uuid(given: object) -> bool:
    if not isinstance(given, str):
        return False
    try:
        return str(uuid.UUID(given)) == given.lower()
    except ValueError:
        return False


def check_entry(entry: Entry, *, where: str = "entry") -> None:
    """Refuse an entry that no record could take: an unknown path, a value that cannot be read there.

    Parameters
    ----------
    entry
        The entry.
    where
        Its place, for error text.

    Raises
    ------
    InputError
        With what is wrong with it.

    Examples
    --------
    >>> entry = Entry(id=id_at(0, 0), well="w", device="d", sequence=1, author="a", change="c", kind="set",
    ...     at=datetime(2026, 9, 14, tzinfo=UTC), path="well/well/nme", value="Upper field")
    >>> try:
    ...     check_entry(entry)
    ... except InputError as error:
    ...     print(error.problems[0].right)
    the nearest known one is name
    """
    place = locate(entry.path)
    if entry.kind == "withdraw":
        if not (entry.note or "").strip():
            raise _wrong(f"{where}.note", entry.note, "a withdrawal needs its reason", "a few words")
        return
    if entry.withheld is not None or (
        entry.kind == "restore" and entry.value is None and entry.typed is None
    ):
        return
    reader = Reader()
    if place.kind == "item":
        if entry.given != {}:
            raise _wrong(
                f"{where}.value", entry.value, "an item is set empty", "{}, and its fields one by one"
            )
    elif place.kind == "reading" and place.readings is not None:
        place.readings.read([entry.given], entry.path, reader)
    elif entry.given is None:
        raise _wrong(
            f"{where}.value", entry.value, "there is no value", "a value, or a withdrawal with its reason"
        )
    elif place.spec is not None:
        place.spec.read(entry.given, entry.path, reader)
    else:
        read_extra(entry.given, entry.path, reader)
    reader.check()


def _wrong(where: str, given: object, say: str, right: str) -> InputError:
    return InputError([Problem(where=where, given=shorten(given), say=say, right=right)])
