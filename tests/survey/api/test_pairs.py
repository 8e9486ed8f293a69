"""Are hints answered over HTTP by whom may, once, with a term or a reason, and refused in one shape?"""

import pytest
from django.urls import reverse

from survey.people.models import Role
from survey.photos.models import HintAnswer
from survey.record.models import Observation
from survey.record.services import close_survey
from tests.support.factories import make_member, make_wall
from tests.survey.photos.paired import compared

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def pair():
    return compared()


@pytest.fixture
def conservator(client, pair):
    client.force_login(make_member(pair.wall, display_name="Priya Lund"))
    return client


def post(client, pair, how, body, *, key="", wall=""):
    arguments = [wall or pair.wall.slug, pair.pk, key or pair.hints[0]["key"]]
    address = reverse(f"api:hint_{how}", args=arguments)
    return client.post(address, body, content_type="application/json")


def nothing_written():
    return not Observation.objects.exists() and not HintAnswer.objects.exists()


def test_an_accepted_hint_answers_with_its_outline(conservator, pair):
    response = post(conservator, pair, "acceptance", {"term": "paint-loss", "note": "Fresh edge."})

    assert response.status_code == 201
    drawn = Observation.objects.get()
    first = response.json()["hints"][0]
    assert response.json()["entry"] == str(drawn.head_id)
    assert first["answer"]["answer"] == "accepted"
    assert first["answer"]["by"] == "Priya Lund"
    assert first["answer"]["outline"]["item"] == drawn.item
    assert f"outline={drawn.pk}" in first["answer"]["outline"]["url"]
    assert drawn.head.content["note"].startswith("Fresh edge. From hint")


def test_a_hint_can_join_an_item_by_its_label(conservator, pair):
    post(conservator, pair, "acceptance", {"term": "paint-loss", "item": "L17"})

    assert Observation.objects.get().item == "L17"


def test_a_dismissed_hint_answers_with_its_reason(conservator, pair):
    response = post(conservator, pair, "dismissal", {"reason": "A fly sat there."})

    assert response.status_code == 201
    assert response.json()["hints"][0]["answer"]["reason"] == "A fly sat there."
    assert not Observation.objects.exists()


def test_a_hint_that_is_left_stays_without_an_answer(conservator, pair):
    response = post(conservator, pair, "dismissal", {"reason": "Dust."})

    others = response.json()["hints"][1:]
    assert others
    assert all(hint["answer"] is None for hint in others)
    assert HintAnswer.objects.count() == 1


@pytest.mark.parametrize(
    ("how", "body", "field"),
    [
        ("acceptance", {}, "term"),
        ("acceptance", {"term": 7}, "term"),
        ("acceptance", {"term": "paint-loss", "note": ["x"]}, "note"),
        ("acceptance", ["paint-loss"], "term"),
        ("dismissal", {}, "reason"),
        ("dismissal", {"reason": "   "}, "reason"),
        ("dismissal", {"reason": None}, "reason"),
    ],
)
def test_an_answer_without_what_it_needs_is_refused_and_writes_nothing(
    conservator, pair, how, body, field
):
    response = post(conservator, pair, how, body)

    assert response.status_code == 400
    assert response.json()["field"] == field
    assert nothing_written()


def test_a_term_that_no_vocabulary_has_is_refused(conservator, pair):
    response = post(conservator, pair, "acceptance", {"term": "no-such-term"})

    assert response.status_code in {400, 404}
    assert "no-such-term" in response.json()["message"]
    assert nothing_written()


def test_a_hint_that_another_accepted_meanwhile_is_refused_in_words(conservator, pair):
    post(conservator, pair, "acceptance", {"term": "paint-loss"})

    response = post(conservator, pair, "acceptance", {"term": "paint-loss"})

    assert response.status_code == 409
    assert "accepted already" in response.json()["message"]
    assert Observation.objects.count() == 1


def test_a_closed_survey_answers_that_it_takes_nothing_new(conservator, pair):
    close_survey(pair.after_survey, by="Ines Fallow")

    response = post(conservator, pair, "acceptance", {"term": "paint-loss"})

    assert response.status_code == 403
    assert nothing_written()


def test_a_reader_answers_no_hint(client, pair):
    client.force_login(make_member(pair.wall, Role.READER))

    assert post(client, pair, "acceptance", {"term": "paint-loss"}).status_code == 403
    assert post(client, pair, "dismissal", {"reason": "Dust."}).status_code == 403
    assert nothing_written()


def test_a_pair_of_another_wall_takes_no_answer_under_this_one(client, pair):
    other = make_wall(wall="elsewhere", name="Elsewhere")
    client.force_login(make_member(other))

    response = post(client, pair, "dismissal", {"reason": "Dust."}, wall="elsewhere")

    assert response.status_code == 404
    assert nothing_written()


def test_an_unknown_hint_is_not_found(conservator, pair):
    assert post(conservator, pair, "dismissal", {"reason": "Dust."}, key="none").status_code == 404
