"""Residuals are put into words that hold: nothing is claimed that the points do not say."""

import math

import numpy as np
import pytest
import scipy.stats

from gridmap.disagreement import chi_square_999, ratio_limit
from gridmap.homography import through
from gridmap.lens import Lens
from gridmap.rectify import (
    MarkedPoint,
    fit_homography,
    to_px,
    to_wall_in,
)
from tests.gridmap.known_camera import (
    CAMERA,
    FOUR_IN,
    FOUR_PX,
    PICTURE_PX,
    array,
    grid_px,
    marked,
    seen,
)


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


@pytest.mark.parametrize("bad", range(7))
def test_the_bad_point_is_named_wherever_it_lies(bad):
    """Left out alone, a right corner can be thrown farther than the wrong point itself."""
    px = grid_px(3, 3)[:7]
    wall = seen(px)
    wall[bad, 1] += 12.5

    fit = fit_homography(marked(px + np.random.default_rng(bad).normal(0, 0.7, px.shape), wall))

    assert fit.statements[0].startswith(f"Point {bad + 1} disagrees with the others by ")


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


@pytest.mark.parametrize("free", [2, 4, 8, 16, 40])
def test_the_limit_of_the_squares_is_that_of_chi_square(free):
    # source: scipy.stats.chi2, quantile 0.999
    assert chi_square_999(free) == pytest.approx(scipy.stats.chi2.ppf(0.999, free), rel=0.03)


@pytest.mark.parametrize("free", [2, 4, 6, 30])
@pytest.mark.parametrize("chance", [0.01, 0.001])
def test_the_limit_of_the_ratio_is_that_of_f_with_two_freedoms(free, chance):
    # source: scipy.stats.f with 2 and `free` degrees of freedom
    assert ratio_limit(chance, free) == pytest.approx(scipy.stats.f.isf(chance, 2, free))


def test_points_that_all_lie_badly_are_said_to_disagree_in_the_mean():
    px = grid_px(4, 3)
    noisy = px + np.random.default_rng(12).normal(0, 8.0, px.shape)

    fit = fit_homography(marked(noisy, seen(px)))

    assert "more than a marking error of 1 px explains" in fit.statements[0]


def test_a_name_of_several_words_stands_in_quotation_marks():
    wall = seen(grid_px(4, 2))
    wall[0, 0] += 2.0
    names = ["C17 upper left", *"BCDEFGH"]
    places = zip(names, grid_px(4, 2), wall, strict=True)

    fit = fit_homography([MarkedPoint(name, tuple(px), tuple(place)) for name, px, place in places])

    assert fit.statements[0].startswith("Point “C17 upper left” disagrees with the others by ")
