"""Does a change become a hint at its place and size, and nothing that light or error explains?"""

import math

import cv2
import numpy as np
import pytest
import skimage.data
from shapely.geometry import Point, Polygon

from gridmap.change import difference_picture, find_changes
from gridmap.errors import InvalidInput

PX_PER_IN = 20.0


def wall():
    """Return a real picture of plain texture, 512 px: about 25 in across at 20 px/in."""
    grey = skimage.data.gravel()
    calm = cv2.GaussianBlur(grey, (0, 0), 1.5).astype(float) * 0.4 + 90
    return np.stack([calm * 1.1, calm, calm * 0.85], axis=-1).clip(0, 255).astype(np.uint8)


def with_disc(picture, at, across_px, tone=(235, 225, 205)):
    out = picture.copy()
    centre = tuple(round(value * 16 - 8) for value in at)
    cv2.circle(out, centre, round(across_px * 8), tone, -1, cv2.LINE_AA, shift=4)
    return out


def search(before, after, *, error_px=0.05, valid=None, **more):
    seen = np.full(before.shape[:2], 255, np.uint8) if valid is None else valid
    return find_changes(
        before, after, valid=seen, px_per_in=PX_PER_IN, registration_error_px=error_px, **more
    )


@pytest.mark.parametrize("across_px", [10, 20, 40])
def test_a_disc_is_found_at_its_place_and_size(across_px):
    hints = search(wall(), with_disc(wall(), (200.0, 300.0), across_px))

    assert len(hints) == 1
    true = Point(200, 300).buffer(across_px / 2)
    ring = Polygon(hints[0].ring_px)
    assert ring.intersection(true).area / ring.union(true).area > 0.7
    assert hints[0].area_px == pytest.approx(math.pi * across_px**2 / 4, rel=0.3)
    assert hints[0].longest_px == pytest.approx(across_px, abs=3)


def test_nothing_changed_gives_no_hint():
    assert search(wall(), wall()) == []


def test_other_light_is_no_change():
    fall = np.linspace(1.05, 0.75, 512)[None, :, None] * np.array([1.0, 0.96, 0.9])
    dimmed = (wall() * fall).clip(0, 255).astype(np.uint8)

    assert search(wall(), dimmed) == []


def test_a_change_is_found_in_other_light_too():
    fall = np.linspace(1.05, 0.75, 512)[None, :, None]
    changed = (with_disc(wall(), (300.0, 100.0), 24) * fall).clip(0, 255).astype(np.uint8)

    hints = search(wall(), changed)

    assert len(hints) == 1
    assert Polygon(hints[0].ring_px).contains(Point(300, 100))


def test_a_stronger_change_comes_first_and_a_fainter_one_is_fainter():
    picture = with_disc(wall(), (120.0, 120.0), 24)
    faint = (np.array(picture[350, 350], float) * 0.8).astype(int).tolist()

    hints = search(wall(), with_disc(picture, (350.0, 350.0), 24, faint))

    assert len(hints) == 2
    assert Polygon(hints[0].ring_px).contains(Point(120, 120))
    assert hints[0].strength > hints[1].strength
    assert all(0 < hint.strength <= 1 for hint in hints)


def test_a_small_shift_within_the_stated_error_is_no_change():
    stripes = wall()
    stripes[:, 250:262] = (60, 70, 110)
    moved = np.roll(stripes, 1, axis=1)

    assert search(stripes, moved, error_px=1.0) == []


def test_a_hint_smaller_than_the_registration_error_is_marked_so():
    grain = np.random.default_rng(3).normal(0, 1.5, (512, 512, 3))
    plain = (np.array([150.0, 120.0, 100.0]) + grain).astype(np.uint8)
    after = with_disc(plain, (200.0, 300.0), 6)

    surely, hardly = search(plain, after, error_px=0.1), search(plain, after, error_px=4.0)

    assert [hint.below_error for hint in surely] == [False]
    assert [hint.below_error for hint in hardly] == [True]


def test_where_the_pictures_do_not_both_reach_nothing_is_looked_for():
    valid = np.full((512, 512), 255, np.uint8)
    valid[:, 256:] = 0

    assert search(wall(), with_disc(wall(), (380.0, 100.0), 30), valid=valid) == []
    assert search(wall(), wall(), valid=np.zeros((512, 512), np.uint8)) == []


def test_specks_below_what_a_coarse_picture_shows_are_left_out():
    after = with_disc(wall(), (200.0, 300.0), 12)

    assert search(wall(), after, own_px_per_in=5.0) == []


def test_the_difference_picture_is_white_but_for_the_change():
    drawn = difference_picture(
        wall(),
        with_disc(wall(), (200.0, 300.0), 40),
        valid=np.full((512, 512), 255, np.uint8),
        px_per_in=PX_PER_IN,
    )

    assert drawn.shape == (512, 512, 3)
    assert drawn[300, 200].max() < 60
    assert np.median(drawn) > 240


def test_pictures_of_two_sizes_are_refused():
    with pytest.raises(InvalidInput, match="must have one size"):
        search(wall(), wall()[:400])
