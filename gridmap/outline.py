"""Can this outline be taken as drawn, and which valid shape does it stand for?

The ring as drawn, on the 1/256 in lattice, is the record and is never repaired. The shape is
derived from it, lies off the lattice, is cut to the wall, and is never snapped again.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gridmap.errors import InvalidInput
from gridmap.lengths import format_area, format_feet_inches, snap_in
from gridmap.strokes import crossings_estimate, is_flat, without_spikes
from gridmap.vertices import Kind, Parts, Vertices, as_drawn, read_parts, say_once

GEOS_VERSION = shapely.geos_version_string

MAXIMUM_CROSSINGS = 20_000  # of an outline with itself; about a third of a second's work
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
    parts = read_parts(geometry, kind, field, changes)
    shape = _SHAPERS[kind](parts, field, changes)
    shape = _within_wall(shape, snap_in(width_in), snap_in(height_in), field, changes)
    return Taken(kind, as_drawn(geometry["type"], parts), shape, tuple(changes), GEOS_VERSION)


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
    parts = read_parts(geometry, kind, "geometry", [])
    shape = _SHAPERS[kind](parts, "geometry", [])
    if width_in is None or height_in is None:
        return shape
    return _within_wall(shape, snap_in(width_in), snap_in(height_in), "geometry", [])


# Shaping: from vertices as drawn to a valid shape.


def _shape_area(parts: Parts, field: str, changes: list[str]) -> BaseGeometry:
    """Return the valid area of rings: all that a ring goes round, less what its holes go round."""
    kept = [rings for rings in (_with_area(part, changes) for part in parts) if rings]
    if not kept:
        raise _no_area(field)
    drawn = _polygons(kept)
    shape = drawn if shapely.is_valid(drawn) else _made_valid(kept, field)
    if shape.area <= 0:
        raise _no_area(field)
    if shape is not drawn:
        changes.append(_repair_sentence(drawn, shape))
    return shape


def _made_valid(parts: Parts, field: str) -> BaseGeometry:
    """Return the area of rings that cross, touch or double back.

    The structure method takes what a ring goes round to either side, so that a pen that runs
    over its own start leaves no hole; the linework method would leave one.
    """
    _refuse_countless_crossings([ring for part in parts for ring in part], field)
    unspiked = [[without_spikes(ring) for ring in part] for part in parts]
    open_parts = [_with_holes_inside(part) for part in unspiked if len(part[0])]
    shape = _structured(_polygons(open_parts))
    if not shapely.is_valid(shape):
        # GEOS 3.14 sometimes gives two pieces that share an edge: not valid, but right in area.
        shape = shapely.union_all(shapely.get_parts(shape))
    return _polygonal(shape)


def _refuse_countless_crossings(rings: list[Vertices], field: str) -> None:
    strokes = sum(len(ring) - 1 for ring in rings)
    if strokes * (strokes - 1) // 2 <= MAXIMUM_CROSSINGS:
        return  # not even if each stroke crossed each other; counting would be the slowest step
    crossings = crossings_estimate(rings)
    if crossings > MAXIMUM_CROSSINGS:
        raise InvalidInput(
            f"{field}: the outline crosses itself about {crossings:,} times; the limit is "
            f"{MAXIMUM_CROSSINGS:,}. Draw round the damage in fewer strokes.",
            field=field,
        )


def _structured(drawn: BaseGeometry) -> BaseGeometry:
    return shapely.make_valid(drawn, method="structure", keep_collapsed=False)


def _with_holes_inside(rings: list[Vertices]) -> list[Vertices]:
    """Return a shell with those holes that meet it: GEOS would count one beyond it as area."""
    holes = [hole for hole in rings[1:] if len(hole)]
    if not holes:
        return rings[:1]
    shell = _structured(shapely.Polygon(rings[0]))
    return [
        rings[0],
        *(hole for hole in holes if shell.intersects(_structured(shapely.Polygon(hole)))),
    ]


def _no_area(field: str) -> InvalidInput:
    return InvalidInput(
        f"{field}: the outline encloses no area. Draw round the damage, or choose a term "
        f"that is drawn as a line or a point.",
        field=field,
    )


def _with_area(rings: list[Vertices], changes: list[str]) -> list[Vertices]:
    """Return a shell and its holes without flat rings, nothing if the shell is flat."""
    if is_flat(rings[0]):
        say_once(changes, "A part that encloses no area is left out of the shape.")
        return []
    holes = [hole for hole in rings[1:] if not is_flat(hole)]
    if len(holes) < len(rings) - 1:
        say_once(changes, "A hole that encloses no area is left out of the shape.")
    return [rings[0], *holes]


def _polygons(parts: Parts) -> BaseGeometry:
    polygons = [shapely.Polygon(part[0], part[1:]) for part in parts]
    return polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(polygons)


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
    in_pieces = f" in {pieces} pieces" if pieces > 1 else ""
    return (
        f"{what}{where}; what it goes round is taken once as its area: "
        f"{format_area(shape.area)}{in_pieces}{_gaps(drawn, shape)}."
    )


def _gaps(drawn: BaseGeometry, shape: BaseGeometry) -> str:
    """Say how many holes the shape has that nobody drew as a hole.

    A stroke that turns back against its own direction goes round nothing there (once to the
    left, once to the right); the gap stays, and the person sees it said.
    """
    undrawn = _hole_count(shape) - _hole_count(drawn)
    if undrawn <= 0:
        return ""
    return f"; {undrawn} {'gap' if undrawn == 1 else 'gaps'} between its own strokes left open"


def _hole_count(shape: BaseGeometry) -> int:
    return int(shapely.get_num_interior_rings(shapely.get_parts(shape)).sum())


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
        say_once(changes, "A part without length is left out of the line.")
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
    edges = (
        ("left", x0 < 0),
        ("lower", y0 < 0),
        ("right", x1 > width_in),
        ("upper", y1 > height_in),
    )
    names = " and ".join(name for name, beyond in edges if beyond)
    changes.append(
        f"Beyond the wall's {names} edge: {_amount_beyond(shape, cut)}. It is not counted; "
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
        return f"{format_area(shape.area - cut.area)} of the outline"
    if shape.length > 0:
        return f"{format_feet_inches(shape.length - cut.length)} of the line"
    beyond = shapely.get_num_geometries(shape) - shapely.get_num_geometries(cut)
    return f"{beyond} of {shapely.get_num_geometries(shape)} points"
