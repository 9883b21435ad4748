"""The store: journals, files, and what was withheld of them, in one database."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Self

import sqlalchemy as sa

from ledgewell.errors import InputError, Problem
from ledgewell.record import Entry, Folded, fold
from ledgewell.store.address import url_of
from ledgewell.store.answer import Answer
from ledgewell.store.attachment import Attachment
from ledgewell.store.duplicates import Likeness, duplicates
from ledgewell.store.engine import open_engine, reading, writing
from ledgewell.store.filing import attached, content_of, find, put, put_withheld, whole
from ledgewell.store.folding import FoldCache
from ledgewell.store.kept import KeptEntry, journal_after
from ledgewell.store.posting import post, well_id_problem
from ledgewell.store.scrubbing import scrub
from ledgewell.store.summary import WellSummary, summaries
from ledgewell.store.tables import entries, wells
from ledgewell.store.withholding import Withholding, note_withheld, withheld_of, withhold_entry, withhold_file

if TYPE_CHECKING:
    from types import TracebackType

    from sqlalchemy import Engine


class Store:
    """A database of wells. Safe to use from several threads, and by several processes at once.

    Parameters
    ----------
    engine
        As `open_engine` gives it; use `Store.open`.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "wells.sqlite3") as store:
    ...     print(store.wells())
    ()
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._folds = FoldCache()

    @classmethod
    def open(cls, where: str | Path | None = None) -> Self:
        """Open a store, making it or bringing it up to date first.

        Parameters
        ----------
        where
            Path or URL; None for the environment's LEDGEWELL_STORE, or else the platform's data folder.

        Returns
        -------
        Store

        Raises
        ------
        StoreError
            When it cannot be opened.

        Examples
        --------
        >>> Store.open("mysql://office/wells")
        Traceback (most recent call last):
        ledgewell.store.failure.StoreError: mysql://office/wells: mysql is not supported ...
        """
        return cls(open_engine(url_of(where)))

    def close(self) -> None:
        """Close its connections."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def add_entries(
        self, sent: Iterable[Entry], *, received: datetime, refused: Mapping[str, str] | None = None
    ) -> tuple[Answer, ...]:
        """Keep entries. When this returns, those answered kept are on the disk.

        Parameters
        ----------
        sent
            Entries of any wells. An act (entries that share a change) is sent in one call.
        received
            When they came.
        refused
            Why, by change, for acts of which a part could not be read and so is not among the entries.

        Returns
        -------
        tuple of Answer
            One for each entry, in order. Sending again what was kept is answered kept.

        Raises
        ------
        StoreError
            When nothing could be kept: no room, no database. Nothing was; send all again.

        Examples
        --------
        >>> import tempfile
        >>> from ledgewell.record import new_id
        >>> now = datetime.fromisoformat("2026-09-14T13:10:00Z")
        >>> entry = Entry(id=new_id(), well="w", device="phone", sequence=1, author="Ann", at=now, change="c",
        ...     kind="set", path="well/well/name", value="Upper field")
        >>> with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "wells.sqlite3") as store:
        ...     print([answer.say for answer in store.add_entries([entry, entry], received=now)])
        ...     print(store.well("w").well.well.name)
        ['kept', 'kept']
        Upper field
        """
        listed = tuple(sent)
        with writing(self.engine) as connection:
            return post(connection, listed, received, refused or {})

    def wells(
        self, *, search: str | None = None, after: str | None = None, at_most: int | None = None
    ) -> tuple[WellSummary, ...]:
        """List wells, by id.

        Parameters
        ----------
        search
            Words that all must be in name, owner, place or permit, in any case.
        after
            Id of the last well of the page before.
        at_most
            How many.

        Returns
        -------
        tuple of WellSummary
        """
        with reading(self.engine) as connection:
            return summaries(connection, search=search, after=after, at_most=at_most)

    def duplicates(self) -> tuple[Likeness, ...]:
        """Find wells that may be one entered twice.

        Returns
        -------
        tuple of Likeness
            Those that share most first.
        """
        return duplicates(self.wells())

    def well(self, id_: str) -> Folded:
        """Fold the journal of a well into its record; the same journal is folded once.

        Parameters
        ----------
        id_
            Id of the well.

        Returns
        -------
        Folded

        Raises
        ------
        InputError
            When no well has that id.
        """
        with reading(self.engine) as connection:
            asked = sa.select(wells.c.position, wells.c.revision).where(wells.c.id == id_)
            row = connection.execute(asked).first()
            if row is None:
                right = "the id of a well in the book"
                problem = Problem(where="well", given=repr(id_[:120]), say="no well has this id", right=right)
                raise InputError([problem])
            state = (row.position, row.revision)
            folded = self._folds.get(id_, state)
            if folded is not None:
                return folded
            kept = journal_after(connection, id_, 0)
        folded = fold(each.entry for each in kept)
        self._folds.put(id_, state, len(kept), folded)
        return folded

    def journal(
        self, well: str | None, *, after: int = 0, at_most: int | None = None
    ) -> tuple[KeptEntry, ...]:
        """Read a journal from a position on.

        Parameters
        ----------
        well
            Id of the well; None for the entries of all wells.
        after
            Position read up to so far. Positions are given in the order of the commits: nothing is missed.
        at_most
            How many to read.

        Returns
        -------
        tuple of KeptEntry
            In the store's order; empty for a well that is not known.
        """
        with reading(self.engine) as connection:
            return journal_after(connection, well, after, at_most=at_most)

    def history(self, well: str, path: str) -> tuple[KeptEntry, ...]:
        """Read every entry there ever was at a path: each correction, who made it and when.

        Parameters
        ----------
        well
            Id of the well.
        path
            Path in its record.

        Returns
        -------
        tuple of KeptEntry
            In the store's order.
        """
        with reading(self.engine) as connection:
            return journal_after(connection, well, 0, paths=[path])

    def next_sequence(self, device: str) -> int:
        """Tell the place of the next entry of a device.

        Parameters
        ----------
        device
            Name of the device.

        Returns
        -------
        int
            0 for a device that sent nothing yet.
        """
        with reading(self.engine) as connection:
            asked = sa.select(sa.func.max(entries.c.sequence)).where(entries.c.device == device)
            last = connection.execute(asked).scalar()
        return 0 if last is None else int(last) + 1

    def put_file(
        self, source: bytes | BinaryIO, name: str, *, well: str, author: str, received: datetime | None = None
    ) -> Attachment:
        """Keep a file of a well as it came. When this returns, it is on the disk.

        Parameters
        ----------
        source
            Its bytes, or a stream of them.
        name
            Its name; a plain one, whose ending says what the bytes are.
        well
            Id of the well; the file may come before the well's first entry.
        author
            Who sent it.
        received
            When it came; now, when not given.

        Returns
        -------
        Attachment

        Raises
        ------
        InputError
            When its name, its length or its bytes are refused; nothing was kept.
        StoreError
            When there is no room.
        """
        say = well_id_problem(well)
        if say is not None:
            raise InputError(
                [Problem(where="well", given=repr(well[:120]), say=say, right="the id of a well")]
            )
        content = whole(source, name)
        moment = received or datetime.now(UTC)
        with writing(self.engine) as connection:
            return put(connection, content, name, well=well, author=author, received=moment)

    def files(self, well: str) -> tuple[Attachment, ...]:
        """List the files of a well, in the order in which they came.

        Parameters
        ----------
        well
            Id of the well.

        Returns
        -------
        tuple of Attachment
        """
        with reading(self.engine) as connection:
            return attached(connection, well)

    def file(self, sha256: str) -> bytes | None:
        """Read the bytes of a file, as they came.

        Parameters
        ----------
        sha256
            Of its bytes.

        Returns
        -------
        bytes or None
            None when there is no such file, or its bytes were withheld.

        Raises
        ------
        StoreError
            When they are no longer the bytes that were kept.
        """
        with reading(self.engine) as connection:
            return content_of(connection, sha256)

    def file_said(self, well: str, said: str) -> Attachment:
        """Find the file that a record names.

        Parameters
        ----------
        well
            Id of the well.
        said
            What the record says: a name, or the SHA-256 of the bytes.

        Returns
        -------
        Attachment

        Raises
        ------
        InputError
            When there is none, or several files have that name.
        """
        return find(self.files(well), said)

    def withhold(self, id_: str, *, by: str, reason: str, at: datetime | None = None) -> Withholding:
        """Withhold the value of an entry; its place in the journal stays.

        Parameters
        ----------
        id_
            Id of the entry.
        by
            The administrator.
        reason
            Why.
        at
            When; now, when not given.

        Returns
        -------
        Withholding

        Raises
        ------
        InputError
            When there is no such entry, or no reason.
        """
        with writing(self.engine) as connection:
            made = withhold_entry(connection, id_, by=by, at=at or datetime.now(UTC), reason=reason)
        scrub(self.engine)
        return made

    def withhold_file(self, sha256: str, *, by: str, reason: str, at: datetime | None = None) -> Withholding:
        """Withhold the bytes of a file, in every well that has it; they are refused from then on.

        Parameters
        ----------
        sha256
            Of its bytes.
        by
            The administrator.
        reason
            Why.
        at
            When; now, when not given.

        Returns
        -------
        Withholding

        Raises
        ------
        InputError
            When there is no such file, or no reason.
        """
        with writing(self.engine) as connection:
            made = withhold_file(connection, sha256, by=by, at=at or datetime.now(UTC), reason=reason)
        scrub(self.engine)
        return made

    def withheld(self, well: str) -> tuple[Withholding, ...]:
        """List what was withheld of a well: by whom, when, why, and its hash.

        Parameters
        ----------
        well
            Id of the well.

        Returns
        -------
        tuple of Withholding
        """
        with reading(self.engine) as connection:
            return withheld_of(connection, well)

    def take_withheld(self, found: Iterable[Withholding], known: Iterable[Attachment] = ()) -> None:
        """Keep what is known of things that came withheld already; nothing that is kept here in full is withheld.

        Parameters
        ----------
        found
            By whom and why, as another store's `withheld` gave it.
        known
            Files without their bytes, as another store's `files` gave them.

        Raises
        ------
        InputError
            When a name or mark is none.
        """
        with writing(self.engine) as connection:
            for file in known:
                put_withheld(connection, file)
            note_withheld(connection, found)

    def backup(self, path: str | Path) -> Path:
        """Write everything into one file, and read it back before it gets its name.

        Parameters
        ----------
        path
            The file; it must not be there yet.

        Returns
        -------
        pathlib.Path

        Raises
        ------
        StoreError
            When it is there already, or cannot be written.
        """
        from ledgewell.store.backup import write_backup

        return write_backup(self.engine, Path(path))
