"""Where do a few thousand real outlines with holes come from, that nobody here drew?

The counties of the 48 adjoining states of the USA, read from the package us-atlas (a development
dependency of this project), laid out on a wall of 160 ft by 88 ft and rounded to the 1/256 in
lattice. Only the standard library, numpy and shapely are used: nothing of the program.

source: U.S. Census Bureau, cartographic boundary files, 2017 edition (public domain), as
counties-10m.json of the npm package us-atlas 3.0.1 (ISC licence). The file is TopoJSON:
https://github.com/topojson/topojson-specification, sections 2.1.2 to 2.1.4.
"""

import json
import math
import os
from pathlib import Path

import numpy as np
import pytest
import shapely

FILE = Path(__file__).resolve().parents[2] / "node_modules" / "us-atlas" / "counties-10m.json"
WIDTH_IN, HEIGHT_IN = 1920.0, 1056.0
PER_IN = 256  # lattice points in an inch
BEYOND_THE_48 = {"02", "15", "60", "66", "69", "72", "78"}  # FIPS codes of states and territories
WEST_DEG, SOUTH_DEG, MIDDLE_DEG = -125.0, 24.0, 38.0
IN_PER_DEGREE = 40.0  # of latitude


def counties():
    """Return {county code: valid shapely polygon or multipolygon in wall inches}."""
    topology = json.loads(county_file().read_text(encoding="utf-8"))
    arcs = [_wall_in(arc, topology["transform"]) for arc in topology["arcs"]]
    found = {}
    for item in topology["objects"]["counties"]["geometries"]:
        if item["id"][:2] in BEYOND_THE_48:
            continue
        polygons = item["arcs"] if item["type"] == "MultiPolygon" else [item["arcs"]]
        parts = [part for part in (_polygon(rings, arcs) for rings in polygons) if part is not None]
        shape = parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)
        if not shape.is_empty and shape.is_valid:
            found[item["id"]] = shape
    return found


def county_file():
    """Return the file; a machine without the package skips, the checking machine may not."""
    if not FILE.exists():
        message = "the npm package us-atlas is not installed: run `npm ci` in the project's folder"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return FILE


def on_lattice(shape):
    """Return the shape with each vertex at the nearest lattice point; it may not be valid."""
    return shapely.transform(shape, lambda xy: np.round(xy * PER_IN) / PER_IN)


def _wall_in(arc, transform):
    """Return an arc in wall inches: steps from vertex to vertex become places."""
    steps = np.array(arc, dtype=float)
    degrees = np.cumsum(steps, axis=0) * transform["scale"] + transform["translate"]
    x_in = (degrees[:, 0] - WEST_DEG) * math.cos(math.radians(MIDDLE_DEG)) * IN_PER_DEGREE
    y_in = (degrees[:, 1] - SOUTH_DEG) * IN_PER_DEGREE
    return np.round(np.column_stack([x_in, y_in]) * PER_IN) / PER_IN


def _polygon(rings, arcs):
    linear = [_ring(numbers, arcs) for numbers in rings]
    kept = [ring for ring in linear if len(ring) >= 4]
    return shapely.Polygon(kept[0], kept[1:]) if len(linear[0]) >= 4 else None


def _ring(numbers, arcs):
    """Return a ring: arcs laid end to end, ~n meaning arc n backwards, doubled places once."""
    pieces = [arcs[n] if n >= 0 else arcs[~n][::-1] for n in numbers]
    line = np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])
    moved = np.append(True, (np.diff(line, axis=0) != 0).any(axis=1))
    return line[moved]
