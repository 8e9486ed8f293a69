"""Does every ring a hand can draw become a valid shape, with its changes said, or a clear refusal?"""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.outline import MAXIMUM_CROSSINGS, shape_of, take_outline
from tests.strategies import (
    WALL,
    coarse_scribbles,
    rings_over_their_start,
    scribbles,
    simple_rings,
)

SQUARE = [[10, 10], [20, 10], [20, 20], [10, 20], [10, 10]]


def polygon(*rings):
    return {"type": "Polygon", "coordinates": [list(ring) for ring in rings]}


def multipolygon(*parts):
    return {"type": "MultiPolygon", "coordinates": list(parts)}


def area_taken(*rings):
    return take_outline(polygon(*rings), kind="area", **WALL)


def refusal_of(geometry, kind="area"):
    with pytest.raises(InvalidInput) as refusal:
        take_outline(geometry, kind=kind, **WALL, field="outline")
    assert refusal.value.field == "outline"
    assert refusal.value.message.startswith("outline: ")
    return refusal.value.message


def shoelace_sq_in(ring):
    """The signed area that a ring goes round, exact on the lattice."""
    steps = [(round(x * 256), round(y * 256)) for x, y in ring]
    twice = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(steps))
    return twice / 2 / 256**2


def times_round(ring, x, y):
    """How many times a ring goes round a point, by counting signed crossings of a ray."""
    turns = 0
    for (x0, y0), (x1, y1) in pairwise(ring):
        side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
        if y0 <= y < y1 and side > 0:
            turns += 1
        elif y1 <= y < y0 and side < 0:
            turns -= 1
    return turns


def faces_between(*rings):
    """The faces that the strokes of rings cut the wall into, each with a point inside it."""
    strokes = shapely.node(shapely.MultiLineString(rings))
    faces = shapely.get_parts(shapely.polygonize([strokes]))
    return [(face.area, face.representative_point().coords[0]) for face in faces]


def area_gone_round_sq_in(ring):
    """The area of all faces that a ring goes round at least once, by noding its strokes."""
    return math.fsum(area for area, point in faces_between(ring) if times_round(ring, *point))


# Laws of areas.


@given(st.one_of(scribbles(), coarse_scribbles()))
def test_a_scribble_becomes_a_valid_area_or_is_refused_for_having_none(ring):
    try:
        taken = area_taken(ring)
    except InvalidInput as refusal:
        assert "encloses no area" in refusal.message
        assert area_gone_round_sq_in(ring) < 1e-9
        return

    assert taken.shape.is_valid
    assert taken.shape.geom_type in ("Polygon", "MultiPolygon")
    assert taken.shape.area > 0


@given(st.one_of(scribbles(), coarse_scribbles()))
def test_the_area_is_all_that_the_pen_went_round_counted_once(ring):
    # source: winding number (count of signed ray crossings) on faces noded by GEOS
    expected_sq_in = area_gone_round_sq_in(ring)
    assume(expected_sq_in > 1e-6)

    assert area_taken(ring).shape.area == pytest.approx(expected_sq_in, rel=1e-9, abs=1e-9)


@given(coarse_scribbles(), coarse_scribbles(vertices=5))
def test_a_hole_takes_away_all_that_it_goes_round(shell, hole):
    # source: winding number on faces noded by GEOS
    expected_sq_in = math.fsum(
        area
        for area, point in faces_between(shell, hole)
        if times_round(shell, *point) and not times_round(hole, *point)
    )
    assume(expected_sq_in > 1e-6)

    taken = area_taken(shell, hole)

    assert taken.shape.is_valid
    assert taken.shape.area == pytest.approx(expected_sq_in, rel=1e-9)


