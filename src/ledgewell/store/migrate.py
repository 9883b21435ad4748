"""Bring a database to the newest version of the tables, its data carried along, in one transaction."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from ledgewell.store.failure import StoreError

if TYPE_CHECKING:
    from alembic.script import ScriptDirectory
    from sqlalchemy import Connection

NEWEST = "0002"
"""Version this package writes; a test holds it to the last of the steps."""

_STEPS = Path(__file__).parent / "migrations"


def version_of(connection: Connection) -> str | None:
    """Tell which version a database has.

    Parameters
    ----------
    connection
        Of the database.

    Returns
    -------
    str or None
        None for an empty one.

    Examples
    --------
    >>> with sa.create_engine("sqlite://").connect() as connection:
    ...     print(version_of(connection))
    None
    """
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def migrate(connection: Connection, *, to: str = NEWEST) -> None:
    """Bring a database up to a version; it stays as it is when it has that version.

    Parameters
    ----------
    connection
        In a transaction of its own; other writers wait.
    to
        The version.

    Raises
    ------
    StoreError
        When the database was written by a later version of this program.

    Examples
    --------
    >>> with sa.create_engine("sqlite://").begin() as connection:
    ...     migrate(connection)
    ...     print(version_of(connection) == NEWEST)
    True
    """
    present = version_of(connection)
    if present == to:
        return
    from alembic.operations import Operations
    from alembic.runtime.migration import MigrationContext

    steps = script_directory()
    if present is not None and present not in [step.revision for step in steps.walk_revisions()]:
        raise StoreError(
            connection.engine.url.render_as_string(),
            f"the database has version {present}, which this program does not know",
            "the later version of Ledgewell that wrote it",
        )
    context = MigrationContext.configure(connection)
    with Operations.context(context):
        for step in reversed(list(steps.iterate_revisions(to, present or "base"))):
            step.module.upgrade()
            context.stamp(steps, step.revision)


def script_directory() -> ScriptDirectory:
    """Find the steps.

    Returns
    -------
    alembic.script.ScriptDirectory

    Examples
    --------
    >>> script_directory().get_current_head() == NEWEST
    True
    """
    from alembic.script import ScriptDirectory

    return ScriptDirectory(str(_STEPS))
