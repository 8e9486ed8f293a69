"""Can this outline be taken as drawn, and which valid shape does it stand for?

The ring as drawn, on the 1/256 in lattice, is the record and is never repaired. The shape is
derived from it, lies off the lattice, is cut to the wall, and is never snapped again.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gridmap.errors import InvalidInput
from gridmap.lengths import (
    LATTICE_PER_IN,
    MAXIMUM_LENGTH_IN,
    format_area,
    format_feet_inches,
    snap_in,
)

MAXIMUM_VERTICES = 20_000  # in one outline, all its rings together
MAXIMUM_RINGS = 2_000  # in one outline, parts and holes together

GEOS_VERSION = shapely.geos_version_string

Kind = Literal["area", "line", "point"]
Vertices = NDArray[np.float64]  # (n, 2) [wall in]

# How many lists stand around a vertex in GeoJSON coordinates.
_DEPTHS = {
    "area": {"Polygon": 2, "MultiPolygon": 3},
    "line": {"LineString": 1, "MultiLineString": 2},
    "point": {"Point": 0, "MultiPoint": 1},
}
_NOUNS = {"area": "outline", "line": "line", "point": "point"}
_AREA_NOISE_SQ_IN = 1e-6  # differences of area below this are rounding, not a change


@dataclass(frozen=True)
class Taken:
    """An outline as it goes on record, and the shape that it stands for."""

    kind: Kind
    geometry: dict[str, Any]  # GeoJSON-like, on the lattice, exactly as drawn
    shape: BaseGeometry  # valid, within the wall, off the lattice
    changes: tuple[str, ...]  # sentences: how the shape differs from what was drawn
    geos_version: str


def take_outline(
    geometry: Mapping[str, Any],
    *,
    kind: Kind,
    width_in: float,
    height_in: float,
    field: str = "geometry",
) -> Taken:
    """Return an outline drawn by hand, on the lattice, with its valid shape within the wall.

    What had to change between drawing and shape is said in `changes`. Raises InvalidInput
    with the reason where nothing on the wall is left, or the geometry cannot be read.
    """
    changes: list[str] = []
    parts = _read_parts(geometry, kind, field, changes)
    shape = _SHAPERS[kind](parts, field, changes)
    shape = _within_wall(shape, snap_in(width_in), snap_in(height_in), field, changes)
    return Taken(kind, _as_drawn(geometry["type"], parts), shape, tuple(changes), GEOS_VERSION)


def shape_of(
    geometry: Mapping[str, Any],
    kind: Kind,
    *,
    width_in: float | None = None,
    height_in: float | None = None,
) -> BaseGeometry:
    """Return the valid shape of a recorded geometry again, cut to the wall if its size is given.

    The same GEOS gives the same shape as `take_outline` did.
    """
    parts = _read_parts(geometry, kind, "geometry", [])
    shape = _SHAPERS[kind](parts, "geometry", [])
    if width_in is None or height_in is None:
        return shape
    return _within_wall(shape, snap_in(width_in), snap_in(height_in), "geometry", [])


# Reading: from untrusted nested lists to arrays of vertices on the lattice.

Parts = list[list[Vertices]]  # parts of rings (area), parts of one run of vertices (line, point)


def _read_parts(
    geometry: Mapping[str, Any], kind: Kind, field: str, changes: list[str]
) -> Parts:
    if not isinstance(geometry, Mapping):
        raise InvalidInput(f"{field}: {geometry!r:.40} is not a geometry object.", field=field)
    depths = _DEPTHS[kind]
    name = geometry.get("type")
    if not isinstance(name, str) or name not in depths:
        raise InvalidInput(
            f"{field}: the type {name!r:.40} does not fit a term drawn as {kind}; "
            f"it takes {' or '.join(depths)}.",
            field=field,
        )
    nested = _nested_parts(geometry.get("coordinates"), kind, depths[name])
    if nested is None:
        raise InvalidInput(
            f"{field}: the coordinates of this {name} are not lists of vertices [x, y].", field=field
        )
    _require_countable(nested, field, _NOUNS[kind])
    parts = [[_vertices(run, field, changes) for run in part] for part in nested]
    if kind == "area":
        parts = [[_closed(ring, changes) for ring in part] for part in parts]
    return parts


def _nested_parts(coordinates: Any, kind: Kind, depth: int) -> list[list[Any]] | None:
    """Return coordinates as parts of runs of vertices, None where they are nested otherwise."""
    nested: Any
    if kind == "area":
        nested = [coordinates] if depth == 2 else coordinates
    elif kind == "line":
        nested = [[coordinates]] if depth == 1 else _each_alone(coordinates)
    else:
        nested = [[[coordinates]]] if depth == 0 else [[coordinates]]
    if not _is_list(nested) or not all(_is_list(part) for part in nested):
        return None
    return nested if all(_is_list(run) for part in nested for run in part) else None


def _is_list(value: Any) -> bool:
    return isinstance(value, (list, tuple))


def _each_alone(coordinates: Any) -> Any:
    return [[run] for run in coordinates] if _is_list(coordinates) else None


def _require_countable(parts: Sequence[Sequence[Sequence[Any]]], field: str, noun: str) -> None:
    rings = sum(len(part) for part in parts)
    vertices = sum(len(run) for part in parts for run in part)
    if rings == 0 or vertices == 0:
        raise InvalidInput(f"{field}: this {noun} has no vertices. Draw it again.", field=field)
    for count, limit, what in (
        (rings, MAXIMUM_RINGS, "rings"),
        (vertices, MAXIMUM_VERTICES, "vertices"),
    ):
        if count > limit:
            raise InvalidInput(
                f"{field}: this {noun} has {count:,} {what}; the limit is {limit:,}. "
                f"Draw it in several parts.",
                field=field,
            )


def _vertices(run: Sequence[Any], field: str, changes: list[str]) -> Vertices:
    """Return one run of vertices on the lattice."""
    try:
        numbers = np.asarray(run)
    except ValueError:  # vertices of different lengths
        numbers = np.empty(0, dtype=object)
    if len(run) == 0:
        return np.empty((0, 2))
    if numbers.ndim != 2 or numbers.shape[1] not in (2, 3) or numbers.dtype.kind not in "iuf":
        raise InvalidInput(_why_no_vertices(run, field), field=field)
    if numbers.shape[1] == 3:
        _say(changes, "The third coordinate of each vertex is left out: the wall is a plane.")
    flat = numbers[:, :2].astype(np.float64)
    _require_on_paper(flat, field)
    return np.floor(flat * LATTICE_PER_IN + 0.5) / LATTICE_PER_IN  # as snap_in


def _why_no_vertices(run: Sequence[Any], field: str) -> str:
    for place, vertex in enumerate(run, start=1):
        numbers = vertex if _is_list(vertex) else ()
        good = len(numbers) in (2, 3) and all(
            isinstance(number, (int, float)) and not isinstance(number, bool) for number in numbers
        )
        if not good:
            return f"{field}: vertex {place} is {vertex!r:.40}, not two numbers [x, y] in inches."
    return f"{field}: the vertices do not all have the same number of coordinates."


def _require_on_paper(vertices: Vertices, field: str) -> None:
    good = np.abs(vertices) <= MAXIMUM_LENGTH_IN  # false for NaN too
    if good.all():
        return
    place = int(np.argmin(good.all(axis=1)))
    x, y = vertices[place].tolist()
    if np.isfinite(vertices[place]).all():
        reason = f"the limit is {MAXIMUM_LENGTH_IN:,.0f} in from the wall's corner"
    else:
        reason = "both must be finite numbers"
    raise InvalidInput(f"{field}: vertex {place + 1} is at {x:g}, {y:g} in; {reason}.", field=field)


def _closed(ring: Vertices, changes: list[str]) -> Vertices:
    if len(ring) == 0 or (ring[0] == ring[-1]).all():
        return ring
    gap_in = float(np.hypot(*(ring[-1] - ring[0])))
    changes.append(
        f"The ring was open by {format_feet_inches(gap_in)}; "
        f"it is closed by a straight line from its last vertex to its first."
    )
    return np.concatenate([ring, ring[:1]])


def _as_drawn(name: str, parts: Parts) -> dict[str, Any]:
    """Return the GeoJSON-like record of the vertices that were read."""
    lists = [[run.tolist() for run in part] for part in parts]
    coordinates: Any
    if name == "Polygon" or name == "MultiPoint":
        coordinates = lists[0] if name == "Polygon" else lists[0][0]
    elif name == "MultiPolygon":
        coordinates = lists
    elif name == "MultiLineString":
        coordinates = [part[0] for part in lists]
    else:
        coordinates = lists[0][0][0] if name == "Point" else lists[0][0]
    return {"type": name, "coordinates": coordinates}


# Shaping: from vertices as drawn to a valid shape.


def _shape_area(parts: Parts, field: str, changes: list[str]) -> BaseGeometry:
    """Return the valid area of rings: all that a ring goes round, less what its holes go round."""
    polygons = [_polygon(part, changes) for part in parts]
    kept = [polygon for polygon in polygons if polygon is not None]
    if not kept:
        raise _no_area(field)
    drawn: BaseGeometry = kept[0] if len(kept) == 1 else shapely.MultiPolygon(kept)
    if shapely.is_valid(drawn):
        shape = drawn
    else:
        shape = _polygonal(shapely.make_valid(drawn, method="structure", keep_collapsed=False))
        if shape.area > 0:
            changes.append(_repair_sentence(drawn, shape))
    if shape.area <= 0:
        raise _no_area(field)
    return shape


def _no_area(field: str) -> InvalidInput:
    return InvalidInput(
        f"{field}: the outline encloses no area. Draw round the damage, or choose a term "
        f"that is drawn as a line or a point.",
        field=field,
    )


def _polygon(rings: list[Vertices], changes: list[str]) -> shapely.Polygon | None:
    """Return the polygon of a shell and its holes as drawn, None if the shell is flat."""
    if _is_flat(rings[0]):
        if len(rings[0]):
            _say(changes, "A part that encloses no area is left out of the shape.")
        return None
    holes = [hole for hole in rings[1:] if not _is_flat(hole)]
    if len(holes) < len(rings) - 1:
        _say(changes, "A hole that encloses no area is left out of the shape.")
    return shapely.Polygon(rings[0], holes)


def _is_flat(ring: Vertices) -> bool:
    """Whether all vertices lie on one line, so that the ring goes round nothing."""
    if len(ring) < 4:
        return True
    offsets = ring - ring[0]
    far = offsets[np.argmax(np.abs(offsets).sum(axis=1))]
    # Lattice coordinates: these products are exact, so that flat means exactly flat.
    return not np.any(offsets[:, 0] * far[1] - offsets[:, 1] * far[0])


def _polygonal(shape: BaseGeometry) -> BaseGeometry:
    """Return only the areas of a repaired shape."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    pieces = [
        piece
        for piece in shapely.get_parts(shapely.get_parts(shape))
        if piece.geom_type == "Polygon" and not piece.is_empty
    ]
    return pieces[0] if len(pieces) == 1 else shapely.MultiPolygon(pieces)