@given(coarse_scribbles(), coarse_scribbles())
def test_parts_count_once_where_they_overlap(one, other):
    # source: winding number on faces noded by GEOS
    expected_sq_in = math.fsum(
        area
        for area, point in faces_between(one, other)
        if times_round(one, *point) or times_round(other, *point)
    )
    assume(expected_sq_in > 1e-6)

    taken = take_outline(multipolygon([one], [other]), kind="area", **WALL)

    assert taken.shape.is_valid
    assert taken.shape.area == pytest.approx(expected_sq_in, rel=1e-9)


@given(scribbles(), st.floats(20, 24), st.floats(30, 34))
def test_a_point_is_inside_where_the_pen_went_round_it(ring, x, y):
    assume(area_gone_round_sq_in(ring) > 1e-6)
    point = shapely.Point(x, y)
    assume(shapely.LineString(ring).distance(point) > 1e-6)

    inside = area_taken(ring).shape.contains(point)

    assert inside == (times_round(ring, x, y) != 0)


@given(simple_rings())
def test_a_plain_ring_keeps_its_area_and_nothing_is_said(ring):
    # source: the shoelace formula in whole lattice steps
    taken = area_taken(ring)

    assert taken.shape.area == pytest.approx(abs(shoelace_sq_in(ring)), rel=1e-12)
    assert taken.changes == ()


@given(rings_over_their_start())
def test_a_pen_that_runs_over_its_own_start_leaves_no_hole(ring):
    taken = area_taken(ring)

    drawn_round = shapely.MultiPoint(ring).convex_hull.area
    assert shapely.get_num_interior_rings(shapely.get_parts(taken.shape)).sum() == 0
    assert taken.shape.area == pytest.approx(drawn_round, rel=2e-3, abs=0.05)


@given(st.one_of(scribbles(), coarse_scribbles(), simple_rings()))
def test_taking_the_record_again_gives_the_same_record_and_shape(ring):
    assume(area_gone_round_sq_in(ring) > 1e-6)
    once = area_taken(ring)

    again = take_outline(once.geometry, kind="area", **WALL)

    assert again == once
    assert shapely.equals_identical(shape_of(once.geometry, "area", **WALL), once.shape)


@given(st.one_of(scribbles(), coarse_scribbles()))
def test_a_ring_on_the_lattice_goes_on_record_exactly_as_drawn(ring):
    assume(area_gone_round_sq_in(ring) > 1e-6)

    assert area_taken(ring).geometry == polygon(ring)


@given(st.lists(st.tuples(st.floats(0, 1008), st.floats(0, 168)), min_size=3, max_size=30))
def test_every_recorded_vertex_is_the_nearest_point_of_the_lattice(vertices):
    try:
        taken = area_taken([*vertices, vertices[0]])
    except InvalidInput:
        assume(False)

    recorded = np.array(taken.geometry["coordinates"][0][:-1])
    assert (recorded * 256 == np.round(recorded * 256)).all()
    assert np.abs(recorded - np.array(vertices)).max() <= 1 / 512


@given(st.one_of(scribbles(), coarse_scribbles()))
def test_drawing_the_other_way_round_gives_the_same_area(ring):
    assume(area_gone_round_sq_in(ring) > 1e-6)

    there, back = area_taken(ring), area_taken(ring[::-1])

    assert there.shape.symmetric_difference(back.shape).area < 1e-9


@given(simple_rings(), st.floats(-1200, 200), st.floats(-300, 200))
def test_an_outline_never_counts_beyond_the_wall(ring, right_in, up_in):
    moved = [[x + right_in, y + up_in] for x, y in ring]
    whole = shape_of(polygon(moved), "area")
    on_wall = shapely.intersection(whole, shapely.box(0, 0, 1008, 168)).area
    try:
        taken = area_taken(moved)
    except InvalidInput as refusal:
        assert "beyond the wall" in refusal.message
        assert on_wall == 0
        return

    assert taken.shape.is_valid
    assert taken.shape.area == pytest.approx(on_wall, rel=1e-9)
    assert bool(taken.changes) == (taken.shape.area < whole.area)
    assert len(taken.geometry["coordinates"][0]) == len(ring)


