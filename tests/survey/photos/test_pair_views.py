"""Do the pages of pairs list what can be laid beside what, show how it stands, and refuse in words?"""

import json
import re
from datetime import date

import pytest
from django.urls import reverse

from survey.jobs.models import JobState
from survey.jobs.services import run_job
from survey.people.models import Role
from survey.photos.hints import accept_hint, dismiss_hint
from survey.photos.models import PicturePair
from survey.photos.pair_listing import pair_lines
from survey.photos.pair_pictures import cells_shown
from tests.support.factories import make_member, make_observation, make_survey, make_wall
from tests.survey.photos.paired import CELL, LOSSES, PRIYA, ask, frame, take, two_surveys

pytestmark = [pytest.mark.django_db, pytest.mark.database]

POSTCARD = {
    "date_words": "about 1951",
    "date_certainty": "probable",
    "source": "a postcard",
    "source_certainty": "certain",
}


@pytest.fixture
def surveys():
    return two_surveys()


@pytest.fixture
def pictured(surveys):
    before, after = surveys
    window = before.layout.grid.bounds(CELL)
    take(before, frame(window, seed=1), "before.jpg")
    take(after, frame(window, seed=2, losses=LOSSES), "after.jpg")
    return surveys


@pytest.fixture
def worker(client, surveys):
    client.force_login(make_member(surveys[0].wall, display_name="Tomas Sedge"))
    return client


def laid(surveys):
    pair = ask(*surveys)
    run_job.call(pair.job_id)
    pair.refresh_from_db()
    return pair


def listing(survey, query=""):
    return reverse("photos:pairs", args=[survey.wall.slug]) + query


def page_of(pair):
    return reverse("photos:pair", args=[pair.wall.slug, pair.pk])


def text_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def boot_of(response):
    found = re.search(r'id="pair-data"[^>]*>(.*?)</script>', response.content.decode(), re.S)
    return json.loads(found[1])


def chosen(**changes):
    return {"before": "B1", "after": "P1", "mode": "normal", "cell": CELL, **changes}


def test_a_wall_without_pictures_says_what_will_stand_there(worker, surveys):
    response = worker.get(listing(surveys[0]))

    assert response.status_code == 200
    assert "No survey of this wall has a picture yet" in text_of(response)


def test_a_wall_with_a_historical_picture_alone_has_nothing_to_pair(worker, surveys):
    window = surveys[0].layout.grid.bounds(CELL)
    for survey in surveys:
        take(survey, frame(window, seed=1), "card.jpg", role="historic", historic=POSTCARD)

    response = worker.get(listing(surveys[0]))
    asked = worker.post(listing(surveys[0]), chosen())

    assert "No survey of this wall has a picture yet" in text_of(response)
    assert cells_shown(surveys[0], "normal") == {}
    assert asked.status_code == 400
    assert not PicturePair.objects.exists()


def test_the_cells_that_both_surveys_show_lead_to_their_pictures(worker, pictured):
    page = worker.get(listing(pictured[0])).content.decode()

    assert f"cell={CELL}#pictures" in page
    assert "cell=A01#pictures" not in page
    assert "Cells with a picture in B1 and in P1: 1" in page


def test_the_pictures_of_a_cell_are_named_with_day_scale_and_error(worker, pictured):
    said = text_of(worker.get(listing(pictured[0], f"?cell={CELL}")))

    assert "before.jpg" in said
    assert "after.jpg" in said
    assert re.search(r"\d+ px/in; a place on it ± 0\.\d\d in", said)


def test_an_address_with_one_survey_alone_lays_it_beside_the_one_before(worker, pictured):
    later = worker.get(listing(pictured[0], "?after=P1"))
    first = worker.get(listing(pictured[0], "?after=B1"))

    for response in (later, first):
        assert response.context["before"].code == "B1"
        assert response.context["after"].code == "P1"


def test_a_survey_without_pictures_can_be_chosen_and_is_said_to_have_none(worker, pictured):
    make_survey(
        pictured[0].wall, "P9", starts_on=date(2026, 9, 1), ends_on=date(2026, 9, 3), kind="round"
    )

    response = worker.get(listing(pictured[0], "?after=P9"))

    assert response.status_code == 200
    assert "P9, 1 Sep 2026, no picture yet" in text_of(response)
    assert "No cell has a picture in both surveys" in text_of(response)


def test_asking_for_a_pair_starts_the_work_and_leads_to_its_page(worker, pictured):
    response = worker.post(listing(pictured[0]), chosen())

    pair = PicturePair.objects.get()
    assert response.headers["Location"] == page_of(pair)
    waiting = text_of(worker.get(page_of(pair)))
    assert "Waiting for the worker" in waiting
    assert "Cancel this work" in waiting


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"before": "P1", "after": "B1"}, "is not earlier than B1"),
        ({"mode": "raking"}, "has no picture of C03 on the wall in raking light"),
        ({"cell": "Z99"}, "Z99"),
        ({"before": "X1"}, "X1"),
    ],
)
def test_what_cannot_be_paired_is_refused_in_words_and_starts_nothing(
    worker, pictured, changes, words
):
    response = worker.post(listing(pictured[0]), chosen(**changes))

    assert response.status_code == 400
    assert words in text_of(response)
    assert not PicturePair.objects.exists()


