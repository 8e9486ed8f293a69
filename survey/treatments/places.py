"""Where was treated: the geometry that a person names by a cell, an item, or lengths.

Every geometry lies on the 1/256 in lattice, ready to be put on record.
"""

import json
import re
from collections.abc import Sequence
from typing import Any

import shapely

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from survey.record.models import Survey
from survey.treatments.selectors import observations_named
from survey.walls.rings import Ring, rectangle_ring, typed_point, typed_ring

MOST_CELLS = 400
Geometry = dict[str, Any]


def of_cells(text: str, grid: Grid) -> Geometry:
    """Return the whole of one or more cells, parted by commas or spaces: C17, C18."""
    labels = [piece for piece in re.split(r"[\s,;]+", text) if piece]
    if not labels or len(labels) > MOST_CELLS:
        raise InvalidInput(
            f"cells: {len(labels)} named; name 1 to {MOST_CELLS}, such as C17, C18.", field="cells"
        )
    try:
        boxes = [shapely.box(*grid.bounds(label)) for label in labels]
    except InvalidInput as error:
        raise InvalidInput(error.message, field="cells") from error
    return _of_shape(shapely.union_all(boxes))


def of_rectangle(*, left_in: float, lower_in: float, width_in: float, height_in: float) -> Geometry:
    """Return an upright rectangle."""
    return _of_ring(
        rectangle_ring(left_in=left_in, lower_in=lower_in, width_in=width_in, height_in=height_in)
    )


def of_points(text: str) -> Geometry:
    """Return the outline whose points are typed one a line; a single point is a point."""
    lines = [piece for piece in re.split(r"[\n;]", text) if piece.strip()]
    if len(lines) == 1:
        return {"type": "Point", "coordinates": typed_point(lines[0], field="points")}
    return _of_ring(typed_ring(text))


def of_item(survey: Survey, item: str) -> Geometry:
    """Return a copy of the outline drawn under an item's label in a survey."""
    found = observations_named(survey, item)
    if not found:
        raise InvalidInput(
            f"item is {item!r}; survey {survey.code} has no such outline.", field="item"
        )
    if len(found) > 1:
        raise InvalidInput(
            f"Survey {survey.code} has {len(found)} outlines called {item!r}. Give one of them "
            "another label, or type the place.",
            field="item",
        )
    geometry: Geometry = json.loads(found[0].shape_json)["geometry"]
    return geometry


def _of_ring(ring: Ring) -> Geometry:
    return {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}


def _of_shape(shape: shapely.Geometry) -> Geometry:
    """Return the rings of a shape that already lies on the lattice."""
    polygons = [
        [_ring(ring.coords) for ring in (piece.exterior, *piece.interiors)]
        for piece in shapely.get_parts(shape)
    ]
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}


def _ring(coordinates: Sequence[Sequence[float]]) -> Ring:
    return [[x, y] for x, y, *_ in coordinates]
