"""Does a photograph show the invented wall as it was on its day, the same each time?"""

import hashlib
import io

import numpy as np
import pytest
from PIL import Image

from demo_fixtures.painting import draw, paint
from demo_fixtures.photographs import (
    MOSAICS,
    detail_key,
    detail_pictures,
    details,
    frame,
    light,
    mosaic,
    mosaic_key,
    mosaic_pictures,
    surface_on,
)
from demo_fixtures.truth import all_damage
from demo_fixtures.weathering import FINE_COAT

SMALL_PX_PER_IN = 1.0


@pytest.fixture(scope="module")
def damages():
    return all_damage()


def pixels(jpeg):
    return np.asarray(Image.open(io.BytesIO(jpeg)), np.float32)


def test_the_same_place_is_painted_the_same_each_time():
    window = (384.0, 96.0, 408.0, 120.0)

    first, second = (hashlib.sha256(paint(window, 8.0)[0].tobytes()).hexdigest() for _ in range(2))

    assert first == second


def test_a_cell_drawn_alone_is_a_part_of_the_bay_around_it():
    cell, _ = paint((384.0, 96.0, 408.0, 120.0), 8.0)
    bay, _ = paint((360.0, 72.0, 432.0, 144.0), 8.0)

    inner = bay[24 * 8 : 48 * 8, 24 * 8 : 48 * 8]

    # Edges of the oversampled drawing may fall a sub-pixel apart; the picture may not.
    assert np.abs(cell - inner).mean() < 1.0


def test_a_larger_scale_shows_the_same_picture():
    small, _ = draw((480.0, 24.0, 528.0, 72.0), 4.0).finished()
    large, _ = draw((480.0, 24.0, 528.0, 72.0), 16.0).finished()

    reduced = large.reshape(192, 4, 192, 4, 3).mean(axis=(1, 3))

    # Thin lines take whole pixels at the small scale, so edges differ; most of the picture may not.
    assert np.median(np.abs(small - reduced)) < 1.0
    assert np.corrcoef(small.ravel(), reduced.ravel())[0, 1] > 0.95


def test_a_loss_shows_plaster_after_it_happened_and_paint_before(damages):
    loss = next(damage for damage in damages if damage.key == "shaken-plaster")
    x, y = loss.place()
    window = (round(x) - 4.0, round(y) - 4.0, round(x) + 4.0, round(y) + 4.0)
    fell_on = loss.stages[0].since

    before = surface_on(fell_on.replace(day=1), damages, window=window, px_per_in=8.0)
    after = surface_on(fell_on, damages, window=window, px_per_in=8.0)

    centre = (slice(30, 34), slice(30, 34))
    assert np.abs(before.colour[centre] - after.colour[centre]).mean() > 15
    assert (before.heights[centre] - after.heights[centre]).mean() > 30


def test_an_old_paint_loss_shows_the_fine_coat(damages):
    x, y = next(damage for damage in damages if damage.key == "told-e05").place()

    seen = surface_on(
        MOSAICS[1].taken_at.date(), damages, window=(x - 2, y - 2, x + 2, y + 2), px_per_in=8.0
    )

    assert np.abs(seen.colour[15:17, 15:17].mean(axis=(0, 1)) - FINE_COAT).max() < 25


def test_flaking_stands_out_more_in_raking_than_in_normal_light(damages):
    flaking = next(d for d in damages if d.key == "flaking-03")
    x, y = flaking.place()
    window = (round(x) - 6.0, round(y) - 6.0, round(x) + 6.0, round(y) + 6.0)
    day = MOSAICS[1].taken_at.date()
    others = [d for d in damages if d.key != flaking.key]

    def stands_out(mode):
        having, lacking = (
            surface_on(day, some, window=window, px_per_in=8.0) for some in (damages, others)
        )
        difference = light(having, mode, salt=1) - light(lacking, mode, salt=1)
        return np.abs(difference).mean() / light(lacking, mode, salt=1).std()

    assert stands_out("raking") > stands_out("normal")


def test_a_mosaic_covers_the_wall_and_says_when_and_in_which_light(damages):
    picture = mosaic(MOSAICS[2], damages, px_per_in=SMALL_PX_PER_IN)

    assert pixels(picture.jpeg).shape == (168, 1008, 3)
    assert (picture.width_px, picture.height_px) == (1008, 168)
    assert picture.bounds_in == (0.0, 0.0, 1008.0, 168.0)
    assert (picture.survey, picture.mode, picture.lamp_side) == ("B1", "raking", "left, 8°")
    assert "invented" in picture.note


def test_raking_light_leaves_little_colour(damages):
    normal, raking = (
        pixels(mosaic(plan, damages, px_per_in=SMALL_PX_PER_IN).jpeg) for plan in MOSAICS[1:3]
    )

    def spread(image):
        return (
            image
            - image.mean(axis=2, keepdims=True)
            - (image - image.mean(axis=2, keepdims=True)).mean(axis=(0, 1))
        ).std()

    assert spread(raking) < 0.6 * spread(normal)


def test_each_full_survey_has_both_lights_and_the_floor_record_one():
    lights = {}
    for plan in MOSAICS:
        lights.setdefault(plan.survey, []).append(plan.mode)

    assert lights == {
        "F0": ["normal"],
        "B1": ["normal", "raking"],
        "P1": ["normal", "raking"],
        "P2": ["normal", "raking"],
    }


def test_a_detail_has_its_frame_on_the_wall_and_a_like_one_of_another_day(damages):
    shots = details()

    picture = frame(shots[0], damages)

    assert pixels(picture.jpeg).shape == (900, 1200, 3)
    assert all(shot.centre_in == shots[0].centre_in for shot in shots if shot.key.startswith("c17"))
    assert picture.bounds_in[0] >= 0
    assert picture.bounds_in[2] <= 1008


def test_what_is_there_already_is_not_taken_again():
    there = {mosaic_key(plan) for plan in MOSAICS} | {detail_key(plan) for plan in details()}

    assert list(mosaic_pictures(skip=there)) == []
    assert list(detail_pictures(skip=there)) == []
