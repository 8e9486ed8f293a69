"""Is a slate read from a photograph of it, and is a pattern that is not ours passed over?"""

import io
import json
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from survey.photos.slates import read_slate_text, slates_of, texts_in
from tests.survey.photos.camera import NINE, frame, slate_frame, slate_text

VECTORS = Path(__file__).parents[2] / "vectors" / "slates.json"


def grey(data):
    with Image.open(io.BytesIO(data)) as picture:
        return np.asarray(picture.convert("L"))


def slates(data):
    return slates_of(texts_in(grey(data)))


@pytest.mark.parametrize("seed", range(12))
def test_a_slate_is_read_askew_noisy_and_a_little_blurred(seed):
    text = slate_text(cell="C17", number=seed, at=NINE, mode="raking", side="left")

    found = slates(slate_frame(text, taken=NINE, seed=seed))

    assert [(one.cell, one.mode, one.side, one.number) for one in found] == [
        ("C17", "raking", "left", seed)
    ]
    assert found[0].at == NINE


def test_a_slate_turned_upside_down_is_read():
    text = slate_text(cell="C17", number=3, at=NINE)
    upright = grey(slate_frame(text, taken=NINE))

    assert slates_of(texts_in(np.rot90(upright, 2)))[0].cell == "C17"


def test_a_frame_without_a_slate_shows_none():
    assert slates(frame(size_px=(1200, 800))) == ()


VALUES = json.loads(VECTORS.read_text(encoding="utf-8"))


@pytest.mark.parametrize("value", VALUES["slates"], ids=lambda value: value["text"])
def test_a_text_is_read_as_the_deck_page_writes_it(value):
    found = read_slate_text(value["text"])

    said = value["slate"]
    assert found is not None
    assert (found.wall, found.survey, found.cell) == (said["wall"], said["survey"], said["cell"])
    assert (found.mode, found.side, found.number) == (said["mode"], said["side"], said["number"])
    assert found.at == datetime.fromisoformat(said["at"]).astimezone(UTC)


@pytest.mark.parametrize("text", VALUES["none_of_ours"])
def test_a_text_that_is_not_ours_is_passed_over(text):
    assert read_slate_text(text) is None
