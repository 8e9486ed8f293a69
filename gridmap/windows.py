"""By how much does each small window of a picture lie off on another, and how alike are the two?

Two ways: phase correlation finds offsets of many pixels, in even and unpadded windows, because an
odd transform would put every answer half a pixel off; least squares on the slopes of the detail
(Lucas & Kanade 1981, from memory) finds the last fraction of a pixel and how firmly each window
holds in each direction, for an edge holds in one alone. Nothing here fits a map to them.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Detail = NDArray[np.float32]
Mask = NDArray[np.uint8]
Array = NDArray[np.float64]

STEPS = 14  # windows in a row, at the most
LEAST_DETAIL = 0.1  # deviation of a window's detail; less is one flat colour
LEAST_SLOPE = 1e-4  # squared slope of detail per px², below which a window does not hold
LEAST_NOISE = 1e-3  # variance of the difference of two windows' detail


@dataclass(frozen=True)
class Windows:
    """Measured windows: their middles, by how much each lies off, their likeness and their hold.

    `hold` (n, 2, 2) is the inverse of the offset's covariance in px⁻².
    """

    middles_px: Array
    offsets_px: Array
    likeness: Array
    hold: Array


def window_corners(valid: Mask, window_px: int) -> list[tuple[int, int]]:
    """Return the upper left corners (x, y) of even windows that lie wholly within the mask."""
    height, width = valid.shape
    if min(height, width) < window_px:
        return []
    step = max(window_px // 2, (max(height, width) - window_px) // (STEPS - 1), 1)
    filled = cv2.integral((valid > 0).astype(np.uint8))
    found = []
    for y in range(0, height - window_px + 1, step):
        for x in range(0, width - window_px + 1, step):
            x1, y1 = x + window_px, y + window_px
            inside = filled[y1, x1] - filled[y, x1] - filled[y1, x] + filled[y, x]
            if inside == window_px**2:
                found.append((x, y))
    return found


def measure(
    before: Detail, after: Detail, corners: list[tuple[int, int]], *, window_px: int
) -> Windows:
    """Lay each window of the earlier detail on the later one by phase correlation."""
    taper = np.asarray(cv2.createHanningWindow((window_px, window_px), cv2.CV_32F), np.float32)
    middles, offsets, likeness = [], [], []
    for x, y in corners:
        # Copies: an unpadded window is tapered in place by OpenCV, which would spoil the picture.
        here = before[y : y + window_px, x : x + window_px].copy()
        there = after[y : y + window_px, x : x + window_px].copy()
        if min(float(here.std()), float(there.std())) < LEAST_DETAIL:
            continue
        likeness.append(_likeness(here, there, taper))
        (dx, dy), _ = cv2.phaseCorrelate(here, there, taper)
        middles.append((x + window_px / 2, y + window_px / 2))
        offsets.append((dx, dy))
    shape = (len(middles), 2)
    return Windows(
        np.array(middles, float).reshape(shape),
        np.array(offsets, float).reshape(shape),
        np.array(likeness, float),
        np.eye(2) * np.clip(np.array(likeness, float), 0, 1)[:, None, None],
    )


def measure_finely(before: Detail, after: Detail, valid: Mask, *, window_px: int) -> Windows:
    """Return the last fraction of a pixel by which each window lies off, by least squares."""
    rows, columns = before.shape[0] // window_px, before.shape[1] // window_px
    area = (slice(0, rows * window_px), slice(0, columns * window_px))
    here, there = before[area], after[area]
    means = {
        name: cv2.resize(values, (columns, rows), interpolation=cv2.INTER_AREA).ravel()
        for name, values in _products(here, there).items()
    }
    inside = cv2.resize(
        (valid[area] > 0).astype(np.float32), (columns, rows), interpolation=cv2.INTER_AREA
    ).ravel()
    used = (inside > 0.999) & (means["aa"] > LEAST_DETAIL**2) & (means["bb"] > LEAST_DETAIL**2)
    slopes = np.stack([means["xx"], means["xy"], means["xy"], means["yy"]], axis=1)
    slopes = slopes.reshape(-1, 2, 2).astype(float)[used]
    pulls = np.stack([means["xd"], means["yd"]], axis=1).astype(float)[used]
    firm = slopes + np.eye(2) * LEAST_SLOPE
    y, x = np.mgrid[0:rows, 0:columns]
    middles = np.c_[x.ravel() + 0.5, y.ravel() + 0.5][used] * window_px
    noise = np.maximum(means["dd"][used], LEAST_NOISE)
    return Windows(
        middles,
        np.linalg.solve(firm, pulls[..., None])[..., 0],
        (means["ab"] / np.sqrt(means["aa"] * means["bb"] + 1e-9))[used].astype(float),
        slopes * (window_px**2 / noise)[:, None, None],
    )


def _products(here: Detail, there: Detail) -> dict[str, Detail]:
    slope = (here + there) / 2
    x = cv2.Sobel(slope, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8)
    y = cv2.Sobel(slope, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8)
    off = here - there
    return {
        "xx": x * x, "xy": x * y, "yy": y * y, "xd": x * off, "yd": y * off, "dd": off * off,
        "aa": here * here, "bb": there * there, "ab": here * there,
    }  # fmt: skip


def _likeness(here: Detail, there: Detail, taper: Detail) -> float:
    """Return the correlation coefficient of two windows, weighed towards their middles."""
    total = float(taper.sum())
    a = here - float((here * taper).sum()) / total
    b = there - float((there * taper).sum()) / total
    weighed = a * taper
    both = float((weighed * b).sum())
    return both / max(float(np.sqrt((weighed * a).sum() * ((b * taper) * b).sum())), 1e-9)
