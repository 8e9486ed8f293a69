"""Which ring [wall in] does a shape typed in feet and inches stand for?

Rectangles, circles, arches and lists of points, so that a wall is described without drawing
software. No Django, no I/O; vertices lie on the 1/256 in lattice.
"""

import math
import re
from collections.abc import Sequence

from gridmap.errors import InvalidInput
from gridmap.lengths import format_feet_inches_plain, parse_length_in, snap_in

Ring = list[list[float]]

# Of a whole circle. A chord of a 3 ft circle lies at most 1/300 in inside the arc, and the area
# is 0.02 % short. A multiple of 4, so that the outermost points are vertices.
ARC_STEPS = 180
MOST_POINTS = 2000
SHAPES = ("rectangle", "circle", "arch", "points")


def rectangle_ring(*, left_in: float, lower_in: float, width_in: float, height_in: float) -> Ring:
    """Return an upright rectangle from its lower left corner."""
    _require_extent(width_in, "width")
    _require_extent(height_in, "height")
    right_in, upper_in = left_in + width_in, lower_in + height_in
    return _snapped(
        [(left_in, lower_in), (right_in, lower_in), (right_in, upper_in), (left_in, upper_in)]
    )


def circle_ring(*, centre_x_in: float, centre_y_in: float, across_in: float) -> Ring:
    """Return a circle from its centre and its diameter."""
    _require_extent(across_in, "width")
    return _snapped(_arc(centre_x_in, centre_y_in, across_in / 2, 0.0, 2 * math.pi)[:-1])


def arch_ring(*, centre_x_in: float, lower_in: float, width_in: float, height_in: float) -> Ring:
    """Return an arch that stands on a level line, as wide and as high as given.

    Up to half its width high it is one arc (a segmental arch); above that a half circle on
    straight sides.
    """
    _require_extent(width_in, "width")
    _require_extent(height_in, "height")
    half_in = width_in / 2
    rise_in = min(height_in, half_in)
    springing_in = lower_in + height_in - rise_in
    # Radius of the circle through both springing points and the crown.
    radius_in = (half_in**2 + rise_in**2) / (2 * rise_in)
    centre_y_in = springing_in + rise_in - radius_in
    start = math.asin(min(1.0, (springing_in - centre_y_in) / radius_in))
    arc = _arc(centre_x_in, centre_y_in, radius_in, start, math.pi - start)
    feet = []
    if springing_in > lower_in:
        feet = [(centre_x_in - half_in, lower_in), (centre_x_in + half_in, lower_in)]
    return _snapped([*arc, *feet])


def typed_ring(text: str, *, field: str = "points") -> Ring:
    """Read one point a line, x then y, parted by a comma: "2 ft, 1' 6 1/2\\"".

    Points parted by semicolons may share a line. Raises InvalidInput naming the line.
    """
    pieces = [
        (number, piece.strip())
        for number, line in enumerate(text.splitlines(), start=1)
        for piece in line.split(";")
        if piece.strip()
    ]
    if len(pieces) > MOST_POINTS:
        raise InvalidInput(
            f"{field}: {len(pieces):,} points; the limit is {MOST_POINTS:,}.", field=field
        )
    ring = [
        typed_point(piece, field=field, where=f"{field}, line {number}") for number, piece in pieces
    ]
    if len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    if len(ring) < 3:
        raise InvalidInput(
            f"{field}: {len(ring)} {'point' if len(ring) == 1 else 'points'}; an outline needs at "
            "least 3, one a line, such as 2 ft, 1' 6 1/2\".",
            field=field,
        )
    return ring


def typed_point(piece: str, *, field: str, where: str = "") -> list[float]:
    """Read one point, x then y with a comma between."""
    where = where or field
    parts = re.split(r"\s*,\s*", piece)
    if len(parts) != 2:
        raise InvalidInput(
            f"{where}: {piece[:40]!r} is not a point. Write x and y with one comma between, such "
            "as 2 ft, 1' 6 1/2\".",
            field=field,
        )
    return [snap_in(parse_length_in(part, field=where)) for part in parts]


def points_text(ring: Sequence[Sequence[float]]) -> str:
    """Return a ring as `typed_ring` reads it, to 1/256 in."""
    points = [list(point) for point in ring]
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    return "\n".join(", ".join(exact_text(number) for number in point) for point in points)


def exact_text(length_in: float) -> str:
    """Return a length as a person types it, exact on the lattice."""
    return format_feet_inches_plain(length_in, denominator=256)


def recognised(ring: Sequence[Sequence[float]]) -> tuple[str, dict[str, float]]:
    """Return which shape gives this very ring, with its sizes [in]; "points" where none does."""
    points = {(point[0], point[1]) for point in ring}
    x0, x1 = min(x for x, _ in points), max(x for x, _ in points)
    y0, y1 = min(y for _, y in points), max(y for _, y in points)
    width_in, height_in = x1 - x0, y1 - y0
    if width_in <= 0 or height_in <= 0:
        return "points", {}
    middle_x_in, middle_y_in = (x0 + x1) / 2, (y0 + y1) / 2
    corners = {"left_in": x0, "lower_in": y0, "width_in": width_in, "height_in": height_in}
    round_ = {"centre_x_in": middle_x_in, "centre_y_in": middle_y_in, "across_in": width_in}
    arch = {**corners, "centre_x_in": middle_x_in}
    del arch["left_in"]
    for shape, sizes, made in (
        ("rectangle", corners, rectangle_ring(**corners)),
        ("circle", round_, circle_ring(**round_)),
        ("arch", arch, arch_ring(**arch)),
    ):
        if {(x, y) for x, y in made} == points:
            return shape, sizes
    return "points", {}


def _arc(
    centre_x_in: float, centre_y_in: float, radius_in: float, start: float, end: float
) -> list[tuple[float, float]]:
    # Even, so that the crown of an arch is a vertex.
    steps = max(8, 2 * math.ceil(ARC_STEPS * (end - start) / (4 * math.pi)))
    angles = [start + (end - start) * step / steps for step in range(steps + 1)]
    return [
        (centre_x_in + radius_in * math.cos(angle), centre_y_in + radius_in * math.sin(angle))
        for angle in angles
    ]


def _snapped(points: Sequence[tuple[float, float]]) -> Ring:
    ring: Ring = []
    for x, y in points:
        point = [snap_in(x), snap_in(y)]
        if not ring or ring[-1] != point:
            ring.append(point)
    return ring


def _require_extent(size_in: float, field: str) -> None:
    if size_in <= 0:
        raise InvalidInput(f"{field} is {size_in:g} in; it must be above 0.", field=field)