@given(
    st.recursive(
        st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=3)),
        lambda inner: st.lists(inner, max_size=4),
        max_leaves=20,
    ),
    st.sampled_from(["area", "line", "point"]),
)
def test_any_nested_rubbish_is_taken_or_refused_in_words(coordinates, kind):
    names = {
        "area": ["Polygon", "MultiPolygon"],
        "line": ["LineString", "MultiLineString"],
        "point": ["Point", "MultiPoint"],
    }
    for name in names[kind]:
        try:
            taken = take_outline({"type": name, "coordinates": coordinates}, kind=kind, **WALL)
        except InvalidInput:
            continue
        assert taken.shape.is_valid


# Rings that hands draw.


def test_both_lobes_of_a_figure_of_eight_count():
    # source: by hand, two right triangles of 10 by 5 in
    taken = area_taken([[10, 10], [20, 20], [20, 10], [10, 20], [10, 10]])

    assert taken.shape.area == pytest.approx(50.0)
    assert taken.changes == (
        "The outline crosses itself near 1′\u00a03″ across, 1′\u00a03″ up; what it goes round is "
        "taken once as its area: 50\u00a0sq\u00a0in in 2 pieces.",
    )


def test_a_spike_has_no_area_and_is_said():
    taken = area_taken(
        [[10, 10], [20, 10], [20, 20], [15, 20], [15, 30], [15, 20], [10, 20], [10, 10]]
    )

    assert taken.shape.area == pytest.approx(100.0)
    assert "doubles back" in taken.changes[0]


def test_a_triangle_beside_a_spike_is_not_lost():
    # source: by hand, half of 1 by 1 in; GEOS 3.14.1 alone makes this ring valid as nothing.
    taken = area_taken([[20, 31], [21, 31], [20, 31], [20, 30], [21, 31], [20, 31]])

    assert taken.shape.area == 0.5


def test_pieces_that_share_an_edge_become_one_valid_shape():
    # GEOS 3.14.1 alone gives two triangles that share an edge here, which is not a valid shape.
    ring = [[5120, 7682], [5121, 7680], [5120, 7681], [5120, 7680], [5121, 7680], [5120, 7681]]

    taken = area_taken([[x / 256, y / 256] for x, y in [*ring, ring[0]]])

    assert taken.shape.is_valid


def test_repeated_vertices_change_nothing():
    taken = area_taken([vertex for vertex in SQUARE for _ in range(3)])

    assert taken.shape.area == 100.0
    assert taken.changes == ()
    assert len(taken.geometry["coordinates"][0]) == 15


def test_a_clockwise_ring_is_an_ordinary_outline():
    taken = area_taken(SQUARE[::-1])

    assert (taken.shape.area, taken.changes) == (100.0, ())
    assert taken.geometry == polygon(SQUARE[::-1])


def test_an_open_ring_is_closed_and_the_gap_is_said():
    taken = area_taken(SQUARE[:-1])

    assert taken.geometry == polygon(SQUARE)
    assert taken.changes == (
        "The ring was open by 10″; it is closed by a straight line from its last vertex to its first.",
    )


def test_a_gap_that_a_backward_stroke_leaves_is_said():
    # Twice round to the left, then once to the right round a part of the inside: not gone round.
    ring = [[10, 10], [20, 10], [20, 20], [10, 20], [10, 9], [12, 9], [12, 13], [15, 13], [10, 10]]

    taken = area_taken(ring)

    assert taken.shape.area == pytest.approx(area_gone_round_sq_in(ring))
    assert taken.changes[0].endswith("; 1 gap between its own strokes left open.")


def test_a_hole_is_left_out_of_the_area():
    taken = area_taken(SQUARE, [[12, 12], [14, 12], [14, 15], [12, 15], [12, 12]])

    assert (taken.shape.area, taken.changes) == (94.0, ())


