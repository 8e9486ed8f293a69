"""Do points marked within a pixel on generated frames place them to a fiftieth of an inch?"""

from datetime import date

import numpy as np
import pytest

from demo_fixtures.cell_frames import cell_frame, demo_painting, hand_held
from gridmap.homography import through
from gridmap.rectify import MarkedPoint, fit_homography, rectify, to_wall_in
from tests.support.other_wall import other_painting

CELL = (384.0, 96.0, 408.0, 120.0)  # C17
FINE_PX = (4480, 4200)  # about 150 px/in on the cell
LIMIT_IN = 0.02
HALF_PX = 60  # of the window about a cross on the rectified picture
BESIDE = [*range(25), *range(95, 120)]  # its rows that the other arm does not cross


def marked_within(error_px, places_px, places_in, rng):
    reach = error_px * np.sqrt(rng.uniform(size=len(places_px)))
    turn = rng.uniform(0, 2 * np.pi, len(places_px))
    moved = places_px + np.c_[reach * np.cos(turn), reach * np.sin(turn)]
    return [
        MarkedPoint(str(k), (float(x), float(y)), (float(a), float(b)))
        for k, ((x, y), (a, b)) in enumerate(zip(moved, places_in, strict=True), start=1)
    ]


@pytest.mark.parametrize("across", [2, 3])
def test_corners_lie_within_a_fiftieth_of_an_inch_for_a_hundred_cameras(across):
    x0, y0, x1, y1 = CELL
    grid = np.array(
        [(x, y) for y in np.linspace(y0, y1, across) for x in np.linspace(x0, x1, across)]
    )
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    worst = 0.0

    for seed in range(100):
        camera = hand_held(CELL, FINE_PX, tilt=0.03, seed=seed)
        back = np.linalg.inv(camera)
        points = marked_within(1.0, through(back, grid), grid, np.random.default_rng(seed))
        found = to_wall_in(fit_homography(points), through(back, corners))
        worst = max(worst, float(np.hypot(*(found - corners).T).max()))

    # source: the truth of the generated cameras
    assert worst <= LIMIT_IN


@pytest.mark.parametrize(
    ("painting", "cell"),
    [(demo_painting(date(2026, 3, 3)), CELL), (other_painting(), (96.0, 120.0, 120.0, 144.0))],
    ids=["the demo's wall", "a wall not used in tuning"],
)
def test_crosses_of_light_lie_at_their_places_on_the_rectified_picture(painting, cell):
    shots = [
        cell_frame(
            window_in=cell, size_px=FINE_PX, seed=11, painting=painting, cross_every_in=12.0,
            cross_light=strength,
        )
        for strength in (1.0, 0.0)
    ]  # fmt: skip
    fit = fit_homography([MarkedPoint(*mark) for mark in shots[0].marked_within(1.0, seed=4)])
    left, top = cell[0] - 1, cell[3] + 1
    bounds = (left, cell[1] - 1, cell[2] + 1, top)

    lit, dark = (
        rectify(shot.pixels, fit, bounds_in=bounds, px_per_in=150).pixels[..., 1] for shot in shots
    )

    light = lit.astype(np.float32) - dark
    assert len(shots[0].marks) == 9
    for _, _, (x, y) in shots[0].marks:
        corner = np.array([int((x - left) * 150) - HALF_PX, int((top - y) * 150) - HALF_PX])
        here = light[corner[1] :, corner[0] :][: 2 * HALF_PX, : 2 * HALF_PX]
        upright, level = here[BESIDE].mean(axis=0), here[:, BESIDE].mean(axis=1)
        found = (corner + np.array([centre(upright), centre(level)])) / 150
        # source: the middle of the light on the picture, against the crossing's place on the wall
        assert np.hypot(*(found - (x - left, top - y))) <= LIMIT_IN


def centre(profile):
    weight = np.clip(profile - 0.3 * profile.max(), 0, None)
    return float((weight * (np.arange(len(profile)) + 0.5)).sum() / weight.sum())
