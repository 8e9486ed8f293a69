"""Does the HTTP API take a batch of entries whole or not at all, and give them back in order?"""

import json

import pytest

from survey.ledger.models import Entry
from survey.record.models import Observation
from survey.record.services import close_survey
from tests.support.factories import make_account, make_member, make_survey, make_wall
from tests.survey.api.drafts import entry, examination, post

pytestmark = [pytest.mark.django_db, pytest.mark.database]

PLACE = "/api/v1/walls/booking-hall/surveys/B1/entries/"
STANDING = "/api/v1/walls/booking-hall/entries/"


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines", display_name="Ines Fallow")))


@pytest.fixture
def conservator(client, survey):
    client.force_login(make_member(survey.wall, username="tomas", display_name="Tomas Sedge"))
    return client


def test_a_stored_outline_comes_back_as_the_browser_draws_it(conservator):
    response = post(conservator, PLACE, entry())

    receipt = response.json()["receipts"][0]
    assert response.status_code == 200
    assert (receipt["status"], receipt["seq"]) == ("stored", 1)
    assert receipt["outline"]["item"] == "L1"
    assert receipt["outline"]["area_sq_in"] == pytest.approx(6.0)  # 2 in by 3 in
    assert receipt["outline"]["observed_by"] == "Tomas Sedge"


def test_a_stored_examination_comes_back_as_it_now_stands(conservator):
    receipt = post(conservator, PLACE, examination()).json()["receipts"][0]

    assert receipt["examination"]["cell"] == "C03"
    assert receipt["examination"]["state"] == "seen"


def test_an_entry_names_who_carried_it_and_keeps_who_saw(conservator):
    post(conservator, PLACE, entry(observed_by="Priya Lund"))

    row = Entry.objects.get()
    assert (row.observed_by, row.recorded_by) == ("Priya Lund", "Tomas Sedge")
    assert (row.carried_by, row.device) == ("Tomas Sedge", "desk of tomas")


def test_a_batch_sent_twice_is_there_already(conservator):
    batch = [entry(), entry(item="L2")]
    post(conservator, PLACE, *batch)

    receipts = post(conservator, PLACE, *batch).json()["receipts"]

    assert [receipt["status"] for receipt in receipts] == ["already there"] * 2
    assert Entry.objects.count() == 2


def test_a_batch_with_one_bad_entry_stores_nothing(conservator):
    response = post(conservator, PLACE, entry(), entry(item="L2", condition=7), entry(item="L3"))

    assert response.status_code == 400
    assert response.json() == {
        "message": "Entry 2 of 3: condition is 7; it must be 0, 1, 2 or 3.",
        "field": "entries[1].condition",
    }
    assert Entry.objects.count() == Observation.objects.count() == 0


def test_entries_are_given_back_after_a_place(conservator):
    post(conservator, PLACE, entry(), entry(item="L2"), entry(item="L3"))

    told = conservator.get(PLACE, {"after": "1"}).json()

    assert told["head"] == 3
    assert [row["seq"] for row in told["entries"]] == [2, 3]
    assert told["entries"][0]["body"]["item"] == "L2"


def test_what_is_given_back_is_what_was_digested(conservator):
    sent = entry(note="Rand, \u20ac, \U0001f9f1")
    post(conservator, PLACE, sent)

    told = conservator.get(PLACE).json()["entries"][0]

    assert told["body"] == sent["body"]
    assert {told["id"], told["object_id"]} == {sent["id"], sent["object_id"]}
    statement = json.loads(bytes(Entry.objects.get().body))
    assert {key: told[key] for key in statement} == statement


@pytest.mark.parametrize("after", ["-1", "x", "1.5", "²", "1" * 20])
def test_a_place_that_is_no_number_is_refused(conservator, after):
    response = conservator.get(PLACE, {"after": after})

    assert response.status_code == 400
    assert response.json()["field"] == "after"


def test_a_closed_survey_refuses_what_is_newly_seen(conservator, survey):
    close_survey(survey, by="Ines Fallow")

    response = post(conservator, PLACE, entry())

    assert response.status_code == 403
    assert "Survey B1 is closed" in response.json()["message"]
    assert Entry.objects.count() == 1


def test_treatments_and_decisions_go_into_the_walls_standing_logbook(conservator, survey):
    decision = entry(kind="decision")
    decision["body"] = {
        "subject": "item",
        "item": decision["object_id"],
        "choice": "leave",
        "reason": "stable",
        "decided_by": "Ines Fallow",
    }

    response = post(conservator, STANDING, decision)

    assert response.json()["receipts"][0]["status"] == "stored"
    assert conservator.get(STANDING).json()["head"] == 1
    assert conservator.get(PLACE).json()["head"] == 0


def test_a_reader_may_read_entries_and_write_none(client, survey):
    client.force_login(make_member(survey.wall, "reader"))

    response = post(client, PLACE, entry())

    assert response.status_code == 403
    assert set(response.json()) == {"message", "field"}
    assert client.get(PLACE).status_code == 200
    assert not Entry.objects.exists()


def test_only_the_lead_closes_a_survey_through_an_entry(conservator, survey):
    closing = {**entry(kind="survey-closed"), "object_id": str(survey.id), "body": {}}

    response = post(conservator, PLACE, closing)

    assert response.status_code == 403
    assert "cannot close a survey" in response.json()["message"]
    survey.refresh_from_db()
    assert survey.state == "open"
