"""Does a decision not to treat come on record with its reasons, and come back for review?"""

from datetime import date

import pytest
from django.test import override_settings
from django.utils.dateparse import parse_datetime

from survey.ledger.drafts import new_id
from survey.people.models import Role
from survey.record.models import Decision
from survey.treatments.selectors import item_decisions, items_undecided
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
)

pytestmark = [pytest.mark.django_db, pytest.mark.database]

TYPED = {
    "choice": "leave",
    "reason": "Stable since the baseline; any touch would cost paint.",
    "decided_by": "Ines Fallow",
    "consented_by": "Marrowby Station Trust",
    "review_on": "2027-03-01",
    "recommendation": "0",
    "refused-TOTAL_FORMS": "2",
    "refused-INITIAL_FORMS": "0",
    "refused-0-option": "facing",
    "refused-0-reason": "Tissue would pull powdering secco.",
    "refused-1-option": "consolidation",
    "refused-1-reason": "No loss of cohesion shown.",
}
NOVEMBER = parse_datetime("2026-11-18T09:00:00Z")
APRIL = parse_datetime("2027-04-01T09:00:00Z")


@pytest.fixture
def wall():
    return make_wall(lead=make_account("ines"))


@pytest.fixture
def survey(wall):
    return make_survey(wall)


@pytest.fixture
def loss(survey):
    return make_observation(survey, item="L1", condition=2)


@pytest.fixture
def tomas(client, wall):
    account = make_member(wall, Role.CONSERVATOR, "tomas", display_name="Tomas Sedge")
    client.force_login(account)
    return account


def of(item):
    return f"/walls/{item.survey.wall.slug}/surveys/{item.survey.code}/items/{item.pk}/decide/"


def decisions_page(client, wall, **query):
    return client.get(f"/walls/{wall.slug}/decisions/", query)


def test_the_decision_to_leave_as_it_is_holds_all_its_reasons(client, loss, tomas):
    client.post(of(loss), TYPED)

    decision = Decision.objects.get()
    assert (decision.choice, decision.item, decision.recommendation) == ("leave", loss.pk, 0)
    assert decision.logbook == loss.survey.logbook
    assert decision.details["refused"] == [
        {"option": "facing", "reason": "Tissue would pull powdering secco."},
        {"option": "consolidation", "reason": "No loss of cohesion shown."},
    ]
    assert decision.details["consented_by"] == "Marrowby Station Trust"
    assert decision.head.observed_by == "Tomas Sedge"


def test_a_closed_survey_still_takes_decisions(client, loss, tomas):
    loss.survey.state = "closed"
    loss.survey.save()

    assert client.post(of(loss), TYPED).status_code == 302
    assert Decision.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"choice": ""}, "is empty"),
        ({"choice": "repaint"}, "“repaint”; choose one that is offered"),
        ({"reason": " "}, "is empty"),
        ({"decided_by": ""}, "is empty"),
        ({"review_on": "spring"}, "spring"),
        ({"recommendation": "4"}, "choose one that is offered"),
        ({"refused-1-reason": ""}, "is empty"),
        ({"refused-0-option": "x" * 301}, "has 301 characters; the limit is 300"),
    ],
)
def test_a_bad_field_is_named_and_nothing_is_written(client, loss, tomas, changes, said):
    answer = client.post(of(loss), {**TYPED, **changes})

    page = answer.content.decode()
    assert answer.status_code == 400
    assert said in page
    assert "Tissue would pull powdering secco." in page
    assert not Decision.objects.exists()


def test_another_refused_option_is_had_without_scripts(client, loss, tomas):
    page = client.post(of(loss), {**TYPED, "another": "refused"}).content.decode()

    assert 'name="refused-2-option"' in page
    assert not Decision.objects.exists()


def test_a_form_sent_twice_makes_one_decision(client, loss, tomas):
    twice = {**TYPED, "object_id": str(new_id())}

    client.post(of(loss), twice)
    client.post(of(loss), {**twice, "reason": "sent again with another reason"})

    decision = Decision.objects.get()
    assert not decision.conflict
    assert decision.details["reason"] == TYPED["reason"]


def test_a_decision_is_due_from_its_review_day_on(client, wall, loss, tomas):
    client.post(of(loss), TYPED)

    with override_settings(FIXED_CLOCK=NOVEMBER):
        assert "Due for review" not in decisions_page(client, wall).content.decode()
        assert "due for review" not in client.get("/").content.decode()
    with override_settings(FIXED_CLOCK=APRIL):
        assert "Due for review" in decisions_page(client, wall).content.decode()
        assert "1 decision is due for review" in client.get("/").content.decode()


def test_a_later_decision_in_the_next_survey_ends_the_review(client, wall, loss, tomas):
    with override_settings(FIXED_CLOCK=NOVEMBER):
        client.post(of(loss), TYPED)
    following = make_survey(wall, "P1", kind="after-phase")
    make_observation(following, item="L1", continues=[str(loss.pk)])
    later = following.observations.get()

    with override_settings(FIXED_CLOCK=APRIL):
        client.post(of(later), {**TYPED, "review_on": "2028-03-01"})
        newest, earlier = item_decisions(wall, APRIL.date())

    assert (newest.superseded, newest.due) == (False, False)
    assert (earlier.superseded, earlier.due) == (True, False)


def test_a_due_decision_leads_to_the_item_as_last_drawn(client, wall, loss, tomas):
    with override_settings(FIXED_CLOCK=NOVEMBER):
        client.post(of(loss), TYPED)
    following = make_survey(
        wall, "P1", kind="after-phase", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19)
    )
    make_observation(following, item="L1", continues=[str(loss.pk)])

    with override_settings(FIXED_CLOCK=APRIL):
        page = decisions_page(client, wall).content.decode()

    assert of(following.observations.get()) in page


def test_marked_items_without_a_decision_are_offered(client, wall, survey, loss, tomas):
    make_observation(survey, item="L2", condition=1)
    urgent = make_observation(survey, item="L3", urgency=3)

    assert [item for item, _ in items_undecided(survey, at_most=9)] == [urgent, loss]
    assert of(loss) in decisions_page(client, wall).content.decode()

    client.post(of(loss), TYPED)
    assert [item for item, _ in items_undecided(survey, at_most=9)] == [urgent]


def test_an_item_is_found_by_survey_and_label(client, wall, loss, tomas):
    assert decisions_page(client, wall, survey="B1", item="l1").headers["Location"] == of(loss)

    missed = decisions_page(client, wall, survey="B1", item="L9")
    assert "Survey B1 has no outline called L9" in missed.content.decode()


def test_an_item_of_another_survey_is_not_there(client, wall, loss, tomas):
    make_survey(wall, "P1", kind="after-phase")

    assert client.get(of(loss).replace("/B1/", "/P1/")).status_code == 404
