"""How does a person's outline differ from the damage itself?

Every drawing strays from the edge by the hand's own error, and each hand and each session lies a
little inside or outside of it throughout. A copy that is edited follows the earlier outline where
nothing grew. Invented demo data.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from demo_fixtures.shapes import Island, Point
from demo_fixtures.wall import HEIGHT_IN, WIDTH_IN

LATTICE_PER_IN = 256
EDITED_BEYOND_IN = 0.12  # where the edge has moved further than this, the copy is redrawn


@dataclass(frozen=True)
class Hand:
    """A person's drawing: error of the boundary and a bias throughout, both in inches."""

    username: str
    error_in: float
    bias_in: float


HANDS = {
    "ines": Hand("ines", 0.06, 0.0),
    "tomas": Hand("tomas", 0.07, 0.02),
    "priya": Hand("priya", 0.06, -0.015),
}
SESSION_BIAS_SD_IN = 0.004
# The stated error is that of the redraw trial, rounded up: a hand strays a little less.
SHARE_OF_STATED_ERROR = 0.85


def draw_island(
    form: Island, hand: Hand, *, session_bias_in: float, rng: np.random.Generator
) -> Island:
    """Return an island as this hand draws it in this session."""
    radii = np.asarray(form.radii_in)
    stray = (
        rng.normal(0, hand.error_in * SHARE_OF_STATED_ERROR, radii.size)
        + hand.bias_in
        + session_bias_in
    )
    return replace(form, radii_in=tuple(np.maximum(radii + stray, 0.12 * radii).tolist()))


def edit_island(prior: Island, now: Island, *, hand: Hand, rng: np.random.Generator) -> Island:
    """Return the prior outline with the part redrawn where the edge has moved outwards."""
    if len(prior.radii_in) != len(now.radii_in) or prior.centre != now.centre:
        return draw_island(now, hand, session_bias_in=0.0, rng=rng)
    old, new = np.asarray(prior.radii_in), np.asarray(now.radii_in)
    moved = new > old + EDITED_BEYOND_IN
    edge = np.where(moved, np.maximum(new + rng.normal(0, hand.error_in, new.size), old), old)
    return replace(prior, radii_in=tuple(edge.tolist()))


def draw_line(line: Sequence[Point], hand: Hand, rng: np.random.Generator) -> tuple[Point, ...]:
    """Return a line as this hand draws it."""
    stray = rng.normal(0, hand.error_in * 0.7, (len(line), 2))
    return tuple(
        (float(x + dx), float(y + dy)) for (x, y), (dx, dy) in zip(line, stray, strict=True)
    )


def geometry_of(shape: Island | Sequence[Point], kind: str) -> dict[str, object]:
    """Return a shape as an entry holds it: GeoJSON-like, on the 1/256 in lattice, on the wall."""
    if isinstance(shape, Island):
        ring = [_on_lattice(point) for point in shape.ring()]
        return {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}
    points = [_on_lattice(point) for point in shape]
    if kind == "point":
        return {"type": "Point", "coordinates": points[0]}
    if kind == "area":
        return {"type": "Polygon", "coordinates": [[*points, points[0]]]}
    return {"type": "LineString", "coordinates": points}


def _on_lattice(point: Point) -> list[float]:
    x = min(max(point[0], 0.0), WIDTH_IN)
    y = min(max(point[1], 0.0), HEIGHT_IN)
    return [round(x * LATTICE_PER_IN) / LATTICE_PER_IN, round(y * LATTICE_PER_IN) / LATTICE_PER_IN]
