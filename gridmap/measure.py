"""How large is a shape, and how is it shared out among the cells of the grid?

Shapes are valid shapely geometries in wall inches. Nothing here repairs a shape or knows of terms.
"""

from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gridmap.grid import Grid

Shapes = NDArray[np.object_]
Indices = NDArray[np.int64]

CUT_AGREEMENT = 1e-9  # relative; pieces that do not add up to their shape are cut the slow way


def area_sq_in(shape: BaseGeometry) -> float:
    """Return the area [sq in] of a valid shape; lines and points have none."""
    return float(shape.area)


def perimeter_in(shape: BaseGeometry) -> float:
    """Return the length [in] of all rings of an area, holes included; 0 for lines and points."""
    return float(shape.boundary.length) if shapely.get_dimensions(shape) == 2 else 0.0


def length_in(shape: BaseGeometry) -> float:
    """Return the length [in] of a line; 0 for areas and points."""
    return float(shape.length) if shapely.get_dimensions(shape) == 1 else 0.0


@lru_cache(maxsize=8)
def cell_boxes(grid: Grid) -> Shapes:
    """Return the rectangles of all cells, indexed by row * n_columns + column in wall order.

    The array is kept and shared: it cannot be written to.
    """
    columns, rows = np.asarray(grid.columns.lines_in), np.asarray(grid.rows.lines_in)
    left, lower = np.meshgrid(columns[:-1], rows[:-1])
    right, upper = np.meshgrid(columns[1:], rows[1:])
    boxes = np.asarray(
        shapely.box(left.ravel(), lower.ravel(), right.ravel(), upper.ravel()), dtype=object
    )
    boxes.flags.writeable = False
    return boxes


def cell_label(cell_index: int | np.integer, grid: Grid) -> str:
    """Return the label of a cell counted as `cut_by_grid` counts."""
    row, column = divmod(int(cell_index), grid.shape[0])
    return grid.label(column, row)


def cells_touched(shape: BaseGeometry, grid: Grid) -> list[str]:
    """Return the labels of the cells in which a part of the shape lies, in reading order.

    An area that only meets a cell along its edge is not in it; a point is in one cell.
    """
    _, cells, _ = cut_by_grid(np.array([shape], dtype=object), grid)
    touched = {cell_label(cell, grid) for cell in np.unique(cells)}
    if len(touched) < 2:
        return list(touched)
    return [label for label in grid.labels() if label in touched]


def cut_by_grid(shapes: Shapes, grid: Grid) -> tuple[Indices, Indices, Shapes]:
    """Return shape index, cell index and piece for every part of every shape in every cell.

    The cell index is row * n_columns + column in wall order. Areas, lines and points may be
    mixed; each piece has its shape's dimension. A line along a grid line belongs to the cell
    right of it or above it, as a point does (at the far ends to the last cell), so that pieces
    add up to the whole. What lies beyond the grid is left out.
    """
    shapes = np.asarray(shapes, dtype=object)
    dimensions = shapely.get_dimensions(shapes)
    found = [
        cut(np.flatnonzero(dimensions == dimension), shapes, grid)
        for dimension, cut in ((2, _cut_areas), (1, _cut_lines), (0, _cut_points))
        if (dimensions == dimension).any()
    ]
    if not found:
        empty = np.empty(0, dtype=np.int64)
        return empty, empty.copy(), np.empty(0, dtype=object)
    owners, cells, pieces = (np.concatenate(column) for column in zip(*found, strict=True))
    return owners, cells, pieces


def cells_by_bounds(shapes: Shapes, grid: Grid) -> tuple[Indices, Indices]:
    """Return (shape index, cell index) of every cell that a shape's bounding box overlaps."""
    shapes = np.asarray(shapes, dtype=object)
    owners, cells, _ = _pairs_by_bounds(np.arange(len(shapes)), shapes, grid)
    return owners, cells


def only_of_dimension(shapes: Shapes, dimension: Literal[1, 2]) -> Shapes:
    """Return cut shapes without the lines and points in which a cut only touches its shape.

    GEOS refuses further overlays of such mixtures.
    """
    kept = np.array(shapes, dtype=object)
    kinds = shapely.get_type_id(kept)
    whole = (kinds == 3) | (kinds == 6) if dimension == 2 else (kinds == 1) | (kinds == 5)
    for place in np.flatnonzero(~whole):
        parts = shapely.get_parts(kept[place])
        parts = parts[shapely.get_dimensions(parts) == dimension]
        if len(parts):
            kept[place] = shapely.union_all(parts)
        else:
            kept[place] = shapely.Polygon() if dimension == 2 else shapely.LineString()
    return kept


