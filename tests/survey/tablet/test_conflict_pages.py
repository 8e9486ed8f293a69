"""Do both versions of a conflict stand side by side, and may only the right people decide?"""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from survey.ledger.drafts import Draft, Writer, new_id
from survey.people.models import Role
from survey.record.conflicts import conflicts_of
from survey.record.models import Observation, Standing
from survey.record.services import append_to_survey, close_survey
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
    observation_body,
)

pytestmark = [pytest.mark.django_db, pytest.mark.database]

LARGER = [[10.0, 10.0], [14.0, 10.0], [14.0, 13.0], [10.0, 13.0], [10.0, 10.0]]


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines", display_name="Ines Fallow")))


def say(survey, object_id, kind, body, *, by, parents=()):
    draft = Draft(
        kind=kind,
        body=body,
        object_id=object_id,
        made_at=datetime(2026, 3, 4, 9, 30, tzinfo=UTC),
        observed_by=by,
        parents=tuple(parents),
    )
    append_to_survey(survey, [draft], writer=Writer(name=by, device=f"tablet {new_id()}"))
    return draft.id


@pytest.fixture
def disputed(survey):
    """A loss that one tablet drew larger and another gave a note."""
    loss = make_observation(survey)
    larger = observation_body(survey, geometry={"type": "Polygon", "coordinates": [LARGER]})
    noted = observation_body(survey, note="Edge dirty <all round>")
    for by, body in (("Tomas Sedge", noted), ("Priya Lund", larger)):
        say(survey, loss.pk, "observation", body, by=by, parents=[loss.head_id])
    return loss.pk


@pytest.fixture
def conservator(client, survey):
    account = make_member(survey.wall, Role.CONSERVATOR, display_name="Ada Moor")
    client.force_login(account)
    return account


def page(client, survey):
    address = reverse("tablets:conflicts", args=[survey.wall.slug, survey.code])
    return client.get(address).content.decode()


def decide(client, survey, object_id, **sent):
    heads = [str(head.pk) for head in conflicts_of(survey)[0].heads]
    address = reverse("tablets:decide_conflict", args=[survey.wall.slug, survey.code, object_id])
    return client.post(address, {"heads": heads, **sent})


def test_both_versions_are_drawn_and_listed_with_who_said_them(
    client, survey, disputed, conservator
):
    shown = page(client, survey)

    assert shown.count('class="plate-cut"') == 2
    # Each drawing has its own version solid and the other one dashed.
    assert shown.count('class="cut-this"') == shown.count('class="cut-other"') == 2
    for name in ("Tomas Sedge", "Priya Lund", "Outline L1, paint loss"):
        assert name in shown
    # 2 in by 3 in, and 4 in by 3 in.
    assert "area of 6.00 sq in" in shown and "area of 12.00 sq in" in shown


def test_the_fields_that_differ_come_first_and_are_named(client, survey, disputed, conservator):
    shown = page(client, survey)

    assert shown.index(">Note<") < shown.index(">Term<")
    assert "Field by field: 2 differ" in shown
    assert "Edge dirty &lt;all round&gt;" in shown


def test_keeping_a_version_leaves_no_conflict(client, survey, disputed, conservator):
    kept = conflicts_of(survey)[0].heads[1].pk

    answer = decide(client, survey, disputed, kept=str(kept))

    assert answer.status_code == 302
    assert "No conflict waits" in page(client, survey)
    row = Observation.objects.get(pk=disputed)
    assert (row.standing, row.area_sq_in) == (Standing.STANDS, 12.0)
    assert row.head.recorded_by == "Ada Moor"


def test_withdrawing_needs_a_reason_that_stays_typed(client, survey, disputed, conservator):
    refused = decide(client, survey, disputed, do="withdraw", reason="")
    assert refused.status_code == 400
    assert "reason is empty" in refused.content.decode()

    decide(client, survey, disputed, do="withdraw", reason="Neither follows the edge.")

    assert Observation.objects.get(pk=disputed).standing == Standing.WITHDRAWN


