"""Is what a generated frame says of itself what its pixels show?"""

from datetime import date

import numpy as np
import pytest

from demo_fixtures.cell_frames import Loss, cell_frame, loss_ring, scattered_losses

WINDOW = (384.0, 96.0, 408.0, 120.0)  # cell C17
SIZE_PX = (1000, 760)


def frame(**more):
    known = {"window_in": WINDOW, "size_px": SIZE_PX, "seed": 5, "day": date(2026, 3, 3)}
    return cell_frame(**{**known, **more})


def difference(first, second):
    return np.abs(first.pixels.astype(int) - second.pixels).sum(axis=2)


@pytest.mark.parametrize("k1", [0.0, -0.04])
def test_the_light_crosses_lie_at_the_marks(k1):
    lit, dark = frame(cross_every_in=12.0, k1=k1), frame(cross_light=0.0, k1=k1)

    light = difference(lit, dark).astype(float)

    assert len(lit.marks) == 9
    for _, (x, y), _ in lit.marks:
        rows, columns = slice(int(y) - 18, int(y) + 19), slice(int(x) - 18, int(x) + 19)
        here = np.clip(light[rows, columns] - 20, 0, None)
        v, u = np.mgrid[rows, columns] + 0.5
        # source: the centre of the light in the picture itself
        assert ((here * u).sum(), (here * v).sum()) / here.sum() == pytest.approx((x, y), abs=0.5)


def test_marks_on_picture_and_wall_are_one_place():
    found = frame(k1=0.03)

    places = found.to_wall_in([px for _, px, _ in found.marks])

    assert places == pytest.approx(np.array([wall for *_, wall in found.marks]), abs=1e-9)


def test_a_planted_loss_alters_the_picture_within_its_ring_and_nowhere_else():
    loss = Loss((398.0, 108.5), 1.0)
    whole, damaged = frame(), frame(losses=(loss,))

    altered = np.argwhere(difference(whole, damaged) > 30)[:, ::-1] + 0.5

    ring = np.array(damaged.planted[0].ring_px)
    assert len(altered) > 200
    assert (altered.min(axis=0) >= ring.min(axis=0) - 3).all()
    assert (altered.max(axis=0) <= ring.max(axis=0) + 3).all()
    assert damaged.planted[0].ring_in == loss_ring(loss)


def test_a_faint_loss_alters_the_picture_less():
    whole = frame()

    full, faint = (
        difference(whole, frame(losses=(Loss((398.0, 108.5), 1.0, contrast),))).max()
        for contrast in (1.0, 0.3)
    )

    assert 0.15 * full < faint < 0.5 * full


def test_the_ring_of_a_loss_is_about_as_wide_as_it_says():
    for loss in scattered_losses(WINDOW, sizes_in=(0.25, 0.5, 1.0), contrast=1.0, seed=1):
        x, y = np.array(loss_ring(loss)).T
        area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2

        assert np.sqrt(4 * area / np.pi) == pytest.approx(loss.size_in, rel=0.15)


def test_the_same_seed_is_the_same_picture_and_another_is_another():
    assert (frame().pixels == frame().pixels).all()
    assert frame(seed=6).to_wall != pytest.approx(frame().to_wall)


def test_the_lamp_from_the_other_side_throws_the_shade_the_other_way():
    left, right = (
        frame(light=side, noise=0.5, cross_light=0.0).pixels.mean(axis=2)
        for side in ("raking-left", "raking-right")
    )

    def fine(picture):
        broad = picture.reshape(190, 4, 250, 4).mean(axis=(1, 3))
        return (broad[:, 1:] - broad[:, :-1]).ravel()

    assert np.corrcoef(fine(left), fine(right))[0, 1] < -0.3


def test_the_truth_of_a_day_is_in_the_picture():
    # source: the story: a fresh loss in C17 between the baseline and the survey after phase 1
    before, after = frame(), frame(day=date(2026, 6, 17))

    assert (difference(before, after) > 60).sum() > 50
