"""Which smooth map takes the places of one picture to those of another, and how surely?

A homography, and on top of it, where measured places ask for one, a bend of the fourth degree: a
lens bends the one picture otherwise than the other. Fitted robustly: a place that disagrees loses
its voice. Pixel coordinates count from the outer corner of the upper left pixel. Nothing here looks
at pictures.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pixels = NDArray[np.integer | np.floating]

DEGREE = 4  # a lens bends by cubes of the distance, perspective bends that once more
BEND_TERMS = tuple((i, n - i) for n in range(DEGREE + 1) for i in range(n + 1))
BEND_PAYS = 0.8  # the bend must bring the places' spread below this share
FEWEST_FOR_BEND = 60
NEGLIGIBLE_PX = 0.001
ROUNDS = 12
TUKEY = 4.685  # of deviations; 95 % efficient where errors are normal (Huber 1981, from memory)
RAYLEIGH_MEDIAN = 1.1774  # of the length of normal residuals in two directions, √(2 ln 2)
_HALF_PX = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])  # pixel centres to pixel corners


@dataclass(frozen=True)
class Warp:
    """A map from the pixels of a picture of `size_px` (width, height) to another picture's.

    `bend` holds two rows of factors for `BEND_TERMS`, powers of x and y from -1 to 1 across it.
    """

    homography: Array
    size_px: tuple[int, int]
    bend: Array | None = None

    def through(self, places_px: Array) -> Array:
        """Return where places (n, 2) lie on the other picture."""
        places = np.asarray(places_px, float)
        moved = _through(self.homography, places)
        return moved if self.bend is None else moved + _terms(self.even(places)) @ self.bend.T

    def draw(self, other: Pixels, *, flags: int) -> Pixels:
        """Return the other picture on this one's frame; 0 where it does not reach."""
        if self.bend is None:
            matrix = np.linalg.inv(_HALF_PX) @ self.homography @ _HALF_PX
            inverse = flags | cv2.WARP_INVERSE_MAP
            return np.asarray(cv2.warpPerspective(other, matrix, self.size_px, flags=inverse))
        across, down = self._maps()
        return np.asarray(cv2.remap(other, across, down, flags))

    def even(self, places: Array) -> Array:
        """Return places from -1 to 1 across the picture."""
        return np.asarray(places / np.array(self.size_px) * 2 - 1)

    def _maps(self) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return the other picture's pixel for every pixel of this one."""
        assert self.bend is not None
        width, height = self.size_px
        x, y = np.arange(width) + 0.5, np.arange(height) + 0.5
        across, down, depth = (
            row[0] * x[None, :] + row[1] * y[:, None] + row[2] for row in self.homography
        )
        u, v = x / width * 2 - 1, y / height * 2 - 1
        bends = []
        for factors in self.bend:
            table = np.zeros((DEGREE + 1, DEGREE + 1))
            for (i, j), factor in zip(BEND_TERMS, factors, strict=True):
                table[j, i] = factor
            bends.append(_powers(v) @ table @ _powers(u).T)
        maps = (across / depth + bends[0] - 0.5, down / depth + bends[1] - 0.5)
        return maps[0].astype(np.float32), maps[1].astype(np.float32)


@dataclass(frozen=True)
class WarpFit:
    """A fitted warp, its weights by place (0: disagrees), and its error over the whole picture."""

    warp: Warp
    weights: Array
    spread: float
    error_px: float


def fit_warp(places_px: Array, seen_px: Array, hold: Array, *, start: Warp) -> WarpFit:
    """Fit a warp to places and where they were seen on the other picture.

    `hold` (n, 2, 2) weighs each place's directions, as the inverse of a covariance does up to one
    factor. `error_px` is the root mean square over the picture of the map's own error.
    """
    straight = _fit_homography(places_px, seen_px, hold, start=start)
    few = int((straight.weights > 0).sum()) < FEWEST_FOR_BEND
    if few or straight.error_px < NEGLIGIBLE_PX:
        return straight
    bent = _fit_bend(places_px, seen_px, hold, straight=straight)
    return bent if bent.spread < BEND_PAYS * straight.spread else straight


