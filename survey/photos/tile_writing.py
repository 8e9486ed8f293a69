"""How does a picture of any size become tiles at all levels, in little memory?

libvips decodes it once, from top to bottom. A wide picture is tiled in upright stripes, so that
memory does not grow with the length of the wall; those that wait lie bare on the disk meanwhile.
Of each level one row of tiles is held; a full row is written and halved into the level above. The
same picture gives the same file, byte for byte, and nothing but pixels goes into it.
"""

import os
import queue
import shutil
import threading
import zipfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from gridmap.tiles import TILE_PX, Size, level_sizes

MIME = "application/zip"
FOLDER = "wall"  # of the tiles within the archive
JPEG_QUALITY = 88
STRIPE_LEVELS = 5  # that are made stripe by stripe
STRIPE_PX = 3 * (TILE_PX << (STRIPE_LEVELS - 1))  # whole tiles at each of these levels
READ_ROWS = 32  # handed on at once
BLOCKS = 3  # of so many rows, used in turn
ROOM_KEPT_BYTES = 500_000_000
FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the earliest that an archive can state; the same for all

Pixels = NDArray[np.uint8]
# Told how many rows of how many are done; it may raise to stop the work.
Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class Made:
    """A pyramid that was written: the picture's size and how many levels it has."""

    width_px: int
    height_px: int
    levels: int


def write_pyramid(image: pyvips.Image, path: Path, *, tell: Tell | None = None) -> Made:
    """Write the tiles of an 8-bit sRGB image, read from top to bottom, into one file.

    What `tell` raises ends the work; pyvips.Error says that the image cannot be read to its end.
    A file that was begun is the caller's to remove.
    """
    size = (image.width, image.height)
    if image.width <= STRIPE_PX:
        return _write(path, size, [(0, _rows_of(image))], tell, of_rows=image.height)
    rest, rest_px = path.with_suffix(".pixels"), (size[0] - STRIPE_PX, size[1])
    refuse_full_disk(path.parent, 3 * rest_px[0] * rest_px[1])
    lefts = range(0, rest_px[0], STRIPE_PX)
    stripes = [
        (0, _first_stripe(image, rest)),
        *((STRIPE_PX + left, _stripe_of(rest, rest_px, left)) for left in lefts),
    ]
    try:
        return _write(path, size, stripes, tell, of_rows=len(stripes) * size[1])
    finally:
        rest.unlink(missing_ok=True)


def write_bare_pyramid(bare: Path, size: Size, path: Path, *, tell: Tell | None = None) -> Made:
    """Write the tiles of a file of bare pixels: rows from the top, three bytes to a pixel."""
    lefts = range(0, size[0], STRIPE_PX)
    stripes = [(left, _stripe_of(bare, size, left)) for left in lefts]
    return _write(path, size, stripes, tell, of_rows=len(lefts) * size[1])


def refuse_full_disk(folder: Path, needed_bytes: float) -> None:
    """Refuse work for which the disk has no room."""
    free = shutil.disk_usage(folder).free
    if free < needed_bytes + ROOM_KEPT_BYTES:
        raise InvalidInput(
            f"This needs about {(needed_bytes + ROOM_KEPT_BYTES) / 1e9:.1f} GB of free disk, and "
            f"{free / 1e9:.1f} GB are free. Make room, or choose a lower resolution.",
            field="px_per_in",
        )


def _write(
    path: Path,
    size: Size,
    stripes: Iterable[tuple[int, Iterator[Pixels]]],
    tell: Tell | None,
    *,
    of_rows: int,
) -> Made:
    sizes = level_sizes(*size)
    coarse = len(sizes) - STRIPE_LEVELS  # how many levels are too coarse for a stripe
    small = (
        np.empty((sizes[coarse - 1][1], sizes[coarse - 1][0], 3), np.uint8) if coarse > 0 else None
    )
    done = 0
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive,
        ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as encoders,
    ):
        for left, rows_of_stripe in stripes:
            width_px = min(STRIPE_PX, size[0] - left)
            own = level_sizes_of_stripe(width_px, size[1], len(sizes))
            over = None if small is None else small[:, left >> STRIPE_LEVELS :]
            writer = _Writer(archive, encoders, own, first=max(0, coarse), left=left, over=over)
            for rows in rows_of_stripe:
                if tell:
                    tell(done, of_rows)
                writer.take(rows)
                done += len(rows)
            writer.finish()
        if small is not None:
            top = _Writer(archive, encoders, sizes[:coarse], first=0, left=0, over=None)
            for row in range(0, len(small), READ_ROWS):
                top.take(small[row : row + READ_ROWS])
            top.finish()
    if tell:
        tell(of_rows, of_rows)
    return Made(*size, len(sizes))


