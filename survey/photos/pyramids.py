"""How is a picture of the whole wall kept, so that any part of it is at hand at any size?

A pyramid is one stored file: an uncompressed archive of JPEG tiles (`tile_writing` makes it). Tiles
are read at their place in it, nothing is unpacked. Who made a mosaic and why is said elsewhere.
"""

import struct
import zipfile
from functools import lru_cache
from typing import IO

import cv2
import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput, NotFound
from gridmap.resample import resample
from gridmap.tiles import TILE_PX, Bounds, TileFrame
from survey.ledger.blobs import blob_path
from survey.photos.models import Mosaic

UNSEEN = 128  # grey value where a mosaic does not reach
LARGEST_REGION_PX = 100_000_000
BAND_PX = 16_000_000  # of tiles that are put together at once
INDEXES_HELD = 8
_LOCAL_HEADER = struct.Struct("<4s5H3L2H")  # APPNOTE 4.3.7

Where = tuple[int, int]  # of a tile's bytes: where its local header begins, how many there are


def frame_of(mosaic: Mosaic) -> TileFrame:
    """Return where a mosaic's tiles lie on the wall."""
    return TileFrame(
        left_in=mosaic.bounds_in[0],
        top_in=mosaic.bounds_in[3],
        px_per_in=mosaic.px_per_in,
        width_px=mosaic.width_px,
        height_px=mosaic.height_px,
        tile_px=mosaic.tile_px,
    )


def tile_bytes(digest: str, level: int, column: int, row: int) -> bytes:
    """Return the JPEG of one tile; raises NotFound where the picture has none."""
    path = blob_path(digest)
    found = _index(path).get((level, column, row))
    if found is None:
        raise NotFound(f"This mosaic has no tile {column}, {row} at level {level}.")
    with _opened(path) as file:
        return _stored(file, found)


def read_region(mosaic: Mosaic, bounds_in: Bounds, width_px: int) -> NDArray[np.uint8]:
    """Return a part of the wall as RGB rows from the top, `width_px` wide.

    The height follows from the bounds; what lies beyond the mosaic is grey. Raises InvalidInput
    for bounds without extent and for more pixels than can be held.
    """
    frame, (x0, y0, x1, y1) = frame_of(mosaic), bounds_in
    if not (x0 < x1 and y0 < y1 and width_px >= 1):
        raise InvalidInput(
            f"The part {bounds_in} of the wall has no extent, or no pixel is asked for.",
            field="bounds_in",
        )
    px_per_in = width_px / (x1 - x0)
    height_px = max(1, round((y1 - y0) * px_per_in))
    if width_px * height_px > LARGEST_REGION_PX:
        raise InvalidInput(
            f"{width_px:,} by {height_px:,} px are more than {LARGEST_REGION_PX:,}; ask for a "
            "smaller part of the wall, or for fewer pixels.",
            field="width_px",
        )
    level = frame.level_for(px_per_in)
    left, top, right, bottom = frame.window_px(level, bounds_in)
    step = ((right - left) / width_px, (bottom - top) / height_px)
    out = np.full((height_px, width_px, 3), UNSEEN, np.uint8)
    rows = max(1, int(BAND_PX / max(right - left, 1.0) / step[1]))
    reader = _Tiles(blob_path(mosaic.pyramid_id), frame, level)
    for first in range(0, height_px, rows):
        _draw_band(reader, out[first : first + rows], (left, top + first * step[1]), step)
    return out


def _draw_band(
    tiles: "_Tiles",
    band: NDArray[np.uint8],
    corner_px: tuple[float, float],
    step_px: tuple[float, float],
) -> None:
    """Draw those pixels of a band whose middle lies on the mosaic."""
    width, height = tiles.frame.sizes[tiles.level]
    (left, right), (top, bottom) = (
        _within(corner_px[axis], step_px[axis], band.shape[1 - axis], (width, height)[axis])
        for axis in (0, 1)
    )
    if left >= right or top >= bottom:
        return
    corner = (corner_px[0] + left * step_px[0], corner_px[1] + top * step_px[1])
    size = (right - left, bottom - top)
    box = _box(corner, step_px, size, (width, height))
    source = tiles.read(box)
    band[top:bottom, left:right] = resample(
        source,
        corner_px=(corner[0] - box[0], corner[1] - box[1]),
        step_px=step_px,
        size_px=size,
    )


