"""Where on the wall does each tile of a large picture lie, and at which level is it sharp enough?

A picture of the wall is kept at several levels: level 0 fits into one tile, every further one has
twice as many pixels each way, the last is the picture itself. A pixel of a coarser level is the
mean of the two by two below it, so that all levels begin at the picture's upper left corner.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from gridmap.errors import InvalidInput

Bounds = tuple[float, float, float, float]
Size = tuple[int, int]

TILE_PX = 512
LARGEST_SIDE_PX = 1_000_000


def level_sizes(width_px: int, height_px: int, tile_px: int = TILE_PX) -> tuple[Size, ...]:
    """Return width and height of every level, coarsest first.

    >>> level_sizes(1300, 901)
    ((325, 226), (650, 451), (1300, 901))
    """
    if not (1 <= width_px <= LARGEST_SIDE_PX and 1 <= height_px <= LARGEST_SIDE_PX):
        raise InvalidInput(
            f"The picture is {width_px:,} by {height_px:,} px; each side must have 1 to "
            f"{LARGEST_SIDE_PX:,}.",
            field="width_px",
        )
    sizes = [(width_px, height_px)]
    while max(sizes[-1]) > tile_px:
        sizes.append(((sizes[-1][0] + 1) // 2, (sizes[-1][1] + 1) // 2))
    return tuple(reversed(sizes))


@dataclass(frozen=True)
class TileFrame:
    """A tiled picture on the wall; `left_in`, `top_in` is its upper left corner."""

    left_in: float
    top_in: float
    px_per_in: float
    width_px: int
    height_px: int
    tile_px: int = TILE_PX

    @property
    def sizes(self) -> tuple[Size, ...]:
        """Width and height of every level, coarsest first."""
        return level_sizes(self.width_px, self.height_px, self.tile_px)

    @property
    def levels(self) -> int:
        return len(self.sizes)

    @property
    def bounds_in(self) -> Bounds:
        """What the whole picture covers, x0, y0, x1, y1."""
        return (
            self.left_in,
            self.top_in - self.height_px / self.px_per_in,
            self.left_in + self.width_px / self.px_per_in,
            self.top_in,
        )

    def px_per_in_at(self, level: int) -> float:
        """Return the resolution of a level."""
        return float(self.px_per_in / 2 ** (self.levels - 1 - level))

    def level_for(self, px_per_in: float) -> int:
        """Return the coarsest level that is at least as fine, the finest where none is."""
        fit = (n for n in range(self.levels) if self.px_per_in_at(n) >= px_per_in * (1 - 1e-9))
        return next(fit, self.levels - 1)

    def tile_count(self, level: int) -> Size:
        """Return how many tiles a level has across and down."""
        width_px, height_px = self.sizes[level]
        return -(-width_px // self.tile_px), -(-height_px // self.tile_px)

    def tile_size_px(self, level: int, column: int, row: int) -> Size:
        """Return width and height of a tile; those at the right and lower end are smaller."""
        width_px, height_px = self.sizes[level]
        return (
            min(self.tile_px, width_px - column * self.tile_px),
            min(self.tile_px, height_px - row * self.tile_px),
        )

    def pixel_centre_in(self, level: int, column: int, row: int, px: Size) -> tuple[float, float]:
        """Return the place on the wall of the middle of a tile's pixel."""
        scale = self.px_per_in_at(level)
        x_px, y_px = column * self.tile_px + px[0] + 0.5, row * self.tile_px + px[1] + 0.5
        return self.left_in + x_px / scale, self.top_in - y_px / scale

    def window_px(self, level: int, bounds_in: Bounds) -> tuple[float, float, float, float]:
        """Return left, top, right and bottom of a part of the wall, in pixels of a level."""
        scale, (x0, y0, x1, y1) = self.px_per_in_at(level), bounds_in
        return (
            (x0 - self.left_in) * scale,
            (self.top_in - y1) * scale,
            (x1 - self.left_in) * scale,
            (self.top_in - y0) * scale,
        )

    def tiles_within(self, level: int, box_px: tuple[int, int, int, int]) -> Iterator[Size]:
        """Yield column and row of each tile that meets a box of whole pixels of a level."""
        left, top, right, bottom = box_px
        for row in range(top // self.tile_px, -(-bottom // self.tile_px)):
            for column in range(left // self.tile_px, -(-right // self.tile_px)):
                yield column, row
