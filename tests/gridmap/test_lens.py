"""A lens's two radial terms bend places and straighten them again."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.lens import Lens

PLACES = np.array([(3.0, 4.0), (1999.5, 10.0), (2000.0, 1500.0), (3990.0, 2990.0), (700.0, 2100.0)])


@given(k1=st.floats(-0.12, 0.12), k2=st.floats(-0.03, 0.03))
def test_bending_what_was_straightened_gives_the_pixel_again(k1, k2):
    lens = Lens(4000, 3000, k1, k2)

    assert lens.bend(lens.straighten(PLACES)) == pytest.approx(PLACES, abs=1e-6)


def test_a_lens_without_terms_moves_nothing():
    lens = Lens(4000, 3000, 0.0)

    assert lens.straighten(PLACES) == pytest.approx(PLACES)
    assert lens.bend(PLACES) == pytest.approx(PLACES)


def test_the_middle_of_the_picture_stays():
    lens = Lens(4000, 3000, -0.1, 0.02)

    assert lens.straighten(np.array([(2000.0, 1500.0)])) == pytest.approx(
        np.array([(2000.0, 1500.0)])
    )


def test_straightening_is_the_distortion_of_opencv_the_other_way():
    lens = Lens(4000, 3000, -0.06, 0.01)
    # source: cv2.projectPoints; its terms, over the focal length, take ideal places to bent ones,
    # so that with a focal length of half the diagonal they are what `straighten` does.
    camera = np.array([[2500.0, 0, 2000], [0, 2500.0, 1500], [0, 0, 1]])
    rays = np.c_[(PLACES - (2000, 1500)) / 2500.0, np.ones(len(PLACES))]
    theirs, _ = cv2.projectPoints(
        rays, np.zeros(3), np.zeros(3), camera, np.array([-0.06, 0.01, 0, 0])
    )

    assert lens.straighten(PLACES) == pytest.approx(theirs[:, 0], abs=1e-6)


@pytest.mark.parametrize(
    ("k1", "k2", "words"),
    [
        (0.9, 0.0, "k1 is 0.9"),
        (0.0, float("nan"), "k2 is nan"),
        (-0.45, 0.0, "would fold over itself"),
    ],
)
def test_a_lens_that_no_camera_has_is_refused(k1, k2, words):
    with pytest.raises(InvalidInput, match=words):
        Lens(4000, 3000, k1, k2)
