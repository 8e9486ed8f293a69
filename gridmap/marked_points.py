"""Can the points that a person marked on a photograph place it on the wall at all?

A marked point names one place twice: in pixels from the outer corner of the upright picture's upper
left pixel, y down, and in wall inches, y up. What cannot be is refused here, naming the points.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from gridmap.errors import InvalidInput
from gridmap.homography import LEAST_POINTS, Array, depths, inverse
from gridmap.lengths import MAXIMUM_LENGTH_IN, quoted

MOST_POINTS = 60
LARGEST_PX = 1e6
COINCIDENT_SHARE = 0.005  # of the points' extent: 20 px of a 4,000 px picture
COLLINEAR_SHARE = 0.01  # a triangle's height over its longest side
VIEW_SHARE = 0.001  # nearest over farthest among the points: no lens sees more than that
FIELD = "points"


@dataclass(frozen=True)
class MarkedPoint:
    """One place, on the upright picture and on the wall."""

    name: str
    px: tuple[float, float]
    wall_in: tuple[float, float]


def check_points(points: Sequence[MarkedPoint]) -> tuple[Array, Array]:
    """Return the points' pixels and wall inches (n, 2 each).

    Raises InvalidInput for fewer than four, for two that coincide, and for points that lie on one
    line, on the picture or on the wall.
    """
    if len(points) < LEAST_POINTS:
        raise InvalidInput(
            f"{len(points)} points are marked; at least {LEAST_POINTS} are needed. Six to eight "
            "let the program check them.",
            field=FIELD,
        )
    if len(points) > MOST_POINTS:
        raise InvalidInput(
            f"{len(points)} points are marked; the limit is {MOST_POINTS}.", field=FIELD
        )
    for point in points:
        _check_numbers(point)
    px = np.array([point.px for point in points], float)
    wall = np.array([point.wall_in for point in points], float)
    for plane, words in ((px, "on the picture"), (wall, "on the wall")):
        _refuse_coincident(points, plane, words)
        _refuse_collinear(points, plane, words)
    return px, wall


def check_sense(points: Sequence[MarkedPoint], homography: Array, px: Array) -> None:
    """Refuse a homography that no camera in front of the wall can have.

    Raises InvalidInput where the picture would be mirrored, or folded over between its points.
    """
    seen = depths(homography, px)
    if not (np.all(seen > 0) or np.all(seen < 0)):
        raise InvalidInput(
            f"The points {names_of(points)} would fold the picture: two of them are exchanged, or "
            "one is far off. Look at which mark belongs to which place on the wall.",
            field=FIELD,
        )
    # Pixels count downwards, the wall upwards: seen from in front, the sense of turning changes.
    if float(np.linalg.det(homography) / seen[0] ** 3) > 0:
        raise InvalidInput(
            f"The points {names_of(points)} would mirror the picture: left and right, or above "
            "and below, are exchanged. Look at which mark belongs to which place on the wall.",
            field=FIELD,
        )


def check_view(points: Sequence[MarkedPoint], homography: Array) -> None:
    """Refuse a place whose horizon runs between the points.

    Raises InvalidInput: no camera sees a wall like that.
    """
    wall = np.array([point.wall_in for point in points], float)
    (x0, y0), (x1, y1) = wall.min(axis=0), wall.max(axis=0)
    back = inverse(homography)
    seen = depths(back, np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])) * depths(back, wall)[0]
    if not np.all(seen > VIEW_SHARE * float(np.abs(seen).max())):
        raise InvalidInput(
            f"The points {names_of(points)} would be seen at too flat an angle to be placed. One "
            "of them is far off, or the picture must be taken more squarely.",
            field=FIELD,
        )


def names_of(points: Sequence[MarkedPoint]) -> str:
    """Return the points' names for a sentence: 1, 2 and 4."""
    names = [shown_name(point) for point in points]
    return f"{', '.join(names[:-1])} and {names[-1]}"


def shown_name(point: MarkedPoint) -> str:
    """Return a name for a sentence; one of several words stands in quotation marks."""
    return f"“{point.name}”" if len(point.name.split()) > 1 else point.name


def determines(plane: Array) -> bool:
    """Say whether four of the points (n, 2) lie so that no three of them are on a line."""
    return len(plane) >= LEAST_POINTS and _too_straight(plane) is None


def _check_numbers(point: MarkedPoint) -> None:
    limits = ((point.px, LARGEST_PX, "pixels"), (point.wall_in, MAXIMUM_LENGTH_IN, "inches"))
    for pair, limit, unit in limits:
        for value in pair:
            if not (math.isfinite(value) and abs(value) <= limit):
                raise InvalidInput(
                    f"Point {shown_name(point)}: {quoted(value)} is no number of {unit} within "
                    f"{limit:,.0f}.",
                    field=FIELD,
                )


def _refuse_coincident(points: Sequence[MarkedPoint], plane: Array, words: str) -> None:
    limit = COINCIDENT_SHARE * float(np.hypot(*np.ptp(plane, axis=0)))
    for i, j in combinations(range(len(plane)), 2):
        if float(np.hypot(*(plane[i] - plane[j]))) <= limit:
            raise InvalidInput(
                f"Points {names_of([points[i], points[j]])} coincide {words}. Each must mark a "
                "place of its own; take one of them away.",
                field=FIELD,
            )


def _refuse_collinear(points: Sequence[MarkedPoint], plane: Array, words: str) -> None:
    line = _too_straight(plane)
    if line is not None:
        raise InvalidInput(
            f"Points {names_of([points[i] for i in line])} lie on one line {words}. Mark four of "
            "which no three are on a line, such as the corners of a cell.",
            field=FIELD,
        )


def _too_straight(plane: Array) -> list[int] | None:
    """Return the points on a line that leaves at most one point beside it, None without one."""
    away = plane[None, :, :] - plane[:, None, :]
    along = away[:, :, None, :]  # from i to j, beside from i to k
    to_third = away[:, None, :, :]
    across = np.abs(along[..., 0] * to_third[..., 1] - along[..., 1] * to_third[..., 0])
    lengths = np.hypot(away[..., 0], away[..., 1])
    sides = (lengths[:, :, None], lengths[:, None, :], lengths[None, :, :])
    longest = np.maximum(np.maximum(sides[0], sides[1]), sides[2])
    on_line = across <= COLLINEAR_SHARE * longest**2
    straight = (on_line.sum(axis=2) >= len(plane) - 1) & (lengths > 0)
    if not straight.any():
        return None
    i, j = np.argwhere(straight)[0]
    return [int(k) for k in np.flatnonzero(on_line[i, j])]
