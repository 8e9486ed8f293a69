"""Marked points place a photograph on the wall, or say why they cannot."""

import math

import cv2
import numpy as np
import pytest
import scipy.optimize
import skimage.data
import skimage.transform
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.homography import estimate, estimate_directly, through
from gridmap.lens import Lens
from gridmap.rectify import (
    MarkedPoint,
    best_px_per_in,
    covered_bounds,
    fit_homography,
    own_px_per_in,
    rectified_size_px,
    rectify,
    to_px,
    to_wall_in,
)

# source: trade/values.md §11 "Rectification": own DLT, OpenCV and scikit-image agree on each
UNIT_SQUARE = [(0, 0), (1, 0), (1, 1), (0, 1)]
TRAPEZOID = [(0, 0), (2, 0), (3, 2), (0, 1)]
FOUR_PX = [(212, 148), (3820, 96), (3905, 2710), (160, 2635)]
FOUR_IN = [(0, 96), (120, 96), (120, 0), (0, 0)]
EIGHT_PX = [
    (212, 148), (2010, 118), (3820, 96), (3868, 1398),
    (3905, 2710), (2042, 2672), (160, 2635), (185, 1390),
]  # fmt: skip
EIGHT_IN = [(0, 96), (60, 96), (120, 96), (120, 48), (120, 0), (60, 0), (0, 0), (0, 48)]

PICTURE_PX = (4000, 3000)


def camera_at(tilt, lean):
    """Return pixels to wall of a camera about 148 px/in fine, its middle at 394 in, 110 in."""
    to_wall = np.array([[1, 0, 394.0], [0, 1, 110.0], [0, 0, 1]])
    turned = np.array([[0.0068, 0.0002, 0], [0.0001, -0.0067, 0], [tilt, lean, 1]])
    to_middle = np.array([[1, 0, -2000.0], [0, 1, -1500.0], [0, 0, 1]])
    whole = to_wall @ turned @ to_middle
    return whole / whole[2, 2]


CAMERA = camera_at(1e-5, -2e-5)


def marked(px, wall):
    return [
        MarkedPoint(str(k), (float(u), float(v)), (float(x), float(y)))
        for k, ((u, v), (x, y)) in enumerate(zip(px, wall, strict=True), start=1)
    ]


def array(points):
    return np.array(points, float)


def grid_px(columns, rows):
    return array(
        [(u, v) for v in np.linspace(300, 2700, rows) for u in np.linspace(300, 3700, columns)]
    )


def seen(px, camera=CAMERA):
    return through(camera, array(px))


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


# Against OpenCV and scikit-image.


def test_places_under_one_homography_agree_with_opencv_and_scikit_image():
    px = array([(0, 0), (3999.5, 2999.5), (17.25, 2222.125), *EIGHT_PX])

    ours = through(CAMERA, px)

    # source: cv2.perspectiveTransform and skimage.transform.ProjectiveTransform
    assert ours == pytest.approx(cv2.perspectiveTransform(px[None], CAMERA)[0], abs=1e-6)
    assert ours == pytest.approx(skimage.transform.ProjectiveTransform(CAMERA)(px), abs=1e-6)


@given(seed=st.integers(0, 2**32 - 1), count=st.integers(4, 30))
@settings(max_examples=40)
def test_estimated_homographies_agree_with_opencv(seed, count):
    rng = np.random.default_rng(seed)
    px = np.vstack([FOUR_PX, rng.uniform((200, 200), (3800, 2800), (count - 4, 2))])
    wall = seen(px) + rng.normal(0, 0.002, (count, 2))  # a third of a pixel
    places = array([*FOUR_PX, (2000, 1500)])

    ours = estimate(px, wall)

    # source: cv2.findHomography with all points, which refines as well
    theirs, _ = cv2.findHomography(px, wall, 0)
    assert through(ours, places) == pytest.approx(through(theirs, places), abs=1e-3)


@given(seed=st.integers(0, 2**32 - 1), count=st.integers(5, 30))
@settings(max_examples=20)
def test_the_refinement_ends_at_the_least_squares_that_scipy_finds(seed, count):
    rng = np.random.default_rng(seed)
    px = np.vstack([FOUR_PX, rng.uniform((200, 200), (3800, 2800), (count - 4, 2))]) / 1000
    wall = seen(px * 1000) + rng.normal(0, 0.5, (count, 2))

    ours = estimate(px, wall)

    def left(elements):
        return (through(np.append(elements, 1).reshape(3, 3), px) - wall).ravel()

    # source: scipy.optimize.least_squares, Levenberg-Marquardt of MINPACK
    theirs = scipy.optimize.least_squares(left, ours.ravel()[:8] * 1.001, method="lm", xtol=1e-14)
    assert np.sum(left(ours.ravel()[:8]) ** 2) <= np.sum(theirs.fun**2) * (1 + 1e-9)


