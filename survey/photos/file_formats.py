"""What are these bytes really: which kind of picture, how large, and ending where they say?

Pure: the bytes are read through a source that is handed in, and no picture is decoded. A file is
judged by its content; a name that says otherwise is refused, as is whatever stands behind the end.
"""

import struct
from pathlib import PurePath

from gridmap.errors import InvalidInput
from survey.photos.formats.heic import (
    FILM_BRANDS,
    GENERAL_BRANDS,
    HEIC_BRANDS,
    brands_of,
    read_heic,
)
from survey.photos.formats.jpeg import read_jpeg
from survey.photos.formats.png import SIGNATURE, read_png
from survey.photos.formats.source import Damaged, FileFacts, Source
from survey.photos.formats.tiff import read_tiff

MIME_OF = {"jpeg": "image/jpeg", "png": "image/png", "tiff": "image/tiff", "heic": "image/heic"}
KIND_OF_ENDING = {
    ".jpg": "jpeg", ".jpeg": "jpeg", ".jpe": "jpeg", ".png": "png", ".tif": "tiff",
    ".tiff": "tiff", ".heic": "heic", ".heif": "heic", ".hif": "heic",
}  # fmt: skip
_READERS = {"jpeg": read_jpeg, "png": read_png, "tiff": read_tiff, "heic": read_heic}
_ENDINGS = {"jpeg": "jpg", "png": "png", "tiff": "tif", "heic": "heic"}
_NAMES = {"jpeg": "JPEG", "png": "PNG", "tiff": "TIFF", "heic": "HEIC"}

# Raw files are kept and never decoded. Their first bytes as their makers write them; from memory.
_TIFF_HEADS = (b"II*\x00", b"MM\x00*")
RAW_HEADS: dict[str, tuple[bytes, ...]] = {
    ".cr2": (b"II*\x00\x10\x00\x00\x00CR",),
    ".nef": _TIFF_HEADS,
    ".nrw": _TIFF_HEADS,
    ".arw": _TIFF_HEADS,
    ".dng": _TIFF_HEADS,
    ".pef": _TIFF_HEADS,
    ".srw": _TIFF_HEADS,
    ".3fr": _TIFF_HEADS,
    ".fff": _TIFF_HEADS,
    ".iiq": (b"IIII", b"MMMM", *_TIFF_HEADS),
    ".raf": (b"FUJIFILMCCD-RAW",),
    ".orf": (b"IIRO", b"IIRS", b"MMOR"),
    ".rw2": (b"IIU\x00",),
}
HEAD_BYTES = 4096
_ARCHIVE_TAIL_BYTES = 22 + 65_535  # APPNOTE 4.3.16: the end record and its longest comment


def ending_of(name: str) -> str:
    """Return the ending of a file's name in small letters, '' where it has none."""
    return PurePath(name.replace("\\", "/")).suffix.lower()


def stem_of(name: str) -> str:
    """Return the name without its ending, in small letters: what raw and rendering share."""
    return PurePath(name.replace("\\", "/")).stem.lower()


def is_raw_name(name: str) -> bool:
    """Say whether a name has the ending of a camera's raw file."""
    return ending_of(name) in RAW_HEADS or ending_of(name) == ".cr3"


def kind_of(head: bytes) -> str | None:
    """Return the kind of picture that the first bytes begin, None for any other."""
    if head.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if head.startswith(SIGNATURE):
        return "png"
    if head.startswith(_TIFF_HEADS):
        return "tiff"
    brands = set(brands_of(head))
    return "heic" if brands & (HEIC_BRANDS | GENERAL_BRANDS | FILM_BRANDS) else None


def read_facts(source: Source, name: str) -> FileFacts:
    """Return what the file says of its picture; raises InvalidInput with name and reason."""
    facts = read_content(source, name)
    named = KIND_OF_ENDING.get(ending_of(name))
    if ending_of(name) and named != facts.kind:
        raise InvalidInput(
            f"{name} is a {_NAMES[facts.kind]} file by its content, and its name says otherwise. "
            f"Give it the ending .{_ENDINGS[facts.kind]} if you know where it comes from. "
            "Nothing was kept.",
            field="name",
        )
    return facts


