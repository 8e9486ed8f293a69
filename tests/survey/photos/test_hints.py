"""Does a hint enter the record only by a person's word, once, with its error and its reason?"""

import math

import pytest

from gridmap.errors import Clash, InvalidInput, NotFound, NotPermitted
from survey.ledger.services import rebuild
from survey.photos.hints import accept_hint, dismiss_hint
from survey.photos.models import HintAnswer
from survey.photos.pair_selectors import (
    choices_for_pair,
    hints_of,
    pair_of_wall,
    pairs_of,
    pairs_to_print,
    unanswered_counts,
)
from survey.record.models import Observation
from survey.record.services import close_survey
from tests.support.factories import make_survey, make_wall
from tests.survey.photos.paired import CELL, PRIYA, compared

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def pair():
    return compared()


def key_of(pair, number=0):
    return pair.hints[number]["key"]


def test_an_accepted_hint_begins_an_observation_of_the_later_survey(pair):
    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    drawn = Observation.objects.get()
    assert drawn.survey_id == pair.after_survey_id
    assert (drawn.term, drawn.basis, drawn.mode) == ("paint-loss", "drawn", "normal")
    assert drawn.area_sq_in == pytest.approx(pair.hints[0]["area_sq_in"], rel=0.1)
    assert key_of(pair) in drawn.head.content["note"]


def test_the_observation_carries_both_errors_of_its_picture(pair):
    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    drawn = Observation.objects.get()
    assert str(drawn.picture_id) == pair.after["id"]
    expected = math.hypot(pair.before["error_in"], pair.quality["error_in"])
    assert drawn.picture_error_in == pytest.approx(expected)


def test_the_answer_names_the_observation_and_the_two_pictures(pair):
    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    answer = HintAnswer.objects.get()
    assert answer.observation_id == Observation.objects.get().pk
    assert answer.head.content["before"] == {"digest": pair.before["digest"]}
    assert answer.head.content["ring"] == pair.hints[0]["ring"]


def test_a_hint_is_accepted_once(pair):
    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    with pytest.raises(Clash, match="accepted already"):
        accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    assert Observation.objects.count() == 1


def test_a_term_that_is_not_there_leaves_neither_observation_nor_answer(pair):
    with pytest.raises((InvalidInput, NotFound)):
        accept_hint(pair, key_of(pair), term="no-such-term", writer=PRIYA)

    assert not Observation.objects.exists()
    assert not HintAnswer.objects.exists()


def test_a_closed_survey_takes_no_new_outline_from_a_hint(pair):
    close_survey(pair.after_survey, by="Ines Fallow")

    with pytest.raises(NotPermitted, match="nothing newly seen"):
        accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    assert not HintAnswer.objects.exists()


def test_a_hint_is_dismissed_with_its_reason(pair):
    dismiss_hint(pair, key_of(pair), reason="A fly sat there.", writer=PRIYA)

    answer = HintAnswer.objects.get()
    assert (answer.answer, answer.reason) == ("dismissed", "A fly sat there.")
    assert not Observation.objects.exists()


def test_a_dismissal_without_a_reason_is_refused(pair):
    with pytest.raises(InvalidInput, match="why the hint is dismissed"):
        dismiss_hint(pair, key_of(pair), reason="  ", writer=PRIYA)

    assert not HintAnswer.objects.exists()


def test_a_dismissed_hint_can_be_accepted_later(pair):
    dismiss_hint(pair, key_of(pair), reason="Dust.", writer=PRIYA)

    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    answer = HintAnswer.objects.get()
    assert (answer.answer, answer.conflict) == ("accepted", False)


def test_an_accepted_hint_cannot_be_dismissed(pair):
    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    with pytest.raises(Clash, match="accepted already"):
        dismiss_hint(pair, key_of(pair), reason="Dust.", writer=PRIYA)


def test_an_unknown_hint_is_not_found(pair):
    with pytest.raises(NotFound, match="no hint nothing"):
        dismiss_hint(pair, "nothing", reason="Dust.", writer=PRIYA)


def test_hints_are_listed_with_their_answers(pair):
    dismiss_hint(pair, key_of(pair, 1), reason="Dust.", writer=PRIYA)

    listed = hints_of(pair)

    assert [one.number for one in listed] == list(range(1, len(pair.hints) + 1))
    assert listed[0].answer is None
    assert listed[1].answer.reason == "Dust."
    counts = unanswered_counts(pairs_of(pair.after_survey))
    assert counts == {pair.pk: len(pair.hints) - 1}


def test_a_report_prints_pairs_with_an_accepted_hint(pair):
    assert pairs_to_print(pair.before_survey, pair.after_survey) == []

    accept_hint(pair, key_of(pair), term="paint-loss", writer=PRIYA)

    assert pairs_to_print(pair.before_survey, pair.after_survey) == [pair]


def test_answers_are_the_same_after_a_rebuild(pair):
    dismiss_hint(pair, key_of(pair), reason="Dust.", writer=PRIYA)
    before = HintAnswer.objects.values().get()

    rebuild(pair.after_survey.logbook)

    assert HintAnswer.objects.values().get() == before


def test_a_pair_is_found_on_its_own_wall_alone(pair):
    elsewhere = make_wall(wall="elsewhere", name="Elsewhere")

    assert pair_of_wall(pair.wall, pair.pk) == pair
    with pytest.raises(NotFound, match="no such pair of pictures on Elsewhere"):
        pair_of_wall(elsewhere, pair.pk)


def test_the_pictures_of_a_cell_can_be_chosen_with_light_date_and_error(pair):
    surveys = (pair.before_survey, pair.after_survey)

    choices = choices_for_pair(pair.wall, *surveys, "normal", CELL)

    assert [choice.key for choice in choices.before] == [f"copy:{pair.before['id']}"]
    assert choices.after[0].error_in == pair.after["error_in"]
    assert choices_for_pair(pair.wall, *surveys, "raking", CELL).before == []


def test_surveys_of_another_wall_give_no_choice(pair):
    other = make_survey(make_wall(wall="elsewhere", name="Elsewhere"))

    with pytest.raises(NotFound, match="is not of"):
        choices_for_pair(pair.wall, other, pair.after_survey, "normal", CELL)
