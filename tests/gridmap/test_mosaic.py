"""Does each cell get the right picture, each picture its gain, and each line its place?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.grid import Grid
from gridmap.mosaic import (
    Candidate,
    Link,
    cell_box_px,
    choose_pictures,
    compare_brightness,
    even_gains,
    mosaic_size_px,
    seams,
)

GRID = Grid.regular(width_in=72.0, height_in=48.0, column_spacing_in=24.0, row_spacing_in=24.0)


def shown(key, shares, **changes):
    fields = {"error_in": 0.02, "px_per_in": 100.0, **changes}
    return Candidate(key, shares, **fields)


def chosen(*candidates):
    return {choice.cell: choice.key for choice in choose_pictures(GRID, candidates).choices}


def test_cells_that_no_picture_shows_are_named_as_missing():
    plan = choose_pictures(GRID, [shown("a", {"A1": 1.0, "A2": 0.2})])

    assert [choice.cell for choice in plan.choices] == ["A1"]
    assert plan.missing == ("A2", "A3", "B1", "B2", "B3")


def test_a_picture_that_shows_half_of_a_cell_stands_for_it_until_a_whole_one_is_there():
    half, whole = shown("half", {"A1": 0.6}, error_in=0.001), shown("whole", {"A1": 1.0})

    assert chosen(half) == {"A1": "half"}
    assert chosen(half, whole) == {"A1": "whole"}


def test_the_picture_taken_for_the_cell_comes_before_a_neighbour_that_shows_it_too():
    neighbour = shown("neighbour", {"A1": 1.0}, error_in=0.001, named=frozenset({"A2"}))
    own = shown("own", {"A1": 1.0}, named=frozenset({"A1"}))

    assert chosen(neighbour, own) == {"A1": "own"}


def test_then_the_surer_the_finer_and_the_later_picture_is_taken():
    rough = shown("rough", {"A1": 1.0}, error_in=0.05)
    sure = shown("sure", {"A1": 1.0}, error_in=0.01, px_per_in=100.0)
    fine = shown("fine", {"A1": 1.0}, error_in=0.01, px_per_in=150.0, taken="2026-03-02")
    later = shown("later", {"A1": 1.0}, error_in=0.01, px_per_in=150.0, taken="2026-03-04")

    assert chosen(rough, sure) == {"A1": "sure"}
    assert chosen(rough, sure, fine) == {"A1": "fine"}
    assert chosen(later, rough, sure, fine) == {"A1": "later"}


@given(st.permutations(["a", "b", "c", "d"]))
def test_the_choice_does_not_hang_on_the_order_of_the_pictures(order):
    candidates = [shown(key, {"A1": 1.0}, taken="2026-03-04") for key in order]

    assert chosen(*candidates) == {"A1": "d"}


def test_pictures_meet_where_neighbouring_cells_have_different_ones():
    plan = choose_pictures(GRID, [shown("a", {"A1": 1.0, "B1": 1.0}), shown("b", {"A2": 1.0})])

    assert [(seam.cells, seam.keys, seam.upright) for seam in seams(GRID, plan)] == [
        (("A1", "A2"), ("a", "b"), True)
    ]


@given(
    st.lists(st.integers(1, 5000), min_size=1, max_size=6),
    st.lists(st.integers(1, 5000), min_size=1, max_size=6),
    st.floats(1, 60),
)
def test_every_pixel_belongs_to_exactly_one_cell(widths, heights, px_per_in):
    """Lines stand anywhere on the lattice of 1/256 in; their places are rounded for both sides."""
    grid = Grid.from_json(
        {
            "columns": {"lines": [0, *np.cumsum(widths) / 256], "names": "numbers", "from": "left"},
            "rows": {"lines": [0, *np.cumsum(heights) / 256], "names": "letters", "from": "top"},
        }
    )
    width_px, height_px = mosaic_size_px(grid, px_per_in)
    counted = np.zeros((height_px, width_px), np.uint8)

    for cell in grid.labels():
        left, top, right, bottom = cell_box_px(grid, cell, px_per_in=px_per_in)
        counted[top:bottom, left:right] += 1

    assert (counted == 1).all()


def test_a_line_falls_on_its_own_pixel():
    # The line between columns 1 and 2 is 24 in from the left: 24 × 7.3 = 175.2 px. By hand.
    assert cell_box_px(GRID, "A1", px_per_in=7.3)[2] == 175
    assert cell_box_px(GRID, "A2", px_per_in=7.3)[0] == 175
    # Row B begins 24 in below the top.
    assert cell_box_px(GRID, "B1", px_per_in=7.3)[1] == 175


def paint(rng, count=3000):
    return rng.uniform(40, 150, (count, 3))


def test_brightness_is_compared_by_channel():
    rng = np.random.default_rng(1)
    places = paint(rng)

    found = compare_brightness(
        (places * (1.2, 1.0, 0.8)).round().astype(np.uint8), places.round().astype(np.uint8)
    )

    assert found is not None
    assert np.exp(found[0]) == pytest.approx([1.2, 1.0, 0.8], rel=0.005)


def test_a_fifth_of_the_places_changed_alters_the_comparison_little():
    rng = np.random.default_rng(2)
    places = paint(rng)
    later = places * 1.1
    later[:600] = 235.0  # bare plaster where paint was

    found = compare_brightness(later.round().astype(np.uint8), places.round().astype(np.uint8))

    assert found is not None
    assert np.exp(found[0]) == pytest.approx([1.1] * 3, rel=0.03)


@pytest.mark.parametrize("value", [0, 255])
def test_places_without_drawing_are_not_compared(value):
    flat = np.full((500, 3), value, np.uint8)

    assert compare_brightness(flat, flat) is None


def links_of(exposures, pairs, *, weight=1.0):
    """Return what pictures of one wall would say, exposed so differently."""
    logs = np.log(exposures)
    return [Link(a, b, tuple(logs[a] - logs[b]), weight) for a, b in pairs]


@given(st.integers(0, 10_000), st.integers(2, 12))
def test_gains_undo_the_exposures(seed, count):
    rng = np.random.default_rng(seed)
    exposures = np.exp(rng.uniform(-0.5, 0.5, (count, 3)))
    pairs = [(k, k + 1) for k in range(count - 1)] + [(0, count - 1)]

    gains = even_gains(count, links_of(exposures, pairs))

    evened = gains * exposures
    assert np.ptp(np.log(evened), axis=0) == pytest.approx(0, abs=1e-5)


@given(st.integers(0, 10_000))
def test_the_mosaic_is_neither_brightened_nor_darkened(seed):
    rng = np.random.default_rng(seed)
    exposures = np.exp(rng.uniform(-0.4, 0.4, (6, 3)))

    gains = even_gains(6, links_of(exposures, [(0, 1), (1, 2), (2, 0), (3, 4), (4, 5)]))

    # Two groups that do not touch: each keeps its own mean.
    assert np.log(gains[:3]).mean(axis=0) == pytest.approx(0, abs=1e-6)
    assert np.log(gains[3:]).mean(axis=0) == pytest.approx(0, abs=1e-6)


def test_one_link_that_the_others_contradict_loses_its_weight():
    """Nine pictures in three rows, of which one pair looks at a wall that changed in between."""
    exposures = np.exp(np.random.default_rng(4).uniform(-0.3, 0.3, (9, 3)))
    pairs = [(k, k + 1) for k in (0, 1, 3, 4, 6, 7)] + [(k, k + 3) for k in range(6)]
    links = links_of(exposures, pairs)
    wrong = Link(3, 4, tuple(np.array(links[2].log_ratio) + 0.7), 1.0)

    gains = even_gains(9, [*links[:2], wrong, *links[3:]])

    away = np.log(gains * exposures)
    assert np.abs(away - away.mean(axis=0)).max() < 0.03


def test_pictures_that_nothing_is_known_of_keep_their_brightness():
    assert (even_gains(3, []) == 1).all()
    assert even_gains(3, [Link(0, 1, (0.2, 0.2, 0.2), 1.0)])[2] == pytest.approx([1, 1, 1])


def test_no_gain_is_larger_than_can_be_answered_for():
    gains = even_gains(2, [Link(0, 1, (4.0, 4.0, 4.0), 1.0)])

    assert gains.max() == pytest.approx(3.0)
    assert gains.min() == pytest.approx(1 / 3.0)
