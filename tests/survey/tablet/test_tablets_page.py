"""Does the desk say which tablets there are, how much each held, and may one be retired?"""

from datetime import UTC, datetime

import pytest
from django.test import override_settings
from django.urls import reverse

from survey.people.models import Role
from survey.tablet.models import Tablet
from survey.tablet.services import enrol
from tests.support.factories import make_member, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def tablet(survey, conservator):
    made = enrol(survey=survey, name="Deck 1", account=conservator)
    made.last_contact_at = datetime(2026, 11, 17, 16, 5, tzinfo=UTC)
    made.last_carried_by = "Tomas Sedge"
    made.received_to, made.unsent, made.photographs_unsent = 41, 7, 2
    made.save()
    return made


def page(client, survey, **asked):
    return client.get(reverse("tablets:list", args=[survey.wall.slug]), **asked).content.decode()


def retire(client, survey, tablet, **sent):
    return client.post(reverse("tablets:retire", args=[survey.wall.slug, tablet.pk]), sent)


def test_a_wall_without_tablets_says_what_will_stand_there(client, survey, conservator):
    shown = page(client, survey)

    assert "will stand here" in shown
    assert reverse("tablet:deck") in shown


def test_a_tablet_stands_with_its_people_and_what_it_held_at_its_last_contact(
    client, survey, tablet
):
    shown = page(client, survey)

    for said in ("Deck 1", "by Priya Lund", "17 Nov 2026, 16:05", "Tomas Sedge"):
        assert said in shown
    assert '<td class="num">41</td>' in shown
    assert '<strong class="due">7</strong>' in shown
    assert '<strong class="due">2</strong>' in shown


def test_a_tablet_that_was_never_heard_of_since_says_so(client, survey, conservator):
    enrol(survey=survey, name="Deck 2", account=conservator)

    assert "none yet" in page(client, survey)


def test_a_lost_tablet_is_retired_with_who_and_why(client, survey, tablet):
    retire(client, survey, tablet, why="lost", note="left on the site hoist")

    tablet.refresh_from_db()
    assert tablet.retired_because == "lost: left on the site hoist"
    shown = page(client, survey)
    assert "Lost: left on the site hoist" in shown
    assert "No tablet is in use on this wall." in shown


@pytest.mark.parametrize("why", ["", "stolen by a ghost"])
def test_a_tablet_is_not_retired_without_one_of_the_reasons(client, survey, tablet, why):
    answer = retire(client, survey, tablet, why=why)

    assert answer.status_code == 400
    assert "lost, reinstalled or handed back" in answer.content.decode()
    tablet.refresh_from_db()
    assert tablet.retired_at is None


def test_a_tablet_is_retired_once(client, survey, tablet):
    retire(client, survey, tablet, why="lost")

    assert retire(client, survey, tablet, why="handed back").status_code == 400
    tablet.refresh_from_db()
    assert tablet.retired_because == "lost"


def test_a_tablet_of_another_wall_is_not_found_here(client, survey, tablet):
    other = make_wall(wall="signal-box", name="Signal box")
    address = reverse("tablets:retire", args=[other.slug, tablet.pk])
    client.force_login(make_member(other, Role.LEAD))

    assert client.post(address, {"why": "lost"}).status_code == 404
    assert Tablet.objects.get().retired_at is None


def test_a_reader_sees_the_tablets_and_retires_none(client, survey, tablet):
    client.force_login(make_member(survey.wall, Role.READER))

    shown = page(client, survey)

    assert "Deck 1" in shown
    assert "Retire tablet" not in shown and "Take in a work file" not in shown


@override_settings(ALLOWED_HOSTS=["*"])
@pytest.mark.parametrize(
    ("host", "secure", "warned"),
    [
        ("localhost:8000", False, False),
        ("127.0.0.1:8000", False, False),
        ("[::1]:8000", False, False),
        ("192.168.1.20:8000", False, True),
        ("localhost.example.org", False, True),
        ("survey.example.org", False, True),
        ("survey.example.org", True, False),
    ],
)
def test_plain_http_off_this_machine_is_warned_of(
    client, survey, conservator, host, secure, warned
):
    # source: W3C Secure Contexts, section 3.1: loopback names and HTTPS are trustworthy
    shown = page(client, survey, headers={"host": host}, secure=secure)

    assert ("will not work offline" in shown) == warned
