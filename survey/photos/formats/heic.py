"""How is a HEIC file built, and where does it end? ISO/IEC 14496-12 boxes, 23008-12 pictures.

Pure. Only the boxes of a still picture are known; whatever else stands in the file is refused.
"""

import struct
from collections.abc import Iterator
from typing import NamedTuple

from survey.photos.formats.source import Damaged, FileFacts, Source, exactly, unpack

HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis"}
GENERAL_BRANDS = {b"mif1", b"mif2", b"miaf"}
FILM_BRANDS = {b"hevc", b"hevx", b"msf1"}
OTHER_BRANDS = {b"avif": "AVIF", b"avis": "AVIF", b"crx ": "Canon raw"}
MOST_BOXES = 10_000
LARGEST_META_BYTES = 16 << 20
_KNOWN = {b"ftyp", b"meta", b"mdat", b"free", b"skip"}


class Box(NamedTuple):
    """A box: its four letters, where what it holds begins, and where it ends."""

    name: bytes
    start: int
    end: int


def brands_of(head: bytes) -> list[bytes]:
    """Return the brands of a file that begins with an ftyp box, none where it does not."""
    if head[4:8] != b"ftyp":
        return []
    (length,) = struct.unpack(">I", head[:4])
    body = head[8 : min(length, len(head))]
    return [body[:4], *(body[at : at + 4] for at in range(8, len(body) - 3, 4))]


def boxes(source: Source, start: int, end: int) -> Iterator[Box]:
    """Yield the boxes that fill a range; raises Damaged where they do not fill it exactly."""
    for _ in range(MOST_BOXES):
        if start == end:
            return
        if end - start < 8:
            raise Damaged(f"has {end - start} bytes behind its last part. Export it again")
        length, name = unpack(">I4s", source, start, "box")
        head = 8
        if length == 1:
            (length,) = unpack(">Q", source, start + 8, "box")
            head = 16
        elif length == 0:
            length = end - start
        if (length < head or start + length > end) and start and not name.isalnum():
            raise Damaged(f"has {end - start:,} bytes behind its last part. Export it again")
        if length < head or start + length > end:
            raise Damaged(f"is cut off, or its box {_shown(name)} says a wrong length")
        yield Box(name, start + head, start + length)
        start += length
    raise Damaged(f"has more than {MOST_BOXES:,} boxes")


def read_heic(source: Source) -> FileFacts:
    """Return what a HEIC says of its picture; raises Damaged."""
    brands = brands_of(source.read_at(0, 4096))
    other = next((OTHER_BRANDS[b] for b in brands if b in OTHER_BRANDS), None)
    if other and not HEIC_BRANDS & set(brands):
        raise Damaged(f"is an {other} file. Export it as JPEG or TIFF")
    top = list(boxes(source, 0, source.size_bytes))
    for box in top:
        if box.name == b"moov":
            raise Damaged("is a film or a series. Export one picture of it")
        if box.name not in _KNOWN:
            raise Damaged(
                f"has a part {_shown(box.name)} behind or beside its picture. Export the picture "
                "alone"
            )
    metas = [box for box in top if box.name == b"meta"]
    if len(metas) != 1 or top[0].name != b"ftyp":
        raise Damaged("holds no single picture")
    return _described(source, metas[0], [box for box in top if box.name == b"mdat"])


def _described(source: Source, meta: Box, media: list[Box]) -> FileFacts:
    if meta.end - meta.start > LARGEST_META_BYTES:
        raise Damaged(f"has {meta.end - meta.start:,} bytes of description")
    inner = {box.name: box for box in boxes(source, meta.start + 4, meta.end)}
    needed = (b"pitm", b"iprp", b"iloc", b"iinf")
    if any(name not in inner for name in needed):
        raise Damaged("does not describe its picture")
    ranges = _locations(source, inner[b"iloc"])
    _refuse_unnamed(ranges, media, source)
    properties = list(boxes(source, inner[b"iprp"].start, inner[b"iprp"].end))
    held = {box.name: box for box in properties}
    if b"ipco" not in held:
        raise Damaged("does not describe its picture")
    sizes, bits = [(0, 0)], 8
    for box in boxes(source, held[b"ipco"].start, held[b"ipco"].end):
        if box.name == b"ispe":
            sizes.append(unpack(">II", source, box.start + 4, "size"))
        elif box.name == b"pixi":
            count = unpack(">B", source, box.start + 4, "depth")[0]
            bits = max([bits, *exactly(source, box.start + 5, count, "depth")])
    width_px, height_px = max(sizes, key=lambda size: size[0] * size[1])
    if not width_px or not height_px:
        raise Damaged("does not say how large its picture is")
    return FileFacts(
        kind="heic",
        width_px=width_px,
        height_px=height_px,
        bits=bits,
        channels=3,
        colour="colour",
        held_bytes=5 * width_px * height_px * (2 if bits > 8 else 1),
    )


def _locations(source: Source, box: Box) -> list[tuple[int, int]]:
    """Return start and end in the file of every piece that the picture's parts are made of."""
    data = exactly(source, box.start, box.end - box.start, "list of places")
    read = _Reader(data)
    version = read.number(1)
    read.number(3)
    sizes = read.number(2)
    offset_size, length_size = sizes >> 12, sizes >> 8 & 15
    base_size, index_size = sizes >> 4 & 15, (sizes & 15 if version in (1, 2) else 0)
    ranges = []
    for _ in range(read.number(2 if version < 2 else 4)):
        read.number(2 if version < 2 else 4)
        method = read.number(2) & 15 if version in (1, 2) else 0
        read.number(2)
        base = read.number(base_size)
        for _ in range(read.number(2)):
            read.number(index_size)
            start, length = base + read.number(offset_size), read.number(length_size)
            if method == 0:
                ranges.append((start, start + length))
    return ranges


def _refuse_unnamed(ranges: list[tuple[int, int]], media: list[Box], source: Source) -> None:
    """Refuse pieces beyond the file, and bytes of the media boxes that no part names."""
    reach = max((end for _, end in ranges), default=0)
    if reach > source.size_bytes:
        raise Damaged(f"is cut off: it names bytes up to {reach:,} and has {source.size_bytes:,}")
    for box in media:
        within = [end for start, end in ranges if box.start <= start < box.end]
        at = max(within, default=box.start)
        if at < box.end and source.read_at(at, box.end - at).strip(b"\x00"):
            raise Damaged(
                f"has {box.end - at:,} bytes behind its picture that nothing in it names. Export "
                "the picture alone"
            )


class _Reader:
    """Reads numbers of changing width one after the other."""

    def __init__(self, data: bytes) -> None:
        self._data, self._at = data, 0

    def number(self, size: int) -> int:
        if self._at + size > len(self._data):
            raise Damaged("has a list of places that ends too early")
        value = int.from_bytes(self._data[self._at : self._at + size], "big")
        self._at += size
        return value


def _shown(name: bytes) -> str:
    return name.decode("latin-1") if name.isalnum() else repr(name)
