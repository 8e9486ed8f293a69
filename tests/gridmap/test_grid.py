"""Is every point of the wall in exactly one cell, and does every cell have one name?"""

import json
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.grid import Axis, Grid
from tests.strategies import lattice_points

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "grid.json").read_text("utf-8"))
WALLS = pytest.mark.parametrize("wall", VECTORS["walls"], ids=lambda wall: wall["name"])


def grid_of(wall):
    return Grid.from_json(wall["json"]) if "json" in wall else Grid.regular(**wall["regular"])


@st.composite
def grids(draw):
    """Unequal lines, any origin, either direction, letters or numbers."""

    def lines():
        steps = draw(st.lists(lattice_points(1 / 256, 60), min_size=1, max_size=40))
        return tuple(math.fsum(steps[:count]) for count in range(len(steps) + 1))

    names = st.sampled_from(["letters", "numbers"])
    return Grid(
        columns=Axis(lines(), draw(names), draw(st.sampled_from(["left", "right"]))),
        rows=Axis(lines(), draw(names), draw(st.sampled_from(["top", "bottom"]))),
    )


@WALLS
def test_columns_rows_and_labels_in_reading_order(wall):
    grid = grid_of(wall)

    labels = grid.labels()

    assert list(grid.shape) == wall["shape"]
    assert grid.cell_count == len(set(labels)) == wall["cells"]
    assert (labels[0], labels[1], labels[-1]) == (wall["first"], wall["second"], wall["last"])


@WALLS
def test_bounds_of_cells(wall):
    grid = grid_of(wall)

    for label, bounds in wall["bounds"].items():
        assert list(grid.bounds(label)) == bounds


@WALLS
def test_the_cell_at_a_point_lines_included(wall):
    grid = grid_of(wall)

    for x_in, y_in, label in wall["points"]:
        assert grid.cell_at(x_in, y_in) == label, (x_in, y_in)


@WALLS
def test_places_counted_from_a_cells_lower_left_corner_and_back(wall):
    grid = grid_of(wall)

    for x_in, y_in, label, dx_in, dy_in in wall["local"]:
        assert grid.to_local(x_in, y_in) == (label, dx_in, dy_in)
        assert grid.from_local(label, dx_in, dy_in) == (x_in, y_in)


@WALLS
def test_labels_as_people_type_them(wall):
    grid = grid_of(wall)

    for label, place in wall["typed"].items():
        assert list(grid.position(label)) == place
    for label in wall["not_cells"]:
        with pytest.raises(InvalidInput):
            grid.position(label)


def test_a_label_that_is_no_cell_is_answered_with_the_range_of_labels():
    hall = VECTORS["walls"][0]

    with pytest.raises(InvalidInput) as refusal:
        grid_of(hall).position("H09")

    assert refusal.value.field == "cell"
    assert "“H09”" in refusal.value.message
    assert refusal.value.message.endswith(hall["range"])


@pytest.mark.parametrize("label", [None, 7, "A" * 10_000, ["A01"]])
def test_what_is_no_label_is_refused(label):
    with pytest.raises(InvalidInput):
        grid_of(VECTORS["walls"][0]).position(label)


def test_the_cells_of_a_wall_of_96_by_16_ft_make_1536_sq_ft():
    # source: plain arithmetic, 96 ft times 16 ft; also with part cells at the far ends.
    for spacing_in in (24.0, 30.0):
        grid = Grid.regular(
            width_in=1152, height_in=192, column_spacing_in=spacing_in, row_spacing_in=spacing_in
        )
        areas = [
            (x1 - x0) * (y1 - y0)
            for x0, y0, x1, y1 in (grid.bounds(label) for label in grid.labels())
        ]
        assert math.fsum(areas) == 1536 * 144


def test_part_cells_of_30_in_on_96_by_16_ft_are_one_foot():
    # source: plain arithmetic, 96 = 38 * 2.5 + 1 and 16 = 6 * 2.5 + 1
    grid = Grid.regular(width_in=1152, height_in=192, column_spacing_in=30, row_spacing_in=30)

    x0, y0, x1, y1 = grid.bounds("G39")

    assert grid.shape == (39, 7)
    assert (x1 - x0, y1 - y0) == (12.0, 12.0)


@given(grids())
def test_every_label_leads_to_its_place_and_back(grid):
    places = {grid.position(label) for label in grid.labels()}

    assert len(places) == grid.cell_count
    assert all(grid.label(*grid.position(label)) == label for label in grid.labels())
    assert all(grid.position(label.lower()) == grid.position(label) for label in grid.labels())


@given(grids(), st.data())
def test_every_point_of_the_wall_is_in_exactly_one_cell(grid, data):
    x0, y0, x1, y1 = grid.extent_in
    x_in = data.draw(st.one_of(lattice_points(x0, x1), st.sampled_from(grid.columns.lines_in)))
    y_in = data.draw(st.one_of(lattice_points(y0, y1), st.sampled_from(grid.rows.lines_in)))

    holding = [
        label
        for label in grid.labels()
        for left, low, right, high in [grid.bounds(label)]
        if (left <= x_in < right or x_in == right == x1)
        and (low <= y_in < high or y_in == high == y1)
    ]

    assert holding == [grid.cell_at(x_in, y_in)]


@given(grids(), st.data())
def test_a_point_comes_back_from_its_cell_exactly(grid, data):
    _, _, x1, y1 = grid.extent_in
    point = data.draw(lattice_points(0, x1)), data.draw(lattice_points(0, y1))

    label, dx_in, dy_in = grid.to_local(*point)

    assert grid.from_local(label, dx_in, dy_in) == point


@given(grids())
def test_a_description_reads_back_to_an_equal_grid(grid):
    through_text = json.loads(json.dumps(grid.to_json()))

    assert Grid.from_json(through_text) == grid


@pytest.mark.parametrize("point", [(math.nan, 1.0), (1.0, math.inf), (-0.001, 1.0), (1.0, 168.001)])
def test_a_point_beyond_the_wall_is_in_no_cell(point):
    grid = grid_of(VECTORS["walls"][0])

    assert grid.cell_at(*point) is None
    with pytest.raises(InvalidInput, match="beyond the grid"):
        grid.to_local(*point)


def test_a_place_is_said_in_feet_and_inches_within_its_cell():
    grid = grid_of(VECTORS["walls"][0])

    assert grid.place_text(400.5, 30) == "F17, 1′\u00a04\u202f½″ across, 6″ up"


def test_an_index_beyond_the_grid_is_a_mistake_of_the_caller():
    grid = grid_of(VECTORS["walls"][0])

    for column, row in [(-1, 0), (42, 0), (0, 7)]:
        with pytest.raises(IndexError):
            grid.label(column, row)


def test_a_spacing_off_the_lattice_does_not_add_up_its_rounding():
    # source: plain arithmetic: 500 mm are 19.685039 in, so line 20 lies at 393.700787 in.
    grid = Grid.regular(
        width_in=1008, height_in=168, column_spacing_in=500 / 25.4, row_spacing_in=24
    )

    assert abs(grid.columns.lines_in[20] - 393.700787) <= 1 / 512
