"""Does everything that the API refuses leave it in the one shape, naming field, value and limit?"""

import json

import pytest
from django.test import Client

from survey.api.entries import MOST_ENTRIES
from survey.ledger.models import Entry, Logbook
from tests.support.factories import make_account, make_member, make_survey, make_wall
from tests.survey.api.drafts import RING, entry, examination, post

pytestmark = [pytest.mark.django_db, pytest.mark.database]

PLACE = "/api/v1/walls/booking-hall/surveys/B1/entries/"
READ = [PLACE, PLACE.replace("entries", "shapes"), PLACE.replace("entries", "examinations")]
MISSING = object()


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines")))


@pytest.fixture
def conservator(client, survey):
    client.force_login(make_member(survey.wall))
    return client


def refused(response, status):
    """Return message and field of a refusal in the pinned shape, after which nothing is stored."""
    assert response.status_code == status
    told = json.loads(response.content)
    assert set(told) == {"message", "field"}
    assert told["message"]
    assert response["Content-Type"].split(";")[0] in {
        "application/json",
        "application/vnd.oai.openapi+json",  # the schema's own
    }
    assert not Entry.objects.exists()
    return told


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ("{", "JSON parse error"),
        ("", "entries must be a list"),
        ('{"entries": [NaN]}', "JSON parse error"),
        ("[" * 100_000, "JSON parse error - it is nested too deeply"),
        (b'{"entries": "\xff"}', "JSON parse error"),
        ("[]", "entries must be a list of at least one entry"),
        ("7", "entries must be a list"),
        ('{"entries": {}}', "entries must be a list"),
        ('{"entries": []}', "entries must be a list of at least one"),
        ('{"entries": [7]}', "entries[0] must be an object, not int"),
    ],
)
def test_a_body_that_is_no_batch_is_refused(conservator, body, message):
    response = conservator.generic("POST", PLACE, body, content_type="application/json")

    assert message in refused(response, 400)["message"]


def test_another_content_type_is_refused(conservator):
    response = conservator.post(PLACE, data={"entries": "x"})

    assert "Unsupported media type" in refused(response, 415)["message"]


