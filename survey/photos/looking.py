"""Can this file be decoded to its last pixel, and how large is the upright picture?

Every file is decoded whole before it is kept, row by row where its format allows, so that a
picture of the largest size stays far below 512 MB. Nothing is written here. What a decoder does
not notice is not noticed here: HEIC has no check sum, and damage in its middle may only be seen.
"""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyvips

from gridmap.errors import InvalidInput
from survey.photos.file_formats import MIME_OF, read_facts
from survey.photos.formats.source import FileFacts
from survey.photos.heic_decoding import LARGEST_HEIC_PX, decoded_heic

LARGEST_FILE_BYTES = 400 * 1024 * 1024
LARGEST_PICTURE_PX = 160_000_000  # the largest one-shot cameras have 151 million
LARGEST_SIDE_PX = 65_500  # what a JPEG can hold
LARGEST_HELD_BYTES = 200 * 1024 * 1024  # by a decoder at once; the program itself needs the rest
SMALLEST_SIDE_PX = 1

# One picture at a time is decoded in a process, however many are sent at once: memory adds up.
_decoding = threading.Lock()

# Operations that were run are not kept: a worker that takes in a thousand frames stays small.
pyvips.cache_set_max(0)


class FileSource:
    """A file as a source of the format readers."""

    def __init__(self, file: Any, size_bytes: int) -> None:
        self._file, self.size_bytes = file, size_bytes

    def read_at(self, offset: int, length: int) -> bytes:
        if offset < 0 or length <= 0:
            return b""
        self._file.seek(offset)
        return bytes(self._file.read(min(length, self.size_bytes)))


@contextmanager
def opened(path: Path) -> Iterator[FileSource]:
    """Yield the file as a source."""
    with path.open("rb") as file:
        yield FileSource(file, os.fstat(file.fileno()).st_size)


@dataclass(frozen=True)
class Looked:
    """A picture that was decoded whole; width and height are those of the upright picture."""

    facts: FileFacts
    mime: str
    width_px: int
    height_px: int
    exif: bytes | None
    remarks: tuple[str, ...]


def look(path: Path, name: str) -> Looked:
    """Decode a file whole and say what it is; raises InvalidInput naming the file and why."""
    with opened(path) as source:
        refuse_large_file(source.size_bytes, name)
        facts = read_facts(source, name)
    refuse_large_picture(facts, name)
    exif, (width_px, height_px) = facts.exif, facts.upright_px
    with _decoding:
        if facts.kind == "heic":
            with decoded_heic(path, name) as decoded:
                exif = decoded.exif
                width_px, height_px = decoded.width_px, decoded.height_px
        else:
            _decode(path, facts, name)
    return Looked(facts, MIME_OF[facts.kind], width_px, height_px, exif, _remarks(facts))


def checked_mime(path: Path, name: str) -> str:
    """Return the media type of a file that was decoded whole; raises InvalidInput."""
    return look(path, name).mime


def open_rows(path: Path, kind: str, *, shrink: int = 1, strict: bool = True) -> pyvips.Image:
    """Return a JPEG, PNG or TIFF as an image that is read from top to bottom.

    Only the loader of that kind is asked: bytes that pretend to be another are not opened by it.
    """
    options: dict[str, Any] = {"access": "sequential", "fail_on": "warning" if strict else "none"}
    if kind == "jpeg":
        return pyvips.Image.jpegload(str(path), shrink=shrink, **options)
    if kind == "png":
        return pyvips.Image.pngload(str(path), **options)
    # The library's own limit is 50 MB; what a strip may take was counted before.
    return pyvips.Image.tiffload(str(path), unlimited=True, **options)


def _decode(path: Path, facts: FileFacts, name: str) -> None:
    try:
        image = open_rows(path, facts.kind)
        if (image.width, image.height) != (facts.width_px, facts.height_px):
            raise InvalidInput(
                f"{name} says that it is {facts.width_px:,} by {facts.height_px:,} pixels, and "
                f"holds {image.width:,} by {image.height:,}. Nothing was kept.",
                field="data",
            )
        image.avg()
    except pyvips.Error as error:
        raise InvalidInput(
            f"{name} cannot be decoded to its end ({decoder_said(error)}). Copy it from the card "
            "again. Nothing was kept.",
            field="data",
        ) from error


def refuse_large_file(size_bytes: int, name: str) -> None:
    if size_bytes > LARGEST_FILE_BYTES:
        raise InvalidInput(
            f"{name} has {size_bytes / 1024**2:,.0f} MB; the limit is "
            f"{LARGEST_FILE_BYTES / 1024**2:,.0f} MB for one photograph. Nothing was kept.",
            field="data",
        )


def refuse_large_picture(facts: FileFacts, name: str) -> None:
    most = LARGEST_HEIC_PX if facts.kind == "heic" else LARGEST_PICTURE_PX
    if facts.width_px * facts.height_px > most:
        raise _too_large(name, facts.width_px, facts.height_px, most)
    if max(facts.width_px, facts.height_px) > LARGEST_SIDE_PX:
        raise InvalidInput(
            f"{name} is {facts.width_px:,} by {facts.height_px:,} pixels; no side may be longer "
            f"than {LARGEST_SIDE_PX:,}. Nothing was kept.",
            field="data",
        )
    if facts.kind != "heic" and facts.held_bytes > LARGEST_HELD_BYTES:
        raise InvalidInput(
            f"{name} can only be opened as a whole, with {facts.held_bytes / 1024**2:,.0f} MB at "
            f"once; the limit is {LARGEST_HELD_BYTES / 1024**2:,.0f} MB. Save it without "
            "“progressive” or “interlaced”, a TIFF in strips or tiles. Nothing was kept.",
            field="data",
        )


def _too_large(name: str, width_px: int, height_px: int, most_px: int) -> InvalidInput:
    return InvalidInput(
        f"{name} is {width_px:,} by {height_px:,} pixels, {width_px * height_px / 1e6:,.0f} "
        f"megapixels; the limit is {most_px / 1e6:,.0f} for one photograph. A finished picture of "
        "the whole wall is imported as a mosaic. Nothing was kept.",
        field="data",
    )


def _remarks(facts: FileFacts) -> tuple[str, ...]:
    """Return in words what a page shows otherwise than the file holds it."""
    said = []
    if facts.bits > 8:
        said.append(f"The file has {facts.bits} bits for each channel; pages show it in 8.")
    if facts.colour == "CMYK":
        said.append("The file is in CMYK, for print; pages show it in sRGB, colours shift.")
    if facts.colour.startswith("grey") or (facts.channels < 3 and facts.colour != "palette"):
        said.append("The file is in grey: it shows no colour.")
    if "transparency" in facts.colour:
        said.append("The file has transparent parts; pages show them white.")
    return tuple(said)


def decoder_said(error: pyvips.Error) -> str:
    """Return the last line that the decoder said, which names the cause."""
    lines = [line for line in str(error.detail or error.message).splitlines() if line.strip()]
    return lines[-1].strip()[:120] if lines else "it is damaged"
