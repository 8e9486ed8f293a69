"""Sizes per term and place; overlays of whole unions by plain shapely are the second source."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gridmap.grid import Axis, Grid
from gridmap.measure import cell_boxes, cell_label
from survey.compare.areas import ComparedAreas
from survey.compare.model import Outline, Part

GRID = Grid(
    columns=Axis((0.0, 10.0, 24.5, 40.0), "numbers", "left"),
    rows=Axis((0.0, 13.0, 30.0), "letters", "top"),
)
WALL = shapely.box(0, 0, 40, 30)
OPENING = shapely.Point(20, 15).buffer(4)
REGION = WALL - OPENING - shapely.box(30, 0, 33, 30)
QUARTER = st.integers(-8, 4 * 42).map(lambda quarter: quarter / 4)
RING = st.lists(st.tuples(QUARTER, QUARTER), min_size=3, max_size=8)
RINGS = st.lists(RING, max_size=5)
TERMS = ("paint-loss", "flaking")


def valid(points):
    return shapely.make_valid(shapely.Polygon(points), method="structure", keep_collapsed=False)


def areas_of(rings, name):
    shapes = [valid(points) for points in rings]
    return [
        Outline(f"{name}{n}", f"{name}{n}", TERMS[n % 2], "area", shape)
        for n, shape in enumerate(shapes)
        if shape.area > 0
    ]


def compared(before, after, *, tolerance_in=0.0, regions=None, dimension=2):
    return ComparedAreas(
        grid=GRID,
        regions=regions or dict.fromkeys(TERMS, REGION),
        before=before,
        after=after,
        tolerance_in=tolerance_in,
        dimension=dimension,
    )


def union(outlines, term, buffer_in=None):
    shapes = [one.shape for one in outlines if one.term == term]
    if buffer_in is not None:
        shapes = [shapely.buffer(shape, buffer_in, quad_segs=16) for shape in shapes]
    return shapely.union_all(shapes) if shapes else shapely.Polygon()


def expected_sizes(before, after, term, tolerance_in, place):
    """Whole-wall unions first, cut afterwards: the definition, done the slow way."""
    here = shapely.intersection(REGION, place)
    a, b = (
        shapely.union_all([p for p in shapely.get_parts(union(side, term) & here) if p.area > 0])
        for side in (before, after)
    )
    grown_a, grown_b = union(before, term, tolerance_in), union(after, term, tolerance_in)
    return [
        a.area,
        b.area,
        (b - a).area,
        (a - b).area,
        (a & b).area,
        (b - grown_a).area,
        (a - grown_b).area,
    ]


def as_list(sizes):
    return [
        sizes.before,
        sizes.after,
        sizes.added,
        sizes.removed,
        sizes.common,
        sizes.added_beyond,
        sizes.removed_beyond,
    ]


@settings(max_examples=60, deadline=None)
@given(RINGS, RINGS, st.sampled_from([0.25, 1.0]))
def test_cells_agree_with_whole_unions_cut_afterwards(rings_before, rings_after, tolerance_in):
    before, after = areas_of(rings_before, "a"), areas_of(rings_after, "b")

    found = compared(before, after, tolerance_in=tolerance_in).by_cell()

    # source: shapely unions, buffers and differences over the whole wall, cut to each cell
    for cell, box in enumerate(cell_boxes(GRID)):
        for term in TERMS:
            expected = expected_sizes(before, after, term, tolerance_in, box)
            sizes = found.get((cell_label(cell, GRID), term))
            got = as_list(sizes) if sizes else [0.0] * 7
            assert got == pytest.approx(expected, abs=1e-8)


@settings(max_examples=60, deadline=None)
@given(RINGS, RINGS)
def test_the_identities_hold_on_the_wall_in_cells_and_in_zones(rings_before, rings_after):
    areas = compared(areas_of(rings_before, "a"), areas_of(rings_after, "b"), tolerance_in=0.25)
    zones = [Part("west", shapely.box(0, 0, 17, 30)), Part("east", shapely.box(17, 0, 40, 30))]

    whole, cells, parts = areas.by_term(), areas.by_cell(), areas.by_part(zones)

    for sizes in (*whole.values(), *cells.values(), *parts.values()):
        assert sizes.added + sizes.common == pytest.approx(sizes.after, abs=1e-9)
        assert sizes.removed + sizes.common == pytest.approx(sizes.before, abs=1e-9)
        assert -1e-9 <= sizes.added_beyond <= sizes.added + 1e-9
        assert -1e-9 <= sizes.removed_beyond <= sizes.removed + 1e-9
    for term, total in whole.items():
        for rows in (cells, parts):
            added_up = np.sum(
                [as_list(sizes) for key, sizes in rows.items() if key[1] == term], axis=0
            )
            assert added_up == pytest.approx(as_list(total), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(RINGS, RINGS, RING)
def test_replacing_one_outline_gives_what_a_whole_comparison_gives(rings_before, rings_after, ring):
    before, after = areas_of(rings_before, "a"), areas_of(rings_after, "b")
    edited = areas_of([ring], "b")
    areas = compared(before, after, tolerance_in=0.5)

    areas.replace_outline("after", "b0", edited[0] if edited else None)

    again = compared(before, [one for one in after if one.id != "b0"] + edited, tolerance_in=0.5)
    assert areas.by_cell().keys() == again.by_cell().keys()
    for key, sizes in again.by_cell().items():
        assert as_list(areas.by_cell()[key]) == pytest.approx(as_list(sizes), abs=1e-9)


def test_an_edit_renews_only_the_cells_of_the_old_and_the_new_outline():
    square = Outline("b", "b", "paint-loss", "area", shapely.box(1, 1, 3, 3))
    moved = Outline("b", "b", "paint-loss", "area", shapely.box(35, 20, 37, 22))
    areas = compared([], [square])

    assert areas.replace_outline("after", "b", moved) == ["A3", "B1"]
    assert areas.by_cell().keys() == {("A3", "paint-loss")}


def test_the_tolerance_is_the_union_of_buffers_not_the_buffer_of_the_union():
    # Two squares meet in a notch: the union's buffer is the same there, but a buffer cut to the
    # cell first would not reach over the cell line at x = 10.
    before = [Outline("a", "a", "paint-loss", "area", shapely.box(6, 1, 9.5, 5))]
    after = [Outline("b", "b", "paint-loss", "area", shapely.box(6, 1, 11, 5))]

    found = compared(before, after, tolerance_in=1.0).by_cell()

    # source: plain arithmetic: 1 in beyond 9.5 reaches 10.5; 0.5 in x 4 in remains right of it
    assert found["B2", "paint-loss"].added_beyond == pytest.approx(2.0)
    assert found["B1", "paint-loss"].added_beyond == pytest.approx(0.0, abs=1e-12)


def test_without_a_tolerance_every_change_lies_beyond_it():
    before = [Outline("a", "a", "paint-loss", "area", shapely.box(2, 2, 6, 6))]
    after = [Outline("b", "b", "paint-loss", "area", shapely.box(3, 2, 8, 6))]
    zone = [Part("west", shapely.box(0, 0, 7, 30))]

    areas = compared(before, after, tolerance_in=0.0)

    # source: plain arithmetic on the four edges at x = 2, 3, 6, 8 (zone: 7), 4 in high
    whole, west = areas.by_term()["paint-loss"], areas.by_part(zone)["west", "paint-loss"]
    assert as_list(whole) == pytest.approx([16, 20, 8, 4, 12, 8, 4])
    assert as_list(west) == pytest.approx([16, 16, 4, 4, 12, 4, 4])


def test_a_term_that_was_compared_nowhere_has_no_sizes():
    outline = Outline("a", "a", "flaking", "area", shapely.box(1, 1, 3, 3))

    areas = compared([outline], [], regions={"flaking": shapely.Polygon()})

    assert areas.by_term() == {}


def test_lines_are_measured_by_length_and_a_near_line_is_within_the_tolerance():
    before = [Outline("a", "a", "crack", "line", shapely.LineString([(2, 2), (22, 2)]))]
    after = [Outline("b", "b", "crack", "line", shapely.LineString([(2, 2.2), (28, 2.2)]))]

    areas = compared(before, after, tolerance_in=0.5, regions={"crack": WALL}, dimension=1)

    sizes = areas.by_term()["crack"]
    assert (sizes.before, sizes.after, sizes.common) == (20, 26, 0)
    assert (sizes.added, sizes.removed) == (26, 20)
    # source: plain arithmetic on the round end: sqrt(0.5^2 - 0.2^2) in beyond x = 22; the arc of
    # 16 segments to the quarter is within 0.002 in of it
    assert sizes.added_beyond == pytest.approx(6 - (0.25 - 0.04) ** 0.5, abs=0.002)
    assert sizes.removed_beyond == 0
    assert sum(one.after for one in areas.by_cell().values()) == pytest.approx(26)


def test_the_same_line_is_common():
    line = shapely.LineString([(2, 2), (22, 2), (22, 20)])
    twice = [Outline(name, name, "crack", "line", line) for name in "ab"]

    sizes = compared(twice[:1], twice[1:], regions={"crack": WALL}, dimension=1).by_term()["crack"]

    assert (sizes.common, sizes.added, sizes.removed) == pytest.approx((38, 0, 0))