def _repair_sentence(drawn: BaseGeometry, shape: BaseGeometry) -> str:
    """Say why the drawn rings were not a plain area, where, and what was made of them."""
    reason, _, place = shapely.is_valid_reason(drawn).partition("[")
    where = _place(place.rstrip("]"))
    if abs(shape.area - drawn.area) <= _AREA_NOISE_SQ_IN:
        return f"The outline touches itself or doubles back{where}; its area stays as drawn."
    what = _REASONS.get(reason.strip(), "The outline crosses itself")
    pieces = shapely.get_num_geometries(shape)
    in_pieces = f", in {pieces} pieces" if pieces > 1 else ""
    return (
        f"{what}{where}; all that it goes round is taken once as its area: "
        f"{format_area(shape.area)}{in_pieces}."
    )


_REASONS = {
    "Hole lies outside shell": "A hole reaches outside the outline",
    "Holes are nested": "One hole lies in another",
    "Nested shells": "One part lies in another",
}


def _place(reason_place: str) -> str:
    numbers = reason_place.split()
    if len(numbers) != 2:
        return ""
    x_in, y_in = float(numbers[0]), float(numbers[1])
    return f" near {format_feet_inches(x_in)} across, {format_feet_inches(y_in)} up"


def _shape_line(parts: Parts, field: str, changes: list[str]) -> BaseGeometry:
    runs = [part[0] for part in parts]
    kept = [run for run in runs if len(run) >= 2 and (run != run[0]).any()]
    if not kept:
        raise InvalidInput(
            f"{field}: the line has no length. Give it at least two different vertices, or choose "
            f"a term that is drawn as a point.",
            field=field,
        )
    if len(kept) < len(runs):
        _say(changes, "A part without length is left out of the line.")
    return shapely.LineString(kept[0]) if len(kept) == 1 else shapely.MultiLineString(kept)


