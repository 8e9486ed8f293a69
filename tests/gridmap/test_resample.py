"""Is a part of a picture drawn on another grid of pixels place for place?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.resample import resample

WIDTH, HEIGHT = 400, 300


def slope():
    """Return a picture whose value tells the place: half a grey value to a pixel across."""
    x = (np.arange(WIDTH) + 0.5) / 2
    y = (np.arange(HEIGHT) + 0.5) / 2
    return np.stack(
        [
            np.broadcast_to(x[None, :], (HEIGHT, WIDTH)),
            np.broadcast_to(y[:, None], (HEIGHT, WIDTH)),
            np.full((HEIGHT, WIDTH), 77.0),
        ],
        axis=2,
    ).round().astype(np.uint8)  # fmt: skip


@given(st.floats(20, 150), st.floats(20, 100), st.floats(0.2, 3.0), st.integers(4, 40))
def test_each_drawn_pixel_shows_the_place_in_its_middle(left, top, step, size):
    drawn = resample(
        slope(), corner_px=(left, top), step_px=(step, step), size_px=(size, size)
    ).astype(float)

    middle = (np.arange(size) + 0.5) * step
    assert np.abs(drawn[0, :, 0] - (left + middle) / 2).max() < 1.2
    assert np.abs(drawn[:, 0, 1] - (top + middle) / 2).max() < 1.2


def test_whole_pixels_are_handed_on_as_they_are():
    rng = np.random.default_rng(7)
    source = rng.integers(0, 255, (50, 60, 3), np.uint8)

    drawn = resample(source, corner_px=(7.0, 11.0), step_px=(1.0, 1.0), size_px=(20, 30))

    assert np.array_equal(drawn, source[11:41, 7:27])


def test_blocks_meet_without_a_seam():
    wide = np.tile(np.linspace(0, 255, 5000).round().astype(np.uint8)[None, :, None], (8, 1, 3))

    drawn = resample(wide, corner_px=(0.3, 0.0), step_px=(1.01, 1.0), size_px=(4900, 8))

    assert np.abs(np.diff(drawn[4, :, 0].astype(int))).max() <= 1


def test_fine_texture_is_averaged_and_makes_no_waves():
    board = np.indices((600, 600)).sum(axis=0) % 2 * 255
    source = np.repeat(board[..., None], 3, axis=2).astype(np.uint8)

    drawn = resample(source, corner_px=(0.0, 0.0), step_px=(1.9, 1.9), size_px=(300, 300))

    assert np.abs(drawn[20:-20, 20:-20].astype(int) - 127).max() < 45


@pytest.mark.parametrize("corner", [(-5.0, -5.0), (395.0, 295.0)])
def test_beyond_the_source_its_last_pixels_are_repeated(corner):
    drawn = resample(slope(), corner_px=corner, step_px=(1.0, 1.0), size_px=(10, 10))

    assert drawn.shape == (10, 10, 3)
    assert (drawn[..., 2] == 77).all()
