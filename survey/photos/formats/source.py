"""Where do a format's readers take bytes from, and what do they say of a file?

Pure: a source is handed in, and answers with as many bytes as were asked, or fewer at its end.
"""

import struct
from dataclasses import dataclass, field
from typing import Any, Protocol

from gridmap.errors import InvalidInput


class Source(Protocol):
    """Bytes that can be read at any place without holding all of them."""

    size_bytes: int

    def read_at(self, offset: int, length: int) -> bytes: ...


class HeldBytes:
    """Bytes in memory as a source."""

    def __init__(self, data: bytes) -> None:
        self.size_bytes = len(data)
        self._data = data

    def read_at(self, offset: int, length: int) -> bytes:
        return self._data[offset : offset + length] if offset >= 0 else b""


@dataclass(frozen=True)
class FileFacts:
    """What a file's own structure says, before any of its picture is decoded.

    `bits` are those of one channel. `held_bytes` is about what a decoder must hold at once: all
    of a progressive JPEG or an interlaced PNG, a few rows otherwise.
    """

    kind: str
    width_px: int
    height_px: int
    bits: int
    channels: int
    colour: str
    held_bytes: int = 0
    orientation: int = 1
    exif: bytes | None = None
    details: dict[str, Any] = field(default_factory=dict)

    @property
    def upright_px(self) -> tuple[int, int]:
        """Width and height after the file's orientation."""
        if self.orientation >= 5:
            return self.height_px, self.width_px
        return self.width_px, self.height_px


class Damaged(InvalidInput):
    """A file that does not keep to the structure of its own format."""


def exactly(source: Source, offset: int, length: int, what: str) -> bytes:
    """Return bytes that must be there; raises Damaged naming the part that ends too early."""
    data = source.read_at(offset, length)
    if len(data) != length:
        raise Damaged(
            f"is cut off: its {what} ends after {max(0, source.size_bytes - offset):,} of "
            f"{length:,} bytes"
        )
    return data


def unpack(layout: str, source: Source, offset: int, what: str) -> tuple[Any, ...]:
    """Return numbers laid out as `struct` says."""
    return struct.unpack(layout, exactly(source, offset, struct.calcsize(layout), what))
