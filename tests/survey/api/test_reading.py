"""Does the API give what a survey shows: outlines ready to draw, examinations, bytes, and a schema?"""

import json
from pathlib import Path

import pytest
from django.core.management import call_command

from survey.ledger.blobs import blob_path, keep_blob
from survey.photos.models import Photograph
from tests.support.factories import (
    make_account,
    make_member,
    make_observation,
    make_survey,
    make_wall,
)
from tests.survey.api.drafts import entry, examination, post

pytestmark = [pytest.mark.django_db, pytest.mark.database]

BASE = "/api/v1/walls/booking-hall/surveys/B1/"
PICTURE = b"not really a picture, but its bytes"


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines")))


@pytest.fixture
def reader(client, survey):
    client.force_login(make_member(survey.wall, "reader"))
    return client


def test_the_shapes_of_a_survey_are_its_standing_outlines(reader, survey):
    first = make_observation(survey, note='said "here", and €')
    make_observation(survey, item="L2")

    response = reader.get(f"{BASE}shapes/")

    told = response.json()
    assert response["Content-Type"] == "application/json"
    assert (told["survey"], told["head"]) == ("B1", 2)
    outline = next(row for row in told["outlines"] if row["id"] == str(first.pk))
    assert outline["geometry"]["coordinates"][0][1] == [12.0, 10.0]
    assert outline["note"] == 'said "here", and €'
    assert {
        "entry", "item", "term", "mode", "basis", "cells", "continues", "condition", "urgency",
        "observed_by", "observed_on", "area_sq_in", "perimeter_in", "length_in",
        "boundary_error_in", "conflict",
    } <= set(outline)  # fmt: skip


def test_an_empty_survey_has_no_shapes(reader):
    told = reader.get(f"{BASE}shapes/").json()

    assert told == {"survey": "B1", "head": 0, "outlines": []}


def test_examinations_say_how_each_cell_was_looked_at(client, survey):
    client.force_login(make_member(survey.wall))
    post(client, f"{BASE}entries/", examination(state="touch", done=True))

    rows = client.get(f"{BASE}examinations/").json()["examinations"]

    assert [(row["cell"], row["mode"], row["state"], row["done"]) for row in rows] == [
        ("C03", "normal", "touch", True)
    ]


@pytest.fixture
def photograph(client, survey):
    blob = keep_blob(PICTURE, mime="image/jpeg")
    client.force_login(make_member(survey.wall, username="carrier"))
    sent = entry(kind="photograph")
    sent["body"] = {
        "digest": blob.digest,
        "name": "C17.jpg",
        "mode": "normal",
        "role": "record",
        "width_px": 10,
        "height_px": 8,
    }
    response = post(client, f"{BASE}entries/", sent)
    assert response.status_code == 200, response.content
    client.logout()
    return Photograph.objects.get()


def test_the_bytes_of_a_photograph_go_to_those_who_may_see_its_wall(client, survey, photograph):
    client.force_login(make_member(survey.wall, "reader"))

    response = client.get(f"/api/v1/blobs/{photograph.blob_id}")

    assert b"".join(response.streaming_content) == PICTURE
    assert response["Content-Type"] == "image/jpeg"
    assert "immutable" in response["Cache-Control"]


def test_the_bytes_of_a_photograph_are_hidden_from_strangers(client, photograph):
    client.force_login(make_account())

    hidden = client.get(f"/api/v1/blobs/{photograph.blob_id}")
    unknown = client.get(f"/api/v1/blobs/{'0' * 64}")

    assert hidden.status_code == unknown.status_code == 404
    assert hidden.json() == unknown.json()


def test_bytes_that_the_store_lost_are_said_to_be_lost(client, survey, photograph):
    client.force_login(make_member(survey.wall, "reader"))
    Path(blob_path(photograph.blob_id)).unlink()

    response = client.get(f"/api/v1/blobs/{photograph.blob_id}")

    assert response.status_code == 404
    assert "has lost the bytes" in response.json()["message"]


def test_the_schema_names_every_route_of_the_api(reader):
    schema = json.loads(reader.get("/api/v1/schema/").content)

    assert set(schema["paths"]) == {
        "/api/v1/blobs/{digest}",
        "/api/v1/walls/{wall}/entries/",
        "/api/v1/walls/{wall}/surveys/{code}/entries/",
        "/api/v1/walls/{wall}/surveys/{code}/examinations/",
        "/api/v1/walls/{wall}/surveys/{code}/shapes/",
    }


def test_the_schema_is_made_without_a_warning(tmp_path):
    file = tmp_path / "schema.json"

    call_command(
        "spectacular",
        "--format",
        "openapi-json",
        "--file",
        str(file),
        "--fail-on-warn",
        "--validate",
    )

    assert json.loads(file.read_text())["info"]["title"] == "Pontata"
