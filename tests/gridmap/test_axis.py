"""Is a wall's grid description read as its file format says, and refused in words?"""

import copy

import pytest

from gridmap.axis import MAXIMUM_CELLS
from gridmap.errors import InvalidInput
from gridmap.grid import Axis, Grid

DESCRIPTION = {
    "columns": {"spacing": "2 ft", "names": "numbers", "from": "left"},
    "rows": {"spacing": "2 ft", "names": "letters", "from": "top"},
}


def described(**changes):
    """The description with "columns.spacing"-like keys changed; None takes a key out."""
    description = copy.deepcopy(DESCRIPTION)
    for path, value in changes.items():
        axis, key = path.split("__")
        if value is None:
            del description[axis][key]
        else:
            description[axis][key] = value
    return description


def test_spacing_in_feet_gives_the_hall_its_294_cells():
    grid = Grid.from_json(DESCRIPTION, 1008.0, 168.0)

    assert grid.shape == (42, 7)


def test_lines_may_be_numbers_and_texts():
    lines = described(columns__spacing=None, columns__lines=[0, "2 ft", 49.5, "5' 0\""])

    grid = Grid.from_json(lines, 60.0, 168.0)

    assert grid.columns.lines_in == (0.0, 24.0, 49.5, 60.0)


def test_lines_are_put_on_the_lattice():
    lines = described(columns__spacing=None, columns__lines=[0, 10.1, 60])

    grid = Grid.from_json(lines, 60.0, 168.0)

    assert grid.columns.lines_in[1] == 2586 / 256


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"columns__spacing": "2 m"}, "grid.columns.spacing", "metric"),
        ({"columns__spacing": 0}, "grid.columns.spacing", "limit of 1"),
        ({"columns__spacing": "-2 ft"}, "grid.columns.spacing", "limit of 1"),
        ({"columns__spacing": float("nan")}, "grid.columns.spacing", "finite"),
        ({"columns__spacing": None}, "grid.columns", "either"),
        ({"columns__lines": [0, 1008]}, "grid.columns", "either"),
        ({"rows__names": "roman"}, "grid.rows.names", "letters, numbers"),
        ({"rows__names": None}, "grid.rows.names", "missing"),
        ({"rows__from": "left"}, "grid.rows.from", "top, bottom"),
        ({"columns__from": ["left"]}, "grid.columns.from", "left, right"),
        ({"rows__spacing": None, "rows__lines": [0, 90, 80, 168]}, "grid.rows.lines", "80"),
        ({"rows__spacing": None, "rows__lines": [0, 80, 80, 168]}, "grid.rows.lines", "above"),
        ({"rows__spacing": None, "rows__lines": [0, 80, 160]}, "grid.rows.lines", "14' 0\""),
        ({"rows__spacing": None, "rows__lines": [1, 168]}, "grid.rows.lines", "must be 0"),
        ({"rows__spacing": None, "rows__lines": [0, "x", 168]}, "grid.rows.lines[1]", "“x”"),
        ({"rows__spacing": None, "rows__lines": []}, "grid.rows.lines", "at least 2"),
        ({"rows__spacing": None, "rows__lines": "0, 168"}, "grid.rows.lines", "not a list"),
        ({"rows__spacing": None, "rows__lines": [0] * 10_002}, "grid.rows.lines", "10,001"),
        ({"columns__spacing": 1, "rows__spacing": 1}, "grid", "limit is 10,000"),
    ],
)
def test_a_wrong_description_is_refused_naming_key_and_limit(changes, field, said):
    with pytest.raises(InvalidInput) as refusal:
        Grid.from_json(described(**changes), 1008.0, 168.0)

    assert refusal.value.field == field
    assert said in refusal.value.message


@pytest.mark.parametrize("description", [None, [], "grid", {}, {"columns": 3, "rows": 4}])
def test_what_is_no_description_is_refused(description):
    with pytest.raises(InvalidInput):
        Grid.from_json(description, 1008.0, 168.0)


def test_spacing_without_the_walls_size_is_refused():
    with pytest.raises(InvalidInput, match="width and height"):
        Grid.from_json(DESCRIPTION)


@pytest.mark.parametrize("width_in", [0.0, -5.0, float("nan"), float("inf"), 1e9])
def test_a_wall_without_a_plausible_size_has_no_regular_grid(width_in):
    with pytest.raises(InvalidInput):
        Grid.regular(width_in=width_in, height_in=168, column_spacing_in=24, row_spacing_in=24)


def test_ten_thousand_cells_are_the_most():
    side = tuple(float(line) for line in range(101))
    one_more = tuple(float(line) for line in range(102))

    most = Grid(Axis(side, "numbers", "left"), Axis(side, "letters", "top"))

    assert most.cell_count == MAXIMUM_CELLS
    with pytest.raises(InvalidInput, match="10,000"):
        Grid(Axis(one_more, "numbers", "left"), Axis(side, "letters", "top"))
