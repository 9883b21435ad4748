"""Files kept as they came: photos, camera stills, logger files, lab sheets."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ledgewell.store.columns import KeyText, LongCount, UtcMoment

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables of files.

    Examples
    --------
    >>> down_revision
    '0001'
    """
    op.create_table(
        "file",
        sa.Column("sha256", KeyText, primary_key=True),
        sa.Column("size", LongCount, nullable=False),
        sa.Column("type", sa.Text, nullable=False),
        sa.Column("received", UtcMoment, nullable=False),
        sa.Column("withheld", sa.Integer, nullable=False),
    )
    op.create_table(
        "file_content",
        sa.Column("sha256", KeyText, sa.ForeignKey("file.sha256"), primary_key=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "attachment",
        sa.Column("well", KeyText, primary_key=True),
        sa.Column("sha256", KeyText, sa.ForeignKey("file.sha256"), primary_key=True),
        sa.Column("name", KeyText, primary_key=True),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("received", UtcMoment, nullable=False),
    )
