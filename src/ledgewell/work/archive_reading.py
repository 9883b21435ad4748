"""Reading the archive of a well: a zip from anywhere, so nothing in it is believed before it is looked at."""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from ledgewell.errors import InputError, Problem
from ledgewell.record import Entry, Well, read_well
from ledgewell.store import Answer, Attachment, Withholding
from ledgewell.store.filenames import plain_name
from ledgewell.store.filetypes import MOST_BYTES
from ledgewell.work.book import Parsed, parse_entries

MOST_MEMBERS = 20_000
MOST_TEXT_BYTES = 1_000_000_000
"""Longest journal that is read; some million entries."""

_LONGEST_TEXT = 4_000
_FILE = re.compile(r"files/(?P<sha256>[0-9a-f]{64})/(?P<name>[^/]+)")
_TEXTS = ("well.toml", "journal.jsonl", "withheld.jsonl", "files/index.jsonl")
_RIGHT = "an archive with well.toml, journal.jsonl and files/, as export writes it"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadArchive:
    """An archive, all of it read but the bytes of its files.

    Parameters
    ----------
    well
        Id of the well.
    written
        The record as ``well.toml`` says it; None when there is none.
    journal
        The entries.
    index
        What is said of the files.
    withheld
        By whom and why something was withheld.
    files
        SHA-256 and name of each file in it.
    opened
        The zip.
    """

    well: str
    written: Well | None
    journal: Parsed
    index: tuple[Attachment, ...]
    withheld: tuple[Withholding, ...]
    files: tuple[tuple[str, str], ...]
    opened: zipfile.ZipFile

    def content(self, sha256: str, name: str) -> bytes:
        """Read the bytes of a file, and hold them to the mark it is filed under.

        Parameters
        ----------
        sha256, name
            As in `files`.

        Returns
        -------
        bytes

        Raises
        ------
        InputError
            When they are too long, damaged, or another file's.
        """
        member = f"files/{sha256}/{name}"
        content = _bytes(self.opened, member, MOST_BYTES)
        if hashlib.sha256(content).hexdigest() != sha256:
            raise _wrong(
                member, name, "these are not the bytes the archive was made with", "the archive as it was"
            )
        return content


@contextmanager
def read_archive(path: Path) -> Iterator[ReadArchive]:
    """Open an archive and read it.

    Parameters
    ----------
    path
        The file.

    Yields
    ------
    ReadArchive

    Raises
    ------
    InputError
        When it is no archive, hostile, or of more than one well.

    Examples
    --------
    >>> with read_archive(Path("no-such.zip")):
    ...     pass
    Traceback (most recent call last):
    ledgewell.errors.InputError: no-such.zip: this is not an archive...
    """
    try:
        opened = zipfile.ZipFile(path)
    except (OSError, zipfile.BadZipFile, NotImplementedError, ValueError) as error:
        raise _wrong(str(path), path.name, f"this is not an archive: {error}", _RIGHT) from error
    with opened:
        yield _read(opened, path)


def _read(opened: zipfile.ZipFile, path: Path) -> ReadArchive:
    names = _member_names(opened, path)
    if "journal.jsonl" not in names:
        right = "a journal; a well file alone is merged, its differences shown first"
        raise _wrong(str(path), path.name, "there is no journal.jsonl in it", right)
    journal = parse_entries(_json_lines(opened, "journal.jsonl"), where="journal.jsonl line")
    wells = {one.well for one in journal.entries if isinstance(one, Entry)}
    if len(wells) != 1:
        whys = [one.why for one in journal.entries if isinstance(one, Answer)][:3]
        say = f"its journal has entries of {len(wells)} wells"
        raise _wrong(str(path), "; ".join(filter(None, whys)) or path.name, say, "the journal of one well")
    well = wells.pop()
    text = _bytes(opened, "well.toml", MOST_BYTES) if "well.toml" in names else None
    return ReadArchive(
        well=well,
        written=None if text is None else read_well(_decoded(text, "well.toml"), source="well.toml"),
        journal=journal,
        index=tuple(
            _attachment(line, well, where) for where, line in _lines_of(opened, names, "files/index.jsonl")
        ),
        withheld=tuple(
            _withholding(line, where) for where, line in _lines_of(opened, names, "withheld.jsonl")
        ),
        files=tuple((found["sha256"], found["name"]) for name in names if (found := _FILE.fullmatch(name))),
        opened=opened,
    )


