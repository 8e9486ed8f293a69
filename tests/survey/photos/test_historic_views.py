"""Is a historical picture taken in with its doubts, and heard only on what it can say?"""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from survey.ledger.models import Blob
from survey.photos.models import Photograph, PresenceStatement
from tests.support.factories import make_member, make_observation, make_survey, make_wall
from tests.survey.photos.camera import frame

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.fixture
def worker(client, survey):
    client.force_login(make_member(survey.wall, display_name="Tomas Sedge"))
    return client


def sent(**changes):
    said = {
        "survey": "B1",
        "file": SimpleUploadedFile("card.jpg", frame(), "image/jpeg"),
        "date_words": "summer 1951",
        "earliest": "1951-06-01",
        "latest": "1951-09-30",
        "date_certainty": "probable",
        "source": "postcard in the library's box 7",
        "source_certainty": "certain",
        "cells": "A01",
    }
    return {key: value for key, value in {**said, **changes}.items() if value is not None}


def new(survey):
    return reverse("photos:new_historical", args=[survey.wall.slug])


def one(name, photograph, *more):
    return reverse(f"photos:{name}", args=[photograph.survey.wall.slug, photograph.pk, *more])


def text_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


@pytest.fixture
def postcard(worker, survey):
    worker.post(new(survey), sent())
    return Photograph.objects.get()


def test_date_and_source_are_kept_each_with_its_certainty(postcard):
    assert postcard.role == "historic"
    assert postcard.historic == {
        "date_words": "summer 1951",
        "earliest": "1951-06-01",
        "latest": "1951-09-30",
        "date_certainty": "probable",
        "source": "postcard in the library's box 7",
        "source_certainty": "certain",
    }


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"file": None}, "Picture is empty"),
        ({"file": SimpleUploadedFile("card.jpg", b"<html>", "image/jpeg")}, "a web page"),
        ({"date_words": ""}, "Date, in words is empty"),
        ({"source": ""}, "Source is empty"),
        ({"date_certainty": "sure"}, "choose one that is offered"),
        ({"earliest": "1951-10-01"}, "exclude each other"),
        ({"cells": "Z99"}, "is no cell here"),
        ({"earliest": "last week"}, "Not before"),
    ],
)
def test_a_picture_that_cannot_be_is_refused_in_words_and_nothing_is_kept(
    worker, survey, changes, words
):
    page = worker.post(new(survey), sent(**changes))

    assert page.status_code == 400
    assert words in text_of(page)
    assert not Photograph.objects.exists()
    assert not Blob.objects.exists()


def test_the_same_bytes_are_not_taken_in_twice(worker, survey, postcard):
    page = worker.post(new(survey), sent(date_words="1952"))

    assert page.status_code == 400
    assert "The same bytes are on record as card.jpg" in text_of(page)
    assert Photograph.objects.get().historic["date_words"] == "summer 1951"


@pytest.mark.parametrize("name", ["list", "one"])
def test_the_pages_say_that_no_size_is_taken_from_it(worker, survey, postcard, name):
    listing = reverse("photos:historical", args=[survey.wall.slug])

    page = worker.get(listing if name == "list" else one("photograph", postcard))

    assert "never of size" in text_of(page)
    assert "No size, length or area is taken from" in text_of(page)


def test_date_and_source_can_be_put_right_and_no_light_is_asked_for(worker, postcard):
    page = worker.get(one("photograph", postcard))
    said = {**sent(file=None, survey=None, latest=None), "date_words": "about 1950"}

    worker.post(one("correct", postcard), {**said, "head": str(postcard.head_id)})

    postcard.refresh_from_db()
    assert postcard.historic["date_words"] == "about 1950"
    assert "latest" not in postcard.historic
    assert (postcard.role, postcard.mode) == ("historic", "normal")
    assert 'name="lamp_side"' not in page.content.decode()


def test_a_date_that_cannot_be_is_not_put_in_its_place(worker, postcard):
    said = {**sent(file=None, survey=None, earliest="1951-10-01"), "head": str(postcard.head_id)}

    page = worker.post(one("correct", postcard), said)

    assert page.status_code == 400
    assert "exclude each other" in text_of(page)
    assert Photograph.objects.get().historic["earliest"] == "1951-06-01"


def test_it_is_no_frame_of_the_survey(worker, survey, postcard):
    page = worker.get(reverse("photos:survey", args=[survey.wall.slug, "B1"]))

    assert page.context["counts"].frames == 0
    assert page.context["counts"].historic == 1
    assert str(postcard.pk) not in page.content.decode()


def test_an_answer_is_put_on_record_and_listed(worker, survey, postcard):
    loss = make_observation(survey, item="L7")
    said = {"cell": "A01", "what": "loss at the hand", "item": "L7", "answer": "absent"}

    worker.post(one("presence", postcard), said)

    statement = PresenceStatement.objects.get()
    assert (statement.answer, statement.observation_id) == ("absent", loss.pk)
    for address in (
        one("photograph", postcard),
        reverse("photos:historical", args=["booking-hall"]),
    ):
        words = text_of(worker.get(address))
        assert "loss at the hand" in words
        assert "Absent then" in words


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"answer": ""}, "The picture says is empty"),
        ({"cell": "Z99"}, "is no cell here"),
        ({"what": ""}, "What is looked for is empty"),
        ({"item": "L99"}, "no outline of this wall"),
    ],
)
def test_an_answer_that_says_nothing_is_refused_and_keeps_what_was_typed(
    worker, postcard, changes, words
):
    said = {"cell": "A01", "what": "crack", "answer": "absent", "note": "left edge", **changes}

    page = worker.post(one("presence", postcard), said)

    assert page.status_code == 400
    assert words in text_of(page)
    assert "left edge" in page.content.decode()
    assert not PresenceStatement.objects.exists()


def test_an_answer_is_given_anew_from_the_page(worker, postcard):
    worker.post(one("presence", postcard), {"cell": "A01", "what": "crack", "answer": "absent"})
    statement = PresenceStatement.objects.get()
    address = one("presence_correction", postcard, statement.pk)

    worker.post(address, {"head": str(statement.head_id), "answer": "cannot-tell"})
    late = worker.post(address, {"head": str(statement.head_id), "answer": "present"})

    statement.refresh_from_db()
    assert statement.answer == "cannot-tell"
    assert late.status_code == 400
    assert "since this page was opened" in text_of(late)


def test_a_wall_without_old_pictures_says_what_will_stand_there(worker, survey):
    page = worker.get(reverse("photos:historical", args=[survey.wall.slug]))

    assert "Take the first one in" in text_of(page)


def test_the_page_that_places_it_says_that_nothing_is_measured_on_it(worker, postcard):
    page = worker.get(one("place", postcard))

    assert "Historical picture: nothing is measured on it." in text_of(page)
    assert page.context["boot"]["photograph"]["is_historic"] is True
