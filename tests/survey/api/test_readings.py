"""May an instrument push its readings with its own key, once, and lose none of them?"""

import pytest
from django.urls import reverse

from survey.clock import moment
from survey.ledger.drafts import Writer
from survey.watch.instruments import keep_instrument
from survey.watch.keys import make_key, revoke_key
from survey.watch.models import InstrumentKey, ReadingsImport
from survey.watch.series import series
from tests.support.factories import make_wall
from tests.survey.watch.test_importing import BODY, END, START

pytestmark = [pytest.mark.django_db, pytest.mark.database]

READINGS = [["2026-03-02T09:00:00Z", "air", 14.0], ["2026-03-02T09:00:00Z", "rh", 55.0]]


@pytest.fixture
def a1():
    return keep_instrument(wall=make_wall(), body=BODY, writer=Writer("Ines Fallow", "desk"))


@pytest.fixture
def secret(a1):
    return make_key(a1, by="Ines Fallow")[1]


def push(client, instrument, body, secret=None):
    headers = {"Authorization": f"Bearer {secret}"} if secret else {}
    address = reverse("api:instrument_readings", args=[instrument.object_id])
    return client.post(address, body, content_type="application/json", headers=headers)


def test_pushed_readings_are_in_the_series_and_the_key_was_heard(client, a1, secret):
    answer = push(client, a1, READINGS, secret)

    assert answer.status_code == 201
    assert answer.json() == {"kept": 2, "new": True, "refused": []}
    assert series(a1, "air", START, END).values.tolist() == [14.0]
    assert InstrumentKey.objects.get().heard_at is not None


def test_the_same_readings_again_change_nothing(client, a1, secret):
    push(client, a1, READINGS, secret)

    answer = push(client, a1, READINGS, secret)

    assert answer.status_code == 200
    assert answer.json()["new"] is False
    assert ReadingsImport.objects.count() == 1


def test_a_refused_reading_is_named_and_loses_none_of_the_others(client, a1, secret):
    answer = push(client, a1, [*READINGS, ["2026-03-02T09:15:00Z", "rh", 131]], secret)

    assert answer.status_code == 400
    assert answer.json()["refused"][0]["line"] == 3
    assert "above 100 %" in answer.json()["refused"][0]["reason"]
    assert series(a1, "rh", START, END).values.tolist() == [55.0]


WRONG = {
    "no zone": ["2026-03-02T09:00:00", "air", 14.0],
    "no such channel": ["2026-03-02T09:00:00Z", "wind", 14.0],
    "no number": ["2026-03-02T09:00:00Z", "air", "warm"],
    "true is no number": ["2026-03-02T09:00:00Z", "air", True],
    "yet to come": ["2126-03-02T09:00:00Z", "air", 14.0],
    "no list": {"at": 1},
    "not finite": ["2026-03-02T09:00:00Z", "air", 1e999],
}


@pytest.mark.parametrize("reading", WRONG.values(), ids=WRONG.keys())
def test_what_is_no_reading_is_refused_and_nothing_is_stored(client, a1, secret, reading):
    body = [reading] if reading != WRONG["not finite"] else None
    sent = body if body is not None else '[["2026-03-02T09:00:00Z", "air", 1e999]]'

    answer = push(client, a1, sent, secret)

    assert answer.status_code == 400
    assert not ReadingsImport.objects.exists()


@pytest.mark.parametrize("body", [[], {}, "words", 7, {"readings": "x"}])
def test_a_body_that_is_no_list_of_readings_is_refused(client, a1, secret, body):
    assert push(client, a1, body, secret).status_code == 400


def test_without_a_key_nothing_is_said(client, a1):
    answer = push(client, a1, READINGS)

    assert answer.status_code == 401
    assert not ReadingsImport.objects.exists()


def test_a_revoked_key_opens_nothing(client, a1, secret):
    revoke_key(a1, InstrumentKey.objects.get().pk)

    assert push(client, a1, READINGS, secret).status_code == 403


def test_a_key_opens_its_own_instrument_and_no_other(client, a1, secret):
    body = {**BODY, "code": "A2", "serial": "40118"}
    other = keep_instrument(wall=a1.wall, body=body, writer=Writer("Ines Fallow", "desk"))

    assert push(client, other, READINGS, secret).status_code == 403
    assert not ReadingsImport.objects.exists()


def test_only_the_digest_of_a_secret_is_kept(a1, secret):
    key = InstrumentKey.objects.get()

    assert secret not in (key.digest, key.made_by, str(key.pk))
    assert key.made_at <= moment()
