"""How many frames cover the wall, from which deck, and which of them are missing or differ?"""

from itertools import pairwise

import cv2
import numpy as np
import pytest
import skimage.data
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from survey.photos.sharpness import sharpness
from survey.photos.shots import TakenFrame, plan_shots, state_of
from tests.survey.photos.camera import frame_pixels

WIDTH_IN, HEIGHT_IN = 1008.0, 168.0
GRID = Grid.regular(
    width_in=WIDTH_IN, height_in=HEIGHT_IN, column_spacing_in=24.0, row_spacing_in=24.0
)
# Deck 2's boards stand 14 ft above the floor, 6 ft above the painting's lower edge, and hide the
# strip from 13 ft 6 in to 14 ft 6 in.
DECKS = [("1", 0.0, 72.0), ("2", 72.0, 168.0)]
STRIP = [("deck 2 boards", (0.0, 66.0, WIDTH_IN, 78.0))]


def plan(px_per_in=150.0, **changes):
    said = {"camera_px": (6000, 4000), "overlap": 0.3, "decks": DECKS, "strips": STRIP, **changes}
    return plan_shots(grid=GRID, px_per_in=px_per_in, **said)


def test_the_wall_takes_324_frames_at_150_px_in():
    # source: the trade's photo plan, 36 × 9 frames of 6000 × 4000 px at 30 % overlap
    shots = plan()

    assert [(deck.rows, deck.columns) for deck in shots.decks] == [(4, 36), (5, 36)]
    assert shots.total == 324
    assert round(shots.mm_per_px, 2) == 0.17


def test_the_wall_takes_1296_frames_at_300_px_in():
    # source: the trade's photo plan; 0.085 mm a pixel
    shots = plan(300.0)

    assert shots.total == 1296
    assert round(shots.mm_per_px, 3) == 0.085


def test_the_strip_behind_the_boards_is_a_list_apart():
    shots = plan()

    assert shots.strip_total == 36
    assert shots.strips[0].name == "deck 2 boards"
    assert {label[0] for shot in shots.strips[0].shots for label in shot.cells} == {"D", "E"}


def test_a_wall_without_decks_is_taken_from_the_floor():
    shots = plan(decks=[], strips=[])

    assert [deck.name for deck in shots.decks] == ["the floor"]
    # source: 168 in by frames of 26.67 in that share 30 %: (168 - 26.67) / 18.67, rounded up, + 1
    assert shots.decks[0].rows == 9


@given(
    px_per_in=st.floats(60, 400),
    overlap=st.floats(0, 0.8),
    across_px=st.integers(2000, 12_000),
    down_px=st.integers(2000, 12_000),
)
def test_frames_reach_every_place_and_share_at_least_what_was_asked(
    px_per_in, overlap, across_px, down_px
):
    try:
        shots = plan(px_per_in, overlap=overlap, camera_px=(across_px, down_px))
    except InvalidInput as refusal:
        assert refusal.field == "px_per_in"  # more frames than a list may hold
        return

    for deck in shots.decks:
        _, low, _, high = deck.bounds_in
        lefts = sorted({shot.bounds_in[0] for shot in deck.shots})
        bottoms = sorted({shot.bounds_in[1] for shot in deck.shots})
        for starts, side_in, begin, end in (
            (lefts, shots.frame_in[0], 0.0, WIDTH_IN),
            (bottoms, shots.frame_in[1], low, high),
        ):
            assert starts[0] <= begin + 1e-6
            assert starts[-1] + side_in >= end - 1e-6
            shared = [side_in - (b - a) for a, b in pairwise(starts)]
            assert all(part >= side_in * overlap - 1e-6 for part in shared)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"px_per_in": 0.0}, "px_per_in"),
        ({"px_per_in": float("nan")}, "px_per_in"),
        ({"overlap": 1.0}, "overlap"),
        ({"camera_px": (0, 4000)}, "camera"),
        ({"px_per_in": 5000.0}, "px_per_in"),
    ],
)
def test_numbers_that_make_no_list_are_refused(changes, field):
    with pytest.raises(InvalidInput) as refused:
        plan(**changes)

    assert refused.value.field == field


def taken(name, *cells, **said):
    return TakenFrame(name, name, cells, **{"lamp_side": "left", **said})


def state(*frames, **said):
    return state_of(plan(), frames, grid=GRID, **said)


def test_every_cell_without_a_frame_is_missing_and_listed_by_deck():
    frames = [taken(label, label) for label in GRID.labels() if label not in {"C17", "F02"}]

    told = state(*frames)

    assert told.missing_cells == (("1", ("F02",)), ("2", ("C17",)))
    assert all({"C17", "F02"} & set(shot.cells) for shot in told.missing_shots)
    assert told.taken_shots + len(told.missing_shots) == 324


def test_a_placed_frame_counts_for_the_cells_that_it_covers_whole():
    told = state(taken("a", bounds_in=(-1.0, 143.0, 49.0, 169.0)))

    top = next(cells for deck, cells in told.missing_cells if deck == "2")
    assert not {"A01", "A02"} & set(top)
    assert "A03" in top


def test_a_frame_of_another_lamp_side_differs_and_leaves_its_cell_missing():
    told = state(taken("a", "C16"), taken("b", "C17", lamp_side="right"), lamp_side="left")

    assert [(one.name, one.words) for one in told.differing] == [
        ("b", ("lamp right, the others left",))
    ]
    assert "C17" in dict(told.missing_cells)["2"]


def words(told):
    return {one.name: " ".join(one.words) for one in told.differing}


def test_frames_of_another_scale_lens_or_size_differ():
    told = state(
        taken("a", "C01", px_per_in=151.0, focal_length="50 mm", size_px=(6000, 4000)),
        taken("b", "C02", px_per_in=90.0, focal_length="50 mm", size_px=(6000, 4000)),
        taken("c", "C03", focal_length="35 mm", size_px=(6000, 4000)),
        taken("d", "C04", focal_length="50 mm", size_px=(3000, 2000)),
        taken("e", "C05", focal_length="50 mm", size_px=(4000, 6000)),
    )

    assert words(told) == {
        "b": "90 px/in, asked for 150",
        "c": "focal length 35 mm, most have 50 mm",
        "d": "3,000 px long, most have 6,000 px",
    }


def test_a_frame_less_sharp_than_its_set_differs():
    # A photograph of brickwork that did not come from us: parts of it as frames of one set.
    brick = skimage.data.brick()
    parts = [brick[at : at + 160, :400] for at in (0, 80, 160, 240, 320)]
    parts[3] = cv2.GaussianBlur(parts[3], (0, 0), 2.5)
    frames = [
        taken(str(place), f"C0{place + 1}", sharpness=sharpness(grey))
        for place, grey in enumerate(parts)
    ]

    told = state(*frames)

    assert list(words(told)) == ["3"]
    assert "less sharp" in words(told)["3"]


def test_sharpness_says_nothing_of_a_flat_picture():
    assert sharpness(np.full((200, 200), 128, np.uint8)) == 0.0


def test_sharpness_does_not_change_with_the_paintings_contrast():
    grey = cv2.cvtColor(frame_pixels(600, 400), cv2.COLOR_RGB2GRAY)
    dull = (grey.astype(np.float32) * 0.6 + 40).astype(np.uint8)

    assert sharpness(dull) == pytest.approx(sharpness(grey), rel=0.1)