def test_a_hole_that_reaches_outside_takes_only_what_it_covers():
    taken = area_taken(SQUARE, [[18, 12], [25, 12], [25, 15], [18, 15], [18, 12]])

    assert taken.shape.area == pytest.approx(94.0)
    assert len(taken.changes) == 1


def test_a_hole_beyond_its_outline_takes_and_adds_nothing_and_is_said():
    # GEOS 3.14.1 alone would count such a hole as area.
    taken = area_taken(SQUARE, [[x + 30, y] for x, y in SQUARE])

    assert taken.shape.area == 100.0
    assert taken.changes[0].startswith("A hole reaches outside the outline")


def test_a_hole_without_area_is_left_out_and_said():
    taken = area_taken(SQUARE, [[12, 12], [14, 12], [12, 12]])

    assert taken.shape.area == 100.0
    assert taken.changes == ("A hole that encloses no area is left out of the shape.",)


def test_a_hole_that_covers_its_outline_leaves_nothing():
    assert "encloses no area" in refusal_of(polygon(SQUARE, SQUARE))


def test_parts_that_overlap_count_once():
    # source: by hand, two squares of 100 sq in share 5 by 10 in
    shifted = [[x + 5, y] for x, y in SQUARE]

    taken = take_outline(multipolygon([SQUARE], [shifted]), kind="area", **WALL)

    assert taken.shape.area == pytest.approx(150.0)
    assert taken.geometry == multipolygon([SQUARE], [shifted])
    assert len(taken.changes) == 1


def test_a_collapsed_part_is_left_out_and_said():
    flat = [[30, 10], [40, 10], [35, 10], [30, 10]]

    taken = take_outline(multipolygon([SQUARE], [flat]), kind="area", **WALL)

    assert taken.shape.area == 100.0
    assert taken.changes == ("A part that encloses no area is left out of the shape.",)


def test_only_collapsed_parts_are_refused():
    flat = [[30, 10], [40, 10], [35, 10], [30, 10]]

    assert "encloses no area" in refusal_of(multipolygon([flat], [flat]))


@pytest.mark.parametrize(
    "ring",
    [
        [[10, 10], [20, 10], [10, 10]],
        [[10, 10], [20, 20], [15, 15], [10, 10]],
        [[10, 10]] * 4,
        [[10, 10]],
        [[10, 10], [20, 20], [30, 30], [20, 20], [10, 10]],
        [[10, 10], [10.001, 10], [10, 10.001], [10, 10]],
    ],
)
def test_a_ring_without_area_is_refused(ring):
    assert "encloses no area" in refusal_of(polygon(ring))


def test_an_outline_partly_beyond_the_wall_is_cut_and_kept_whole_on_record():
    # source: by hand, 5 of 10 in lie left of the wall
    ring = [[-5, 10], [5, 10], [5, 20], [-5, 20], [-5, 10]]

    taken = area_taken(ring)

    assert taken.shape.area == pytest.approx(50.0)
    assert taken.geometry == polygon(ring)
    assert taken.changes == (
        "Beyond the wall's left edge: 50\u00a0sq\u00a0in of the outline. It is not counted; "
        "the drawing is kept whole.",
    )


def test_an_outline_along_the_walls_edge_is_whole():
    taken = area_taken([[0, 0], [1008, 0], [1008, 168], [0, 168], [0, 0]])

    assert (taken.shape.area, taken.changes) == (1008.0 * 168.0, ())


def test_an_outline_wholly_beyond_the_wall_is_refused_with_its_place_and_the_limit():
    message = refusal_of(polygon([[x + 1100, y] for x, y in SQUARE]))

    assert "beyond the wall, which is 84′\u00a00″ long and 14′\u00a00″ high" in message
    assert "1110 in" in message


def test_an_outline_that_only_touches_the_wall_is_refused():
    refusal_of(polygon([[x - 20, y] for x, y in SQUARE]))


