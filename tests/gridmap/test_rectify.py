"""Marked points place a photograph on the wall, and it is drawn square to it."""

import math

import cv2
import numpy as np
import pytest
import skimage.data
import skimage.transform
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.homography import estimate, estimate_directly, through
from gridmap.lens import Lens
from gridmap.rectify import (
    best_px_per_in,
    covered_bounds,
    fit_homography,
    own_px_per_in,
    rectified_size_px,
    rectify,
    to_px,
    to_wall_in,
)
from tests.gridmap.known_camera import (
    EIGHT_IN,
    EIGHT_PX,
    FOUR_IN,
    FOUR_PX,
    PICTURE_PX,
    TRAPEZOID,
    UNIT_SQUARE,
    array,
    camera_at,
    marked,
    seen,
)

# The figures of the trade's own values.


@pytest.mark.parametrize("way", [estimate, estimate_directly])
def test_a_unit_square_goes_to_a_trapezoid_by_the_known_homography(way):
    found = way(array(UNIT_SQUARE), array(TRAPEZOID))

    # source: trade/values.md §11, first check
    assert found == pytest.approx(array([(1.2, 0, 0), (0, 0.8, 0), (-0.4, -0.2, 1)]), abs=1e-9)
    assert through(found, array([(0.5, 0.5), (0.25, 0.75)])) == pytest.approx(
        array([(0.857143, 0.571429), (0.4, 0.8)]), abs=1e-6
    )


def test_four_corners_place_pixels_in_inches():
    fit = fit_homography(marked(FOUR_PX, FOUR_IN))

    # source: trade/values.md §11, second check (given to four decimals)
    assert to_wall_in(fit, [(2000, 1400), (1000, 700)]) == pytest.approx(
        array([(60.6980, 47.0039), (27.3970, 73.8762)]), abs=6e-5
    )


def test_eight_points_leave_the_residuals_of_the_direct_estimate():
    away = through(estimate_directly(array(EIGHT_PX), array(EIGHT_IN)), array(EIGHT_PX)) - EIGHT_IN

    # source: trade/values.md §11, third check
    rms_x, rms_y = np.sqrt((away**2).mean(axis=0))
    assert (rms_x, rms_y) == pytest.approx((0.4537, 0.4261), abs=6e-5)
    assert np.sqrt((away**2).sum(axis=1).mean()) == pytest.approx(0.6224, abs=6e-5)
    assert np.hypot(*away.T).max() == pytest.approx(0.9133, abs=6e-5)


def test_refinement_reaches_the_radial_error_of_opencv():
    fit = fit_homography(marked(EIGHT_PX, EIGHT_IN))

    # source: trade/values.md §11: "OpenCV refines: 0.62225; tolerance 0.001"
    assert fit.radial_rms_in == pytest.approx(0.62225, abs=1e-5)
    # source: the same section: σ₀ = √(Σv²/(2n−8)), radial RMSE = √(Σv²/n), so with n = 8 both equal
    assert fit.sigma0_in == pytest.approx(fit.radial_rms_in)


def test_leaving_one_out_tells_the_error_of_a_place_that_is_not_marked():
    fit = fit_homography(marked(EIGHT_PX, EIGHT_IN))

    # source: trade/values.md §11: leave-one-out RMSE 1.2499 of the direct estimate; refined ones
    # stay within 0.003 of it
    assert fit.to_json()["leave_one_out_rms_in"] == pytest.approx(1.2499, abs=0.003)
    direct = []
    for k in range(8):
        keep = np.arange(8) != k
        h = estimate_directly(array(EIGHT_PX)[keep], array(EIGHT_IN)[keep])
        direct.append(np.hypot(*(through(h, array(EIGHT_PX)[k : k + 1])[0] - EIGHT_IN[k])))
    assert math.sqrt(np.mean(np.square(direct))) == pytest.approx(1.2499, abs=6e-5)


def test_a_blunder_of_a_foot_is_found_at_its_own_point():
    wall = [(x, y + 12 if k == 3 else y) for k, (x, y) in enumerate(EIGHT_IN)]

    fit = fit_homography(marked(EIGHT_PX, wall))

    # source: trade/values.md §11, last check: 8.02 and 12.70 of the direct estimate, both there
    lengths = [math.hypot(*pair) for pair in fit.residuals_in]
    assert max(lengths) == lengths[3] == pytest.approx(8.02, abs=0.05)
    assert max(fit.leave_one_out) == fit.leave_one_out[3] == pytest.approx(12.70, abs=0.05)
    assert fit.worst_point == "4"
    assert fit.statements[0].startswith("Point 4 disagrees with the others by 1′\u00a00\u202f¾″")


