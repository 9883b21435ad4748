"""What a file is by its own bytes, and whether its name says the same."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass

from ledgewell.errors import InputError, Problem
from ledgewell.store.filenames import ending_of

MEGABYTE = 1_000_000
_MOST_MEMBERS = 5_000
_MOST_UNPACKED = 500 * MEGABYTE
_TEXT_CONTROLS = frozenset(range(32)) - {0x09, 0x0A, 0x0C, 0x0D, 0x1A}


@dataclass(frozen=True, slots=True, kw_only=True)
class FileType:
    """One kind of file that is kept.

    Parameters
    ----------
    type
        Its media type.
    endings
        How its name may end.
    most_bytes
        How long it may be.
    fits
        Tells by its bytes.
    """

    type: str
    endings: tuple[str, ...]
    most_bytes: int
    fits: Callable[[bytes], bool]


def _jpeg(content: bytes) -> bool:
    return content.startswith(b"\xff\xd8\xff") and len(content) > 4


def _png(content: bytes) -> bool:
    return content.startswith(b"\x89PNG\r\n\x1a\n") and content[12:16] == b"IHDR"


def _webp(content: bytes) -> bool:
    return content[:4] == b"RIFF" and content[8:12] == b"WEBP"


def _heic(content: bytes) -> bool:
    return content[4:8] == b"ftyp" and content[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"hevc")


def _tiff(content: bytes) -> bool:
    return content[:4] in (b"II*\x00", b"MM\x00*")


def _pdf(content: bytes) -> bool:
    return content.startswith(b"%PDF-")


def _workbook(content: bytes) -> bool:
    """Tell a workbook (ISO/IEC 29500) from any other zip: by its list of contents, nothing unpacked."""
    if not content.startswith(b"PK\x03\x04"):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            members = packed.infolist()
    except (zipfile.BadZipFile, NotImplementedError, ValueError):
        return False
    names = {member.filename for member in members}
    small = len(members) <= _MOST_MEMBERS and sum(each.file_size for each in members) <= _MOST_UNPACKED
    return small and {"[Content_Types].xml", "xl/workbook.xml"} <= names


def _text(content: bytes) -> bool:
    """Tell text: UTF-8 or a single-byte code without control characters, or UTF-16 with its mark."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            content = content.decode("utf-16").encode()
        except UnicodeDecodeError:
            return False
    return not _TEXT_CONTROLS.intersection(content) and not content.startswith((b"%PDF-", b"PK\x03\x04"))


FILE_TYPES = (
    FileType(type="image/jpeg", endings=("jpg", "jpeg"), most_bytes=30 * MEGABYTE, fits=_jpeg),
    FileType(type="image/png", endings=("png",), most_bytes=30 * MEGABYTE, fits=_png),
    FileType(type="image/webp", endings=("webp",), most_bytes=30 * MEGABYTE, fits=_webp),
    FileType(type="image/heic", endings=("heic", "heif"), most_bytes=30 * MEGABYTE, fits=_heic),
    FileType(type="image/tiff", endings=("tif", "tiff"), most_bytes=30 * MEGABYTE, fits=_tiff),
    FileType(type="application/pdf", endings=("pdf",), most_bytes=30 * MEGABYTE, fits=_pdf),
    FileType(
        type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        endings=("xlsx",),
        most_bytes=30 * MEGABYTE,
        fits=_workbook,
    ),
    FileType(
        type="text/plain",
        endings=("csv", "txt", "tsv", "dat", "log", "toml", "json", "jsonl"),
        most_bytes=60 * MEGABYTE,
        fits=_text,
    ),
)
"""What is kept; the lengths are our own choice, several times what a phone or logger makes."""

MOST_BYTES = max(each.most_bytes for each in FILE_TYPES)


def type_of(content: bytes, name: str) -> str:
    """Find what a file is, and hold its name to it.

    Parameters
    ----------
    content
        The whole file.
    name
        Its name.

    Returns
    -------
    str
        Its media type.

    Raises
    ------
    InputError
        When it is empty, too long, of no kind that is kept, or another kind than its name says.

    Notes
    -----
    The first bytes are those of each format's own standard, as IANA's register of media types lists them.

    Examples
    --------
    >>> type_of(b"minute,level\\n2,47.1\\n", "logger.csv")
    'text/plain'
    >>> type_of(b"PK\\x03\\x04...", "camera.jpg")
    Traceback (most recent call last):
    ledgewell.errors.InputError: camera.jpg: by its bytes this is not what its name says ...
    """
    ending = ending_of(name)
    named = next((each for each in FILE_TYPES if ending in each.endings), None)
    if named is None:
        raise _refused(name, ending or "no ending", "files with this ending are not kept", _known())
    if not content:
        raise _refused(name, "nothing", "the file is empty", "the file as it came")
    if len(content) > named.most_bytes:
        say, right = f"the file has {len(content)} bytes", f"at most {named.most_bytes // MEGABYTE} MB"
        raise _refused(name, f"{len(content)} bytes", say, right)
    if not named.fits(content):
        found = next((each.endings[0] for each in FILE_TYPES[:-1] if each.fits(content)), None)
        right = f"a name ending in .{found}" if found else f"a true .{ending}: {named.type}"
        raise _refused(name, repr(content[:8]), "by its bytes this is not what its name says", right)
    return named.type


def _known() -> str:
    return "one of " + ", ".join(ending for each in FILE_TYPES for ending in each.endings)


def _refused(name: str, given: str, say: str, right: str) -> InputError:
    return InputError([Problem(where=name, given=given, say=say, right=right)])