def test_direct_estimates_agree_with_scikit_image():
    theirs = skimage.transform.ProjectiveTransform.from_estimate(array(EIGHT_PX), array(EIGHT_IN))

    ours = estimate_directly(array(EIGHT_PX), array(EIGHT_IN))

    # source: skimage.transform.ProjectiveTransform, a normalised direct estimate
    places = array(EIGHT_PX)
    assert through(ours, places) == pytest.approx(theirs(places), abs=1e-3)


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


# What a fit claims.


def test_four_points_never_claim_an_error_of_nothing():
    fit = fit_homography(marked(FOUR_PX, FOUR_IN))

    assert fit.radial_rms_in == pytest.approx(0, abs=1e-9)
    assert fit.sigma0_in is None and fit.leave_one_out is None and not fit.checked
    assert fit.error_in > 0.02  # about one pixel of 1/30 in
    assert fit.statements[0].startswith("Four points fit always; nothing is checked.")


@pytest.mark.parametrize("count", [(2, 2), (3, 3), (5, 4)])
def test_the_stated_error_is_the_error_that_marking_makes(count):
    px, bounds = grid_px(*count), (384.0, 103.0, 404.0, 117.0)
    places = array([(x, y) for x in np.linspace(384, 404, 7) for y in np.linspace(103, 117, 7)])
    true_px = through(np.linalg.inv(CAMERA), places)
    rng = np.random.default_rng(1936)
    squares, stated = [], []

    for _ in range(300):
        fit = fit_homography(marked(px + rng.normal(0, 1.0, px.shape), seen(px)))
        squares.append(np.mean((to_wall_in(fit, true_px) - places) ** 2))
        stated.append(fit.error_over(bounds))

    # source: 300 simulated markings with one pixel of deviation in each direction
    happened, said = math.sqrt(np.mean(squares)), float(np.median(stated))
    assert 0.9 * happened < said < 1.6 * happened


def test_half_the_marking_error_is_half_the_error_of_four_points():
    whole = fit_homography(marked(FOUR_PX, FOUR_IN), marking_error_px=1.0)

    half = fit_homography(marked(FOUR_PX, FOUR_IN), marking_error_px=0.5)

    assert half.error_in == pytest.approx(whole.error_in / 2)


def test_the_error_grows_away_from_the_points():
    fit = fit_homography(marked(FOUR_PX, FOUR_IN))

    assert fit.error_at([(200, 48)]) > 2 * fit.error_at([(60, 48)])


def test_points_that_lie_well_are_left_without_a_word():
    px = grid_px(3, 3)
    rng = np.random.default_rng(7)
    silent = 0

    for _ in range(100):
        silent += not fit_homography(marked(px + rng.normal(0, 0.7, px.shape), seen(px))).statements

    assert silent >= 97


@pytest.mark.parametrize("length_in", [0.25, 1.0, 12.5])
def test_a_bad_point_among_eight_is_named_with_its_length(length_in):
    px = grid_px(4, 2)
    wall = seen(px)
    wall[3, 1] += length_in

    fit = fit_homography(marked(px + np.random.default_rng(8).normal(0, 0.5, px.shape), wall))

    assert fit.worst_point == "4"
    assert fit.statements[0].startswith("Point 4 disagrees with the others by ")


def test_five_points_cannot_tell_which_of_them_is_wrong():
    px = np.vstack([FOUR_PX, [(2000, 1400)]])
    wall = seen(px)
    wall[4, 0] += 1.0

    fit = fit_homography(marked(px, wall))

    assert len(fit.statements) == 1
    assert fit.statements[0].startswith("The five points disagree by up to")
    assert fit.error_in > 0.3


def bulged(px, *, height_in, away_in=60.0):
    """Return where a camera `away_in` off believes a barrel-shaped wall's places to be."""
    places = seen(px)
    middle = places.mean(axis=0)
    reach = np.abs(places[:, 0] - middle[0]).max()
    off = height_in * (1 - ((places[:, 0] - middle[0]) / reach) ** 2)
    return places - (places - middle) * (off / away_in)[:, None]


def test_a_bulged_wall_bends_the_residuals():
    px = grid_px(5, 3)

    fit = fit_homography(marked(px, bulged(px, height_in=0.75)))

    assert any("the wall may not be flat here" in words for words in fit.statements)
    assert fit.error_in > fit_homography(marked(px, seen(px))).error_in


def test_a_bent_lens_bends_the_residuals_and_its_model_takes_them_away():
    lens = Lens(*PICTURE_PX, -0.02, 0.004)
    straight = grid_px(4, 3)
    px, wall = lens.bend(straight), seen(straight)

    bare = fit_homography(marked(px, wall))
    modelled = fit_homography(marked(px, wall), lens=lens)

    assert any("or the lens bends lines" in words for words in bare.statements)
    assert modelled.statements == ()
    assert modelled.radial_rms_in < 1e-6 < bare.radial_rms_in
    assert to_px(modelled, wall) == pytest.approx(px, abs=1e-6)


# What is refused.


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
