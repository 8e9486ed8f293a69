"""How is a PNG file built, and where does it end? ISO/IEC 15948 (PNG), clauses 5 and 11. Pure."""

import zlib

from survey.photos.formats.source import Damaged, FileFacts, Source, exactly, unpack
from survey.photos.formats.tiff import orientation_of

SIGNATURE = b"\x89PNG\r\n\x1a\n"
MOST_CHUNKS = 100_000
READ_AT_ONCE_BYTES = 1 << 20
LARGEST_ASIDE_BYTES = 16 << 20  # of a chunk that is no picture
# Colour type → what it is, channels, bits allowed.
_COLOURS = {
    0: ("grey", 1, {1, 2, 4, 8, 16}),
    2: ("colour", 3, {8, 16}),
    3: ("palette", 1, {1, 2, 4, 8}),
    4: ("grey with transparency", 2, {8, 16}),
    6: ("colour with transparency", 4, {8, 16}),
}


def read_png(source: Source) -> FileFacts:
    """Return what a PNG says of itself, every chunk's check sum tried; raises Damaged."""
    facts: FileFacts | None = None
    exif: bytes | None = None
    offset, data_seen = len(SIGNATURE), False
    for _ in range(MOST_CHUNKS):
        length, name = unpack(">I4s", source, offset, "next chunk")
        start = offset + 8
        _check_sum(source, start, length, name)
        offset = start + length + 4
        if facts is None:
            facts = _heading(source, start, length, name)
        elif name == b"acTL":
            raise Damaged("is a moving picture; take a single frame")
        elif name == b"IDAT":
            data_seen = True
        elif name == b"eXIf":
            exif = exactly(source, start, length, "testimony")
        elif name == b"IEND":
            _refuse_appended(source, offset)
            if not data_seen:
                raise Damaged("holds no picture")
            return FileFacts(
                **{**facts.__dict__, "exif": exif, "orientation": orientation_of(exif)}
            )
    raise Damaged(f"has more than {MOST_CHUNKS:,} chunks; no camera writes so many")


def _heading(source: Source, start: int, length: int, name: bytes) -> FileFacts:
    if name != b"IHDR" or length != 13:
        raise Damaged("does not begin with its heading")
    width_px, height_px, bits, colour, packing, filtering, interlaced = unpack(
        ">IIBBBBB", source, start, "heading"
    )
    words, channels, allowed = _COLOURS.get(colour, ("", 0, set()))
    if bits not in allowed or packing or filtering or interlaced > 1:
        raise Damaged("has a heading that the format does not know")
    if not 0 < width_px < 2**31 or not 0 < height_px < 2**31:
        raise Damaged(f"says that it is {width_px:,} by {height_px:,} pixels")
    return FileFacts(
        kind="png",
        width_px=width_px,
        height_px=height_px,
        bits=bits,
        channels=channels,
        colour=words,
        held_bytes=(height_px if interlaced else 2) * width_px * channels * max(1, bits // 8),
    )


def _check_sum(source: Source, start: int, length: int, name: bytes) -> None:
    """Compare a chunk's check sum with its bytes."""
    if start + length + 4 > source.size_bytes:
        raise Damaged("is cut off: its last chunk is not whole. Copy it from the card again")
    if name != b"IDAT" and length > LARGEST_ASIDE_BYTES:
        raise Damaged(f"has a chunk {_shown(name)} of {length:,} bytes beside its picture")
    found = zlib.crc32(name)
    for at in range(start, start + length, READ_AT_ONCE_BYTES):
        found = zlib.crc32(source.read_at(at, min(READ_AT_ONCE_BYTES, start + length - at)), found)
    (stated,) = unpack(">I", source, start + length, "check sum")
    if found != stated:
        raise Damaged(f"is damaged: the check sum of its chunk {_shown(name)} is wrong")


def _refuse_appended(source: Source, end: int) -> None:
    if source.size_bytes > end:
        raise Damaged(
            f"has {source.size_bytes - end:,} bytes behind its end. Somebody's addition: save the "
            "picture anew"
        )


def _shown(name: bytes) -> str:
    return name.decode("latin-1") if name.isalpha() else repr(name)