# Laws.


PLACES = st.tuples(st.floats(100, 3900), st.floats(100, 2900))


@given(px=PLACES, tilt=st.floats(-1e-4, 1e-4), lean=st.floats(-1e-4, 1e-4))
def test_there_and_back_is_the_same_pixel(px, tilt, lean):
    fit = fit_homography(marked(EIGHT_PX, seen(EIGHT_PX, camera_at(tilt, lean))))

    back = to_px(fit, to_wall_in(fit, [px]))

    assert back[0] == pytest.approx(px, abs=1e-6)


@given(
    scale=st.floats(0.01, 50),
    across=st.floats(-5_000, 5_000),
    up=st.floats(-5_000, 5_000),
    px=PLACES,
)
def test_moving_and_scaling_the_wall_moves_and_scales_the_place(scale, across, up, px):
    wall = seen(EIGHT_PX) + np.random.default_rng(5).normal(0, 0.05, (8, 2))
    here = fit_homography(marked(EIGHT_PX, wall))

    there = fit_homography(marked(EIGHT_PX, wall * scale + (across, up)))

    assert to_wall_in(there, [px])[0] == pytest.approx(
        to_wall_in(here, [px])[0] * scale + (across, up), abs=1e-6 * (1 + 100 * scale)
    )
    assert there.error_in == pytest.approx(here.error_in * scale, rel=1e-4)


@given(st.permutations(range(8)))
def test_the_order_of_the_points_does_not_matter(order):
    first = fit_homography(marked(EIGHT_PX, EIGHT_IN))

    other = fit_homography(marked(array(EIGHT_PX)[list(order)], array(EIGHT_IN)[list(order)]))

    assert other.matrix == pytest.approx(first.matrix, abs=1e-6)


def test_the_refined_place_has_the_least_squares_of_its_neighbours():
    fit = fit_homography(marked(EIGHT_PX, EIGHT_IN))
    least = np.sum((through(fit.matrix, array(EIGHT_PX)) - EIGHT_IN) ** 2)

    for k in range(8):
        for step in (1e-4, -1e-4):
            moved = fit.matrix.copy()
            moved.ravel()[k] *= 1 + step
            assert np.sum((through(moved, array(EIGHT_PX)) - EIGHT_IN) ** 2) > least


# What is drawn.


def photograph():
    """A real picture of another hand, shipped with scikit-image."""
    return np.ascontiguousarray(skimage.data.astronaut())


def square_on(scale=10.0):
    """A camera exactly square to the wall: 512 px are 51.2 in, its lower left corner at (7, 3)."""
    px = [(0, 0), (512, 0), (512, 512), (0, 512)]
    wall = [(7, 3 + 512 / scale), (7 + 512 / scale, 3 + 512 / scale), (7 + 512 / scale, 3), (7, 3)]
    return fit_homography(marked(px, wall))


@pytest.mark.parametrize("interpolation", ["linear", "cubic"])
def test_a_photograph_square_to_the_wall_comes_out_as_it_is(interpolation):
    drawn = rectify(
        photograph(), square_on(), bounds_in=(7, 3, 58.2, 54.2), px_per_in=10,
        interpolation=interpolation,
    )  # fmt: skip

    assert np.abs(drawn.pixels.astype(int) - photograph()).max() <= 1


def test_the_first_row_is_the_top_of_the_bounds():
    drawn = rectify(photograph(), square_on(), bounds_in=(12, 34.2, 22, 54.2), px_per_in=10)

    assert drawn.pixels.shape == (200, 100, 3)
    assert np.abs(drawn.pixels.astype(int) - photograph()[0:200, 50:150]).max() <= 1


def test_a_turned_camera_gives_the_picture_that_scikit_image_gives():
    camera = np.array([[0.11, 0.004, 5.0], [-0.003, -0.105, 60.0], [1e-4, -2e-4, 1.0]])
    px = array([(10, 12), (500, 8), (505, 500), (6, 490), (250, 250), (100, 400)])
    fit = fit_homography(marked(px, through(camera, px)))

    drawn = rectify(photograph(), fit, bounds_in=(15, 20, 45, 50), px_per_in=12)

    # source: skimage.transform.warp, bilinear, with pixel centres half a pixel in
    wall = lambda out: np.c_[15 + (out[:, 0] + 0.5) / 12, 50 - (out[:, 1] + 0.5) / 12]  # noqa: E731
    theirs = skimage.transform.warp(
        photograph(),
        lambda out: through(np.linalg.inv(camera), wall(out)) - 0.5,
        output_shape=(360, 360),
        order=1,
        preserve_range=True,
    )
    linear = rectify(
        photograph(), fit, bounds_in=(15, 20, 45, 50), px_per_in=12, interpolation="linear"
    )
    assert np.abs(linear.pixels - theirs)[5:-5, 5:-5].mean() < 0.6
    assert np.abs(linear.pixels - theirs)[5:-5, 5:-5].max() < 12
    assert drawn.pixels.shape == linear.pixels.shape


