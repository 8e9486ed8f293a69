"""Is a smooth map found from measured places, whatever single places claim, with its error?"""

import cv2
import numpy as np
import pytest

from gridmap.lens import Lens
from gridmap.warp import Warp, fit_warp

SIZE_PX = (1200, 900)
ASKEW = np.array([[1.02, 0.03, -14.0], [-0.02, 0.99, 9.0], [1.2e-5, -8e-6, 1.0]])


def places(count=200, seed=1):
    rng = np.random.default_rng(seed)
    return rng.uniform((0, 0), SIZE_PX, (count, 2))


def through(homography, points):
    # source: cv2.perspectiveTransform
    return cv2.perspectiveTransform(points[None], homography)[0]


def even_hold(count):
    return np.repeat(np.eye(2)[None], count, axis=0)


def start():
    return Warp(np.eye(3), SIZE_PX)


def grid():
    return np.array([(x, y) for x in range(50, 1200, 100) for y in range(50, 900, 100)], float)


def test_exact_places_give_back_their_homography():
    here = places()

    fit = fit_warp(here, through(ASKEW, here), even_hold(200), start=start())

    assert fit.warp.through(grid()) == pytest.approx(through(ASKEW, grid()), abs=1e-6)
    assert fit.warp.bend is None


def test_places_that_disagree_lose_their_voice():
    here = places()
    there = through(ASKEW, here) + np.random.default_rng(2).normal(0, 0.05, here.shape)
    there[:40] += (6.0, -4.0)  # a fifth lies on something that moved

    fit = fit_warp(here, there, even_hold(200), start=start())

    assert (fit.weights[:40] == 0).all()
    off = np.hypot(*(fit.warp.through(grid()) - through(ASKEW, grid())).T)
    assert off.max() < 0.05


def test_the_stated_error_is_what_repeated_fits_scatter_by():
    here, hold = places(), even_hold(200)
    truth, scattered, stated = through(ASKEW, grid()), [], []
    for seed in range(60):
        noise = np.random.default_rng(seed).normal(0, 0.2, here.shape)
        fit = fit_warp(here, through(ASKEW, here) + noise, hold, start=start())
        scattered.append(((fit.warp.through(grid()) - truth) ** 2).sum(axis=1).mean())
        stated.append(fit.error_px)

    # source: Monte Carlo, 60 draws
    assert np.mean(stated) == pytest.approx(np.sqrt(np.mean(scattered)), rel=0.2)


def test_a_bent_lens_is_followed():
    lens, here = Lens(*SIZE_PX, 0.01), places(400)
    there = lens.bend(through(ASKEW, here))

    fit = fit_warp(here, there, even_hold(400), start=start())

    assert fit.warp.bend is not None
    off = np.hypot(*(fit.warp.through(grid()) - lens.bend(through(ASKEW, grid()))).T)
    assert off.max() < 0.1


def test_an_edge_holds_across_itself_and_not_along():
    here = places(300)
    there = through(ASKEW, here)
    upright = np.arange(300) % 2 == 0  # half of the edges run upright, half level
    hold = np.zeros((300, 2, 2))
    hold[upright, 0, 0], hold[~upright, 1, 1] = 1.0, 1.0
    there[upright, 1] += 9.0  # what they claim along themselves is worth nothing
    there[~upright, 0] -= 9.0

    fit = fit_warp(here, there, hold, start=start())

    assert fit.warp.through(grid()) == pytest.approx(through(ASKEW, grid()), abs=1e-3)


@pytest.mark.parametrize("bent", [False, True])
def test_a_drawn_picture_shows_what_lies_at_the_warped_place(bent):
    bend = np.zeros((2, 15))
    bend[0, 3] = 2.0
    warp = Warp(ASKEW, SIZE_PX, bend if bent else None)
    y, x = np.mgrid[0:960, 0:1300] + 0.5
    slopes = np.stack([x, y, x + y], axis=-1).astype(np.float32)

    drawn = warp.draw(slopes, flags=cv2.INTER_LINEAR)

    columns, rows = np.array([200, 600, 1000]), np.array([200, 450, 700])
    where = warp.through(np.c_[columns + 0.5, rows + 0.5])
    assert drawn[rows, columns, :2] == pytest.approx(where, abs=0.04)  # 1/32 px of OpenCV