def _cut_areas(chosen: Indices, shapes: Shapes, grid: Grid) -> tuple[Indices, Indices, Shapes]:
    owners, cells, whole = _pairs_by_bounds(chosen, shapes, grid)
    pieces = shapes[owners]
    boxes = cell_boxes(grid)
    crossing = np.flatnonzero(~whole)
    for group in _equal_runs(crossing, cells):
        pieces[group] = _clip(pieces[group], boxes[cells[group[0]]])
    kept = whole | (shapely.area(pieces) > 0.0)
    _recut_where_parts_do_not_add_up(owners, cells, pieces, crossing, shapes, grid)
    kept |= shapely.area(pieces) > 0.0
    return owners[kept], cells[kept], pieces[kept]


def _recut_where_parts_do_not_add_up(
    owners: Indices,
    cells: Indices,
    pieces: Shapes,
    crossing: Indices,
    shapes: Shapes,
    grid: Grid,
) -> None:
    """Replace fast cuts, which GEOS calls possibly dirty, by intersections where they show it."""
    if not len(crossing):
        return
    total = np.zeros(len(shapes))
    np.add.at(total, owners[crossing], shapely.area(pieces[crossing]))
    cut = np.unique(owners[crossing])
    extent = shapely.box(*grid.extent_in)
    inside = shapely.area(shapes[cut])
    outside = ~_within_extent(shapes[cut], grid)
    inside[outside] = shapely.area(shapely.intersection(shapes[cut][outside], extent))
    wrong = cut[np.abs(total[cut] - inside) > CUT_AGREEMENT * np.maximum(inside, 1.0)]
    invalid = np.unique(owners[crossing[~shapely.is_valid(pieces[crossing])]])
    again = crossing[np.isin(owners[crossing], np.union1d(wrong, invalid))]
    if len(again):
        boxes = cell_boxes(grid)
        overlaid = shapely.intersection(shapes[owners[again]], boxes[cells[again]])
        pieces[again] = only_of_dimension(overlaid, 2)


def _within_extent(shapes: Shapes, grid: Grid) -> NDArray[np.bool_]:
    x0, y0, x1, y1 = grid.extent_in
    bounds = shapely.bounds(shapes)
    within: NDArray[np.bool_] = (
        (bounds[:, 0] >= x0) & (bounds[:, 1] >= y0) & (bounds[:, 2] <= x1) & (bounds[:, 3] <= y1)
    )
    return within


def _pairs_by_bounds(
    chosen: Indices, shapes: Shapes, grid: Grid
) -> tuple[Indices, Indices, NDArray[np.bool_]]:
    """Return (shape, cell) pairs whose bounds overlap, and which shapes lie in one cell whole."""
    bounds = shapely.bounds(shapes[chosen])
    columns, rows = np.asarray(grid.columns.lines_in), np.asarray(grid.rows.lines_in)
    first_column = np.searchsorted(columns, bounds[:, 0], side="right") - 1
    last_column = np.searchsorted(columns, bounds[:, 2], side="left") - 1
    first_row = np.searchsorted(rows, bounds[:, 1], side="right") - 1
    last_row = np.searchsorted(rows, bounds[:, 3], side="left") - 1
    n_columns, n_rows = grid.shape
    single = (
        (first_column == last_column)
        & (first_row == last_row)
        & _within_extent(shapes[chosen], grid)
    )
    first_column, first_row = np.maximum(first_column, 0), np.maximum(first_row, 0)
    last_column = np.minimum(last_column, n_columns - 1)
    last_row = np.minimum(last_row, n_rows - 1)
    wide = np.maximum(last_column - first_column + 1, 0)
    count = wide * np.maximum(last_row - first_row + 1, 0)
    place = np.repeat(np.arange(len(chosen)), count)
    offset = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    row = first_row[place] + offset // np.maximum(wide[place], 1)
    column = first_column[place] + offset % np.maximum(wide[place], 1)
    return chosen[place], row * n_columns + column, single[place]


def _equal_runs(chosen: Indices, keys: Indices) -> Iterator[Indices]:
    """Yield the chosen places grouped by equal key."""
    if not len(chosen):
        return
    order = chosen[np.argsort(keys[chosen], kind="stable")]
    yield from np.split(order, np.flatnonzero(np.diff(keys[order])) + 1)


def _clip(shapes: Shapes, box: BaseGeometry) -> Shapes:
    return only_of_dimension(shapely.clip_by_rect(shapes, *box.bounds), 2)


