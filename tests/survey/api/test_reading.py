"""Does the API give what a survey shows: outlines ready to draw, examinations, bytes, and a schema?"""

import io
import json
from pathlib import Path

import pytest
from django.core.management import call_command
from PIL import Image

from survey.ledger.blobs import blob_path, keep_blob
from survey.ledger.canonical import digest_of
from survey.photos.models import Photograph
from survey.photos.services import add_photograph
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
def photograph(survey):
    data = io.BytesIO()
    Image.new("RGB", (10, 8), "tan").save(data, "PNG")
    add_photograph(
        survey=survey, data=data.getvalue(), name="C17.png", mode="normal", operator="Tomas Sedge"
    )
    return Photograph.objects.get()


def test_a_digest_alone_opens_no_photograph_of_another_wall(client, survey, photograph):
    other = make_survey(make_wall(wall="waiting-room"))
    client.force_login(make_member(other.wall, username="stranger"))
    sent = entry(kind="photograph")
    sent["body"] = {
        "digest": photograph.blob_id,
        "name": "C17.png",
        "mode": "normal",
        "role": "record",
        "width_px": 10,
        "height_px": 8,
    }

    response = post(client, "/api/v1/walls/waiting-room/surveys/B1/entries/", sent)

    assert response.status_code == 400
    assert "holds no photograph with digest" in response.json()["message"]
    assert Photograph.objects.count() == 1
    assert client.get(f"/api/v1/blobs/{photograph.blob_id}").status_code == 404


def test_the_bytes_of_a_photograph_go_to_those_who_may_see_its_wall(client, survey, photograph):
    client.force_login(make_member(survey.wall, "reader"))

    response = client.get(f"/api/v1/blobs/{photograph.blob_id}")

    assert digest_of(b"".join(response.streaming_content)) == photograph.blob_id
    assert response["Content-Type"] == "image/png"
    assert "immutable" in response["Cache-Control"]


def test_bytes_that_a_tablet_called_a_page_are_never_opened_as_one(reader, survey, photograph):
    page = keep_blob(b"<script>alert(1)</script>", mime="text/html", wall=survey.wall)
    Photograph.objects.filter(pk=photograph.pk).update(blob=page)

    response = reader.get(f"/api/v1/blobs/{page.digest}")

    assert response["Content-Type"] == "application/octet-stream"
    assert response["X-Content-Type-Options"] == "nosniff"


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
        "/api/v1/instruments/{instrument}/readings/",
        "/api/v1/mosaics/{mosaic}/{z}/{x}/{y}.jpg",
        "/api/v1/photographs/{photograph}/rendition/",
        "/api/v1/session/",
        "/api/v1/tablets/",
        "/api/v1/tablets/choices/",
        "/api/v1/tablets/{tablet}/blobs/{digest}",
        "/api/v1/tablets/{tablet}/pack/",
        "/api/v1/tablets/{tablet}/pictures/{digest}",
        "/api/v1/tablets/{tablet}/pull/",
        "/api/v1/tablets/{tablet}/push/",
        "/api/v1/walls/{wall}/entries/",
        "/api/v1/walls/{wall}/pairs/{pair}/hints/{key}/acceptance/",
        "/api/v1/walls/{wall}/pairs/{pair}/hints/{key}/dismissal/",
        "/api/v1/walls/{wall}/photographs/{photograph}/placement/",
        "/api/v1/walls/{wall}/photographs/{photograph}/placement/check/",
        "/api/v1/walls/{wall}/surveys/{code}/entries/",
        "/api/v1/walls/{wall}/surveys/{code}/examinations/",
        "/api/v1/walls/{wall}/surveys/{code}/photographs/",
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
