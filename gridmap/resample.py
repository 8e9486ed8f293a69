"""How is a part of one picture drawn on another grid of pixels, place for place?

A pixel covers a square; place 0 is the outer corner of the upper left one, whose middle is at 0.5.
Turning and perspective belong to `rectify`; here both grids are square to the wall.
"""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]

BLOCK_PX = 2048  # drawn at once: OpenCV's warp takes no side of 32,767 or more
MARGIN_PX = 8  # of the source round a block, for the curve through its neighbours
SOFTEN_ABOVE = 1.05  # source pixels for one drawn pixel, above which details would jump


def resample(
    source: Pixels,
    *,
    corner_px: tuple[float, float],
    step_px: tuple[float, float],
    size_px: tuple[int, int],
) -> Pixels:
    """Return `size_px` (width, height) pixels of a picture whose rows run from the top.

    `corner_px` is the place on the source of the drawn picture's outer upper left corner, `step_px`
    how many source pixels one drawn pixel is wide and high; where they are more than one, they are
    averaged. Beyond the source its last pixels are repeated.
    """
    if step_px == (1.0, 1.0) and all(float(place).is_integer() for place in corner_px):
        whole = _whole_pixels(source, corner_px, size_px)
        if whole is not None:
            return whole
    width, height = size_px
    drawn = np.empty((height, width, *source.shape[2:]), np.uint8)
    for top in range(0, height, BLOCK_PX):
        for left in range(0, width, BLOCK_PX):
            block = drawn[top : top + BLOCK_PX, left : left + BLOCK_PX]
            corner = (corner_px[0] + left * step_px[0], corner_px[1] + top * step_px[1])
            _draw(source, block, corner, step_px)
    return drawn


def _whole_pixels(
    source: Pixels, corner_px: tuple[float, float], size_px: tuple[int, int]
) -> Pixels | None:
    """Return the very pixels, where all of them lie within the source."""
    left, top = (int(place) for place in corner_px)
    right, bottom = left + size_px[0], top + size_px[1]
    inside = left >= 0 and top >= 0 and right <= source.shape[1] and bottom <= source.shape[0]
    return source[top:bottom, left:right].copy() if inside else None


def _draw(
    source: Pixels, block: Pixels, corner_px: tuple[float, float], step_px: tuple[float, float]
) -> None:
    height, width = block.shape[:2]
    left, right = _span(corner_px[0], width * step_px[0], source.shape[1])
    top, bottom = _span(corner_px[1], height * step_px[1], source.shape[0])
    piece = np.ascontiguousarray(source[top:bottom, left:right])
    if max(step_px) > SOFTEN_ABOVE:
        # Rows of a Gaussian as wide as the pixels that are drawn, less what a pixel has itself.
        sigma_x, sigma_y = (0.5 * math.sqrt(max(step, 1.0) ** 2 - 1) for step in step_px)
        piece = cv2.GaussianBlur(
            piece, (0, 0), max(sigma_x, 1e-3), sigmaY=max(sigma_y, 1e-3)
        ).astype(np.uint8)
    to_source = np.array(
        [
            [step_px[0], 0, corner_px[0] - left + 0.5 * step_px[0] - 0.5],
            [0, step_px[1], corner_px[1] - top + 0.5 * step_px[1] - 0.5],
        ]
    )
    cv2.warpAffine(
        piece,
        to_source,
        (width, height),
        dst=block,
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )


def _span(first: float, length: float, limit: int) -> tuple[int, int]:
    """Return which source pixels a stretch needs, at least one of them."""
    start = min(max(0, math.floor(first) - MARGIN_PX), limit - 1)
    end = max(min(limit, math.ceil(first + length) + MARGIN_PX), start + 1)
    return start, end
