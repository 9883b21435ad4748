"""Files are kept as they came, by what they are. The first bytes of each kind are those of its own standard."""

from __future__ import annotations

import hashlib
import io
import struct
import zipfile
import zlib
from datetime import timedelta

import pytest
import sqlalchemy as sa
from tests.store.sent import NOW

from ledgewell.errors import InputError
from ledgewell.store import Store, StoreError
from ledgewell.store.engine import writing
from ledgewell.store.filenames import plain_name
from ledgewell.store.filetypes import FILE_TYPES, MOST_BYTES, type_of


def png(gray: int = 0) -> bytes:
    """A picture of one point, after the PNG specification (W3C): signature, IHDR, IDAT, IEND."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes([0, gray])))
        + chunk(b"IEND", b"")
    )


def packed(*names: str, content: bytes = b"<a/>") -> bytes:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in names:
            archive.writestr(name, content)
    return whole.getvalue()


JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01" + bytes(20) + b"\xff\xd9"
WORKBOOK = packed("[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/worksheets/sheet1.xml")
KINDS = {
    "photo.jpg": (JPEG, "image/jpeg"),
    "IMG_0001.JPEG": (JPEG, "image/jpeg"),
    "still.png": (png(), "image/png"),
    "still.webp": (b"RIFF\x1a\x00\x00\x00WEBPVP8 " + bytes(14), "image/webp"),
    "phone.heic": (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "image/heic"),
    "scan.tif": (b"II*\x00\x08\x00\x00\x00", "image/tiff"),
    "scan.tiff": (b"MM\x00*\x00\x00\x00\x08", "image/tiff"),
    "lab.pdf": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "application/pdf"),
    "logger.xlsx": (WORKBOOK, "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "logger.csv": (b"minute;level\r\n2;47,1\r\n", "text/plain"),
    "windows.csv": ("température;niveau\r\n8 °C;14,1\r\n".encode("cp1252"), "text/plain"),
    "utf16.txt": ("minute\tlevel\n".encode("utf-16"), "text/plain"),
}


@pytest.mark.parametrize("name", KINDS)
def test_a_file_is_kept_as_it_came(store: Store, name: str) -> None:
    content, kind = KINDS[name]
    kept = store.put_file(io.BytesIO(content), name, well="w", author="Ann", received=NOW)
    assert (kept.name, kept.type, kept.size, kept.author, kept.received) == (
        name,
        kind,
        len(content),
        "Ann",
        NOW,
    )
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert store.file(kept.sha256) == content
    assert store.files("w") == (kept,)
    assert store.file_said("w", name) == store.file_said("w", kept.sha256) == kept


@pytest.mark.parametrize(
    ("name", "content", "right"),
    [
        ("camera.jpg", packed("a.txt"), "image/jpeg"),
        ("camera.jpg", WORKBOOK, "name ending in .xlsx"),
        ("camera.jpg", png(), "name ending in .png"),
        ("camera.png", JPEG, "name ending in .jpg"),
        ("camera.jpg", b"<svg onload='alert(1)'/>", "image/jpeg"),
        ("camera.jpg", b"", "the file as it came"),
        ("logger.csv", packed("a.txt"), "text/plain"),
        ("logger.csv", JPEG, "name ending in .jpg"),
        ("logger.csv", b"minute,level\n\x00\x01\x02", "text/plain"),
        ("logger.csv", b"\x7fELF\x02\x01\x01\x00", "text/plain"),
        ("logger.xlsx", packed("a.txt"), "spreadsheetml"),
        ("logger.xlsx", WORKBOOK[:-30], "spreadsheetml"),
        ("logger.xlsx", b"PK\x03\x04" + bytes(40), "spreadsheetml"),
        ("archive.zip", packed("a.txt"), "one of jpg"),
        ("page.html", b"<html></html>", "one of jpg"),
        ("drawing.svg", b"<svg/>", "one of jpg"),
        ("program.exe", b"MZ\x90\x00", "one of jpg"),
        ("photo.jpg.exe", JPEG, "one of jpg"),
        ("photo", JPEG, "one of jpg"),
    ],
)  # fmt: skip
def test_a_file_that_is_not_what_its_name_says_is_refused(name: str, content: bytes, right: str) -> None:
    with pytest.raises(InputError) as caught:
        type_of(content, name)
    assert right in caught.value.problems[0].right


def test_nothing_is_kept_of_what_is_refused(store: Store) -> None:
    for name, content in (("camera.jpg", WORKBOOK), ("../camera.jpg", JPEG), ("camera.jpg", b"")):
        with pytest.raises(InputError):
            store.put_file(content, name, well="w", author="Ann")
    assert store.files("w") == ()
    with store.engine.connect() as connection:
        assert connection.execute(sa.text("SELECT count(*) FROM file")).scalar() == 0


def test_a_workbook_that_unpacks_to_too_much_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ledgewell.store.filetypes._MOST_UNPACKED", 10_000_000)
    names = ("[Content_Types].xml", "xl/workbook.xml")
    assert type_of(packed(*names, content=bytes(5_000_000)), "small.xlsx")
    bomb = packed(*names, "xl/a.xml", content=bytes(5_000_000))
    assert len(bomb) < 100_000
    with pytest.raises(InputError, match="by its bytes"):
        type_of(bomb, "bomb.xlsx")


@pytest.mark.parametrize(
    "name",
    [
        "", ".", "..", "...", "../a.jpg", "..\\a.jpg", "/etc/a.jpg", "C:\\a.jpg", "C:a.jpg", "a/b.jpg", "a\\b.jpg", ".a.jpg",
        "a.jpg.", "a.jpg ", " a.jpg", "con.jpg", "CON", "nul.csv", "Com1.jpg", "lpt9.csv", "a.jpg:stream", "a\x00.jpg",
        "a\n.jpg", "a\u202egpj.exe.jpg", "a\u200b.jpg", "a\ud800.jpg", "a?.jpg", "a*.jpg", "<a>.jpg", 'a".jpg', "a|.jpg",
        "a" * 150 + ".jpg", "井" * 60 + ".jpg",
    ],
)  # fmt: skip
def test_names_that_point_elsewhere_are_refused(name: str) -> None:
    with pytest.raises(InputError):
        plain_name(name)


@pytest.mark.parametrize(
    "name", ["a.jpg", "Kamera 95 m (2).jpg", "井.jpg", "con 1.jpg", "a..jpg", "1998-09-14.jpg"]
)
def test_plain_names_are_kept(store: Store, name: str) -> None:
    assert store.put_file(JPEG, name, well="w", author="Ann").name == name


def test_the_ends_of_each_length() -> None:
    for kind in FILE_TYPES[:1]:
        start = JPEG
        assert type_of(start + bytes(kind.most_bytes - len(start)), "a.jpg") == kind.type
        with pytest.raises(InputError, match="at most 30 MB"):
            type_of(start + bytes(kind.most_bytes - len(start) + 1), "a.jpg")


def test_a_stream_is_not_read_beyond_what_any_file_may_have(store: Store) -> None:
    class Endless(io.RawIOBase):
        asked = 0

        def read(self, size: int = -1) -> bytes:
            assert size >= 0, "never to the end of what may have no end"
            self.asked += size
            return bytes(size)

    source = Endless()
    with pytest.raises(InputError, match="too long"):
        store.put_file(source, "a.csv", well="w", author="Ann")  # type: ignore[arg-type]
    assert source.asked <= MOST_BYTES + 1


def test_the_same_bytes_are_one_file(store: Store) -> None:
    first = store.put_file(JPEG, "a.jpg", well="w", author="Ann", received=NOW)
    again = store.put_file(JPEG, "a.jpg", well="w", author="Bob", received=NOW + timedelta(hours=1))
    assert again == first
    other = store.put_file(JPEG, "b.jpg", well="v", author="Bob", received=NOW)
    assert (other.sha256, other.well) == (first.sha256, "v")
    with store.engine.connect() as connection:
        assert connection.execute(sa.text("SELECT count(*) FROM file_content")).scalar() == 1


def test_one_name_for_two_files_is_asked_back(store: Store) -> None:
    first = store.put_file(png(1), "IMG_0001.png", well="w", author="Ann", received=NOW)
    second = store.put_file(png(2), "IMG_0001.png", well="w", author="Bob", received=NOW)
    assert {each.sha256 for each in store.files("w")} == {first.sha256, second.sha256}
    with pytest.raises(InputError, match="2 files of this well have that name") as caught:
        store.file_said("w", "IMG_0001.png")
    assert first.sha256 in caught.value.problems[0].right
    assert store.file_said("w", second.sha256) == second
    with pytest.raises(InputError, match="no such file"):
        store.file_said("v", second.sha256)


def test_bytes_that_changed_on_the_disk_are_not_given_out(store: Store) -> None:
    kept = store.put_file(b"minute,level\n2,47.1\n", "a.csv", well="w", author="Ann")
    with writing(store.engine) as connection:
        connection.execute(sa.text("UPDATE file_content SET content = :c"), {"c": b"minute,level\n2,41.1\n"})
    with pytest.raises(StoreError, match="damaged"):
        store.file(kept.sha256)


def test_no_such_file_and_no_such_well(store: Store) -> None:
    assert store.file("00" * 32) is None
    assert store.files("w") == ()
    with pytest.raises(InputError, match="id of a well"):
        store.put_file(JPEG, "a.jpg", well="../w", author="Ann")