def test_a_picture_chosen_before_it_was_withdrawn_from_the_cell_is_refused(worker, pictured):
    response = worker.post(listing(pictured[0]), chosen(first="copy:gone"))

    assert response.status_code == 400
    assert "does not show C03 any more" in text_of(response)


def test_the_list_tells_how_many_hints_nobody_has_answered(worker, pictured):
    pair = laid(pictured)
    keys = [hint["key"] for hint in pair.hints]
    accept_hint(pair, keys[0], term="paint-loss", writer=PRIYA)
    dismiss_hint(pair, keys[1], reason="Dust.", writer=PRIYA)

    [line] = pair_lines(pair.wall)

    assert (line.unanswered, line.accepted) == (len(keys) - 2, 1)
    assert line.sign == str(len(keys) - 2)
    assert "Compared" in text_of(worker.get(listing(pictured[0])))


def test_a_pair_shows_both_pictures_difference_quality_and_hints(worker, pictured):
    pair = laid(pictured)

    response = worker.get(page_of(pair))

    boot = boot_of(response)
    assert boot["before"]["url"] == f"/api/v1/blobs/{pair.before_blob_id}"
    assert boot["after"]["url"] == f"/api/v1/blobs/{pair.after_blob_id}"
    assert boot["difference"] == f"/api/v1/blobs/{pair.difference_blob_id}"
    assert (boot["before"]["survey"], boot["after"]["survey"]) == ("B1", "P1")
    assert boot["quality"]["error_in"] == pair.quality["error_in"]
    assert [hint["number"] for hint in boot["hints"]] == [1, 2, 3]
    assert all(hint["answer"] is None for hint in boot["hints"])
    assert boot["can_record"] is True
    for address in (boot["before"]["url"], boot["after"]["url"], boot["difference"]):
        assert worker.get(address).status_code == 200


def test_a_refused_pair_says_why_and_keeps_both_pictures(worker, surveys):
    window = surveys[0].layout.grid.bounds(CELL)
    for survey, side in zip(surveys, ("left", "right"), strict=True):
        shot = frame(window, seed=3, light=f"raking-{side}")
        take(survey, shot, f"{side}.jpg", mode="raking", lamp_side=side)
    pair = ask(*surveys, mode="raking")
    run_job.call(pair.job_id)

    response = worker.get(page_of(pair))

    boot = boot_of(response)
    assert "Not compared." in text_of(response)
    assert "light and shade of the relief change places" in text_of(response)
    assert boot["difference"] is None
    assert boot["before"]["url"] and boot["after"]["url"]
    assert boot["hints"] == []


def test_failed_work_says_why_and_can_be_started_again(worker, pictured):
    pair = ask(*pictured)
    pair.job.state, pair.job.message = JobState.FAILED, "The copy cannot be opened."
    pair.job.save()

    listed = text_of(worker.get(listing(pictured[0])))
    shown = text_of(worker.get(page_of(pair)))
    response = worker.post(reverse("photos:pair_again", args=[pair.wall.slug, pair.pk]))

    assert "Failed The copy cannot be opened. Start again" in listed
    assert "The copy cannot be opened." in shown
    assert "Start again" in shown
    assert response.headers["Location"] == page_of(pair)
    before = pair.job_id
    pair.refresh_from_db()
    assert pair.job_id != before
    assert not pair.job.ended


def test_a_reader_sees_a_pair_and_answers_none_of_its_hints(client, pictured):
    pair = laid(pictured)
    client.force_login(make_member(pair.wall, Role.READER))

    assert boot_of(client.get(page_of(pair)))["can_record"] is False


def test_a_pair_of_another_wall_is_not_found_under_this_one(worker, pictured):
    pair = laid(pictured)
    other = make_wall(wall="elsewhere", name="Elsewhere")
    worker.force_login(make_member(other))

    response = worker.get(reverse("photos:pair", args=["elsewhere", pair.pk]))

    assert response.status_code == 404


def test_photograph_item_and_comparison_lead_to_the_pairs(worker, pictured):
    before, after = pictured
    pair = laid(pictured)
    item = make_observation(after)
    make_observation(before)
    slug = before.wall.slug

    photograph = worker.get(reverse("photos:photograph", args=[slug, pair.after["id"]]))
    of_item = worker.get(reverse("record:item", args=[slug, item.pk]))
    compared = worker.get(reverse("compare:result", args=[slug, "B1", "P1"]))
    overview = worker.get(reverse("photos:overview", args=[slug]))

    assert page_of(pair) in photograph.content.decode()
    assert f"?after=P1&amp;mode=normal&amp;cell={CELL}#pictures" in photograph.content.decode()
    assert f"?after=P1&amp;cell={item.cells[0]}#pictures" in of_item.content.decode()
    assert f"{listing(before)}?before=B1&amp;after=P1" in compared.content.decode()
    assert listing(before) in overview.content.decode()
