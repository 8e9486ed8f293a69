"""Are real pictures laid on each other as they were moved, and refused in words where they cannot be?"""

import cv2
import numpy as np
import pytest
import skimage.data

from gridmap.align import NotComparable, Registration, apply, register
from gridmap.errors import InvalidInput
from tests.gridmap.planted import frame

REAL = ("brick", "grass", "gravel", "astronaut", "coffee", "chelsea")


def real_picture(name):
    """Return a picture that came with scikit-image, in colour, 600 px across or as it is."""
    picture = getattr(skimage.data, name)()
    picture = np.stack([picture] * 3, axis=-1) if picture.ndim == 2 else picture
    return np.ascontiguousarray(picture[..., :3])


def moved(picture, *, seed, corners=0.03):
    """Return a picture seen askew, darker, with grain, and the homography to it (corner pixels)."""
    rng = np.random.default_rng(seed)
    height, width = picture.shape[:2]
    here = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)
    there = here + rng.uniform(-corners, corners, (4, 2)).astype(np.float32) * width
    to_moved = cv2.getPerspectiveTransform(here, there)
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    seen = cv2.warpPerspective(
        picture, np.linalg.inv(half) @ to_moved @ half, (width, height), flags=cv2.INTER_LANCZOS4
    ).astype(float)
    fall = np.linspace(1.0, 0.85, width)[None, :, None]
    seen = seen * fall * (0.97, 0.95, 0.9) + rng.normal(0, 2.0, seen.shape)
    return np.clip(np.rint(seen), 0, 255).astype(np.uint8), to_moved


def through(homography, places):
    ends = np.c_[places, np.ones(len(places))] @ homography.T
    return ends[:, :2] / ends[:, 2:]


def seen_area(shape, to_moved):
    """Return a mask of the moved picture: 0 where the picture does not reach."""
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    full = np.full(shape[:2], 255, np.uint8)
    drawn = cv2.warpPerspective(full, np.linalg.inv(half) @ to_moved @ half, shape[1::-1])
    return np.where(drawn == 255, 255, 0).astype(np.uint8)


@pytest.mark.parametrize("name", REAL)
def test_a_real_picture_is_laid_as_it_was_moved(name):
    picture = real_picture(name)
    after, to_moved = moved(picture, seed=7)

    found = register(picture, after, valid_after=seen_area(picture.shape, to_moved))

    height, width = picture.shape[:2]
    steps = np.linspace(0.1, 0.9, 9)
    places = np.array([(x * width, y * height) for x in steps for y in steps])
    # source: the homography that the picture was warped with, by cv2.warpPerspective
    off = np.hypot(*(found.warp.through(places) - through(to_moved, places)).T)
    assert np.sqrt((off**2).mean()) <= 0.1


def test_a_picture_lies_on_itself():
    picture = real_picture("gravel")

    found = register(picture, picture)

    places = np.array([(20.0, 30.0), (400.0, 100.0), (250.5, 480.25)])
    assert found.warp.through(places) == pytest.approx(places, abs=0.01)
    assert found.coverage == pytest.approx(1.0, abs=0.02)


def test_laid_pictures_show_the_same_place_at_the_same_pixel():
    picture = real_picture("astronaut")
    after, to_moved = moved(picture, seed=3)
    found = register(picture, after, valid_after=seen_area(picture.shape, to_moved))

    drawn, valid = apply(found, after)

    assert drawn.shape == picture.shape
    shown = cv2.erode(valid, np.ones((9, 9), np.uint8)) > 0
    # source: the picture itself; it was darkened by at most a quarter and given grain
    ratio = drawn[shown].astype(float).mean() / picture[shown].astype(float).mean()
    assert 0.75 < ratio < 1.0
    both = [cv2.cvtColor(one, cv2.COLOR_RGB2GRAY)[shown].astype(float) for one in (drawn, picture)]
    assert np.corrcoef(*both)[0, 1] > 0.98


def test_where_the_later_picture_does_not_reach_is_said():
    shot = frame(101, later=False, light="normal")
    found = register(shot.pixels, shot.pixels[:, 300:].copy())

    _, valid = apply(found, shot.pixels[:, 300:].copy())

    assert (valid[:, :290] == 0).all()
    assert (valid[20:-20, 320:-20] == 255).all()
    assert found.coverage == pytest.approx(1 - 300 / 1800, abs=0.02)


@pytest.mark.parametrize("flat", ["before", "after"])
def test_a_picture_of_one_flat_colour_is_refused(flat):
    shot = real_picture("brick")
    grey = np.full_like(shot, 140)

    with pytest.raises(NotComparable, match="one flat colour"):
        register(*((grey, shot) if flat == "before" else (shot, grey)))


def test_grain_alone_is_no_detail():
    rng = np.random.default_rng(5)
    grey = np.clip(rng.normal(140, 3, (600, 600, 3)), 0, 255).astype(np.uint8)

    with pytest.raises(NotComparable, match="one flat colour"):
        register(grey, real_picture("brick"))


def test_too_little_overlap_is_refused_with_its_share():
    shot = frame(101, later=False, light="normal")

    with pytest.raises(NotComparable, match=r"share \d+% of the earlier one; at least 35%"):
        register(shot.pixels, shot.pixels[:, 1300:].copy())


def test_another_picture_is_refused():
    with pytest.raises(NotComparable, match="different places"):
        register(real_picture("astronaut"), real_picture("coffee"))


def test_a_picture_that_is_no_colour_picture_is_refused_by_name():
    with pytest.raises(InvalidInput, match="The later picture must have three colours") as refused:
        register(real_picture("brick"), real_picture("brick")[..., 0])

    assert refused.value.field == "after"


def test_a_picture_that_is_too_small_is_refused_with_its_size():
    with pytest.raises(InvalidInput, match="100 by 100 px; each side must have from 256"):
        register(real_picture("brick")[:100, :100].copy(), real_picture("brick"))


def test_the_words_say_what_the_registration_rests_on():
    picture = real_picture("grass")
    found = register(picture, picture)

    assert isinstance(found, Registration)
    assert f"{found.agreeing} of {found.windows} windows agree" in found.words
