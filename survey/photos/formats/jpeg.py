"""How is a JPEG file built, and where does it end? ISO/IEC 10918-1 (ITU T.81), annex B.

Pure. What stands behind the end of the picture is refused, unless the camera's own index of
further pictures (CIPA DC-007, "Multi-Picture Format") names it.
"""

import re
import struct
from collections.abc import Iterator

from survey.photos.formats.source import Damaged, FileFacts, Source, exactly, unpack
from survey.photos.formats.tiff import TiffReader, orientation_of

MOST_SCANS = 64  # a progressive picture of a camera has about 10; each costs a pass over all of it
MOST_SEGMENTS = 2_000
READ_AT_ONCE_BYTES = 1 << 20
MOST_PADDING_BYTES = 1 << 16  # some cameras fill their last block with zeros
START, END, SCAN = 0xD8, 0xD9, 0xDA
_FRAMES = {0xC0, 0xC1, 0xC2}  # baseline, extended and progressive, all Huffman-coded
_OTHER_FRAMES = {0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF}
_MARKER_IN_SCAN = re.compile(rb"\xff+[^\x00\xd0-\xd7\xff]")
_COLOURS = {1: "grey", 3: "colour", 4: "CMYK"}


def read_jpeg(source: Source) -> FileFacts:
    """Return what a JPEG says of itself; raises Damaged for one that does not keep its form."""
    facts: FileFacts | None = None
    exif: bytes | None = None
    parts: list[tuple[int, int]] = []
    scans, end = 0, 0
    for marker, offset, length in _segments(source):
        if marker in _OTHER_FRAMES:
            raise Damaged(
                "is a JPEG of a kind that cameras do not write (lossless, hierarchical or "
                "arithmetic-coded)"
            )
        if marker in _FRAMES:
            if facts is not None:
                raise Damaged("holds two pictures under one heading")
            facts = _frame(source, offset, progressive=marker == 0xC2)
        elif marker == 0xE1 and exif is None:
            exif = _exif(source, offset, length)
        elif marker == 0xE2 and length > 8 and not parts:
            parts = _further_pictures(source, offset, length)
        elif marker == SCAN:
            scans += 1
            if scans > MOST_SCANS:
                raise Damaged(f"has more than {MOST_SCANS} scans; no camera writes so many")
        elif marker == END:
            end = offset
    if facts is None or not scans:
        raise Damaged("holds no picture")
    _refuse_appended(source, end, parts)
    orientation = orientation_of(exif)
    return FileFacts(**{**facts.__dict__, "exif": exif, "orientation": orientation})


def _segments(source: Source) -> Iterator[tuple[int, int, int]]:
    """Yield each marker with place and length of what it holds; END comes with its own end."""
    offset = 2
    for _ in range(MOST_SEGMENTS):
        head = exactly(source, offset, 2, "next part")
        if head[0] != 0xFF:
            raise Damaged(f"has no marker where one must stand, at byte {offset:,}")
        marker = head[1]
        if marker == 0xFF:  # a fill byte
            offset += 1
            continue
        offset += 2
        if marker == END:
            yield END, offset, 0
            return
        if marker in {0x00, 0x01, START} or 0xD0 <= marker <= 0xD7:
            raise Damaged(f"has the marker {marker:02X} where none may stand, at byte {offset:,}")
        (length,) = unpack(">H", source, offset, "next part")
        if length < 2:
            raise Damaged(f"has a part of impossible length at byte {offset:,}")
        exactly(source, offset + length - 1, 1, f"part {marker:02X}")
        yield marker, offset + 2, length - 2
        offset += length
        if marker == SCAN:
            offset = _after_scan(source, offset)
    raise Damaged(f"has more than {MOST_SEGMENTS:,} parts; no camera writes so many")


def _after_scan(source: Source, offset: int) -> int:
    """Return where the marker behind a scan's data stands."""
    while offset < source.size_bytes:
        piece = source.read_at(offset, READ_AT_ONCE_BYTES)
        found = _MARKER_IN_SCAN.search(piece)
        if found:
            return offset + found.end() - 2
        # The last byte may be the first half of a marker.
        offset += max(1, len(piece) - 1)
    raise Damaged("is cut off: its picture has no end. Copy it from the card again")


def _frame(source: Source, offset: int, *, progressive: bool) -> FileFacts:
    bits, height_px, width_px, channels = unpack(">BHHB", source, offset, "picture heading")
    if bits != 8 or channels not in _COLOURS:
        raise Damaged(f"has {channels} channels of {bits} bits, which no reader here knows")
    if not width_px or not height_px:
        raise Damaged(f"says that it is {width_px} by {height_px} pixels")
    return FileFacts(
        kind="jpeg",
        width_px=width_px,
        height_px=height_px,
        bits=8,
        channels=channels,
        colour=_COLOURS[channels],
        held_bytes=_held_bytes(source, offset, (width_px, height_px, channels), progressive),
    )


def _held_bytes(source: Source, offset: int, size: tuple[int, int, int], progressive: bool) -> int:
    """Return what a decoder holds at once: all coefficients of two bytes, or rows of blocks."""
    width_px, height_px, channels = size
    rows = exactly(source, offset + 6, 3 * channels, "picture heading")
    parts = [(row >> 4) * (row & 15) for row in rows[1::3]]
    if not all(0 < part <= 16 for part in parts):
        raise Damaged("samples its colours in a way that the format does not know")
    share = sum(parts) / max(parts)
    return int(2 * width_px * height_px * share) if progressive else 64 * width_px * channels


def _exif(source: Source, offset: int, length: int) -> bytes | None:
    data = exactly(source, offset, length, "testimony")
    return data[6:] if data.startswith(b"Exif\x00\x00") else None


def _further_pictures(source: Source, offset: int, length: int) -> list[tuple[int, int]]:
    """Return start and end of the pictures that a multi-picture index names."""
    data = exactly(source, offset, length, "index of pictures")
    if not data.startswith(b"MPF\x00"):
        return []
    base = offset + 4
    index = TiffReader.of_bytes(data[4:])
    entries = index.first().get(0xB002, b"")
    if not isinstance(entries, bytes) or len(entries) % 16:
        raise Damaged("has an index of further pictures that cannot be read")
    order = index.order
    ranges = []
    for place in range(0, len(entries), 16):
        _, size, start = struct.unpack(f"{order}III", entries[place : place + 12])
        if start:  # the first picture is the file itself and has none
            ranges.append((base + start, base + start + size))
    return ranges


def _refuse_appended(source: Source, end: int, parts: list[tuple[int, int]]) -> None:
    """Refuse bytes behind the picture that no index names, but for a few zeros."""
    for start, stop in sorted(parts):
        if source.read_at(start, 2) != b"\xff\xd8" or start < end or stop > source.size_bytes:
            raise Damaged("names further pictures that are not where it says")
        _refuse_all_but_zeros(source, end, start)
        end = stop
    _refuse_all_but_zeros(source, end, source.size_bytes)


def _refuse_all_but_zeros(source: Source, start: int, stop: int) -> None:
    gap = stop - start
    if gap > MOST_PADDING_BYTES or source.read_at(start, gap).strip(b"\x00"):
        raise Damaged(
            f"has {gap:,} bytes behind the end of its picture. A telephone's moving picture or "
            "somebody's addition: export the picture alone"
        )