def test_a_body_above_the_limit_is_refused_before_it_is_read(conservator, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000

    told = refused(post(conservator, PLACE, entry(note="n" * 1_000)), 413)

    assert "above the limit of 1,000 bytes" in told["message"]


def test_another_method_is_refused(conservator):
    assert "PUT" in refused(conservator.put(PLACE), 405)["message"]


def test_more_entries_than_the_limit_are_refused(conservator):
    body = json.dumps({"entries": [{}] * (MOST_ENTRIES + 1)})

    told = refused(conservator.post(PLACE, data=body, content_type="application/json"), 400)

    assert told == {
        "message": "entries holds 1,001 entries; send at most 1,000 at once.",
        "field": "entries",
    }


ENVELOPE = [
    ({"id": MISSING}, "entries[0].id", "None; it must be a UUID"),
    ({"id": "7"}, "entries[0].id", "'7'; it must be a UUID"),
    ({"id": ["a"]}, "entries[0].id", "must be a UUID"),
    ({"object_id": "L1"}, "entries[0].object_id", "'L1'"),
    ({"kind": MISSING}, "entries[0].kind", "None; it must be text of 1 to 150"),
    (
        {"kind": "guess"},
        "kind",
        "There is no entry kind 'guess'. Known kinds: activity, ",
    ),
    ({"kind": 7}, "entries[0].kind", "is 7"),
    ({"kind_version": 2}, "kind_version", "Version 2 of kind 'observation'"),
    ({"kind_version": "1"}, "entries[0].kind_version", "'1'; it must be a whole number"),
    ({"kind_version": True}, "entries[0].kind_version", "True"),
    ({"body": MISSING}, "entries[0].body", "must be an object"),
    ({"body": []}, "entries[0].body", "must be an object"),
    ({"parents": "x"}, "entries[0].parents", "list of at most 32"),
    ({"parents": ["x"]}, "entries[0].parents", "'x'; it must be a UUID"),
    ({"parents": ["0" * 32] * 33}, "entries[0].parents", "at most 32"),
    ({"made_at": MISSING}, "entries[0].made_at", "None; it must be a date and time such as"),
    ({"made_at": "2026-03-03T10:15:00"}, "entries[0].made_at", "the time zone is missing"),
    ({"made_at": "0001-01-01T00:00:00+14:00"}, "entries[0].made_at", "between 1800 and 2200"),
    ({"observed_by": "n" * 151}, "entries[0].observed_by", "1 to 150 characters"),
    ({"observed_by": 7}, "entries[0].observed_by", "is 7"),
    ({"recorded_by": " "}, "entries[0].recorded_by", "1 to 150 characters"),
    ({"device_seq": -1}, "entries[0].device_seq", "whole number from 0"),
    ({"device_seq": 2**60}, "entries[0].device_seq", "whole number from 0"),
]


@pytest.mark.parametrize(("changes", "field", "message"), ENVELOPE)
def test_a_wrong_field_of_an_entry_is_named_with_value_and_limit(
    conservator, changes, field, message
):
    whole = {**entry(), **changes}
    sent = {key: value for key, value in whole.items() if value is not MISSING}

    told = refused(post(conservator, PLACE, sent), 400)

    assert told["field"] == field
    assert message in told["message"]


OFF = {"type": "Polygon", "coordinates": [[[10.001, 10], *RING[1:4], [10.001, 10]]]}
BODIES = [
    (entry(term="paint-los"), "term", "paint-los"),
    (entry(geometry=OFF), "geometry", "10.001 in, which is not a whole number of 1/256 in"),
    (entry(geometry={"type": {}}), "geometry", "must be an object with a type of"),
    (entry(geometry={"type": "Polygon", "coordinates": [[["1", 2]] * 4]}), "geometry", "geometry"),
    (entry(condition=7), "condition", "condition is 7; it must be 0, 1, 2 or 3"),
    (entry(boundary_error_in=13), "boundary_error_in", "from 0 to 12 in"),
    (entry(note="a\0b"), "body", "the character NUL"),
    (entry(note=2**60), "body", "canonical form"),
    (examination(cell="Z99"), "cell", "Z99"),
    (examination(state="glanced"), "state", "'glanced'"),
    ({**entry(kind="withdrawal"), "body": {"reason": "x"}}, "parents", "parents is empty"),
]


@pytest.mark.parametrize(("sent", "field", "message"), BODIES)
def test_a_wrong_field_of_a_body_is_named_with_value_and_limit(conservator, sent, field, message):
    told = refused(post(conservator, PLACE, sent), 400)

    assert told["field"] == field
    assert message in told["message"]


def test_a_number_beyond_every_float_is_refused(conservator):
    body = json.dumps({"entries": [entry(condition="VALUE")]}).replace('"VALUE"', "1e999")

    refused(conservator.post(PLACE, data=body, content_type="application/json"), 400)


def test_a_half_of_a_character_is_refused(conservator):
    refused(post(conservator, PLACE, entry(note="\ud800")), 400)


def test_without_the_page_s_token_nothing_is_written(survey):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(make_member(survey.wall))

    told = refused(post(strict, PLACE, entry()), 403)

    assert "CSRF" in told["message"]


@pytest.mark.parametrize("place", [*READ, "/api/v1/schema/", "/api/v1/walls/booking-hall/entries/"])
def test_nobody_reads_without_signing_in(client, survey, place):
    told = refused(client.get(place), 401)

    assert told["message"] == "Sign in first."


def test_nobody_writes_without_signing_in(client, survey):
    refused(post(client, PLACE, entry()), 401)


@pytest.mark.parametrize("place", READ)
def test_an_unknown_wall_and_a_foreign_wall_look_alike(conservator, place):
    make_survey(make_wall(wall="signal-box", name="Signal box"))

    foreign = refused(conservator.get(place.replace("booking-hall", "signal-box")), 404)
    unknown = refused(conservator.get(place.replace("booking-hall", "nowhere")), 404)

    assert foreign == unknown


def test_writing_to_a_foreign_wall_looks_like_writing_to_none(conservator):
    make_survey(make_wall(wall="signal-box", name="Signal box"))
    logbooks = Logbook.objects.count()

    foreign = refused(post(conservator, PLACE.replace("booking-hall", "signal-box"), entry()), 404)
    unknown = refused(post(conservator, PLACE.replace("booking-hall", "nowhere"), entry()), 404)

    assert foreign == unknown
    assert Logbook.objects.count() == logbooks


def test_an_unknown_survey_is_named_with_those_that_there_are(conservator):
    told = refused(conservator.get(PLACE.replace("B1", "B9")), 404)

    assert "There is no survey 'B9'" in told["message"]
    assert "Surveys: B1" in told["message"]
