"""Where records are kept: journals, files, and who withheld what, on SQLite or PostgreSQL.

Nothing is acknowledged before it is on the disk; nothing kept is rewritten or deleted.
"""

from __future__ import annotations

from ledgewell.store.address import default_path
from ledgewell.store.answer import Answer
from ledgewell.store.attachment import Attachment
from ledgewell.store.backup import Restored, restore
from ledgewell.store.duplicates import Likeness
from ledgewell.store.failure import StoreError
from ledgewell.store.kept import KeptEntry
from ledgewell.store.store import Store
from ledgewell.store.summary import WellSummary
from ledgewell.store.withholding import Withholding

__all__ = [
    "Answer",
    "Attachment",
    "KeptEntry",
    "Likeness",
    "Restored",
    "Store",
    "StoreError",
    "WellSummary",
    "Withholding",
    "default_path",
    "restore",
]
