"""Shapes are shared out among cells without loss; plain shapely overlays are the second source."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gridmap.grid import Axis, Grid
from gridmap.measure import (
    area_sq_in,
    cell_boxes,
    cell_label,
    cells_by_bounds,
    cells_touched,
    cut_by_grid,
    length_in,
    perimeter_in,
)

UNEQUAL = Grid(
    columns=Axis((0.0, 10.0, 24.5, 60.0, 61.0), "numbers", "left"),
    rows=Axis((0.0, 13.0, 30.0), "letters", "top"),
)
EXTENT = shapely.box(0, 0, 61, 30)
COORDINATE = st.integers(-5 * 4, 70 * 4).map(lambda quarter: quarter / 4)
POINT = st.tuples(COORDINATE, COORDINATE)


def array(*shapes):
    found = np.empty(len(shapes), dtype=object)
    found[:] = shapes
    return found


def valid_area(points):
    return shapely.make_valid(shapely.Polygon(points), method="structure", keep_collapsed=False)


@given(st.lists(POINT, min_size=3, max_size=12))
def test_pieces_of_an_area_are_its_overlays_with_the_cells(points):
    shape = valid_area(points)

    _, cells, pieces = cut_by_grid(array(shape), UNEQUAL)

    found = np.zeros(UNEQUAL.cell_count)
    np.add.at(found, cells, shapely.area(pieces))
    # source: shapely.intersection of the shape with each cell's rectangle
    assert found == pytest.approx(
        shapely.area(shapely.intersection(cell_boxes(UNEQUAL), shape)), abs=1e-9
    )
    assert shapely.is_valid(pieces).all()


@given(st.lists(POINT, min_size=2, max_size=8))
def test_pieces_of_a_line_add_up_to_its_length_on_the_wall(points):
    line = shapely.LineString(points)

    _, cells, pieces = cut_by_grid(array(line), UNEQUAL)

    # source: lengths by plain arithmetic, each segment cut to the wall alone (a line may run
    # over itself, which a union would count once)
    on_the_wall = sum(
        shapely.intersection(shapely.LineString(pair), EXTENT).length
        for pair in pairwise(points)
        if pair[0] != pair[1]
    )
    assert shapely.length(pieces).sum() == pytest.approx(on_the_wall, abs=1e-9)
    for cell, piece in zip(cells, pieces, strict=True):
        assert cell_boxes(UNEQUAL)[cell].buffer(1e-9).covers(piece)


def test_a_line_along_a_grid_line_belongs_to_the_cell_right_of_it_and_the_last_to_the_last():
    inner, outer = shapely.LineString([(10, 2), (10, 8)]), shapely.LineString([(61, 2), (61, 8)])

    owners, cells, pieces = cut_by_grid(array(inner, outer), UNEQUAL)

    assert [cell_label(cell, UNEQUAL) for cell in cells] == ["B2", "B4"]
    assert owners.tolist() == [0, 1]
    assert shapely.length(pieces).tolist() == [6, 6]


@given(st.lists(POINT, min_size=1, max_size=6, unique=True))
def test_a_point_is_in_the_one_cell_that_the_grid_names(points):
    _, cells, pieces = cut_by_grid(array(shapely.MultiPoint(points)), UNEQUAL)

    found = [
        (cell_label(cell, UNEQUAL), tuple(place))
        for cell, piece in zip(cells, pieces, strict=True)
        for place in shapely.get_coordinates(piece).tolist()
    ]
    expected = [(UNEQUAL.cell_at(x, y), (x, y)) for x, y in points]
    assert sorted(found) == sorted(pair for pair in expected if pair[0] is not None)


def test_shapes_of_all_kinds_keep_their_number_and_dimension():
    shapes = array(
        shapely.Point(1, 1), shapely.box(5, 5, 15, 8), shapely.LineString([(0, 0), (30, 0)])
    )

    owners, _, pieces = cut_by_grid(shapes, UNEQUAL)

    assert {
        (int(owner), int(shapely.get_dimensions(piece)))
        for owner, piece in zip(owners, pieces, strict=True)
    } == {
        (0, 0),
        (1, 2),
        (2, 1),
    }


def test_a_hole_stays_a_hole_over_a_grid_line():
    ring = shapely.box(5, 5, 15, 12) - shapely.box(8, 7, 12, 10)

    _, cells, pieces = cut_by_grid(array(ring), UNEQUAL)

    by_label = {
        cell_label(cell, UNEQUAL): piece.area for cell, piece in zip(cells, pieces, strict=True)
    }
    # source: plain arithmetic, 5 x 7 less 2 x 3 on either side of the line at 10 in
    assert by_label == pytest.approx({"B1": 29.0, "B2": 29.0})


@pytest.mark.parametrize(
    "spoilt", [shapely.Polygon(), shapely.box(0, 0, 1, 1), shapely.Point(1, 1)]
)
def test_a_fast_cut_that_loses_area_is_done_again_by_overlay(monkeypatch, spoilt):
    # GEOS calls clip_by_rect "possibly dirty": stand in for a cut that went wrong.
    def dirty(shapes, *_bounds):
        return array(*[spoilt] * len(shapes))

    monkeypatch.setattr(shapely, "clip_by_rect", dirty)

    _, cells, pieces = cut_by_grid(array(shapely.box(5, 5, 15, 12)), UNEQUAL)

    by_label = {cell_label(c, UNEQUAL): piece.area for c, piece in zip(cells, pieces, strict=True)}
    assert by_label == pytest.approx({"B1": 35.0, "B2": 35.0})


def test_what_lies_beyond_the_grid_is_left_out():
    _, cells, pieces = cut_by_grid(
        array(shapely.box(-9, -9, 5, 5), shapely.box(70, 0, 80, 9)), UNEQUAL
    )

    assert cells.tolist() == [0]
    assert pieces[0].area == pytest.approx(25.0)


def test_nothing_in_gives_nothing_out():
    owners, cells, pieces = cut_by_grid(np.empty(0, dtype=object), UNEQUAL)

    assert len(owners) == len(cells) == len(pieces) == 0


def test_cells_touched_are_named_in_reading_order_and_a_shared_edge_is_no_touch():
    assert cells_touched(shapely.box(5, 5, 15, 20), UNEQUAL) == ["A1", "A2", "B1", "B2"]
    assert cells_touched(shapely.box(2, 2, 10, 13), UNEQUAL) == ["B1"]
    assert cells_touched(shapely.Point(10, 13), UNEQUAL) == ["A2"]
    assert cells_touched(shapely.box(70, 0, 80, 9), UNEQUAL) == []


def test_bounding_boxes_name_every_cell_that_a_shape_could_be_in():
    triangle = shapely.Polygon([(1, 1), (20, 1), (1, 20)])

    owners, cells = cells_by_bounds(array(triangle), UNEQUAL)

    assert sorted(cell_label(cell, UNEQUAL) for cell in cells) == ["A1", "A2", "B1", "B2"]
    assert set(owners.tolist()) == {0}


def test_sizes_are_those_of_a_shape_of_that_kind_only():
    square, line = shapely.box(0, 0, 3, 3), shapely.LineString([(0, 0), (3, 4)])

    assert (area_sq_in(square), perimeter_in(square), length_in(square)) == (9.0, 12.0, 0.0)
    assert (area_sq_in(line), perimeter_in(line), length_in(line)) == (0.0, 0.0, 5.0)


def test_the_inner_border_counts_in_a_perimeter():
    ring = shapely.box(0, 0, 10, 10) - shapely.box(4, 4, 6, 6)

    assert math.isclose(perimeter_in(ring), 48.0)
