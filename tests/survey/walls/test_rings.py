"""Does a typed shape give the ring that a person means?"""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.lengths import snap_in
from survey.walls.rings import (
    arch_ring,
    circle_ring,
    points_text,
    recognised,
    rectangle_ring,
    typed_ring,
)

lengths_in = st.integers(min_value=256, max_value=256 * 600).map(lambda steps: steps / 256)


def test_a_rectangle_has_its_width_times_its_height():
    ring = rectangle_ring(left_in=24.0, lower_in=6.0, width_in=36.0, height_in=18.5)

    assert shapely.Polygon(ring).bounds == (24.0, 6.0, 60.0, 24.5)
    assert shapely.Polygon(ring).area == 36.0 * 18.5


def test_a_circle_lacks_less_than_a_thousandth_of_its_area():
    ring = circle_ring(centre_x_in=504.0, centre_y_in=126.0, across_in=36.0)

    circle = shapely.Polygon(ring)
    assert circle.bounds == (486.0, 108.0, 522.0, 144.0)
    # source: area of a circle, pi r^2
    assert circle.area == pytest.approx(math.pi * 18.0**2, rel=1e-3)


def test_a_low_arch_is_a_segment_of_a_circle():
    # The doorway head of the invented wall: 6 ft wide, 1 ft 6 in high.
    ring = arch_ring(centre_x_in=756.0, lower_in=0.0, width_in=72.0, height_in=18.0)

    arch = shapely.Polygon(ring)
    assert arch.bounds == (720.0, 0.0, 792.0, 18.0)
    # source: circular segment of chord c and rise s: r = (c^2/4 + s^2) / (2 s),
    # area = r^2 acos((r - s) / r) - (r - s) sqrt(2 r s - s^2)
    radius = (36.0**2 + 18.0**2) / 36.0
    area = radius**2 * math.acos((radius - 18) / radius) - (radius - 18) * math.sqrt(
        2 * radius * 18 - 18**2
    )
    assert arch.area == pytest.approx(area, rel=1e-3)


def test_an_arch_higher_than_half_its_width_stands_on_straight_sides():
    ring = arch_ring(centre_x_in=100.0, lower_in=0.0, width_in=40.0, height_in=90.0)

    # source: rectangle and half circle, 40 * 70 + pi 20^2 / 2
    assert shapely.Polygon(ring).area == pytest.approx(40 * 70 + math.pi * 200, rel=1e-3)


@given(x=lengths_in, y=lengths_in, w=lengths_in, h=lengths_in)
def test_a_typed_shape_is_recognised_when_it_is_shown_again(x, y, w, h):
    made = {
        "rectangle": rectangle_ring(left_in=x, lower_in=y, width_in=w, height_in=h),
        "points": [[x, y], [x + w, y], [x, y + h]],
    }

    for shape, ring in made.items():
        assert recognised(ring)[0] == shape


@given(w=st.integers(min_value=1, max_value=300), h=st.integers(min_value=1, max_value=300))
def test_round_shapes_in_whole_inches_are_recognised_with_their_sizes(w, h):
    circle = circle_ring(centre_x_in=200.0, centre_y_in=90.0, across_in=2.0 * w)
    arch = arch_ring(centre_x_in=200.0, lower_in=3.0, width_in=2.0 * w, height_in=float(h))

    assert recognised(circle) == (
        "circle",
        {"centre_x_in": 200.0, "centre_y_in": 90.0, "across_in": 2.0 * w},
    )
    shape, sizes = recognised(arch)
    assert shape == "arch"
    assert sizes == {"centre_x_in": 200.0, "lower_in": 3.0, "width_in": 2.0 * w, "height_in": h}


@given(x=lengths_in, y=lengths_in, w=lengths_in)
def test_every_vertex_lies_on_the_lattice(x, y, w):
    for ring in (
        circle_ring(centre_x_in=x, centre_y_in=y, across_in=w),
        arch_ring(centre_x_in=x, lower_in=y, width_in=w, height_in=w / 3),
    ):
        assert all(snap_in(number) == number for point in ring for number in point)


def test_points_are_typed_one_a_line_in_feet_and_inches():
    assert typed_ring("2 ft, 1' 6 1/2\"\n4 ft, 0; 3-6, 30\n\n") == [
        [24.0, 18.5],
        [48.0, 0.0],
        [42.0, 30.0],
    ]


def test_points_are_printed_as_they_are_read():
    ring = [[24.0, 18.5], [48.00390625, 0.0], [42.0, 30.0]]

    assert typed_ring(points_text(ring)) == ring


def test_a_point_with_one_number_is_refused_by_its_line():
    with pytest.raises(InvalidInput, match="line 2"):
        typed_ring("2 ft, 3 ft\n4 ft\n1, 2")


def test_two_points_are_no_outline():
    with pytest.raises(InvalidInput, match="2 points"):
        typed_ring("0, 0\n1, 1")


def test_a_shape_without_extent_is_refused():
    with pytest.raises(InvalidInput) as caught:
        rectangle_ring(left_in=0.0, lower_in=0.0, width_in=0.0, height_in=3.0)

    assert caught.value.field == "width"
