"""Is a piece of the wall drawn to scale, the right way up, with the cells that lie in it?"""

import re
from xml.etree import ElementTree

import pytest

from gridmap.grid import Grid
from gridmap.plate_cut import PlaceInk, plate_cut_svg, window_round

WIDTH_IN, HEIGHT_IN = 288.0, 168.0
GRID = Grid.from_json(
    {
        "columns": {"spacing": "2 ft", "names": "numbers", "from": "left"},
        "rows": {"spacing": "2 ft", "names": "letters", "from": "top"},
    },
    width_in=WIDTH_IN,
    height_in=HEIGHT_IN,
)
RING = [[100.0, 30.0], [110.0, 30.0], [110.0, 50.0], [100.0, 50.0], [100.0, 30.0]]
LOSS = {"type": "Polygon", "coordinates": [RING]}


def drawn(*inks, window=(90.0, 20.0, 130.0, 60.0), **options):
    return ElementTree.fromstring(
        plate_cut_svg(
            window_in=window,
            width_in=WIDTH_IN,
            height_in=HEIGHT_IN,
            grid=GRID,
            places=inks,
            title="Outline L1",
            **options,
        )
    )


def path_of(svg, style):
    return next(part.get("d") for part in svg.iter("path") if part.get("class") == style)


def test_the_window_leaves_room_about_what_is_drawn():
    left, lower, right, upper = window_round([LOSS], width_in=WIDTH_IN, height_in=HEIGHT_IN)

    assert left < 100 and lower < 30 and right > 110 and upper > 50


def test_the_window_of_a_point_is_a_foot_wide_about_it():
    point = {"type": "Point", "coordinates": [100.0, 80.0]}

    found = window_round([point], width_in=WIDTH_IN, height_in=HEIGHT_IN)

    assert found == (94.0, 74.0, 106.0, 86.0)


def test_the_window_ends_with_the_wall():
    corner = {"type": "Point", "coordinates": [0.0, HEIGHT_IN]}

    left, _, _, upper = window_round([corner], width_in=WIDTH_IN, height_in=HEIGHT_IN)

    assert (left, upper) == (0.0, HEIGHT_IN)


def test_without_a_place_the_window_is_the_wall():
    assert window_round([], width_in=WIDTH_IN, height_in=HEIGHT_IN) == (0, 0, WIDTH_IN, HEIGHT_IN)


def test_one_unit_is_one_inch_and_up_is_up():
    svg = drawn(PlaceInk(LOSS, "cut-this"))

    assert svg.get("viewBox") == "90 108 40 40"
    # 30 in above the lower edge of a wall 168 in high is 138 in below its upper edge.
    assert path_of(svg, "cut-this").startswith("M100 138L110 138L110 118")


def test_cells_in_the_window_are_named_and_no_others():
    svg = drawn(PlaceInk(LOSS, "cut-this"))

    names = {part.text for part in svg.iter("text")} - {"1 ft"}

    # Columns of 24 in: 90..130 in lies in 4, 5 and 6; rows from the top: 20..60 in in E, F and G.
    # The bar of 1 ft from the lower left corner leaves no room for the names of G04 and G05.
    in_view = {f"{row}{column:02}" for row in "EFG" for column in (4, 5, 6)}
    assert names == in_view - {"G04", "G05"}


def test_a_sliver_of_a_cell_is_not_named():
    svg = drawn(PlaceInk(LOSS, "cut-this"), window=(95.0, 20.0, 130.0, 60.0))

    assert not {part.text for part in svg.iter("text")} & {"E04", "F04", "G04"}


@pytest.mark.parametrize(
    ("geometry", "runs"),
    [
        ({"type": "MultiPolygon", "coordinates": [[RING], [RING, RING]]}, 3),
        ({"type": "LineString", "coordinates": RING[:3]}, 1),
        ({"type": "MultiLineString", "coordinates": [RING[:2], RING[2:4]]}, 2),
        ({"type": "Point", "coordinates": [100.0, 30.0]}, 1),
        ({"type": "MultiPoint", "coordinates": RING[:4]}, 4),
    ],
)
def test_every_geometry_is_drawn_part_by_part(geometry, runs):
    svg = drawn(PlaceInk(geometry, "cut-this"))

    assert len(re.findall("M", path_of(svg, "cut-this"))) == runs


def test_the_bar_is_as_long_as_it_says():
    svg = drawn(PlaceInk(LOSS, "cut-this"))

    start, end = re.match(r"M([\d.]+) .*H([\d.]+)v", path_of(svg, "cut-bar")).groups()

    assert float(end) - float(start) == pytest.approx(12.0)
    assert "1 ft" in {part.text for part in svg.iter("text")}


def test_words_that_look_like_markup_stay_words():
    svg = drawn(PlaceInk(LOSS, "cut-this", "<b>loss</b> & more"))

    assert [part.text for part in svg.iter("title")] == ["<b>loss</b> & more"]
