"""A file kept beside a record: by its bytes, under the name it came with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """One file of one well.

    Parameters
    ----------
    well
        Id of the well.
    sha256
        SHA-256 of its bytes, in hexadecimal; a record may name a file by it.
    name
        The name it came with.
    size
        Length [bytes].
    type
        Media type, found by its bytes.
    author
        Who sent it.
    received
        When it came [UTC].
    withheld
        Whether an administrator withheld its bytes.
    """

    well: str
    sha256: str
    name: str
    size: int
    type: str
    author: str
    received: datetime
    withheld: bool = False
