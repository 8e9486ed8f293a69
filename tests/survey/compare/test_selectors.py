"""Does the record reach the comparison as it was made: hands, sessions, what was looked for?"""

from datetime import date
from uuid import uuid4

import pytest

from survey.clock import moment
from survey.compare.selectors import comparison, survey_record
from survey.ledger.drafts import Draft, Writer
from survey.record.services import append_to_survey
from tests.support.factories import make_observation, make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def baseline():
    return make_survey(make_wall())


def later(baseline, code, month):
    day = date(2026, month, 15)
    return make_survey(baseline.wall, code, kind="round", starts_on=day, ends_on=day)


def examine(survey, cell="G01", **body):
    draft = Draft(
        kind="examination",
        body={"layout": 1, "cell": cell, "mode": "normal", "state": "seen", **body},
        object_id=uuid4(),
        made_at=moment(),
        observed_by="Tomas Sedge",
    )
    append_to_survey(survey, [draft], writer=Writer(name="Tomas Sedge", device="desk"))


def test_a_tap_keeps_the_hand_and_session_of_the_last_drawing(baseline):
    drawn = make_observation(baseline, by="Priya Lund")
    round_one, round_two = later(baseline, "R1", 4), later(baseline, "R2", 5)
    seen = make_observation(
        round_one, by="Tomas Sedge", basis="seen-no-change", continues=[str(drawn.pk)]
    )
    make_observation(round_two, by="Ines Fallow", basis="seen-no-change", continues=[str(seen.pk)])

    outline = survey_record(round_two).outlines[0]

    assert outline.hand == "Priya Lund"
    assert outline.session == drawn.session


def test_a_drawn_copy_is_of_the_hand_that_edited_it(baseline):
    drawn = make_observation(baseline, by="Priya Lund")
    round_one = later(baseline, "R1", 4)
    make_observation(round_one, by="Tomas Sedge", basis="edited-copy", continues=[str(drawn.pk)])

    assert survey_record(round_one).outlines[0].hand == "Tomas Sedge"


def test_without_examinations_nothing_is_compared(baseline):
    make_observation(baseline)
    round_one = later(baseline, "R1", 4)
    make_observation(round_one)

    found = comparison(baseline, round_one)

    assert found.compared_sq_in == 0.0
    assert {item.finding for item in found.items} == {"not comparable"}


def test_a_cell_with_an_agreed_search_list_asserts_nothing_until_it_is_done(baseline):
    listed = make_survey(
        baseline.wall,
        "R1",
        kind="round",
        starts_on=date(2026, 4, 15),
        ends_on=date(2026, 4, 15),
        search_list={"normal": ["paint-loss"]},
    )
    examine(listed)
    assert survey_record(listed).searched["normal"]["paint-loss"].is_empty

    examine(listed, cell="G02", done=True)
    assert survey_record(listed).searched["normal"]["paint-loss"].area == 24.0 * 24.0
    assert survey_record(listed).searched["normal"]["dust"].is_empty


def test_without_any_search_list_every_term_was_looked_for(baseline):
    examine(baseline)

    assert survey_record(baseline).searched["normal"] is None


def test_a_loss_missing_from_a_finished_cell_is_not_found(baseline):
    make_observation(baseline)
    examine(baseline, done=True)
    round_one = later(baseline, "R1", 4)
    examine(round_one, done=True)

    assert [item.finding for item in comparison(baseline, round_one).items] == ["not found"]


def test_a_comparison_is_renewed_when_an_entry_comes(baseline):
    make_observation(baseline)
    examine(baseline)
    round_one = later(baseline, "R1", 4)
    examine(round_one)
    before = comparison(baseline, round_one)

    make_observation(round_one, item="L2")

    assert comparison(baseline, round_one) != before
    assert comparison(baseline, round_one) is comparison(baseline, round_one)
