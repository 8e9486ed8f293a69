"""How is a TIFF file built, and which of its bytes does it name? TIFF 6.0, and Exif 2.32's tags.

Pure. The same reader reads the testimony (Exif) that other formats carry as a little TIFF.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from survey.photos.formats.source import Damaged, FileFacts, HeldBytes, Source, exactly

MOST_DIRECTORIES = 64
MOST_TAGS = 1_000
MOST_VALUES = 300_000  # strips of a large picture
FEW_VALUES = 16  # more are read only where they say where the picture's pieces lie
LARGEST_TEXT_BYTES = 1 << 16
MOST_PADDING_BYTES = 64  # writers round a file up to their unit
ORIENTATION = 0x0112
# Type → size of one value [bytes] and struct letter. TIFF 6.0, section 2.
_TYPES = {
    1: (1, "s"), 2: (1, "s"), 3: (2, "H"), 4: (4, "I"), 5: (8, "II"), 6: (1, "b"), 7: (1, "s"),
    8: (2, "h"), 9: (4, "i"), 10: (8, "ii"), 11: (4, "f"), 12: (8, "d"), 13: (4, "I"),
}  # fmt: skip
_PIECES = frozenset({0x0111, 0x0117, 0x0144, 0x0145, 0x014A, 0x0102})
_SUB_DIRECTORIES = (0x014A, 0x8769, 0x8825, 0xA005)
_COLOURS = {0: "grey", 1: "grey", 2: "colour", 3: "palette", 5: "CMYK", 6: "colour"}


@dataclass
class TiffReader:
    """Reads directories of tags and remembers how far the bytes reach that they name."""

    source: Source
    order: str
    first_at: int
    reach: int = 8
    _seen: set[int] = field(default_factory=set)

    @classmethod
    def of(cls, source: Source) -> "TiffReader":
        head = exactly(source, 0, 8, "heading")
        order = {b"II": "<", b"MM": ">"}.get(head[:2])
        if order is None or struct.unpack(f"{order}H", head[2:4])[0] != 42:
            raise Damaged("does not begin as a TIFF")
        return cls(source, order, struct.unpack(f"{order}I", head[4:8])[0])

    @classmethod
    def of_bytes(cls, data: bytes) -> "TiffReader":
        return cls.of(HeldBytes(data))

    def first(self) -> dict[int, Any]:
        """Return the tags of the first directory."""
        return self.directory(self.first_at)[0]

    def directory(self, offset: int) -> tuple[dict[int, Any], int]:
        """Return the tags of one directory and where the next one stands, 0 for none."""
        if offset in self._seen or len(self._seen) >= MOST_DIRECTORIES:
            raise Damaged("has directories that lead in a circle, or too many")
        self._seen.add(offset)
        (count,) = struct.unpack(f"{self.order}H", exactly(self.source, offset, 2, "directory"))
        if count > MOST_TAGS:
            raise Damaged(f"has a directory of {count:,} tags")
        rows = exactly(self.source, offset + 2, 12 * count + 4, "directory")
        self._name(offset, 6 + 12 * count)
        tags = {}
        for place in range(count):
            tag, value = self._tag(rows[12 * place : 12 * place + 12])
            if value is not None:
                tags[tag] = value
        return tags, struct.unpack(f"{self.order}I", rows[-4:])[0]

    def all(self) -> Iterator[dict[int, Any]]:
        """Yield the tags of every directory, sub-directories behind their own."""
        waiting = [self.first_at]
        while waiting:
            tags, following = self.directory(waiting.pop(0))
            yield tags
            inner = [at for tag in _SUB_DIRECTORIES for at in numbers(tags.get(tag, ()))]
            waiting = [*inner, *([following] if following else []), *waiting]

    def _tag(self, row: bytes) -> tuple[int, Any]:
        tag, kind, count = struct.unpack(f"{self.order}HHI", row[:8])
        if kind not in _TYPES:
            return tag, None
        size, letter = _TYPES[kind]
        length = size * count
        if length <= 4:
            data = row[8 : 8 + length]
        else:
            (at,) = struct.unpack(f"{self.order}I", row[8:12])
            self._name(at, length)
            exactly(self.source, at + length - 1, 1, f"tag {tag:#06x}")
            if length > LARGEST_TEXT_BYTES if letter == "s" else not _is_read(tag, count):
                return tag, None  # a maker's note or a profile: counted, not read
            data = exactly(self.source, at, length, f"tag {tag:#06x}")
        if letter == "s":
            return tag, data
        return tag, struct.unpack(f"{self.order}{len(letter) * count}{letter[0]}", data)

    def _name(self, offset: int, length: int) -> None:
        self.reach = max(self.reach, offset + length)


def _is_read(tag: int, count: int) -> bool:
    if tag in _PIECES and count > MOST_VALUES:
        raise Damaged(f"is made of {count:,} pieces; save it in fewer")
    return tag in _PIECES or count <= FEW_VALUES


def numbers(value: Any) -> tuple[Any, ...]:
    """Return a tag's numbers, none where it holds text or nothing."""
    return value if isinstance(value, tuple) else ()


