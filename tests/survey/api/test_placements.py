"""Is a photograph placed over HTTP, checked before it is, and refused in the one shape?"""

import json

import pytest

from survey.jobs.models import Job
from survey.ledger.models import Entry
from survey.people.models import Role
from survey.photos.models import Placement
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.marked import CORNERS, sent, taken

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def photograph():
    return taken(make_survey(make_wall()))


@pytest.fixture
def conservator(client, photograph):
    client.force_login(make_member(photograph.survey.wall, display_name="Priya Lund"))
    return client


def post(client, photograph, body, *, last=""):
    wall = photograph.survey.wall.slug
    return client.post(
        f"/api/v1/walls/{wall}/photographs/{photograph.pk}/placement/{last}",
        data=body if isinstance(body, str) else json.dumps(body),
        content_type="application/json",
    )


def test_a_check_tells_residuals_bounds_and_a_resolution_and_keeps_nothing(conservator, photograph):
    response = post(conservator, photograph, sent(), last="check/")

    told = response.json()
    assert response.status_code == 200
    assert told["fit"]["checked"] is False
    assert told["statements"][0].startswith("Four points fit always")
    assert [point["name"] for point in told["points"]] == [name for name, *_ in CORNERS]
    assert told["px_per_in"] == 30
    assert told["error_in"] > 0
    assert len(told["bounds_in"]) == len(told["covered_in"]) == 4
    assert not Entry.objects.filter(kind="placement").exists()
    assert not Job.objects.exists()


def test_a_placement_is_created_with_its_work(conservator, photograph):
    response = post(conservator, photograph, sent(px_per_in=20))

    told = response.json()
    row, job = Placement.objects.get(), Job.objects.get()
    assert response.status_code == 201
    assert told["placement"] == str(row.head_id)
    assert row.px_per_in == 20
    assert row.head.observed_by == "Priya Lund"
    assert told["job_url"] == f"/walls/{photograph.survey.wall.slug}/jobs/{job.pk}/"
    assert job.kind == "rectify"


def test_sent_twice_it_is_one_placement(conservator, photograph):
    first = post(conservator, photograph, sent())

    second = post(conservator, photograph, sent())

    assert (first.status_code, second.status_code) == (201, 200)
    assert second.json()["placement"] == first.json()["placement"]
    assert Entry.objects.filter(kind="placement").count() == 1


@pytest.mark.parametrize("last", ["", "check/"])
@pytest.mark.parametrize(
    ("body", "field", "words"),
    [
        ("{", None, "JSON parse error"),
        ([], "points", "Send an object with points"),
        ({}, "points", "points must be a list"),
        ({"points": []}, "points", "0 points are marked"),
        ({"points": [7]}, "points", "points[0] must be an object"),
        (sent(move={"C03 upper left": [-3, 20]}), "points", "beside C03.jpg"),
        (sent(move={"C03 upper left": [1e999, 20]}), None, "JSON"),
        (sent(move={"C03 upper left": ["a", 20]}), "points", "it must be a number"),
        (sent(move={"C03 upper left": [1004.5, 60.0]}), "points", "coincide"),
        (sent(lens={"k1": "wide"}), "lens.k1", "it must be a number"),
        (sent(lens=3), "lens", "must be an object"),
    ],
)
def test_bad_points_are_refused_in_the_one_shape_and_nothing_is_kept(
    conservator, photograph, body, field, words, last
):
    response = post(conservator, photograph, body, last=last)

    told = response.json()
    assert response.status_code == 400
    assert set(told) == {"message", "field"}
    assert words in told["message"]
    assert told["field"] == field
    assert not Entry.objects.filter(kind="placement").exists()
    assert not Job.objects.exists()


@pytest.mark.parametrize("px_per_in", ["fine", True, 0, -3, 5_000])
def test_a_resolution_that_cannot_be_is_refused(conservator, photograph, px_per_in):
    response = post(conservator, photograph, sent(px_per_in=px_per_in))

    assert response.status_code == 400
    assert response.json()["field"] == "px_per_in"
    assert not Placement.objects.exists()


def test_a_reader_may_neither_check_nor_place(client, photograph):
    client.force_login(make_member(photograph.survey.wall, Role.READER))

    for last in ("", "check/"):
        assert post(client, photograph, sent(), last=last).status_code == 403
    assert not Placement.objects.exists()


def test_a_photograph_of_another_wall_is_not_found(conservator, photograph):
    other = taken(make_survey(make_wall(wall="signal-box", name="Signal box")))

    response = conservator.post(
        f"/api/v1/walls/{photograph.survey.wall.slug}/photographs/{other.pk}/placement/",
        data=json.dumps(sent()),
        content_type="application/json",
    )

    assert response.status_code == 404
    assert not Placement.objects.exists()
