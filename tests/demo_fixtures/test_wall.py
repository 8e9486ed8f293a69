"""Is the invented wall the one of the story, and does the program read its description?"""

import json
import math

import pytest
from shapely import Polygon, unary_union

from demo_fixtures.wall import (
    HEIGHT_IN,
    WIDTH_IN,
    clock_opening,
    doorway_opening,
    obstructions,
    wall_description,
    zones,
)
from survey.walls.description import read_wall

SQ_IN_PER_SQ_FT = 144


def test_the_wall_is_84_by_14_feet_in_294_whole_cells():
    wall = read_wall(json.loads(json.dumps(wall_description())))

    assert (wall.layout.width_in, wall.layout.height_in) == (84 * 12, 14 * 12)
    assert wall.layout.grid.shape == (42, 7)
    assert wall.layout.grid.cell_count == 294
    assert wall.layout.grid.bounds("C17") == (384, 96, 408, 120)


def test_the_zones_cover_the_wall_once():
    polygons = {name: Polygon(ring) for name, ring in zones().items()}

    assert all(polygon.is_valid for polygon in polygons.values())
    assert sum(polygon.area for polygon in polygons.values()) == pytest.approx(WIDTH_IN * HEIGHT_IN)
    assert unary_union(list(polygons.values())).area == pytest.approx(WIDTH_IN * HEIGHT_IN)


def test_the_zones_are_those_of_the_story():
    # source: the story of the wall, "Zones of the picture"
    assert set(zones()) == {
        "upland", "smoke", "train", "wheat", "river", "town", "figures", "border",
    }  # fmt: skip


def test_deck_2_boards_hide_84_square_feet_and_a_quarter_of_each_cell_in_rows_d_and_e():
    boards = Polygon(obstructions()[0]["polygon"])
    row_d = Polygon([(0, 72), (24, 72), (24, 96), (0, 96)])
    row_e = Polygon([(0, 48), (24, 48), (24, 72), (0, 72)])

    # source: the story's figures, 84 ft by 1 ft
    assert boards.area / SQ_IN_PER_SQ_FT == 84
    assert boards.intersection(row_d).area / row_d.area == 0.25
    assert boards.intersection(row_e).area / row_e.area == 0.25


def test_the_top_of_row_a_is_out_of_reach_but_not_out_of_sight():
    above = obstructions()[1]

    assert Polygon(above["polygon"]).area / SQ_IN_PER_SQ_FT == 126
    assert above["touch_only"] is True


def test_the_clock_is_3_feet_across_and_the_doorway_6_feet_by_18_inches():
    clock, doorway = Polygon(clock_opening()), Polygon(doorway_opening())

    assert clock.bounds == (486, 108, 522, 144)
    assert doorway.bounds == pytest.approx((720, 0, 792, 18), abs=1 / 256)
    # source: area of a circular segment in any table of mensuration; h 18 in and half chord 36 in
    # give r = (36² + 18²) / (2 · 18) = 45 in
    segment = 45**2 * math.acos((45 - 18) / 45) - (45 - 18) * math.sqrt(2 * 45 * 18 - 18**2)
    assert doorway.area == pytest.approx(segment, rel=1e-3)


def test_openings_lie_clear_of_each_other_and_on_the_wall():
    wall = Polygon([(0, 0), (WIDTH_IN, 0), (WIDTH_IN, HEIGHT_IN), (0, HEIGHT_IN)])
    clock, doorway = Polygon(clock_opening()), Polygon(doorway_opening())

    assert wall.covers(clock)
    assert wall.covers(doorway)
    assert clock.disjoint(doorway)