def _within(corner: float, step: float, count: int, limit: int) -> tuple[int, int]:
    """Return the first and behind the last of `count` pixels whose middle lies on the source."""
    first = int(np.ceil(-corner / step - 0.5))
    last = int(np.ceil((limit - corner) / step - 0.5))
    return max(0, first), min(count, last)


def _box(
    corner: tuple[float, float],
    step: tuple[float, float],
    size: tuple[int, int],
    limit: tuple[int, int],
) -> tuple[int, int, int, int]:
    """Return the whole pixels that are needed, with some round them."""
    ends = [corner[axis] + step[axis] * size[axis] for axis in (0, 1)]
    left, top = (max(0, int(corner[axis]) - TILE_PX // 32) for axis in (0, 1))
    right, bottom = (min(limit[axis], int(ends[axis]) + TILE_PX // 32) for axis in (0, 1))
    return left, top, right, bottom


class _Tiles:
    """Puts tiles of one level together."""

    def __init__(self, path: str, frame: TileFrame, level: int) -> None:
        self.path, self.frame, self.level = path, frame, level

    def read(self, box_px: tuple[int, int, int, int]) -> NDArray[np.uint8]:
        """Return the pixels of a box of the level."""
        left, top, right, bottom = box_px
        out = np.empty((bottom - top, right - left, 3), np.uint8)
        index, tile_px = _index(self.path), self.frame.tile_px
        with _opened(self.path) as file:
            for column, row in self.frame.tiles_within(self.level, box_px):
                tile = _decoded(_stored(file, index[(self.level, column, row)]))
                x, y = column * tile_px, row * tile_px
                x0, y0 = max(left, x), max(top, y)
                x1, y1 = min(right, x + tile.shape[1]), min(bottom, y + tile.shape[0])
                out[y0 - top : y1 - top, x0 - left : x1 - left] = tile[
                    y0 - y : y1 - y, x0 - x : x1 - x
                ]
        return out


def _decoded(data: bytes) -> NDArray[np.uint8]:
    read = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    if read is None:
        raise NotFound("A tile of this mosaic cannot be opened; its stored file is damaged.")
    return np.asarray(cv2.cvtColor(read, cv2.COLOR_BGR2RGB), np.uint8)


@lru_cache(maxsize=INDEXES_HELD)
def _index(path: str) -> dict[tuple[int, int, int], Where]:
    """Return where the tiles of a stored pyramid lie; its name is its digest: it never changes."""
    try:
        with _opened(path) as file, zipfile.ZipFile(file) as archive:
            members = archive.infolist()
    except zipfile.BadZipFile as error:
        raise NotFound("The stored file of this mosaic is damaged.") from error
    found = {}
    for member in members:
        place = _place(member.filename)
        if place and member.compress_type == zipfile.ZIP_STORED:
            found[place] = (member.header_offset, member.file_size)
    return found


def _opened(path: str) -> IO[bytes]:
    try:
        return open(path, "rb")
    except FileNotFoundError as error:
        raise NotFound("The store has lost the tiles of this mosaic.") from error


def _place(name: str) -> tuple[int, int, int] | None:
    """Return level, column and row of a member such as wall_files/3/12_0.jpg."""
    folder, _, last = name.rpartition("/")
    level, (column, _, row) = folder.rpartition("/")[2], last.removesuffix(".jpg").partition("_")
    if not (last.endswith(".jpg") and level.isdigit() and column.isdigit() and row.isdigit()):
        return None
    return int(level), int(column), int(row)


def _stored(file: IO[bytes], where: Where) -> bytes:
    """Return a member's bytes: they stand behind a header of their own."""
    offset, size_bytes = where
    file.seek(offset)
    header = file.read(_LOCAL_HEADER.size)
    if len(header) != _LOCAL_HEADER.size or header[:4] != b"PK\x03\x04":
        raise NotFound("The stored file of this mosaic is damaged.")
    *_, name_bytes, extra_bytes = _LOCAL_HEADER.unpack(header)
    file.seek(offset + _LOCAL_HEADER.size + name_bytes + extra_bytes)
    return bytes(file.read(size_bytes))
