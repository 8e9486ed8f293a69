"""Points that cannot place a photograph are refused in words that name them."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.rectify import (
    fit_homography,
)
from tests.gridmap.known_camera import (
    FOUR_IN,
    FOUR_PX,
    marked,
    seen,
)


def test_three_points_are_too_few():
    with pytest.raises(InvalidInput, match="3 points are marked; at least 4 are needed"):
        fit_homography(marked(FOUR_PX[:3], FOUR_IN[:3]))


def test_three_of_four_on_a_line_are_named():
    px = [(200, 200), (2000, 205), (3800, 200), (2000, 2800)]

    with pytest.raises(InvalidInput, match="Points 1, 2 and 3 lie on one line on the picture"):
        fit_homography(marked(px, seen([(200, 200), (2000, 900), (3800, 200), (2000, 2800)])))


def test_three_of_four_on_a_line_of_the_wall_are_named():
    wall = [(0, 96), (120, 96), (120, 0), (60, 96)]

    with pytest.raises(InvalidInput, match="Points 1, 2 and 4 lie on one line on the wall"):
        fit_homography(marked(FOUR_PX, wall))


def test_many_points_on_one_line_but_one_are_refused():
    px = [(300 + 300 * k, 1000) for k in range(6)] + [(1000, 2500)]

    with pytest.raises(InvalidInput, match="1, 2, 3, 4, 5 and 6 lie on one line"):
        fit_homography(marked(px, seen(px)))


@pytest.mark.parametrize("move", [0.0, 0.4])
def test_two_points_at_one_place_are_named(move):
    px = [*FOUR_PX[:3], (FOUR_PX[1][0] + move, FOUR_PX[1][1])]

    with pytest.raises(InvalidInput, match="Points 2 and 4 coincide on the picture"):
        fit_homography(marked(px, FOUR_IN))


def test_one_place_on_the_wall_for_two_marks_is_refused():
    wall = [FOUR_IN[0], FOUR_IN[1], FOUR_IN[2], FOUR_IN[0]]

    with pytest.raises(InvalidInput, match="Points 1 and 4 coincide on the wall"):
        fit_homography(marked(FOUR_PX, wall))


def test_left_and_right_exchanged_would_mirror_the_picture():
    wall = [FOUR_IN[k] for k in (1, 0, 3, 2)]

    with pytest.raises(InvalidInput, match="would mirror the picture"):
        fit_homography(marked(FOUR_PX, wall))


@pytest.mark.parametrize("order", [(1, 0, 2, 3), (0, 1, 3, 2), (0, 2, 1, 3)])
def test_two_neighbours_exchanged_would_fold_the_picture(order):
    wall = [FOUR_IN[k] for k in order]

    with pytest.raises(InvalidInput, match=r"would fold the picture|would mirror the picture"):
        fit_homography(marked(FOUR_PX, wall))


def test_a_picture_on_its_side_is_no_mirror():
    turned = [(v, 4000 - u) for u, v in FOUR_PX]

    assert fit_homography(marked(turned, FOUR_IN)).homography


@pytest.mark.parametrize("bad", [math.nan, math.inf, 1e9])
def test_what_is_no_number_of_pixels_is_refused(bad):
    with pytest.raises(InvalidInput, match="Point 2"):
        fit_homography(marked([FOUR_PX[0], (bad, 96), *FOUR_PX[2:]], FOUR_IN))


@given(
    px=st.lists(st.tuples(*[st.integers(0, 40)] * 2), min_size=4, max_size=9),
    wall=st.lists(st.tuples(*[st.integers(0, 12)] * 2), min_size=9, max_size=9),
)
def test_any_points_are_placed_or_refused_in_words(px, wall):
    assume(len(set(px)) > 1)

    try:
        fit = fit_homography(marked(px, wall[: len(px)]))
    except InvalidInput as refusal:
        assert refusal.field == "points" and refusal.message.endswith(".")
    else:
        assert fit.error_in > 0 and np.isfinite(fit.matrix).all()


@pytest.mark.parametrize("marking_error_px", [0, -1, math.nan, 500])
def test_a_marking_error_must_be_a_small_length(marking_error_px):
    with pytest.raises(InvalidInput, match="marking error"):
        fit_homography(marked(FOUR_PX, FOUR_IN), marking_error_px=marking_error_px)