def _fit_homography(places: Array, seen: Array, hold: Array, *, start: Warp) -> WarpFit:
    even = _evener(start.size_px)
    p = _through(even, places)
    h = even @ start.homography @ np.linalg.inv(even)
    h, target = h / h[2, 2], _through(even, seen)
    roots = _roots(hold) * (start.size_px[0] / 2)  # even coordinates into pixels
    for _ in range(ROUNDS):
        residuals = _across(roots, (target - _through(h, p))[..., None])[..., 0]
        weights, spread = _weights(residuals)
        rows = _across(roots, _jacobian(h, p))
        normal = np.einsum("nik,n,nil->kl", rows, weights, rows)
        pull = np.einsum("nik,n,ni->k", rows, weights, residuals)
        step = np.linalg.lstsq(normal, pull, rcond=None)[0]
        h = h + np.append(step, 0.0).reshape(3, 3)
        if np.abs(step).max() < 1e-9:
            break
    warp = Warp(np.linalg.inv(even) @ h @ even, start.size_px)
    sample = _jacobian(h, _through(even, _over(start.size_px))) * (start.size_px[0] / 2)
    return WarpFit(warp, weights, spread, _error(sample, normal, spread))


def _fit_bend(places: Array, seen: Array, hold: Array, *, straight: WarpFit) -> WarpFit:
    warp, roots = straight.warp, _roots(hold)
    left = _across(roots, (seen - warp.through(places))[..., None])[..., 0]
    rows = _across(roots, _by_axis(_terms(warp.even(places))))
    weights = straight.weights
    for _ in range(ROUNDS):
        normal = np.einsum("nik,n,nil->kl", rows, weights, rows)
        pull = np.einsum("nik,n,ni->k", rows, weights, left)
        factors = np.linalg.lstsq(normal, pull, rcond=None)[0]
        weights, spread = _weights(left - rows @ factors)
    sample = _by_axis(_terms(warp.even(_over(warp.size_px))))
    bend = factors.reshape(2, len(BEND_TERMS))
    error = _error(sample, normal, spread)
    return WarpFit(Warp(warp.homography, warp.size_px, bend), weights, spread, error)


def _powers(even: Array) -> Array:
    return np.vander(even, DEGREE + 1, increasing=True)


def _by_axis(terms: Array) -> Array:
    """Return rows (n, 2, 2 k): the terms for x, then for y."""
    none = np.zeros_like(terms)
    return np.stack([np.hstack([terms, none]), np.hstack([none, terms])], axis=1)


def _roots(hold: Array) -> Array:
    """Return the square root of each place's hold."""
    values, vectors = np.linalg.eigh(hold)
    return np.asarray((vectors * np.sqrt(np.maximum(values, 0))[:, None, :]).swapaxes(1, 2))


def _across(roots: Array, rows: Array) -> Array:
    return np.einsum("nij,njk->nik", roots, rows)


def _weights(residuals: Array) -> tuple[Array, float]:
    """Return each place's weight, 0 for one that disagrees, and the agreeing ones' deviation."""
    lengths = np.hypot(*residuals.T)
    spread = max(float(np.median(lengths)) / RAYLEIGH_MEDIAN, 1e-12)
    share = np.clip(lengths / (TUKEY * spread), 0, 1)
    return np.asarray((1 - share**2) ** 2), spread


def _error(sample: Array, normal: Array, spread: float) -> float:
    """Return the root mean square over the picture of the fitted map's own error."""
    covariance = np.linalg.pinv(normal) * spread**2
    variance = np.einsum("nik,kl,nil->n", sample, covariance, sample)
    return float(np.sqrt(variance.mean()))


def _jacobian(h: Array, p: Array) -> Array:
    """Return how seen places (n, 2, 8) change with the first eight factors of `h`."""
    ends = np.c_[p, np.ones(len(p))]
    depth = ends @ h[2]
    seen = (ends @ h[:2].T) / depth[:, None]
    rows = np.zeros((len(p), 2, 8))
    for axis in (0, 1):
        rows[:, axis, 3 * axis : 3 * axis + 3] = ends / depth[:, None]
        rows[:, axis, 6:] = -seen[:, axis, None] * p / depth[:, None]
    return rows


def _evener(size_px: tuple[int, int]) -> Array:
    """Return what brings pixels to about -1 to 1, alike in both directions."""
    half = size_px[0] / 2
    return np.array([[1 / half, 0, -1], [0, 1 / half, -size_px[1] / size_px[0]], [0, 0, 1.0]])


def _over(size_px: tuple[int, int]) -> Array:
    shares = (np.arange(9) + 0.5) / 9
    return np.array([(x * size_px[0], y * size_px[1]) for x in shares for y in shares])


def _terms(even: Array) -> Array:
    return np.stack([even[:, 0] ** i * even[:, 1] ** j for i, j in BEND_TERMS], axis=1)


def _through(homography: Array, places: Array) -> Array:
    ends = np.c_[places, np.ones(len(places))] @ homography.T
    return np.asarray(ends[:, :2] / ends[:, 2:])
