"""Does every page of treatments and decisions ask who is there, and write nothing when refused?"""

import pytest

from survey.ledger.drafts import new_id
from survey.ledger.models import Entry, Logbook
from survey.people.models import Role
from survey.record.models import Decision
from survey.treatments.models import Treatment
from survey.treatments.services import record_treatment
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
)
from tests.survey.treatments.test_deciding import TYPED as DECISION
from tests.survey.treatments.test_recording_treatments import TYPED as TREATMENT

pytestmark = [pytest.mark.django_db, pytest.mark.database]

BODY = {
    "term": "cleaned-area",
    "geometry": {
        "type": "Polygon",
        "coordinates": [[[0.0, 0.0], [24.0, 0.0], [24.0, 24.0], [0.0, 24.0], [0.0, 0.0]]],
    },
    "reason": "Soot.",
    "decided_by": "Ines Fallow",
    "condition_before": "Sound.",
    "method": "Dry.",
    "result": "Clean.",
    "operators": ["Ines Fallow"],
    "started_at": "2026-06-22T09:30:00Z",
}
READ = ["treatments/", "treatments/{treatment}/", "decisions/"]
FORMS = ["treatments/new/", "treatments/{treatment}/correct/", "surveys/B1/items/{item}/decide/"]
WRITES = {
    "treatments/new/": {**TREATMENT, "cells": "C07"},
    "treatments/{treatment}/correct/": {**TREATMENT, "place": "kept"},
    "treatments/{treatment}/withdraw/": {"reason": "By mistake."},
    "surveys/B1/items/{item}/decide/": DECISION,
}
REFUSED = [(Role.SITE_MANAGER, 403), (Role.READER, 403), (None, 404)]


@pytest.fixture
def wall():
    lead = make_account("ines")
    wall = make_wall(lead=lead)
    make_observation(make_survey(wall))
    record_treatment(wall=wall, body=BODY, account=lead)
    return wall


def at(wall, rest):
    treatment = Treatment.objects.get(logbook__wall=wall)
    item = wall.surveys.get().observations.get()
    return f"/walls/{wall.slug}/" + rest.format(treatment=treatment.pk, item=item.pk)


def sent(wall, rest):
    head = Treatment.objects.get(logbook__wall=wall).head_id
    return {**WRITES[rest], "seen_head": str(head), "object_id": str(new_id())}


def everything():
    return [
        list(model.objects.order_by("pk").values())
        for model in (Entry, Logbook, Treatment, Decision)
    ]


def sign_in(client, wall, role):
    client.force_login(make_account() if role is None else make_member(wall, role))


@pytest.mark.parametrize("rest", READ)
@pytest.mark.parametrize("role", list(Role))
def test_members_read(client, wall, rest, role):
    sign_in(client, wall, role)

    assert client.get(at(wall, rest)).status_code == 200


@pytest.mark.parametrize("rest", READ + FORMS)
def test_a_stranger_is_told_of_no_wall(client, wall, rest):
    sign_in(client, wall, None)

    assert client.get(at(wall, rest)).status_code == 404


@pytest.mark.parametrize("rest", READ + FORMS)
def test_whoever_is_not_signed_in_is_led_to_the_sign_in_page(client, wall, rest):
    assert client.get(at(wall, rest)).headers["Location"].startswith("/account/sign-in/")


@pytest.mark.parametrize("rest", list(WRITES))
@pytest.mark.parametrize("role", [Role.LEAD, Role.CONSERVATOR])
def test_conservators_write(client, wall, rest, role):
    sign_in(client, wall, role)
    before = everything()

    assert client.post(at(wall, rest), sent(wall, rest)).status_code == 302
    assert everything() != before


@pytest.mark.parametrize("rest", list(WRITES))
@pytest.mark.parametrize(("role", "status"), REFUSED)
def test_a_refused_request_writes_nothing(client, wall, rest, role, status):
    sign_in(client, wall, role)
    before = everything()

    assert client.post(at(wall, rest), sent(wall, rest)).status_code == status
    assert everything() == before


@pytest.mark.parametrize("rest", ["treatments/{treatment}/", "treatments/{treatment}/correct/"])
def test_a_treatment_is_not_reached_through_another_wall(client, wall, rest):
    lead = make_account()
    other = make_wall(wall="other", lead=lead)
    client.force_login(lead)

    assert client.get(at(wall, rest).replace(wall.slug, other.slug)).status_code == 404


def test_a_reader_is_not_offered_what_only_conservators_do(client, wall):
    sign_in(client, wall, Role.READER)

    assert "Record a treatment" not in client.get(at(wall, "treatments/")).content.decode()
    assert "Decide about an item" not in client.get(at(wall, "decisions/")).content.decode()
