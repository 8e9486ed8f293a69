"""Do the cautions stand where the light can hurt?"""

import pytest

from survey.photos.cautions import CAUTIONS, cautions_for
from survey.record.models import Mode


def words(*modes):
    return " ".join(s for caution in cautions_for(modes) for s in caution.sentences)


def test_ultraviolet_asks_for_goggles_covered_skin_and_warning_others():
    # source: common practice; the demand of the trade on work under ultraviolet
    for demand in ("Goggles", "Skin covered", "Warn others", "Never alone"):
        assert demand in words("uv")


def test_ultraviolet_states_the_limit_for_unprotected_eyes():
    # source: ICNIRP's limit as a lamp manual quotes it: 10,000 J/m² UV-A, 30 J/m² weighted, 8 h
    assert "10,000 J/m²" in words("uv")
    assert "30 J/m²" in words("uv")


@pytest.mark.parametrize("mode", ["normal", "raking", "infrared", "microscope"])
def test_lamps_near_the_paint_are_warned_of_wherever_one_shines(mode):
    assert "hot lamp near paint" in words(mode)
    assert "Goggles" not in words(mode)


def test_every_caution_belongs_to_a_light_that_there_is():
    assert {mode for caution in CAUTIONS for mode in caution.modes} <= set(Mode.values)