def level_sizes_of_stripe(width_px: int, height_px: int, levels: int) -> tuple[Size, ...]:
    """Return the sizes of a stripe at the levels that are made of it, coarsest first."""
    count = min(levels, STRIPE_LEVELS)
    return tuple(
        (-(-width_px >> times), -(-height_px >> times)) for times in reversed(range(count))
    )


class _Level:
    """One row of tiles of one level, in the making. Its width is even, the last column twice."""

    def __init__(self, width_px: int, height_px: int) -> None:
        self.width_px = width_px
        rows = min(TILE_PX, height_px + height_px % 2)
        self.rows = np.empty((rows, width_px + width_px % 2, 3), np.uint8)
        self.filled = 0
        self.row = 0  # of tiles, counted from the top

    def halved(self, filled: int) -> Pixels:
        """Return the means of two by two pixels; a last one without a partner counts twice."""
        if self.width_px % 2:
            self.rows[:filled, -1] = self.rows[:filled, -2]
        if filled % 2:
            self.rows[filled] = self.rows[filled - 1]
        count = (filled + 1) // 2
        size = (self.rows.shape[1] // 2, count)
        half = cv2.resize(self.rows[: 2 * count], size, interpolation=cv2.INTER_AREA)
        return np.asarray(half, np.uint8).reshape(count, size[0], 3)


class _Writer:
    """Takes rows of a stripe and writes the tiles of its levels as they are filled.

    `first` is the number of its coarsest level in the whole picture, `left` where the stripe
    begins there [px]. What is coarser still goes into `over`.
    """

    def __init__(
        self,
        archive: zipfile.ZipFile,
        encoders: ThreadPoolExecutor,
        sizes: tuple[Size, ...],
        *,
        first: int,
        left: int,
        over: Pixels | None,
    ) -> None:
        self.archive, self.encoders = archive, encoders
        self.levels = [_Level(*size) for size in sizes]
        self.first, self.left, self.over = first, left, over
        self.over_filled = 0

    def take(self, rows: Pixels) -> None:
        """Take further rows of the stripe."""
        while len(rows):
            level = self.levels[-1]
            count = min(len(rows), TILE_PX - level.filled)
            level.rows[level.filled : level.filled + count, : level.width_px] = rows[:count]
            self._taken(len(self.levels) - 1, count)
            rows = rows[count:]

    def finish(self) -> None:
        """Write what is left of each level, the finest first: it still fills the others."""
        for number in reversed(range(len(self.levels))):
            if self.levels[number].filled:
                self._write(number)

    def _taken(self, number: int, count: int) -> None:
        level = self.levels[number]
        level.filled += count
        if level.filled == TILE_PX:
            self._write(number)

    def _write(self, number: int) -> None:
        level = self.levels[number]
        band = level.rows[: level.filled]
        lefts = range(0, level.width_px, TILE_PX)
        parts = (band[:, left : min(left + TILE_PX, level.width_px)] for left in lefts)
        column = (self.left >> (len(self.levels) - 1 - number)) // TILE_PX
        for data in self.encoders.map(_encoded, parts):
            name = f"{FOLDER}_files/{self.first + number}/{column}_{level.row}.jpg"
            self.archive.writestr(zipfile.ZipInfo(name, FIRST_DAY), data)
            column += 1
        level.row += 1
        filled, level.filled = level.filled, 0
        if number:
            half, above = level.halved(filled), self.levels[number - 1]
            above.rows[above.filled : above.filled + len(half), : above.width_px] = half
            self._taken(number - 1, len(half))
        elif self.over is not None:
            half = level.halved(filled)
            self.over[self.over_filled : self.over_filled + len(half), : half.shape[1]] = half
            self.over_filled += len(half)


def _encoded(tile: Pixels) -> bytes:
    done, data = cv2.imencode(
        ".jpg", cv2.cvtColor(tile, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    )
    if not done:
        raise InvalidInput("A tile of the mosaic could not be written.", field="file")
    return data.tobytes()


def _first_stripe(image: pyvips.Image, rest: Path) -> Iterator[Pixels]:
    """Yield rows of the leftmost stripe, and lay the rest of the image bare in a file."""
    with rest.open("wb") as file, ThreadPoolExecutor(max_workers=1) as hand:
        written: Future[int] | None = None
        for rows in _rows_of(image):
            if written:
                written.result()  # one piece at a time, while the others are decoded and tiled
            written = hand.submit(file.write, np.ascontiguousarray(rows[:, STRIPE_PX:]).data)
            yield rows[:, :STRIPE_PX]
        if written:
            written.result()


def _stripe_of(bare: Path, size: Size, left: int) -> Iterator[Pixels]:
    """Yield rows of an upright stripe of a file of bare pixels."""
    width_px = min(STRIPE_PX, size[0] - left)
    block = np.empty((READ_ROWS, width_px, 3), np.uint8)
    with bare.open("rb", buffering=0) as file:
        for top in range(0, size[1], READ_ROWS):
            count = min(READ_ROWS, size[1] - top)
            for row in range(count):
                file.seek(3 * ((top + row) * size[0] + left))
                file.readinto(block[row].data)
            yield block[:count]


def _rows_of(image: pyvips.Image) -> Iterator[Pixels]:
    """Yield rows from the top while libvips decodes the next ones in a thread of its own.

    The array is used anew later on. What the decoder raises is raised here; ended early, it stops.
    """
    decoder = _Decoder(image)
    decoder.start()
    try:
        while (rows := decoder.full.get()) is not None:
            yield rows
            decoder.free.put(rows if rows.base is None else rows.base)
    finally:
        decoder.stopped.set()
        while decoder.is_alive():  # one that waits for room goes on, and ends
            with suppress(queue.Empty):
                decoder.full.get(timeout=0.05)
            decoder.free.put(decoder.block)
        decoder.join()
    if decoder.failed:
        raise decoder.failed


class _Decoder(threading.Thread):
    """Decodes an image from top to bottom into a few blocks of whole rows, used in turn."""

    def __init__(self, image: pyvips.Image) -> None:
        super().__init__(name="decoder of a mosaic")
        self.image = image
        self.full: queue.Queue[Pixels | None] = queue.Queue()  # None: there is no more
        self.free: queue.Queue[Pixels] = queue.Queue()
        for _ in range(BLOCKS):
            self.free.put(np.empty((min(READ_ROWS, image.height), image.width, 3), np.uint8))
        self.block, self.filled = self.free.get(), 0
        self.stopped = threading.Event()
        self.failed: Exception | None = None

    def keep(self, piece: bytes) -> int:
        """Take a piece of the bare pixels, as libvips hands it over."""
        data = np.frombuffer(piece, np.uint8)
        while len(data):
            if self.stopped.is_set():
                return -1
            flat = self.block.reshape(-1)
            count = min(len(data), len(flat) - self.filled)
            flat[self.filled : self.filled + count] = data[:count]
            data, self.filled = data[count:], self.filled + count
            if self.filled == len(flat):
                self.full.put(self.block)
                self.block, self.filled = self.free.get(), 0
        return len(piece)

    def run(self) -> None:
        try:
            target = pyvips.TargetCustom()
            target.on_write(self.keep)
            self.image.rawsave_target(target)
        except Exception as error:  # noqa: BLE001  raised again by who takes the rows
            self.failed = error
        if self.filled:
            self.full.put(self.block[: self.filled // (3 * self.image.width)])
        self.full.put(None)