def test_beyond_the_photograph_nothing_is_valid():
    drawn = rectify(photograph(), square_on(), bounds_in=(2, 3, 12, 13), px_per_in=10)

    assert not drawn.valid[:, :50].any()
    assert drawn.valid[2:-2, 52:].all()


def test_a_bent_lens_is_straightened_in_the_picture():
    lens = Lens(512, 512, 0.05)
    scene = np.zeros((512, 512, 3), np.uint8)
    scene[::, 100:104] = scene[::, 300:304] = scene[200:204] = 255
    x, y = np.meshgrid(np.arange(512) + 0.5, np.arange(512) + 0.5)
    source = (lens.straighten(np.c_[x.ravel(), y.ravel()]) - 0.5).astype(np.float32)
    taken = cv2.remap(scene, source.reshape(512, 512, 2), None, cv2.INTER_CUBIC)
    corners = array([(40, 40), (470, 40), (470, 470), (40, 470)])
    wall = array([(4, 47.2), (47, 47.2), (47, 4.2), (4, 4.2)])
    fit = fit_homography(marked(lens.bend(corners), wall), lens=lens)

    drawn = rectify(taken, fit, bounds_in=(4, 4.2, 47, 47.2), px_per_in=10)

    bare = rectify(
        taken, fit_homography(marked(corners, wall)), bounds_in=(4, 4.2, 47, 47.2), px_per_in=10
    )
    straight, bent = (
        np.abs(one.pixels.astype(int) - scene[40:470, 40:470])[5:-5, 5:-5].mean()
        for one in (drawn, bare)
    )
    assert 3 * straight < bent


def test_a_coarse_copy_of_fine_stripes_is_grey_without_waves():
    stripes = np.zeros((512, 512, 3), np.uint8)
    stripes[:, ::2] = 255

    drawn = rectify(stripes, square_on(), bounds_in=(7, 3, 58.2, 54.2), px_per_in=2.3)

    assert drawn.pixels[3:-3, 3:-3].std() < 8


def test_the_best_resolution_is_the_largest_round_one_that_the_photograph_holds():
    fit = fit_homography(marked(EIGHT_PX, seen(EIGHT_PX)))

    own = own_px_per_in(fit, (384, 100, 404, 120))

    # the camera's own numbers: 1 / 0.0068 across and 1 / 0.0067 up
    assert own == pytest.approx(148, abs=0.3)
    assert best_px_per_in(fit, (384, 100, 404, 120)) == 140


def test_the_covered_box_holds_the_corners_of_the_picture():
    fit = fit_homography(marked(EIGHT_PX, seen(EIGHT_PX)))

    x0, y0, x1, y1 = covered_bounds(fit, *PICTURE_PX)

    corners = seen([(0, 0), (4000, 0), (4000, 3000), (0, 3000)])
    assert (x0, y0) == pytest.approx(corners.min(axis=0), abs=1e-6)
    assert (x1, y1) == pytest.approx(corners.max(axis=0), abs=1e-6)


def test_a_picture_that_would_reach_the_horizon_is_refused():
    px = array([(1900, 1400), (2100, 1400), (2100, 1600), (1900, 1600)])
    fit = fit_homography(marked(px, seen(px, camera_at(1e-3, 0))))

    with pytest.raises(InvalidInput, match="horizon"):
        covered_bounds(fit, 4000, 3000)


@pytest.mark.parametrize(
    ("bounds", "px_per_in", "words"),
    [
        ((0, 0, 24, 24), 0.5, "must lie between 1 and 1,200"),
        ((0, 0, 24, 24), math.nan, "must lie between"),
        ((0, 0, 1008, 168), 300, "the limit here is"),
    ],
)
def test_a_resolution_beyond_what_can_be_made_is_refused(bounds, px_per_in, words):
    with pytest.raises(InvalidInput, match=words):
        rectified_size_px(bounds, px_per_in)
