"""Are colours turned into L*a*b*, compared and brought to a target as the standards have it?"""

import json
from pathlib import Path

import numpy as np
import pytest
import skimage.color
import skimage.data
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from gridmap.colour import (
    ciede2000,
    lab_to_srgb,
    scaled_to_target,
    srgb_to_lab,
    target_gain,
)
from gridmap.errors import InvalidInput

VECTORS = Path(__file__).parents[1] / "vectors" / "ciede2000.json"
# source: G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21, table 1
PAIRS = json.loads(VECTORS.read_text(encoding="utf-8"))["pairs"]
ON_THE_TIE = 13  # pair 14 lies on a tie of hues 180° apart, where rounding may go either way

labs = arrays(np.float64, 3, elements=st.floats(-80, 80, width=32)).map(
    lambda lab: np.array([abs(lab[0]) + 10, lab[1], lab[2]])
)


def test_the_paper_has_34_pairs():
    assert len(PAIRS) == 34


@pytest.mark.parametrize("number", range(34))
def test_ciede2000_agrees_with_the_pairs_of_its_paper(number):
    pair = PAIRS[number]

    found = float(ciede2000(pair["lab_1"], pair["lab_2"]))

    either = (pair["delta_e"], 4.7461) if number == ON_THE_TIE else (pair["delta_e"],)
    assert any(found == pytest.approx(value, abs=1e-4) for value in either)


@given(first=labs, second=labs)
def test_ciede2000_agrees_with_another_program(first, second):
    # source: skimage.color.deltaE_ciede2000
    theirs = float(skimage.color.deltaE_ciede2000(first, second))
    apart = abs(
        (np.degrees(np.arctan2(first[2], first[1]) - np.arctan2(second[2], second[1])) % 360) - 180
    )
    if apart > 0.01:  # off the tie of opposite hues
        assert float(ciede2000(first, second)) == pytest.approx(theirs, abs=1e-6)


@given(first=labs, second=labs)
def test_a_difference_is_the_same_both_ways_and_none_to_itself(first, second):
    assert float(ciede2000(first, second)) == pytest.approx(
        float(ciede2000(second, first)), abs=1e-9
    )
    assert float(ciede2000(first, first)) == 0.0


def test_single_precision_is_near_enough_for_pictures():
    rng = np.random.default_rng(34)
    first = rng.uniform((5, -60, -60), (95, 60, 60), (4000, 3))
    second = first + rng.normal(0, 4, first.shape)

    short = ciede2000(first.astype(np.float32), second.astype(np.float32))

    assert short.dtype == np.float32
    assert np.abs(short - ciede2000(first, second)).max() < 0.01


def test_lab_of_srgb_agrees_with_another_program():
    picture = skimage.data.astronaut()[::8, ::8]

    # source: skimage.color.rgb2lab, D65, 2° observer
    theirs = skimage.color.rgb2lab(picture)

    assert np.abs(srgb_to_lab(picture) - theirs).max() < 0.02  # its white has four digits


def test_lab_and_back_gives_the_same_bytes():
    values = np.array([0, 1, 9, 64, 128, 200, 254, 255], np.uint8)
    colours = np.stack(np.meshgrid(values, values, values), axis=-1).reshape(-1, 3)

    back = np.rint(lab_to_srgb(srgb_to_lab(colours)) * 255).astype(np.uint8)

    assert (back == colours).all()


def test_a_picture_is_brought_to_its_target():
    seen, true = (120, 128, 150), (128, 128, 128)
    patch = np.full((4, 4, 3), seen, np.uint8)

    scaled = scaled_to_target(patch, target_gain(seen, true))

    assert np.abs(scaled.astype(int) - 128).max() <= 1


def test_a_burnt_out_target_is_refused():
    with pytest.raises(InvalidInput, match="burnt out"):
        target_gain((255, 250, 240), (200, 200, 200))