def orientation_of(exif: bytes | None) -> int:
    """Return the orientation that a testimony states, 1 (upright) where it states none."""
    if not exif:
        return 1
    try:
        return stated_orientation(TiffReader.of_bytes(exif).first())
    except Damaged:
        return 1


def stated_orientation(tags: dict[int, Any]) -> int:
    """Return the orientation of a directory, 1 where it states none or an unknown one."""
    value = (*numbers(tags.get(ORIENTATION, ())), 1)[0]
    return value if value in range(1, 9) else 1


def read_tiff(source: Source) -> FileFacts:
    """Return what a TIFF says of its one picture; raises Damaged."""
    reader = TiffReader.of(source)
    pictures = []
    for tags in reader.all():
        for starts, lengths in ((0x0111, 0x0117), (0x0144, 0x0145), (0x0201, 0x0202)):
            _name_pieces(reader, numbers(tags.get(starts)), numbers(tags.get(lengths)))
        if 0x0100 in tags and not _reduced(tags):
            pictures.append(tags)
    if len(pictures) != 1:
        raise Damaged(f"holds {len(pictures)} pictures; save the one that counts by itself")
    if reader.reach > source.size_bytes:
        raise Damaged(
            f"is cut off: it names bytes up to {reader.reach:,} and has {source.size_bytes:,}"
        )
    beyond = source.size_bytes - reader.reach
    if beyond > MOST_PADDING_BYTES or source.read_at(reader.reach, beyond).strip(b"\x00"):
        raise Damaged(
            f"has {beyond:,} bytes that nothing in it names. Somebody's addition: save the "
            "picture anew"
        )
    return _facts(pictures[0])


def _name_pieces(reader: TiffReader, starts: tuple[int, ...], lengths: tuple[int, ...]) -> None:
    if len(starts) != len(lengths):
        raise Damaged("names the pieces of its picture without their lengths")
    for start, length in zip(starts, lengths, strict=True):
        reader.reach = max(reader.reach, start + length)


def _reduced(tags: dict[int, Any]) -> bool:
    """Say whether a directory holds a thumbnail or a mask and not the picture."""
    kind = (*numbers(tags.get(0x00FE, ())), 0)[0]
    old_kind = (*numbers(tags.get(0x00FF, ())), 1)[0]
    return bool(kind & 5) or old_kind == 2


def _largest_piece(tags: dict[int, Any]) -> int:
    """Return the bytes of the largest packed strip or tile, which is unpacked from memory."""
    if (*numbers(tags.get(0x0103, ())), 1)[0] == 1:
        return 0
    return int(max((*numbers(tags.get(0x0117)), *numbers(tags.get(0x0145))), default=0))


def _facts(tags: dict[int, Any]) -> FileFacts:
    def one(tag: int, otherwise: int) -> int:
        return int((*numbers(tags.get(tag, ())), otherwise)[0])

    width_px, height_px, channels = one(0x0100, 0), one(0x0101, 0), one(0x0115, 1)
    bits = set(numbers(tags.get(0x0102, (1,))))
    colour = _COLOURS.get(one(0x0106, -1))
    if not width_px or not height_px:
        raise Damaged(f"says that it is {width_px:,} by {height_px:,} pixels")
    if colour is None or not 1 <= channels <= 5 or len(bits) != 1 or one(0x0153, 1) != 1:
        raise Damaged(
            "holds numbers that are no picture of grey, colour or CMYK in 8 or 16 bits: CIELAB, a "
            "linear raw or a measured map. Save it as an ordinary TIFF"
        )
    if bits - {1, 8, 16}:
        raise Damaged(f"has {min(bits)} bits for each channel; 8 or 16 can be read")
    rows = min(one(0x0116, height_px), height_px)
    piece_px = one(0x0142, 0) * one(0x0143, 0)
    streamed = one(0x0103, 1) == 1 and one(0x011C, 1) == 1  # read by rows, whatever its strips
    strip_px = min(rows, 128) * width_px if streamed else rows * width_px
    held_px = 2 * piece_px + 2 * one(0x0143, 0) * width_px if piece_px else strip_px
    return FileFacts(
        kind="tiff",
        width_px=width_px,
        height_px=height_px,
        bits=max(bits),
        channels=channels,
        colour=colour,
        held_bytes=held_px * channels * max(1, max(bits) // 8) + _largest_piece(tags),
        orientation=stated_orientation(tags),
        details={"compression": one(0x0103, 1), "planar": one(0x011C, 1)},
    )
