"""The estimated homography is what other programs find from the same points."""

import cv2
import numpy as np
import pytest
import scipy.optimize
import skimage.data
import skimage.transform
from hypothesis import given, settings
from hypothesis import strategies as st

from gridmap.homography import estimate, estimate_directly, through
from tests.gridmap.known_camera import (
    CAMERA,
    EIGHT_IN,
    EIGHT_PX,
    FOUR_PX,
    array,
    seen,
)


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
