"""Are phases and people of a wall kept as typed, and does a wall never lose its lead?"""

from datetime import date

import pytest

from survey.people.models import Account, Role
from survey.walls.models import first_listed_activity
from tests.support.factories import make_account, make_member, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

PHASE = {
    "number": "1",
    "name": "Canopy demolition",
    "starts_on": "2026-03-16",
    "ends_on": "2026-06-12",
    "works": "Breaking of the canopy's slab.",
    "activities-TOTAL_FORMS": "1",
    "activities-INITIAL_FORMS": "0",
    "activities-0-name": "scaffold erection",
    "activities-0-starts_on": "2026-02-16",
    "activities-0-ends_on": "2026-02-20",
}


@pytest.fixture
def wall():
    return make_wall(lead=make_account("ines", display_name="Ines Fallow"))


@pytest.fixture
def lead(client, wall):
    account = wall.memberships.get().account
    client.force_login(account)
    return account


def at(wall, rest):
    return f"/walls/{wall.slug}/set-up/{rest}"


def test_a_phase_is_kept_with_its_listed_activities(client, wall, lead):
    client.post(at(wall, "phases/new/"), PHASE)

    phase = wall.phases.get()
    assert (phase.number, phase.starts_on) == (1, date(2026, 3, 16))
    assert phase.activities == [
        {"name": "scaffold erection", "from": "2026-02-16", "to": "2026-02-20"}
    ]
    assert first_listed_activity(wall) == date(2026, 2, 16)


def test_a_phase_that_ends_before_it_starts_is_refused_with_both_days(client, wall, lead):
    answer = client.post(at(wall, "phases/new/"), {**PHASE, "ends_on": "2026-03-01"})

    assert answer.status_code == 400
    assert "2026-03-01 lies before the start, 2026-03-16" in answer.content.decode()
    assert not wall.phases.exists()


def test_an_activity_without_a_day_is_refused_and_the_phase_stays_typed(client, wall, lead):
    answer = client.post(at(wall, "phases/new/"), {**PHASE, "activities-0-starts_on": "soon"})

    assert answer.status_code == 400
    assert 'value="Canopy demolition"' in answer.content.decode()
    assert not wall.phases.exists()


def test_a_taken_number_does_not_overwrite_the_phase(client, wall, lead):
    client.post(at(wall, "phases/new/"), PHASE)

    answer = client.post(at(wall, "phases/new/"), {**PHASE, "name": "Another"})

    assert answer.status_code == 400
    assert wall.phases.get().name == "Canopy demolition"


def test_a_phase_is_changed_and_removed(client, wall, lead):
    client.post(at(wall, "phases/new/"), PHASE)

    client.post(at(wall, "phases/1/"), {**PHASE, "name": "Canopy off"})
    assert wall.phases.get().name == "Canopy off"

    client.post(at(wall, "phases/1/remove/"))
    assert not wall.phases.exists()


def test_an_account_that_exists_is_added_by_name(client, wall, lead):
    make_account("gil")

    client.post(at(wall, "people/add/"), {"member-username": "gil", "member-role": "site-manager"})

    assert wall.memberships.get(account__username="gil").role == Role.SITE_MANAGER


def test_an_unknown_name_is_said_and_kept(client, wall, lead):
    answer = client.post(
        at(wall, "people/add/"), {"member-username": "nobody", "member-role": "reader"}
    )

    page = answer.content.decode()
    assert answer.status_code == 400
    assert "There is no account &#x27;nobody&#x27;" in page and 'value="nobody"' in page
    assert wall.memberships.count() == 1


def test_a_new_account_can_sign_in_and_has_its_role(client, wall, lead):
    client.post(
        at(wall, "people/new/"),
        {
            "account-username": "tomas",
            "account-display_name": "Tomas Sedge",
            "account-password": "three coats of lime",
            "account-role": "conservator",
        },
    )

    account = Account.objects.get(username="tomas")
    assert account.check_password("three coats of lime")
    assert wall.memberships.get(account=account).role == Role.CONSERVATOR


@pytest.mark.parametrize(
    ("password", "username", "said"),
    [
        ("tiny-pass", "tomas", "at least 10 characters"),
        ("3141592653589", "tomas", "numeric"),
        ("three coats of lime", "ines", "is taken"),
        ("three coats of lime", "no spaces here", "valid username"),
    ],
)
def test_a_weak_password_or_a_bad_name_makes_no_account(
    client, wall, lead, password, username, said
):
    answer = client.post(
        at(wall, "people/new/"),
        {
            "account-username": username,
            "account-display_name": "Tomas Sedge",
            "account-password": password,
            "account-role": "conservator",
        },
    )

    page = answer.content.decode()
    assert answer.status_code == 400
    assert said in page
    assert password not in page  # a password is never sent back
    assert Account.objects.count() == 1


def test_the_last_lead_cannot_be_removed_or_demoted(client, wall, lead):
    address = at(wall, f"people/{lead.pk}/")

    removed = client.post(address, {"do": "remove"})
    demoted = client.post(address, {"do": "change", "role": "reader"})

    assert (removed.status_code, demoted.status_code) == (409, 409)
    assert "is the last lead conservator" in removed.content.decode()
    assert wall.memberships.get(account=lead).role == Role.LEAD


def test_a_lead_leaves_once_there_is_another(client, wall, lead):
    make_member(wall, Role.LEAD, "priya")

    answer = client.post(at(wall, f"people/{lead.pk}/"), {"do": "remove"})

    assert answer.headers["Location"] == "/"
    assert wall.memberships.get().account.username == "priya"


def test_a_role_is_changed(client, wall, lead):
    tomas = make_member(wall, Role.READER, "tomas")

    client.post(at(wall, f"people/{tomas.pk}/"), {"do": "change", "role": "conservator"})

    assert wall.memberships.get(account=tomas).role == Role.CONSERVATOR


def test_a_role_that_there_is_not_changes_nothing(client, wall, lead):
    tomas = make_member(wall, Role.READER, "tomas")

    answer = client.post(at(wall, f"people/{tomas.pk}/"), {"do": "change", "role": "king"})

    assert answer.status_code == 409
    assert wall.memberships.get(account=tomas).role == Role.READER
