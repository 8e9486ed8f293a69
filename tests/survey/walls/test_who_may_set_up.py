"""Does every set-up page ask who is there, and does a refused request change nothing?"""

import pytest

from gridmap.models import Layout, Wall
from survey.people.models import Account, Membership, Role
from survey.walls.models import Phase
from survey.walls.services import set_phase
from tests.support.factories import make_account, make_member, make_wall
from tests.survey.walls.test_describing_a_wall import TYPED
from tests.survey.walls.test_phases_and_people import PHASE

pytestmark = [pytest.mark.django_db, pytest.mark.database]

SEEN_BY_MEMBERS = ["", "layout/1/"]
OPENED_BY_LEAD = ["identity/", "layout/", "phases/new/", "phases/7/"]
WRITTEN_BY_LEAD = {
    "identity/": {"name": "Changed", "base_above_floor": "8 ft"},
    "layout/": {**TYPED, "seen_version": "1"},
    "phases/new/": PHASE,
    "phases/7/": {**PHASE, "number": "7"},
    "phases/7/remove/": {},
    "people/add/": {"member-username": "outsider", "member-role": "lead"},
    "people/new/": {
        "account-username": "made",
        "account-display_name": "Made",
        "account-password": "three coats of lime",
        "account-role": "lead",
    },
    "people/{reader}/": {"do": "change", "role": "lead"},
}
OTHERS = [(Role.CONSERVATOR, 403), (Role.SITE_MANAGER, 403), (Role.READER, 403), (None, 404)]


@pytest.fixture
def wall():
    wall = make_wall(lead=make_account("ines"))
    make_member(wall, Role.READER, "reader")
    make_account("outsider")
    set_phase(wall=wall, number=7, name="Floor", starts_on="2026-11-02", ends_on="2027-02-26")
    return wall


def at(wall, rest):
    return f"/walls/{wall.slug}/set-up/" + rest.format(reader=reader_of(wall).pk)


def reader_of(wall):
    return Account.objects.get(username="reader")


def everything():
    return [
        list(model.objects.order_by("pk").values())
        for model in (Wall, Layout, Phase, Membership, Account)
    ]


def sign_in(client, wall, role):
    client.force_login(make_account() if role is None else make_member(wall, role))
    Account.objects.update(last_login=None)


@pytest.mark.parametrize("rest", SEEN_BY_MEMBERS)
@pytest.mark.parametrize("role", list(Role))
def test_members_see_the_set_up(client, wall, rest, role):
    sign_in(client, wall, role)

    assert client.get(at(wall, rest)).status_code == 200


@pytest.mark.parametrize("rest", SEEN_BY_MEMBERS + OPENED_BY_LEAD)
def test_a_stranger_is_told_of_no_wall(client, wall, rest):
    sign_in(client, wall, None)

    assert client.get(at(wall, rest)).status_code == 404


@pytest.mark.parametrize("rest", SEEN_BY_MEMBERS + OPENED_BY_LEAD)
def test_whoever_is_not_signed_in_is_led_to_the_sign_in_page(client, wall, rest):
    assert client.get(at(wall, rest)).headers["Location"].startswith("/account/sign-in/")


@pytest.mark.parametrize("rest", OPENED_BY_LEAD)
def test_the_lead_opens_every_form(client, wall, rest):
    client.force_login(Account.objects.get(username="ines"))

    assert client.get(at(wall, rest)).status_code == 200


@pytest.mark.parametrize("rest", list(WRITTEN_BY_LEAD))
def test_the_lead_writes(client, wall, rest):
    client.force_login(Account.objects.get(username="ines"))
    before = everything()

    assert client.post(at(wall, rest), WRITTEN_BY_LEAD[rest]).status_code == 302
    assert everything() != before


@pytest.mark.parametrize("rest", list(WRITTEN_BY_LEAD))
@pytest.mark.parametrize(("role", "status"), OTHERS)
def test_a_refused_request_changes_nothing(client, wall, rest, role, status):
    sign_in(client, wall, role)
    before = everything()

    assert client.post(at(wall, rest), WRITTEN_BY_LEAD[rest]).status_code == status
    assert everything() == before


def test_only_the_lead_is_shown_the_ways_to_change(client, wall):
    sign_in(client, wall, Role.READER)

    page = client.get(at(wall, "")).content.decode()

    assert "Change the layout" not in page
    assert "Make an account" not in page
