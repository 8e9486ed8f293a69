"""Does every pixel of every tile lie where it is on the wall?"""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.tiles import TileFrame, level_sizes

SIZES = st.tuples(st.integers(1, 20_000), st.integers(1, 20_000))


@pytest.mark.parametrize(
    ("size", "levels"),
    [
        ((512, 512), ((512, 512),)),
        ((513, 1), ((257, 1), (513, 1))),
        ((1300, 901), ((325, 226), (650, 451), (1300, 901))),
        ((10080, 1680), ((315, 53), (630, 105), (1260, 210), (2520, 420), (5040, 840), (10080, 1680))),
    ],
)  # fmt: skip
def test_levels_are_halved_until_one_tile_holds_the_picture(size, levels):
    assert level_sizes(*size) == levels


@given(SIZES)
def test_the_coarsest_level_is_one_tile_and_the_finest_the_picture(size):
    sizes = level_sizes(*size)

    assert max(sizes[0]) <= 512
    assert sizes[-1] == size
    assert all(max(level) > 512 for level in sizes[1:])


@given(SIZES, st.floats(0.5, 400))
def test_the_tiles_of_a_level_have_all_of_its_pixels_once(size, px_per_in):
    frame = TileFrame(0.0, 100.0, px_per_in, *size)

    for level, (width_px, height_px) in enumerate(frame.sizes):
        columns, rows = frame.tile_count(level)
        assert sum(frame.tile_size_px(level, c, 0)[0] for c in range(columns)) == width_px
        assert sum(frame.tile_size_px(level, 0, r)[1] for r in range(rows)) == height_px


@given(SIZES, st.floats(0.5, 400), st.floats(-50, 500), st.floats(-50, 500), st.data())
def test_a_pixel_of_a_coarser_level_lies_in_the_middle_of_the_four_below_it(
    size, px_per_in, left_in, top_in, data
):
    frame = TileFrame(left_in, top_in, px_per_in, *size)
    assume(frame.levels > 1)
    level = data.draw(st.integers(0, frame.levels - 2))
    width_px, height_px = frame.sizes[level]
    x, y = data.draw(st.integers(0, width_px - 1)), data.draw(st.integers(0, height_px - 1))

    here = frame.pixel_centre_in(level, x // 512, y // 512, (x % 512, y % 512))
    below = [
        frame.pixel_centre_in(level + 1, u // 512, v // 512, (u % 512, v % 512))
        for u in (2 * x, 2 * x + 1)
        for v in (2 * y, 2 * y + 1)
    ]

    # No dimension of the wall is longer than 40,000 in here, so 1e-7 in is rounding alone.
    assert here[0] == pytest.approx(sum(place[0] for place in below) / 4, abs=1e-7)
    assert here[1] == pytest.approx(sum(place[1] for place in below) / 4, abs=1e-7)


def test_the_pixels_of_the_finest_level_are_those_of_the_picture():
    # A picture of 84 ft at 10 px/in: the pixel 600 from the left is 60.05 in away. By hand.
    frame = TileFrame(0.0, 168.0, 10.0, 10080, 1680)

    assert frame.pixel_centre_in(5, 1, 0, (600 - 512, 0)) == pytest.approx((60.05, 167.95))
    assert frame.bounds_in == (0.0, 0.0, 1008.0, 168.0)


def test_the_coarsest_level_that_is_fine_enough_is_read():
    frame = TileFrame(0.0, 168.0, 10.0, 10080, 1680)

    assert [frame.level_for(scale) for scale in (0.1, 0.3125, 0.32, 5.0, 5.1, 10.0, 99.0)] == [
        0, 0, 1, 4, 5, 5, 5,
    ]  # fmt: skip


@pytest.mark.parametrize("size", [(0, 10), (10, 0), (1_000_001, 10)])
def test_a_picture_without_pixels_or_with_too_many_is_refused(size):
    with pytest.raises(InvalidInput):
        level_sizes(*size)
