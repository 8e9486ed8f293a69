"""Which vertices does a geometry from outside hold?

Untrusted nested lists become arrays of vertices on the 1/256 in lattice, or are refused with the
reason. This module must not judge what the vertices enclose.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from gridmap.lengths import LATTICE_PER_IN, MAXIMUM_LENGTH_IN, format_feet_inches

MAXIMUM_VERTICES = 20_000  # in one outline, all its rings together
MAXIMUM_RINGS = 2_000  # in one outline, parts and holes together

Kind = Literal["area", "line", "point"]
Vertices = NDArray[np.float64]  # (n, 2) [wall in]
Parts = list[list[Vertices]]  # parts of rings (area), parts of one run of vertices (line, point)

# How many lists stand around a vertex in GeoJSON coordinates.
_DEPTHS = {
    "area": {"Polygon": 2, "MultiPolygon": 3},
    "line": {"LineString": 1, "MultiLineString": 2},
    "point": {"Point": 0, "MultiPoint": 1},
}
_NOUNS = {"area": "outline", "line": "line", "point": "point"}


def read_parts(geometry: Mapping[str, Any], kind: Kind, field: str, changes: list[str]) -> Parts:
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
            f"{field}: the coordinates of this {name} are not lists of vertices [x, y].",
            field=field,
        )
    _require_countable(nested, field, _NOUNS[kind])
    parts = [[_vertices(run, field, changes) for run in part] for part in nested]
    if kind == "area":
        parts = [[_closed(ring, changes) for ring in part] for part in parts]
    return parts


def as_drawn(name: str, parts: Parts) -> dict[str, Any]:
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


def say_once(changes: list[str], sentence: str) -> None:
    """Add a sentence to the changes unless it stands there already."""
    if sentence not in changes:
        changes.append(sentence)


def _nested_parts(coordinates: Any, kind: Kind, depth: int) -> list[list[Any]] | None:
    """Return coordinates as parts of runs of vertices, None where they are nested otherwise."""
    nested: Any
    if kind == "area":
        nested = [coordinates] if depth == 2 else coordinates
    elif kind == "line":
        nested = [[coordinates]] if depth == 1 else _each_alone(coordinates)
    else:
        nested = [[[coordinates]]] if depth == 0 else [[coordinates]]
    if not _is_list(nested) or not all(_is_list(part) and len(part) for part in nested):
        return None
    return nested if all(_is_list(run) for part in nested for run in part) else None


def _is_list(value: Any) -> bool:
    return isinstance(value, (list, tuple))


def _each_alone(coordinates: Any) -> Any:
    return [[run] for run in coordinates] if _is_list(coordinates) else None


def _require_countable(parts: Sequence[Sequence[Sequence[Any]]], field: str, noun: str) -> None:
    rings = sum(len(part) for part in parts)
    vertices = sum(len(run) for part in parts for run in part)
    if vertices == 0:
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
        say_once(changes, "The third coordinate of each vertex is left out: the wall is a plane.")
    flat = numbers[:, :2].astype(np.float64)
    _require_on_paper(flat, field)
    return np.floor(flat * LATTICE_PER_IN + 0.5) / LATTICE_PER_IN  # as snap_in


def _why_no_vertices(run: Sequence[Any], field: str) -> str:
    for place, vertex in enumerate(run, start=1):
        numbers = vertex if _is_list(vertex) else ()
        if len(numbers) not in (2, 3) or not all(_is_coordinate(number) for number in numbers):
            return (
                f"{field}: vertex {place} is {vertex!r:.40}, not two numbers [x, y] of inches "
                f"within {MAXIMUM_LENGTH_IN:,.0f}."
            )
    return f"{field}: the vertices do not all have the same number of coordinates."


def _is_coordinate(number: Any) -> bool:
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        return False
    return isinstance(number, float) or abs(number) <= MAXIMUM_LENGTH_IN


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