def _member_names(opened: zipfile.ZipFile, path: Path) -> tuple[str, ...]:
    """The names of the members, once each is one that an archive has."""
    members = [each for each in opened.infolist() if not each.is_dir()]
    names = [each.filename for each in members]
    if len(names) > MOST_MEMBERS or len(set(names)) != len(names):
        raise _wrong(str(path), path.name, "it has too many members, or one of them twice", _RIGHT)
    for each in members:
        found = _FILE.fullmatch(each.filename)
        if each.flag_bits & 1:
            raise _wrong(str(path), each.filename, "this member is encrypted", _RIGHT)
        if found is None and each.filename not in _TEXTS:
            raise _wrong(str(path), ascii(each.filename)[:120], "an archive has no such member", _RIGHT)
        if found is not None:
            plain_name(found["name"])
    return tuple(names)


def _bytes(opened: zipfile.ZipFile, name: str, most: int) -> bytes:
    """Read a member, and no more of it than it may have, whatever its header says."""
    try:
        with opened.open(name) as member:
            content = member.read(most + 1)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError) as error:
        raise _wrong(
            name, name, f"this cannot be unpacked: {error}", "the archive as it was written"
        ) from error
    if len(content) > most:
        raise _wrong(name, name, f"this is longer than {most} bytes", f"at most {most} bytes")
    return content


def _json_lines(opened: zipfile.ZipFile, name: str) -> list[Any]:
    """The values of a member's lines; a line that is no JSON stands as its text, and is refused as such."""
    found: list[Any] = []
    for line in _decoded(_bytes(opened, name, MOST_TEXT_BYTES), name).split("\n"):
        if line.strip():
            try:
                found.append(json.loads(line))
            except (ValueError, RecursionError):
                found.append(line)
    return found


def _lines_of(opened: zipfile.ZipFile, names: tuple[str, ...], name: str) -> Iterator[tuple[str, Any]]:
    if name in names:
        for number, line in enumerate(_json_lines(opened, name), start=1):
            yield f"{name} line {number}", line


def _attachment(line: Any, well: str, where: str) -> Attachment:
    try:
        found = Attachment(**{**line, "well": well})
        _require_text(found.sha256, found.name, found.type, found.author)
        return replace(
            found, received=_moment(line["received"]), size=int(found.size), withheld=found.withheld is True
        )
    except (TypeError, ValueError, KeyError) as error:
        raise _wrong(where, repr(line)[:120], f"this says nothing of a file: {error}", _RIGHT) from error


def _withholding(line: Any, where: str) -> Withholding:
    try:
        found = Withholding(**line)
        _require_text(found.subject, found.hash, found.by, found.reason)
        _require_kind(found.kind)
        return replace(found, at=_moment(line["at"]))
    except (TypeError, ValueError, KeyError) as error:
        raise _wrong(
            where, repr(line)[:120], f"this says nothing of what was withheld: {error}", _RIGHT
        ) from error


def _require_kind(given: object) -> None:
    if given not in ("entry", "file"):
        raise ValueError(f"{given!r} is neither entry nor file")


def _require_text(*given: object) -> None:
    """Refuse what no database takes as text."""
    for each in given:
        if not isinstance(each, str) or "\x00" in each or len(each.encode()) > _LONGEST_TEXT:
            raise ValueError(f"{ascii(each)[:40]} is not short plain text")


def _moment(given: Any) -> datetime:
    moment = datetime.fromisoformat(given)
    if moment.tzinfo is None:
        raise ValueError(f"{given} has no offset")
    return moment


def _decoded(content: bytes, name: str) -> str:
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        raise _wrong(name, repr(content[:20]), f"this is not text in UTF-8: {error}", _RIGHT) from error


def _wrong(where: str, given: str, say: str, right: str) -> InputError:
    return InputError([Problem(where=where, given=given, say=say, right=right)])
