"""What do the residuals of marked points say: a point that is wrong, a wall that is not flat?

The tests compare with a stated marking error, so that four lucky points do not make it smaller.
This module must not decide anything: it says, and a person looks.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gridmap.homography import (
    Array,
    covariance,
    estimate,
    jacobian_by_element,
    jacobian_by_point,
    place_covariance,
    through,
)
from gridmap.lengths import format_feet_inches
from gridmap.marked_points import MarkedPoint, determines, shown_name

# Chance of a false word [-]: chosen here, common practice, no source.
BAD_POINT_CHANCE, PATTERN_CHANCE, LEVEL_CHANCE = 0.001, 0.01, 0.001
NORMAL_999 = 3.0902  # [-]  quantile 0.999 of the normal distribution
FREE = 8  # elements of a homography
PATTERN_TERMS = 2

FOUR_POINTS = (
    "Four points fit always; nothing is checked. Mark two to four more to learn how well they lie."
)
FIVE_POINTS = (
    "The five points disagree by up to {worst}; from five it cannot be told which is wrong. "
    "Mark one more."
)
BAD_POINT = (
    "Point {name} disagrees with the others by {length}. Look at its mark and at its place on "
    "the wall."
)
BENT = (
    "The residuals bend in one direction, by up to {worst}: the wall may not be flat here, or the "
    "lens bends lines."
)
ROUGH = (
    "The points disagree by {level} in the mean, more than a marking error of {marking_px:g} px "
    "explains, and no single one stands out."
)


@dataclass(frozen=True)
class Marked:
    """The points as arrays: straightened pixels, wall inches, and the stated marking error."""

    px: Array
    wall: Array
    marking_error_px: float

    def without(self, k: int) -> "Marked":
        keep = np.arange(len(self.px)) != k
        return Marked(self.px[keep], self.wall[keep], self.marking_error_px)

    def spread(self, homography: Array) -> Array:
        """Return the covariance (n, 2, 2) of the marks on the wall [sq in]."""
        j = jacobian_by_point(homography, self.px)
        return np.asarray(self.marking_error_px**2 * j @ j.transpose(0, 2, 1))

    def variance_sq_in(self, homography: Array) -> float:
        """Return the variance of a mark on the wall in one direction, in the mean [sq in]."""
        return float(np.trace(self.spread(homography), axis1=1, axis2=2).mean() / 2)

    def squares_sq_in(self, homography: Array) -> float:
        return float(np.sum((through(homography, self.px) - self.wall) ** 2))

    @property
    def redundancy(self) -> int:
        return 2 * len(self.px) - FREE


def leave_one_out(marked: Marked) -> list[float | None] | None:
    """Return how far each point lies from where the others put it [in]; None with four points.

    One that the others cannot do without, because they lie on a line, has None.
    """
    if marked.redundancy <= 0:
        return None
    found: list[float | None] = []
    for k in range(len(marked.px)):
        others = marked.without(k)
        if not (determines(others.px) and determines(others.wall)):
            found.append(None)
            continue
        try:
            h = estimate(others.px, others.wall)
        except np.linalg.LinAlgError:
            found.append(None)
            continue
        away = through(h, marked.px[k : k + 1]) - marked.wall[k]
        found.append(float(np.hypot(*away[0])))
    return found


def statements(
    points: Sequence[MarkedPoint],
    marked: Marked,
    homography: Array,
    left_out: Sequence[float | None] | None,
) -> tuple[str, ...]:
    """Return what a person should read about the points, the gravest first."""
    if left_out is None:
        return (FOUR_POINTS,)
    residuals = np.hypot(*(through(homography, marked.px) - marked.wall).T)
    rough = _above_marking(marked, homography)
    if marked.redundancy == 2:
        return (FIVE_POINTS.format(worst=_length(float(residuals.max()))),) if rough else ()
    bad, bend_in = _bad_point(marked, left_out), _bend_in(marked, homography)
    if bad is not None and not (bend_in and _bends_better(marked, homography, bad)):
        length = _length(left_out[bad] or 0.0)
        said = [BAD_POINT.format(name=shown_name(points[bad]), length=length)]
        rest = marked.without(bad)
        bend_in = _bend_in(rest, estimate(rest.px, rest.wall)) if rest.redundancy >= 4 else None
        return (*said, *_bent(bend_in))
    if bend_in:
        return _bent(bend_in)
    if rough:
        level = _length(math.sqrt(float(np.mean(residuals**2))))
        return (ROUGH.format(level=level, marking_px=marked.marking_error_px),)
    return ()


def _length(length_in: float) -> str:
    return format_feet_inches(length_in) if length_in >= 1 / 16 else f"{length_in:.3f} in"


def _bent(bend_in: float | None) -> tuple[str, ...]:
    return (BENT.format(worst=_length(bend_in)),) if bend_in else ()


def _above_marking(marked: Marked, homography: Array) -> bool:
    """Say whether the residuals are larger than the marking error makes them in 999 of 1,000."""
    free = marked.redundancy
    level = marked.squares_sq_in(homography) / max(marked.variance_sq_in(homography), 1e-30)
    return level > chi_square_999(free)


def chi_square_999(free: int) -> float:
    """Return the quantile 0.999 of chi square (Wilson and Hilferty 1931, from memory)."""
    part = 2 / (9 * free)
    return float(free * (1 - part + NORMAL_999 * math.sqrt(part)) ** 3)


def ratio_limit(chance: float, free: int) -> float:
    """Return the ratio of variances F(2, free) that is passed by chance alone, exactly."""
    return float(free / 2 * (chance ** (-2 / free) - 1))


def _bad_point(marked: Marked, left_out: Sequence[float | None]) -> int | None:
    """Return the point that the others contradict beyond doubt, None without one.

    It is the one without which the others agree best: a wrong point at the edge can throw a
    right one farther from its place, once that is left out, than it lies from its own.
    """
    known = [k for k, length in enumerate(left_out) if length is not None]
    if not known:
        return None
    k = min(known, key=lambda one: _squares_without(marked, one))
    others = marked.without(k)
    h = estimate(others.px, others.wall)
    marks = others.variance_sq_in(h)
    seen = others.squares_sq_in(h) / others.redundancy
    spread = others.spread(h) * max(1.0, seen / max(marks, 1e-30))
    here = marked.px[k : k + 1]
    place = place_covariance(h, covariance(h, others.px, spread), here)[0]
    j = jacobian_by_point(h, here)[0]
    place += max(marks, seen) / max(marks, 1e-30) * marked.marking_error_px**2 * j @ j.T
    away = (through(h, here) - marked.wall[k])[0]
    ratio = float(away @ np.linalg.solve(place, away)) / 2
    # Where the others agree within the marking error, that error is known and not estimated.
    limit = (
        -math.log(BAD_POINT_CHANCE)
        if seen <= marks
        else ratio_limit(BAD_POINT_CHANCE, others.redundancy)
    )
    return k if ratio > limit else None


def _squares_without(marked: Marked, k: int) -> float:
    others = marked.without(k)
    return others.squares_sq_in(estimate(others.px, others.wall))


def _bend(marked: Marked, homography: Array) -> tuple[float, float]:
    """Return the squares that remain once the picture may bend [sq in], and its largest bend [in].

    A place that stands off the plane by z is seen moved by z times its way from the camera's
    foot: two terms, for z growing as the square across and up. Both alike are a lens's k1.
    """
    middle = marked.px.mean(axis=0)
    u = (marked.px - middle) / float(np.hypot(*(marked.px - middle).T).mean())
    j = jacobian_by_point(homography, marked.px)
    moved = np.stack([(j @ (u[:, axis, None] ** 2 * u)[:, :, None])[:, :, 0] for axis in (0, 1)])
    bends = moved.transpose(1, 2, 0).reshape(-1, PATTERN_TERMS)
    plane = jacobian_by_element(homography, marked.px).reshape(-1, FREE)
    # Only what no homography can follow counts as bent.
    sizes = np.abs(plane).max(axis=0)
    bends -= plane / sizes @ np.linalg.lstsq(plane / sizes, bends, rcond=None)[0]
    left = (marked.wall - through(homography, marked.px)).ravel()
    terms = np.linalg.lstsq(bends, left, rcond=1e-6)[0]
    bend = (bends @ terms).reshape(-1, 2)
    return float(np.sum((left - bend.ravel()) ** 2)), float(np.hypot(*bend.T).max())


def _bend_in(marked: Marked, homography: Array) -> float | None:
    """Return the largest bend [in] where it is beyond doubt, None elsewhere."""
    free = marked.redundancy - PATTERN_TERMS
    if free < 2:
        return None
    remains, largest_in = _bend(marked, homography)
    marks, seen = marked.variance_sq_in(homography), remains / free
    gained = (marked.squares_sq_in(homography) - remains) / PATTERN_TERMS
    limit = -math.log(PATTERN_CHANCE) if seen <= marks else ratio_limit(PATTERN_CHANCE, free)
    return largest_in if gained > limit * max(seen, marks, 1e-30) else None


def _bends_better(marked: Marked, homography: Array, bad: int) -> bool:
    """Say whether a bend explains more than leaving out the point; both take two freedoms."""
    remains, _ = _bend(marked, homography)
    return remains < _squares_without(marked, bad)