def test_the_shape_names_its_geos():
    assert area_taken(SQUARE).geos_version == shapely.geos_version_string


def test_a_shape_without_the_walls_size_is_not_cut():
    ring = [[-5, 10], [5, 10], [5, 20], [-5, 20], [-5, 10]]

    assert shape_of(polygon(ring), "area").area == 100.0
    assert shape_of(polygon(ring), "area", **WALL).area == pytest.approx(50.0)


def test_a_scribble_that_would_stall_the_program_is_refused():
    random = np.random.default_rng(20261118)
    vertices = random.uniform((0, 0), (1008, 168), (19_000, 2)).tolist()

    assert f"the limit is {MAXIMUM_CROSSINGS:,}" in refusal_of(polygon([*vertices, vertices[0]]))


def test_a_long_wobbling_outline_of_thousands_of_vertices_is_taken():
    angles = np.linspace(0, 2 * np.pi * 1.05, 15_000)
    radii = 60 + np.random.default_rng(20261118).normal(0, 0.05, 15_000)
    ring = np.column_stack([500 + radii * np.cos(angles), 80 + radii * np.sin(angles)]).tolist()

    taken = area_taken([*ring, ring[0]])

    # source: pi r^2 to the noise of the drawn radius
    assert taken.shape.is_valid
    assert taken.shape.area == pytest.approx(math.pi * 60**2, rel=0.005)


# Lines and points.


def line(*vertices):
    return {"type": "LineString", "coordinates": list(vertices)}


def test_a_line_keeps_its_length_also_where_it_crosses_itself():
    # source: by hand, 10 + 10 + 14.142 + 10
    taken = take_outline(
        line([10, 10], [20, 10], [20, 20], [10, 10], [10, 20]), kind="line", **WALL
    )

    assert taken.shape.length == pytest.approx(30 + math.sqrt(200))
    assert taken.changes == ()


@pytest.mark.parametrize("vertices", [[[10, 10]], [[10, 10], [10, 10]], [[10, 10], [10.001, 10]]])
def test_a_line_without_length_is_refused(vertices):
    assert "has no length" in refusal_of(line(*vertices), kind="line")


def test_a_line_that_leaves_the_wall_counts_to_the_edge():
    taken = take_outline(line([10, 10], [10, -5]), kind="line", **WALL)

    assert taken.shape.length == 10.0
    assert taken.changes[0].startswith("Beyond the wall's lower edge: 5″ of the line.")


def test_a_line_beyond_the_wall_is_refused():
    assert "beyond the wall" in refusal_of(line([10, -1], [20, -1]), kind="line")


def test_a_part_without_length_is_left_out_of_lines_and_said():
    lines = {"type": "MultiLineString", "coordinates": [[[1, 1], [1, 5]], [[2, 2], [2, 2]]]}

    taken = take_outline(lines, kind="line", **WALL)

    assert taken.shape.length == 4.0
    assert taken.changes == ("A part without length is left out of the line.",)
    assert taken.geometry == lines


def test_a_point_is_taken_on_the_lattice():
    taken = take_outline({"type": "Point", "coordinates": [10.001, 20]}, kind="point", **WALL)

    assert taken.geometry == {"type": "Point", "coordinates": [10.0, 20.0]}
    assert taken.shape.equals(shapely.Point(10, 20))


def test_points_at_one_place_count_once_and_beyond_the_wall_not_at_all():
    points = {"type": "MultiPoint", "coordinates": [[1, 1], [1, 1], [2, 2], [3, -1]]}

    taken = take_outline(points, kind="point", **WALL)

    assert shapely.get_num_geometries(taken.shape) == 2
    assert len(taken.changes) == 2
    assert "1 of 3 points" in taken.changes[1]
    assert taken.geometry == points


def test_a_point_beyond_the_wall_is_refused():
    assert "beyond the wall" in refusal_of({"type": "Point", "coordinates": [-1, 5]}, kind="point")
