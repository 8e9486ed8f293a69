"""Where would a lens that bends no line have put what this lens put at a pixel?

The radial model of two terms: with r the distance from the picture's centre over half its diagonal,
a point moves along its ray by 1 + k1 r² + k2 r⁴ (Brown 1966, two radial terms; from memory). Pixel
coordinates count from the outer corner of the picture's upper left pixel, whose centre is at
(0.5, 0.5). This module must not know of walls.
"""

import math
from dataclasses import dataclass

import numpy as np

from gridmap.errors import InvalidInput

LARGEST_TERM = 0.5  # [-]  far beyond any lens that is used for records
STEPS = 60  # of the inverse; it gains more than a digit at each for lenses in use


@dataclass(frozen=True)
class Lens:
    """A lens's two radial terms, for pictures of one size."""

    width_px: int
    height_px: int
    k1: float
    k2: float = 0.0

    def __post_init__(self) -> None:
        for name, value in (("k1", self.k1), ("k2", self.k2)):
            if not (math.isfinite(value) and abs(value) <= LARGEST_TERM):
                raise InvalidInput(
                    f"lens: {name} is {value!r}; a lens for records lies between "
                    f"-{LARGEST_TERM:g} and {LARGEST_TERM:g}. Leave the lens out if unsure.",
                    field="lens",
                )
        if min(_slope(self.k1, self.k2, r) for r in (0.25, 0.5, 0.75, 1.0)) <= 0:
            raise InvalidInput(
                f"lens: with k1 {self.k1:g} and k2 {self.k2:g} the picture would fold over "
                "itself before its corner. Leave the lens out if unsure.",
                field="lens",
            )

    @property
    def centre_px(self) -> np.ndarray:
        return np.array([self.width_px / 2, self.height_px / 2])

    @property
    def half_diagonal_px(self) -> float:
        return math.hypot(self.width_px, self.height_px) / 2

    def straighten(self, px: np.ndarray) -> np.ndarray:
        """Return where pixels (n, 2) would lie under a lens that bends no line."""
        away = (np.asarray(px, float) - self.centre_px) / self.half_diagonal_px
        return self.centre_px + away * self._stretch(away) * self.half_diagonal_px

    def bend(self, px: np.ndarray) -> np.ndarray:
        """Return the pixels (n, 2) of straight places: the inverse of `straighten`, by Newton."""
        straight = (np.asarray(px, float) - self.centre_px) / self.half_diagonal_px
        wanted = np.hypot(straight[..., 0], straight[..., 1])
        r = wanted.copy()
        for _ in range(STEPS):
            step = (r * (1 + self.k1 * r**2 + self.k2 * r**4) - wanted) / np.maximum(
                _slope(self.k1, self.k2, r), 0.05
            )
            r = np.clip(r - step, 0.0, 4.0)
            if float(np.max(np.abs(step), initial=0.0)) < 1e-14:
                break
        share = np.divide(r, wanted, out=np.ones_like(r), where=wanted > 1e-12)
        return self.centre_px + straight * share[..., None] * self.half_diagonal_px

    def to_json(self) -> dict[str, float]:
        """Return the terms; the size is the photograph's."""
        return {"k1": self.k1, "k2": self.k2}

    def _stretch(self, away: np.ndarray) -> np.ndarray:
        r2 = np.sum(away**2, axis=-1, keepdims=True)
        return 1 + self.k1 * r2 + self.k2 * r2**2


def _slope(k1: float, k2: float, r: float | np.ndarray) -> float | np.ndarray:
    """Return how fast the straightened radius grows with the radius on the picture."""
    return 1 + 3 * k1 * r**2 + 5 * k2 * r**4
