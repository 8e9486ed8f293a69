"""Do surveys open and close by their rules?"""

from datetime import UTC, date, datetime

import pytest

from gridmap.errors import Clash, InvalidInput, NotPermitted
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry, Logbook
from survey.record.models import Survey
from survey.record.services import append_to_survey, close_survey, next_item_label
from tests.support.factories import make_observation, make_survey, make_wall, observation_body

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")


@pytest.fixture
def wall():
    return make_wall()


def observed(survey, **changes):
    fields = {
        "kind": "observation",
        "body": observation_body(survey),
        "object_id": new_id(),
        "made_at": datetime(2026, 3, 3, 11, 0, tzinfo=UTC),
        "observed_by": "Tomas Sedge",
    }
    return Draft(**{**fields, **changes})


def test_a_survey_opens_with_its_own_logbook_and_the_newest_layout_and_terms(wall):
    survey = make_survey(wall, "B1", search_list={"normal": ["paint-loss"]})

    assert survey.state == "open"
    assert survey.logbook.name == "B1"
    assert (survey.layout.version, survey.vocabulary.version) == (1, 1)
    assert survey.search_list == {"normal": ["paint-loss"]}


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"code": ""}, "code", "1 to 20 letters, digits and hyphens"),
        ({"code": "B 1"}, "code", "'B 1'"),
        ({"code": "B/1"}, "code", "'B/1'"),
        ({"code": "B" * 21}, "code", "1 to 20"),
        ({"kind": "glance"}, "kind", "'glance' must be one of: baseline, round"),
        ({"ends_on": date(2026, 3, 1)}, "ends_on", "ends on 2026-03-01, before it starts on"),
        ({"modes": []}, "modes", "at least one mode"),
        ({"modes": ["torch"]}, "modes", "'torch' must be one of: normal"),
        ({"search_list": {"uv": ["retouching"]}}, "search_list", "'uv', which is not a mode"),
        ({"search_list": {"normal": ["paint-los"]}}, "term", "paint-los"),
    ],
)
def test_a_survey_is_refused_with_field_value_and_limit(wall, changes, field, message):
    before = Logbook.objects.count()

    with pytest.raises(InvalidInput) as error:
        make_survey(wall, **{"code": "B1", **changes})

    assert error.value.field == field
    assert message in error.value.message
    assert Logbook.objects.count() == before
    assert not Survey.objects.exists()


def test_a_code_stands_for_one_survey_of_a_wall(wall):
    make_survey(wall, "B1")
    make_survey(make_wall(wall="signal-box", name="Signal box"), "B1")

    with pytest.raises(Clash, match="There is a survey 'B1'"):
        make_survey(wall, "B1")


def test_a_closed_survey_takes_nothing_newly_seen(wall):
    survey = make_survey(wall)
    close_survey(survey, by="Ines Fallow", note="Lamps off.")

    with pytest.raises(NotPermitted, match="Survey B1 is closed: it takes corrections"):
        append_to_survey(survey, [observed(survey)], writer=DESK)


def test_a_survey_closed_by_somebody_else_meanwhile_takes_nothing_newly_seen(wall):
    survey = make_survey(wall)
    open_in_my_hand = Survey.objects.get()
    close_survey(survey, by="Ines Fallow")

    with pytest.raises(NotPermitted):
        append_to_survey(open_in_my_hand, [observed(survey)], writer=DESK)

    assert Entry.objects.count() == 1


def test_a_closed_survey_takes_corrections_withdrawals_and_decisions(wall):
    survey = make_survey(wall)
    first = make_observation(survey)
    other = make_observation(survey, item="L2")
    close_survey(survey, by="Ines Fallow")
    correction = observed(survey, object_id=first.pk, parents=(first.head_id,))
    withdrawal = observed(
        survey,
        kind="withdrawal",
        body={"reason": "twice"},
        object_id=other.pk,
        parents=(other.head_id,),
    )
    decision = observed(
        survey,
        kind="decision",
        body={
            "subject": "item",
            "item": str(first.pk),
            "choice": "watch",
            "reason": "edge fresh",
            "decided_by": "Ines Fallow",
        },
    )

    receipts = append_to_survey(survey, [correction, withdrawal, decision], writer=DESK)

    assert [receipt.status for receipt in receipts] == ["stored"] * 3


def test_what_was_stored_before_the_closing_may_be_sent_again(wall):
    survey = make_survey(wall)
    draft = observed(survey)
    append_to_survey(survey, [draft], writer=DESK)
    close_survey(survey, by="Ines Fallow")

    receipts = append_to_survey(survey, [draft], writer=DESK)

    assert [receipt.status for receipt in receipts] == ["already there"]


def test_a_survey_is_closed_once(wall):
    survey = make_survey(wall)
    close_survey(survey, by="Ines Fallow")

    with pytest.raises(NotPermitted):
        close_survey(survey, by="Tomas Sedge")

    assert Survey.objects.get().state == "closed"


def test_the_next_label_is_free_on_the_whole_wall(wall):
    make_observation(make_survey(wall, "B1"), item="Pl1")
    later = make_survey(wall, "P1", kind="round")
    make_observation(later, item="Pl3")

    assert next_item_label(later, "Pl") == "Pl4"