def _shape_point(parts: Parts, field: str, changes: list[str]) -> BaseGeometry:
    places = parts[0][0]
    different = np.unique(places, axis=0)
    if len(different) < len(places):
        changes.append(f"Points at the same place are counted once: {len(different)} are left.")
    return shapely.Point(places[0]) if len(different) == 1 else shapely.MultiPoint(different)


_SHAPERS = {"area": _shape_area, "line": _shape_line, "point": _shape_point}


# The wall's edge.


def _within_wall(
    shape: BaseGeometry, width_in: float, height_in: float, field: str, changes: list[str]
) -> BaseGeometry:
    """Return the part of a shape that lies on the wall; what lies beyond is said."""
    x0, y0, x1, y1 = shape.bounds
    if x0 >= 0.0 and y0 >= 0.0 and x1 <= width_in and y1 <= height_in:
        return shape
    cut = _cut(shape, width_in, height_in)
    if cut.is_empty:
        raise InvalidInput(
            f"{field}: it lies beyond the wall, which is {format_feet_inches(width_in)} long and "
            f"{format_feet_inches(height_in)} high. Its leftmost point is {x0:g} in from the left "
            f"end and its lowest {y0:g} in above the lower edge.",
            field=field,
        )
    edges = (("left", x0 < 0), ("lower", y0 < 0), ("right", x1 > width_in), ("upper", y1 > height_in))
    names = " and ".join(name for name, beyond in edges if beyond)
    changes.append(
        f"{_amount_beyond(shape, cut)} beyond the wall's {names} edge and is not counted; "
        f"the drawing is kept whole."
    )
    return cut


def _cut(shape: BaseGeometry, width_in: float, height_in: float) -> BaseGeometry:
    wall = shapely.box(0.0, 0.0, width_in, height_in)
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return _polygonal(shapely.intersection(shape, wall))
    if shape.geom_type in ("Point", "MultiPoint"):
        return shapely.intersection(shape, wall)
    # Overlay would count a stretch drawn twice once; clipping keeps the line as drawn.
    return shapely.clip_by_rect(shape, 0.0, 0.0, width_in, height_in)


def _amount_beyond(shape: BaseGeometry, cut: BaseGeometry) -> str:
    if shape.area > 0:
        return f"{format_area(shape.area - cut.area)} of the outline lies"
    if shape.length > 0:
        return f"{format_feet_inches(shape.length - cut.length)} of the line lies"
    beyond = shapely.get_num_geometries(shape) - shapely.get_num_geometries(cut)
    return f"{beyond} of {shapely.get_num_geometries(shape)} points lies"


def _say(changes: list[str], sentence: str) -> None:
    if sentence not in changes:
        changes.append(sentence)