def test_what_changed_since_the_page_was_shown_is_not_decided(
    client, survey, disputed, conservator
):
    kept = conflicts_of(survey)[0].heads[0].pk
    address = reverse("tablets:decide_conflict", args=[survey.wall.slug, survey.code, disputed])

    answer = client.post(address, {"heads": [str(kept)], "kept": str(kept)})

    assert answer.status_code == 400
    assert "has changed since the page was shown" in answer.content.decode()
    assert len(conflicts_of(survey)) == 1


def test_who_decides_second_is_told_so(client, survey, disputed, conservator):
    heads = [str(head.pk) for head in conflicts_of(survey)[0].heads]
    address = reverse("tablets:decide_conflict", args=[survey.wall.slug, survey.code, disputed])
    client.post(address, {"heads": heads, "kept": heads[0]})

    answer = client.post(address, {"heads": heads, "kept": heads[1]})

    assert answer.status_code == 400
    assert "has changed since the page was shown" in answer.content.decode()


def test_garbage_in_the_form_is_refused_in_words(client, survey, disputed, conservator):
    answer = decide(client, survey, disputed, kept="'; DROP TABLE")

    assert answer.status_code == 400
    assert len(conflicts_of(survey)) == 1


def test_a_closed_survey_still_takes_the_decision(client, survey, disputed, conservator):
    close_survey(survey, by="Ines Fallow")
    kept = conflicts_of(survey)[0].heads[0].pk

    assert decide(client, survey, disputed, kept=str(kept)).status_code == 302
    assert conflicts_of(survey) == []


def test_examinations_of_one_cell_are_drawn_by_what_they_saw(client, survey, conservator):
    cell = new_id()
    body = {"layout": 1, "cell": "C03", "mode": "normal"}
    hidden = {"geometry": {"type": "Polygon", "coordinates": [LARGER]}, "cause": "tie"}
    say(survey, cell, "examination", {**body, "state": "touch"}, by="Tomas Sedge")
    part = {**body, "state": "part-hidden", "hidden": [hidden]}
    say(survey, cell, "examination", part, by="Priya Lund")

    shown = page(client, survey)

    assert "Examination of cell C03, normal light" in shown
    assert 'class="cut-touch"' in shown and 'class="cut-hidden"' in shown


def test_a_withdrawal_against_a_change_is_shown_as_one(client, survey, conservator):
    loss = make_observation(survey)
    body = observation_body(survey, note="Grown")
    say(survey, loss.pk, "observation", body, by="Priya Lund", parents=[loss.head_id])
    gone = {"reason": "A splash of paint."}
    say(survey, loss.pk, "withdrawal", gone, by="Tomas Sedge", parents=[loss.head_id])

    shown = page(client, survey)

    assert "Withdrawal: not there" in shown and "A splash of paint." in shown
    assert shown.count('class="plate-cut"') == 2


def test_sessions_without_a_place_are_compared_without_a_drawing(client, survey, conservator):
    session = new_id()
    body = {
        "state": "open",
        "label": "4 March",
        "opened_at": "2026-03-04T08:00:00Z",
        "observer": "Priya Lund",
        "recorder": "Priya Lund",
        "mode": "normal",
    }
    first = say(survey, session, "session", body, by="Priya Lund")
    for minutes in (2.5, 4.0):
        changed = {**body, "minutes": {"C03": minutes}}
        say(survey, session, "session", changed, by="Priya Lund", parents=[first])

    shown = page(client, survey)

    assert "Session 4 March" in shown
    assert 'class="plate-cut"' not in shown
    assert "C03 2.5" in shown and "C03 4" in shown


def test_a_reader_sees_the_versions_and_no_button(client, survey, disputed):
    client.force_login(make_member(survey.wall, Role.READER))

    shown = page(client, survey)

    assert "Priya Lund" in shown
    assert "Keep version" not in shown


def test_who_may_decide_is_told_on_the_pages_of_wall_and_survey(client, survey, disputed):
    client.force_login(make_member(survey.wall, Role.CONSERVATOR))
    address = reverse("record:survey", args=[survey.wall.slug, survey.code])

    assert "Survey B1: 1 conflict waits for a decision" in client.get(address).content.decode()
