"""Are vertices from outside read or refused with a reason that names the vertex?"""

import math

import pytest

from gridmap.errors import InvalidInput
from gridmap.vertices import MAXIMUM_RINGS, MAXIMUM_VERTICES, as_drawn, read_parts

TRIANGLE = [[1, 1], [5, 1], [1, 5], [1, 1]]


def refusal_of(geometry, kind="area"):
    with pytest.raises(InvalidInput) as refusal:
        read_parts(geometry, kind, "geometry", [])
    assert refusal.value.field == "geometry"
    return refusal.value.message


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


@pytest.mark.parametrize(
    ("vertex", "said"),
    [
        ([5, math.nan], "vertex 2 is at 5, nan in; both must be finite"),
        ([math.inf, 5], "vertex 2 is at inf, 5 in; both must be finite"),
        ([5, None], "vertex 2 is [5, None], not two numbers"),
        ([5, "1"], "vertex 2 is [5, '1'], not two numbers"),
        ([5], "vertex 2 is [5], not two numbers"),
        ([5, 1, 2, 3], "vertex 2 is [5, 1, 2, 3], not two numbers"),
        (5, "vertex 2 is 5, not two numbers"),
        ([5, [1]], "vertex 2 is [5, [1]], not two numbers"),
        ([5, 10**30], "not two numbers [x, y] of inches within 120,000"),
        ([5, 120_001], "vertex 2 is at 5, 120001 in; the limit is 120,000 in"),
        ([5, 1e300], "the limit is 120,000 in"),
        ([5, 1, 0], "do not all have the same number of coordinates"),
    ],
)
def test_a_vertex_that_is_no_place_is_named(vertex, said):
    assert said in refusal_of(polygon([[1, 1], vertex, [1, 5], [1, 1]]))


def test_a_vertex_of_true_and_false_is_refused():
    assert "not two numbers" in refusal_of(polygon([[True, False], [True, True], [False, True]]))


@pytest.mark.parametrize("geometry", [None, 5, "POLYGON EMPTY", [], TRIANGLE])
def test_what_is_no_geometry_is_refused(geometry):
    assert "is not a geometry object" in refusal_of(geometry)


@pytest.mark.parametrize("name", [None, "polygon", "GeometryCollection", "Point", 5, ["Polygon"]])
def test_a_type_that_does_not_fit_the_term_is_refused_naming_those_that_do(name):
    message = refusal_of({"type": name, "coordinates": [TRIANGLE]})

    assert "Polygon or MultiPolygon" in message


@pytest.mark.parametrize("coordinates", [None, 5, "x", {}, [5], [[], 5], TRIANGLE[0]])
def test_coordinates_nested_otherwise_are_refused(coordinates):
    refusal_of({"type": "Polygon", "coordinates": coordinates})
    refusal_of({"type": "MultiPolygon", "coordinates": coordinates})


@pytest.mark.parametrize("coordinates", [[], [[]], [[], []]])
def test_an_outline_without_vertices_is_refused(coordinates):
    refusal_of({"type": "Polygon", "coordinates": coordinates})
    refusal_of({"type": "MultiPolygon", "coordinates": coordinates})


def test_more_vertices_than_the_limit_are_refused_with_both_numbers():
    ring = [[place % 7, place % 5] for place in range(MAXIMUM_VERTICES + 1)]

    assert "20,001 vertices; the limit is 20,000" in refusal_of(polygon(ring))


def test_more_rings_than_the_limit_are_refused_with_both_numbers():
    assert "2,001 rings; the limit is 2,000" in refusal_of(
        polygon(*[TRIANGLE] * (MAXIMUM_RINGS + 1))
    )


def test_a_third_coordinate_is_left_out_and_said_once():
    changes = []

    parts = read_parts(polygon(*[[[*vertex, 7] for vertex in TRIANGLE]] * 2), "area", "g", changes)

    assert as_drawn("Polygon", parts) == polygon(TRIANGLE, TRIANGLE)
    assert changes == ["The third coordinate of each vertex is left out: the wall is a plane."]


@pytest.mark.parametrize(
    ("kind", "geometry"),
    [
        ("area", polygon(TRIANGLE, TRIANGLE)),
        ("area", {"type": "MultiPolygon", "coordinates": [[TRIANGLE], [TRIANGLE, TRIANGLE]]}),
        ("line", {"type": "LineString", "coordinates": [[1, 1], [2, 2.5]]}),
        ("line", {"type": "MultiLineString", "coordinates": [[[1, 1], [2, 2]], [[3, 3], [4, 4]]]}),
        ("point", {"type": "Point", "coordinates": [1, 1]}),
        ("point", {"type": "MultiPoint", "coordinates": [[1, 1], [1, 1]]}),
    ],
)
def test_every_type_goes_on_record_in_its_own_form(kind, geometry):
    changes = []

    assert as_drawn(geometry["type"], read_parts(geometry, kind, "geometry", changes)) == geometry
    assert changes == []


def test_tuples_are_read_as_lists():
    triangle = tuple(tuple(vertex) for vertex in TRIANGLE)

    parts = read_parts({"type": "Polygon", "coordinates": (triangle,)}, "area", "geometry", [])

    assert as_drawn("Polygon", parts) == polygon(TRIANGLE)
