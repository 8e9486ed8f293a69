"""Which forms does damage take? Irregular islands seen from a centre, and wandering lines.

An island is kept as a centre and one radius per direction, so that growth, a copy that is edited
and a second drawing of the same island can be compared direction by direction.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

Point = tuple[float, float]


@dataclass(frozen=True)
class Island:
    """A star-shaped area: `radii_in[k]` is its reach from the centre in direction k of n."""

    centre: Point
    radii_in: tuple[float, ...]

    @property
    def reach_in(self) -> float:
        """Return the largest radius."""
        return max(self.radii_in)

    def ring(self) -> list[Point]:
        """Return the open ring of points, anticlockwise."""
        angles = _angles(len(self.radii_in))
        radii = np.asarray(self.radii_in)
        x = self.centre[0] + radii * np.cos(angles)
        y = self.centre[1] + radii * np.sin(angles)
        return list(zip(x.tolist(), y.tolist(), strict=True))

    def area_sq_in(self) -> float:
        """Return the area by the shoelace rule."""
        x, y = np.asarray(self.ring()).T
        return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)

    def with_area(self, area_sq_in: float) -> "Island":
        """Return the same form at another area."""
        factor = math.sqrt(area_sq_in / self.area_sq_in())
        return replace(self, radii_in=tuple(r * factor for r in self.radii_in))

    def grown(self, growth_in: float, *, towards_rad: float) -> "Island":
        """Return the island grown mostly towards one side and nowhere smaller."""
        facing = np.clip(np.cos(_angles(len(self.radii_in)) - towards_rad), 0, None) ** 1.5
        radii = np.asarray(self.radii_in) + growth_in * facing
        return replace(self, radii_in=tuple(radii.tolist()))


def island(
    rng: np.random.Generator,
    centre: Point,
    area_sq_in: float,
    *,
    ragged: float = 0.3,
    stretch: float = 1.4,
) -> Island:
    """Return an irregular island of the given area; `stretch` is length over breadth."""
    count = int(np.clip(round(3.6 * math.sqrt(area_sq_in) / 0.7), 14, 60))
    angles = _angles(count)
    turn = rng.uniform(0, math.pi)
    breadth = 1 / math.sqrt(stretch)
    ellipse = 1 / np.hypot(np.cos(angles - turn) * breadth, np.sin(angles - turn) / breadth)
    wave = np.zeros(count)
    for k in range(2, 7):
        wave += rng.normal(0, ragged / k) * np.cos(k * angles + rng.uniform(0, 2 * math.pi))
    radii = ellipse * np.clip(1 + wave, 0.45, 1.8)
    return Island(centre, tuple(radii.tolist())).with_area(area_sq_in)


def wander(
    rng: np.random.Generator, start: Point, *, heading_rad: float, length_in: float
) -> list[Point]:
    """Return a line that wanders like a crack, a vertex about every inch and a half."""
    steps = max(4, round(length_in / 1.5))
    turns = np.cumsum(rng.normal(0, 0.16, steps)) * 0.7 + rng.normal(0, 0.22, steps)
    headings = heading_rad + turns - turns.mean()
    step_in = length_in / steps
    x = start[0] + np.concatenate([[0], np.cumsum(np.cos(headings))]) * step_in
    y = start[1] + np.concatenate([[0], np.cumsum(np.sin(headings))]) * step_in
    return list(zip(x.tolist(), y.tolist(), strict=True))


def first_part(line: Sequence[Point], share: float) -> list[Point]:
    """Return the beginning of a line, `share` of its length."""
    pts = np.asarray(line, float)
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(pts, axis=0).T))])
    stop = along[-1] * min(share, 1.0)
    kept = pts[along < stop - 1e-9]
    end = [np.interp(stop, along, pts[:, 0]), np.interp(stop, along, pts[:, 1])]
    return [(float(x), float(y)) for x, y in np.vstack([kept, end])]


def contains(ring: Sequence[Point], x_in: float, y_in: float) -> bool:
    """Whether a point lies in a ring, by counting crossings."""
    x, y = np.asarray(ring, float).T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    straddles = (y > y_in) != (ny > y_in)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = x + (y_in - y) * (nx - x) / (ny - y)
    return bool(np.count_nonzero(straddles & (x_in < crossing)) % 2)


def _angles(count: int) -> np.ndarray:
    return np.linspace(0, 2 * math.pi, count, endpoint=False)