def _cut_lines(chosen: Indices, shapes: Shapes, grid: Grid) -> tuple[Indices, Indices, Shapes]:
    parts, place = shapely.get_parts(shapes[chosen], return_index=True)
    coordinates, part = shapely.get_coordinates(parts, return_index=True)
    joined = part[1:] == part[:-1]
    start, end = coordinates[:-1][joined], coordinates[1:][joined]
    owners = chosen[place[part[:-1][joined]]]
    start, end, owners = _split_at(start, end, owners, np.asarray(grid.columns.lines_in), 0)
    start, end, owners = _split_at(start, end, owners, np.asarray(grid.rows.lines_in), 1)
    cells = _cells_of_points((start + end) / 2, grid)
    kept = (cells >= 0) & (start != end).any(axis=1)
    return _gather_segments(start[kept], end[kept], owners[kept], cells[kept])


def _split_at(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    owners: Indices,
    lines_in: NDArray[np.float64],
    axis: int,
) -> tuple[NDArray[np.float64], NDArray[np.float64], Indices]:
    """Split segments where they cross the lines of one axis."""
    low = np.minimum(start[:, axis], end[:, axis])
    high = np.maximum(start[:, axis], end[:, axis])
    first = np.searchsorted(lines_in, low, side="right")
    count = np.maximum(np.searchsorted(lines_in, high, side="left") - first, 0)
    source = np.repeat(np.arange(len(start)), count + 1)
    offset = np.arange(len(source)) - np.repeat(np.cumsum(count + 1) - (count + 1), count + 1)
    rising = (end[:, axis] >= start[:, axis])[source]
    nth = np.where(rising, first[source] + offset, first[source] + count[source] - 1 - offset)
    is_last = offset == count[source]
    at = lines_in[np.clip(nth, 0, len(lines_in) - 1)]
    run = end[source] - start[source]
    share = np.zeros(len(source))
    np.divide(at - start[source][:, axis], run[:, axis], out=share, where=~is_last)
    crossing = start[source] + share[:, None] * run
    crossing[:, axis] = at
    ends = np.where(is_last[:, None], end[source], crossing)
    starts = start[source].copy()
    follows = np.flatnonzero(offset > 0)
    starts[follows] = ends[follows - 1]
    return starts, ends, owners[source]


def _cells_of_points(points: NDArray[np.float64], grid: Grid) -> Indices:
    """Return the cell of each point, -1 beyond the grid; the rule is `Grid.cell_at`'s."""
    cells = np.zeros(len(points), dtype=np.int64)
    beyond = np.zeros(len(points), dtype=bool)
    for axis, lines, step in (
        (0, grid.columns.lines_in, 1),
        (1, grid.rows.lines_in, grid.shape[0]),
    ):
        lines_in, position = np.asarray(lines), points[:, axis]
        strip = np.searchsorted(lines_in, position, side="right") - 1
        cells += np.clip(strip, 0, len(lines_in) - 2) * step
        beyond |= (position < lines_in[0]) | (position > lines_in[-1])
    cells[beyond] = -1
    return cells


def _gather_segments(
    start: NDArray[np.float64], end: NDArray[np.float64], owners: Indices, cells: Indices
) -> tuple[Indices, Indices, Shapes]:
    """Join the segments of one shape in one cell to one line or bundle of lines."""
    if not len(start):
        empty = np.empty(0, dtype=np.int64)
        return empty, empty.copy(), np.empty(0, dtype=object)
    segments = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
    order = np.lexsort((cells, owners))
    owners, cells, segments = owners[order], cells[order], segments[order]
    new = np.r_[True, (np.diff(owners) != 0) | (np.diff(cells) != 0)]
    bundles = shapely.multilinestrings(segments, indices=np.cumsum(new) - 1)
    return owners[new], cells[new], np.asarray(shapely.line_merge(bundles), dtype=object)


def _cut_points(chosen: Indices, shapes: Shapes, grid: Grid) -> tuple[Indices, Indices, Shapes]:
    parts, place = shapely.get_parts(shapes[chosen], return_index=True)
    cells = _cells_of_points(shapely.get_coordinates(parts), grid)
    kept = cells >= 0
    owners, cells, parts = chosen[place[kept]], cells[kept], parts[kept]
    order = np.lexsort((cells, owners))
    owners, cells, parts = owners[order], cells[order], parts[order]
    if not len(parts):
        return owners, cells, parts
    new = np.r_[True, (np.diff(owners) != 0) | (np.diff(cells) != 0)]
    bundles = np.asarray(shapely.multipoints(parts, indices=np.cumsum(new) - 1), dtype=object)
    single = shapely.get_num_geometries(bundles) == 1
    bundles[single] = shapely.get_geometry(bundles[single], 0)
    return owners[new], cells[new], bundles
