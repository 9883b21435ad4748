"""Wells, their journal, and what was withheld of it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ledgewell.store.columns import KeyText, LongCount, UtcMoment

revision = "0001"
down_revision = None

_SAME = ("position", "id", "well", "change", "device", "sequence", "path", "received", "mark")
_ONLY_WITHHELD = "OLD.withheld IS NULL AND NEW.withheld IS NOT NULL AND " + " AND ".join(
    f"NEW.{name} = OLD.{name}" for name in _SAME
)
_DELETED = "an entry of the journal is never deleted"
_REWRITTEN = "an entry of the journal is never rewritten; its value can be withheld"


def upgrade() -> None:
    """Make the tables, and have the database itself hold the journal to being added to only.

    Examples
    --------
    >>> revision
    '0001'
    """
    _make_wells()
    _make_entries()
    op.create_table(
        "withholding",
        sa.Column("subject", KeyText, primary_key=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("hash", KeyText, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("at", UtcMoment, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
    )
    statements = _POSTGRESQL if op.get_bind().dialect.name == "postgresql" else _SQLITE
    for statement in statements:
        op.execute(statement)


def _make_wells() -> None:
    op.create_table(
        "well",
        sa.Column("id", KeyText, primary_key=True),
        sa.Column("position", LongCount, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("entries", sa.Integer, nullable=False),
        sa.Column("first_received", UtcMoment, nullable=False),
        sa.Column("last_received", UtcMoment, nullable=False),
        sa.Column("name", sa.Text),
        sa.Column("owner", sa.Text),
        sa.Column("place", sa.Text),
        sa.Column("permit", sa.Text),
        sa.Column("latitude", sa.Float),
        sa.Column("longitude", sa.Float),
        sa.Column("words", sa.Text, nullable=False),
    )


def _make_entries() -> None:
    op.create_table(
        "entry",
        sa.Column("position", LongCount, primary_key=True, autoincrement=False),
        sa.Column("id", KeyText, nullable=False, unique=True),
        sa.Column("well", KeyText, sa.ForeignKey("well.id"), nullable=False),
        sa.Column("change", KeyText, nullable=False),
        sa.Column("device", KeyText, nullable=False),
        sa.Column("sequence", LongCount, nullable=False),
        sa.Column("path", KeyText, nullable=False),
        sa.Column("received", UtcMoment, nullable=False),
        sa.Column("mark", KeyText, nullable=False),
        sa.Column("withheld", KeyText),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.create_index("entry_of_well", "entry", ["well", "position"])
    op.create_index("entry_of_path", "entry", ["well", "path"])
    op.create_index("entry_of_device", "entry", ["device", "sequence"])


_SQLITE = (
    f"CREATE TRIGGER entry_never_deleted BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, '{_DELETED}'); END",
    f"CREATE TRIGGER entry_never_rewritten BEFORE UPDATE ON entry WHEN NOT ({_ONLY_WITHHELD}) "
    f"BEGIN SELECT RAISE(ABORT, '{_REWRITTEN}'); END",
)
_POSTGRESQL = (
    f"CREATE FUNCTION entry_never_deleted() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{_DELETED}'; END $$",
    "CREATE TRIGGER entry_never_deleted BEFORE DELETE ON entry "
    "FOR EACH ROW EXECUTE FUNCTION entry_never_deleted()",
    "CREATE TRIGGER entry_never_emptied BEFORE TRUNCATE ON entry "
    "FOR EACH STATEMENT EXECUTE FUNCTION entry_never_deleted()",
    f"CREATE FUNCTION entry_never_rewritten() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{_REWRITTEN}'; END $$",
    f"CREATE TRIGGER entry_never_rewritten BEFORE UPDATE ON entry FOR EACH ROW WHEN (NOT ({_ONLY_WITHHELD})) "
    "EXECUTE FUNCTION entry_never_rewritten()",
)
