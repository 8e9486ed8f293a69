"""Which projective map takes points of one plane to points of another, and how sure is it?

Points are arrays (n, 2); a homography is a 3 × 3 array whose last element is 1. This module must
not know what the planes are.
"""

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEAST_POINTS = 4
STEPS = 60  # of the refinement; in practice it stands still after fewer than ten
STILL = 1e-11  # [-]  relative step at which the refinement ends
NEAR_INFINITY = 1e-9  # [-]  depth of the origin beside the points' depths


def estimate(source: Array, target: Array) -> Array:
    """Return the homography of least squared distance in the target plane, from n ≥ 4 points.

    Levenberg-Marquardt from the direct estimate. Raises numpy.linalg.LinAlgError where the points
    do not determine one.
    """
    to_source, to_target = normalising(source), normalising(target)
    a, b = through(to_source, source), through(to_target, target)
    refined = _refine(_direct(a, b), a, b)
    return _finite(np.linalg.inv(to_target) @ refined @ to_source, source)


def estimate_directly(source: Array, target: Array) -> Array:
    """Return the homography of the normalised direct linear transformation, not refined.

    Hartley & Zisserman, Multiple View Geometry, algorithm 4.2 (from memory).
    """
    to_source, to_target = normalising(source), normalising(target)
    direct = _direct(through(to_source, source), through(to_target, target))
    return _finite(np.linalg.inv(to_target) @ direct @ to_source, source)


def through(homography: Array, points: Array) -> Array:
    """Return where the homography takes points (n, 2)."""
    ends = points @ homography[:, :2].T + homography[:, 2]
    return np.asarray(ends[:, :2] / ends[:, 2:])


def inverse(homography: Array) -> Array:
    """Return the way back."""
    return np.asarray(np.linalg.inv(homography), np.float64)


def depths(homography: Array, points: Array) -> Array:
    """Return the denominators at points: of one sign on one side of the horizon."""
    return np.asarray(points @ homography[2, :2] + homography[2, 2])


def normalising(points: Array) -> Array:
    """Return the similarity that puts the centroid to the origin and the mean distance to √2."""
    middle = points.mean(axis=0)
    mean = float(np.hypot(*(points - middle).T).mean())
    if not (math.isfinite(mean) and mean > 0):
        raise np.linalg.LinAlgError("all points coincide")
    s = math.sqrt(2) / mean
    return np.array([[s, 0, -s * middle[0]], [0, s, -s * middle[1]], [0, 0, 1.0]])


def jacobian_by_point(homography: Array, points: Array) -> Array:
    """Return (n, 2, 2): how a place in the target moves with its place in the source."""
    w = depths(homography, points)
    ends = through(homography, points)
    linear = homography[None, :2, :2] - ends[:, :, None] * homography[None, 2:, :2]
    return np.asarray(linear / w[:, None, None])


def jacobian_by_element(homography: Array, points: Array) -> Array:
    """Return (n, 2, 8): how a place in the target moves with the first eight elements."""
    w = depths(homography, points)[:, None]
    ends = through(homography, points)
    row = np.c_[points, np.ones(len(points))] / w
    out = np.zeros((len(points), 2, 8))
    out[:, 0, 0:3] = out[:, 1, 3:6] = row
    out[:, :, 6:8] = -ends[:, :, None] * row[:, None, :2]
    return out


def covariance(homography: Array, source: Array, spread: Array) -> Array:
    """Return the covariance (8, 8) of the elements, from that of the target's points (n, 2, 2).

    First order: the least squares are unweighted, so the spread enters on both sides.
    """
    a = jacobian_by_element(homography, source).reshape(-1, 8)
    inverse = np.linalg.pinv(a)
    out = np.zeros((8, 8))
    for k, one in enumerate(spread):
        part = inverse[:, 2 * k : 2 * k + 2]
        out += part @ one @ part.T
    return out


def place_covariance(homography: Array, of_elements: Array, points: Array) -> Array:
    """Return (n, 2, 2): the covariance of places in the target that the elements' one causes."""
    j = jacobian_by_element(homography, points)
    return np.asarray(j @ of_elements @ j.transpose(0, 2, 1))


def _direct(a: Array, b: Array) -> Array:
    rows = np.zeros((2 * len(a), 9))
    ones = np.c_[a, np.ones(len(a))]
    rows[0::2, 0:3] = rows[1::2, 3:6] = ones
    rows[0::2, 6:9] = -b[:, :1] * ones
    rows[1::2, 6:9] = -b[:, 1:] * ones
    _, sizes, turned = np.linalg.svd(rows)
    if sizes[7] < 1e-10 * sizes[0]:
        raise np.linalg.LinAlgError("the points do not determine a homography")
    return _finite(turned[-1].reshape(3, 3), a)


def _finite(homography: Array, points: Array) -> Array:
    """Return the same map with last element 1, unless the origin goes to infinity."""
    if abs(homography[2, 2]) <= NEAR_INFINITY * float(np.abs(depths(homography, points)).max()):
        raise np.linalg.LinAlgError("the origin goes to infinity")
    return np.asarray(homography / homography[2, 2])


def _refine(start: Array, a: Array, b: Array) -> Array:
    with np.errstate(all="ignore"):  # a step too far may cross the horizon; it is not taken
        return _descend(start, a, b)


def _descend(start: Array, a: Array, b: Array) -> Array:
    h, damping = start, 1e-4
    left = through(h, a) - b
    squares = float(np.sum(left**2))
    for _ in range(STEPS):
        j = jacobian_by_element(h, a).reshape(-1, 8)
        normal, pull = j.T @ j, j.T @ left.ravel()
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), -pull)
        moved = h.copy()
        moved.ravel()[:8] += step
        tried = through(moved, a) - b
        gained = squares - float(np.sum(tried**2))
        if gained >= 0:
            h, left, squares = moved, tried, squares - gained
            damping = max(damping / 10, 1e-12)
        else:
            damping *= 10
        if float(np.abs(step).max()) < STILL * (1 + float(np.abs(h).max())) or damping > 1e8:
            break
    return h
