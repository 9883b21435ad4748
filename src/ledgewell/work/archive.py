"""The archive of one well: ``well.toml``, ``journal.jsonl`` and ``files/`` in one zip, to carry it anywhere.

Beside the record as a person reads it and its journal, ``files/index.jsonl`` says under what name each file came,
from whom and when, and ``withheld.jsonl``, where there is any, by whom and why something was withheld.
"""

from __future__ import annotations

import json
import os
import zipfile
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from ledgewell.errors import InputError, Problem
from ledgewell.record import Entry, entries_from_well, entry_to_json, fold, write_well
from ledgewell.store import Answer, Attachment, Store, StoreError
from ledgewell.work.archive_reading import ReadArchive, read_archive
from ledgewell.work.book import Difference, differences_of, take_parsed

_MOMENT = (1980, 1, 1, 0, 0, 0)
"""Date of every member: the same well gives the same bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What came of an archive.

    Parameters
    ----------
    well
        Id of the well.
    answers
        One for each entry, in the archive's order.
    files
        The files that are kept now.
    problems
        Files that were refused, each with why.
    differences
        Where ``well.toml`` says something else than its journal, as when a person edited it; not written.
    """

    well: str
    answers: tuple[Answer, ...]
    files: tuple[Attachment, ...]
    problems: tuple[Problem, ...]
    differences: tuple[Difference, ...]


def export_well(store: Store, well: str, path: str | Path) -> Path:
    """Write the archive of a well.

    Parameters
    ----------
    store
        The book.
    well
        Id of the well.
    path
        The file; it must not be there yet.

    Returns
    -------
    pathlib.Path

    Raises
    ------
    InputError
        When the book has no such well.
    StoreError
        When the file is there already or cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     export_well(store, "w", f"{folder}/w.zip")
    Traceback (most recent call last):
    ledgewell.errors.InputError: well: no well has this id ...
    """
    path = Path(path)
    if path.exists():
        raise StoreError(str(path), "a file is there already", "a new name: an archive never replaces a file")
    store.well(well)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("xb") as opened:
            with zipfile.ZipFile(opened, "w", zipfile.ZIP_DEFLATED) as archive:
                _fill(archive, store, well)
            opened.flush()
            os.fsync(opened.fileno())
        part.replace(path)
    except OSError as error:
        say = f"the archive cannot be written: {error}"
        raise StoreError(str(path), say, "a folder with room") from error
    finally:
        part.unlink(missing_ok=True)
    return path


def _fill(archive: zipfile.ZipFile, store: Store, well: str) -> None:
    journal = [each.entry for each in store.journal(well)]
    files, withheld = store.files(well), store.withheld(well)
    _add(archive, "well.toml", write_well(fold(journal).well).encode())
    _add(archive, "journal.jsonl", _lines(entry_to_json(entry) for entry in journal))
    if withheld:
        _add(archive, "withheld.jsonl", _lines(_dated(asdict(each), "at") for each in withheld))
    if files:
        _add(archive, "files/index.jsonl", _lines(_index_line(each) for each in files))
    for each in files:
        content = store.file(each.sha256)
        if content is not None:
            _add(archive, f"files/{each.sha256}/{each.name}", content)


def _add(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    member = zipfile.ZipInfo(name, _MOMENT)
    member.compress_type = zipfile.ZIP_DEFLATED
    member.external_attr = 0o644 << 16
    archive.writestr(member, content)


def _lines(values: Iterable[dict[str, Any]]) -> bytes:
    return "".join(f"{json.dumps(value, ensure_ascii=False)}\n" for value in values).encode()


def _index_line(file: Attachment) -> dict[str, Any]:
    line = _dated(asdict(file), "received")
    del line["well"]
    return line


def _dated(values: dict[str, Any], key: str) -> dict[str, Any]:
    return {**values, key: values[key].isoformat()}


def import_well(store: Store, path: str | Path, *, received: datetime) -> Imported:
    """Read an archive into the book. What is there already stays as it is; a second time changes nothing.

    Parameters
    ----------
    store
        The book.
    path
        The archive.
    received
        When.

    Returns
    -------
    Imported

    Raises
    ------
    InputError
        When it is no archive, hostile, or of more than one well; nothing was written.
    StoreError
        When nothing could be kept.

    Examples
    --------
    >>> import tempfile
    >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(f"{folder}/wells.sqlite3") as store:
    ...     _ = Path(f"{folder}/w.zip").write_text("format = 1")
    ...     import_well(store, f"{folder}/w.zip", received=now)
    Traceback (most recent call last):
    ledgewell.errors.InputError: ...w.zip: this is not an archive...
    """
    with read_archive(Path(path)) as archive:
        kept, problems = _take_files(store, archive, received)
        answers = take_parsed(store, archive.journal, received=received)
        store.take_withheld(archive.withheld, [file for file in archive.index if file.withheld])
        return Imported(
            well=archive.well,
            answers=answers,
            files=tuple(kept),
            problems=tuple(problems),
            differences=_edited(archive),
        )


def _take_files(
    store: Store, archive: ReadArchive, received: datetime
) -> tuple[list[Attachment], list[Problem]]:
    """Keep the files first: a record that is acknowledged then never names a file that is still to come."""
    kept: list[Attachment] = []
    problems: list[Problem] = []
    said = {(file.sha256, file.name): file for file in archive.index}
    for sha256, name in archive.files:
        known = said.get((sha256, name))
        author, moment = (known.author, known.received) if known else ("", received)
        try:
            content = archive.content(sha256, name)
            kept.append(store.put_file(content, name, well=archive.well, author=author, received=moment))
        except InputError as error:
            problems.extend(error.problems)
    return kept, problems


def _edited(archive: ReadArchive) -> tuple[Difference, ...]:
    """What a person changed in ``well.toml`` since it was written beside its journal."""
    if archive.written is None:
        return ()
    entries = [one for one in archive.journal.entries if isinstance(one, Entry)]
    before, first = fold(entries), entries[0]
    changes = entries_from_well(
        archive.written,
        well_id=archive.well,
        device=first.device,
        author=first.author,
        at=first.at,
        change=first.change,
        before=before,
    )
    return differences_of(changes, before)
