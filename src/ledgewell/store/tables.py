"""The tables as they are at the newest version; the migrations lead here, and a test compares the two."""

from __future__ import annotations

from sqlalchemy import Column, Float, ForeignKey, Index, Integer, LargeBinary, MetaData, Table, Text

from ledgewell.store.columns import KeyText, LongCount, UtcMoment

metadata = MetaData()

wells = Table(
    "well",
    metadata,
    Column("id", KeyText, primary_key=True),
    Column("position", LongCount, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("entries", Integer, nullable=False),
    Column("first_received", UtcMoment, nullable=False),
    Column("last_received", UtcMoment, nullable=False),
    Column("name", Text),
    Column("owner", Text),
    Column("place", Text),
    Column("permit", Text),
    Column("latitude", Float),
    Column("longitude", Float),
    Column("words", Text, nullable=False),
)
"""One row a well: where its journal stands, and what a list of wells shows of it."""

entries = Table(
    "entry",
    metadata,
    Column("position", LongCount, primary_key=True, autoincrement=False),
    Column("id", KeyText, nullable=False, unique=True),
    Column("well", KeyText, ForeignKey("well.id"), nullable=False),
    Column("change", KeyText, nullable=False),
    Column("device", KeyText, nullable=False),
    Column("sequence", LongCount, nullable=False),
    Column("path", KeyText, nullable=False),
    Column("received", UtcMoment, nullable=False),
    Column("mark", KeyText, nullable=False),
    Column("withheld", KeyText),
    Column("body", Text, nullable=False),
    Index("entry_of_well", "well", "position"),
    Index("entry_of_path", "well", "path"),
    Index("entry_of_device", "device", "sequence"),
)
"""The journal, in the order in which it came to be kept: positions from 1 on, without a gap."""

files = Table(
    "file",
    metadata,
    Column("sha256", KeyText, primary_key=True),
    Column("size", LongCount, nullable=False),
    Column("type", Text, nullable=False),
    Column("received", UtcMoment, nullable=False),
    Column("withheld", Integer, nullable=False),
)
"""Files kept as they came."""

contents = Table(
    "file_content",
    metadata,
    Column("sha256", KeyText, ForeignKey("file.sha256"), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)
"""Their bytes, apart, so that a list of files does not read them."""

attachments = Table(
    "attachment",
    metadata,
    Column("well", KeyText, primary_key=True),
    Column("sha256", KeyText, ForeignKey("file.sha256"), primary_key=True),
    Column("name", KeyText, primary_key=True),
    Column("author", Text, nullable=False),
    Column("received", UtcMoment, nullable=False),
)
"""Which well has which file, under what name, from whom. A well's file can arrive before its first entry."""

withholdings = Table(
    "withholding",
    metadata,
    Column("subject", KeyText, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("hash", KeyText, nullable=False),
    Column("by", Text, nullable=False),
    Column("at", UtcMoment, nullable=False),
    Column("reason", Text, nullable=False),
)
"""What an administrator withheld: the id of an entry or the SHA-256 of a file, by whom, when and why."""
