"""Do windows find by how much a picture was moved, and say how firmly they hold?"""

import cv2
import numpy as np
import pytest
import scipy.ndimage

from gridmap.align import detail_of
from gridmap.windows import measure, measure_finely, window_corners


def texture(seed=4, softness_px=2.0):
    rng = np.random.default_rng(seed)
    fine = cv2.GaussianBlur(rng.normal(0, 1, (700, 700)).astype(np.float32), (0, 0), softness_px)
    return fine / fine.std()


def shifted(values, dx, dy):
    # source: scipy.ndimage.shift, spline of the fifth degree
    return scipy.ndimage.shift(values, (dy, dx), order=5, mode="nearest").astype(np.float32)


@pytest.mark.parametrize("window_px", [64, 128])
def test_even_windows_find_a_shift_without_half_a_pixel_of_bias(window_px):
    before = texture(softness_px=0.9)
    after = shifted(before, 3.0, -2.0)
    corners = window_corners(np.full(before.shape, 255, np.uint8), window_px)

    found = measure(before, after, corners, window_px=window_px)

    assert np.median(found.offsets_px, axis=0) == pytest.approx((3.0, -2.0), abs=0.1)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.3, -0.2), (-0.45, 0.1)])
def test_the_last_fraction_of_a_pixel_is_found(shift):
    before = texture()
    after = shifted(before, *shift)
    inside = np.zeros(before.shape, np.uint8)
    inside[20:-20, 20:-20] = 255

    found = measure_finely(before, after, inside, window_px=60)

    assert np.median(found.offsets_px, axis=0) == pytest.approx(shift, abs=0.06)
    assert found.likeness.min() > 0.8


def test_a_window_on_an_edge_holds_across_it_alone():
    across = np.tanh((np.arange(600) % 60 - 30) / 2.0).astype(np.float32)
    stripes = np.repeat(across[None, :], 600, axis=0)
    noise = np.random.default_rng(1).normal(0, 0.02, (2, 600, 600)).astype(np.float32)

    found = measure_finely(
        stripes + noise[0], stripes + noise[1], np.full((600, 600), 255, np.uint8), window_px=60
    )

    assert (found.hold[:, 0, 0] > 20 * found.hold[:, 1, 1]).all()


def test_windows_lie_wholly_within_what_is_seen():
    seen = np.zeros((600, 800), np.uint8)
    seen[100:500, 200:700] = 255

    corners = np.array(window_corners(seen, 128))

    assert corners.min(axis=0).tolist() >= [200, 100]
    assert (corners.max(axis=0) + 128 <= (700, 500)).all()
    assert len(corners) > 10


def test_a_flat_window_is_left_out():
    flat = np.zeros((600, 600), np.float32)

    found = measure_finely(
        flat, texture()[:600, :600], np.full((600, 600), 255, np.uint8), window_px=60
    )

    assert len(found.likeness) == 0


def test_detail_does_not_depend_on_gain_or_a_broad_fall_of_light():
    base = np.clip(texture() * 12 + 120, 0, 255)
    rgb = np.repeat(base[..., None], 3, axis=-1)
    fall = np.linspace(1.0, 0.7, 700)[None, :, None]

    first = detail_of(rgb.astype(np.uint8))
    second = detail_of((rgb * fall).astype(np.uint8))

    assert np.corrcoef(first.ravel(), second.ravel())[0, 1] > 0.99