def read_content(source: Source, name: str) -> FileFacts:
    """Return what the file says of its picture, whatever the ending of its name."""
    head = source.read_at(0, HEAD_BYTES)
    if not head:
        raise InvalidInput(f"{name} is empty. Copy it from the card again.", field="data")
    kind = kind_of(head)
    if kind is None:
        raise InvalidInput(
            f"{name} is no picture: it is {_other_kind(head)}. JPEG, PNG, TIFF and HEIC are "
            "taken in, and raw files beside their rendering. Nothing was kept.",
            field="data",
        )
    try:
        facts = _READERS[kind](source)
        _refuse_second_nature(source, head)
    except Damaged as error:
        raise InvalidInput(f"{name} {error.message}. Nothing was kept.", field="data") from error
    return facts


def check_raw_file(source: Source, name: str) -> None:
    """Refuse a raw file that does not begin as its ending says; no more of it is read."""
    head, ending = source.read_at(0, 64), ending_of(name)
    begins = (
        brands_of(head)[:1] == [b"crx "]
        if ending == ".cr3"
        else head.startswith(RAW_HEADS.get(ending, ()))
    )
    if not begins:
        raise InvalidInput(
            f"{name} is no {ending[1:].upper() or 'raw'} file: it is {_other_kind(head)}. Copy "
            "it from the card again. Nothing was kept.",
            field="data",
        )


def raw_mime(name: str) -> str:
    """Return the media type under which a raw file is kept: bytes that nothing here opens."""
    return f"application/x-camera-raw-{ending_of(name)[1:]}"


def _refuse_second_nature(source: Source, head: bytes) -> None:
    """Refuse a picture that another program would open as a document or an archive."""
    if b"%PDF-" in head[:1024]:
        raise Damaged("is a picture and a PDF at once. Save the picture anew")
    tail_at = max(0, source.size_bytes - _ARCHIVE_TAIL_BYTES)
    tail = source.read_at(tail_at, _ARCHIVE_TAIL_BYTES)
    at = tail.find(b"PK\x05\x06")
    while at >= 0:
        if len(tail) >= at + 22 and struct.unpack("<H", tail[at + 20 : at + 22])[0] == (
            len(tail) - at - 22
        ):
            raise Damaged("is a picture and an archive at once. Save the picture anew")
        at = tail.find(b"PK\x05\x06", at + 1)


def _other_kind(head: bytes) -> str:
    """Return in words what bytes are that are no picture taken in here."""
    text = head[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    known = (
        (b"<!doctype html", "a web page"), (b"<html", "a web page"), (b"<script", "a web page"),
        (b"<svg", "a drawing (SVG)"), (b"<?xml", "an XML text"), (b"%pdf-", "a PDF"),
        (b"pk\x03\x04", "an archive or an office document"), (b"gif8", "a GIF"),
        (b"mz", "a program"), (b"\x7felf", "a program"), (b"riff", "a WebP picture or a film"),
        (b"bm", "a BMP"), (b"#!", "a program"), (b"8bps", "a Photoshop file"),
    )  # fmt: skip
    if any(brand in {b"avif", b"avis"} for brand in brands_of(head)):
        return "an AVIF picture"
    if b"crx " in brands_of(head):
        return "a Canon raw file; send it beside its rendering"
    if head.startswith((b"II+\x00", b"MM\x00+")):
        return "a TIFF of the large kind (BigTIFF); save it as an ordinary TIFF"
    other = "a text" if _is_text(head) else "something else"
    return next((words for start, words in known if text.startswith(start)), other)


def _is_text(head: bytes) -> bool:
    """Say whether bytes read as words; the last letter may be cut through."""
    words = head[:512].decode("utf-8", errors="replace").rstrip("\ufffd")
    return (
        bool(words)
        and all(letter.isprintable() or letter in "\t\r\n" for letter in words)
        and ("\ufffd" not in words)
    )
