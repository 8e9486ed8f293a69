"""Who may read the terms of a wall, and does the page show all of them?"""

import pytest
from django.urls import reverse

from survey.people.models import Role
from tests.support.factories import PASSWORD, make_account, make_member, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def wall():
    return make_wall()


@pytest.fixture
def address(wall):
    return reverse("vocabulary:terms", args=[wall.slug])


def signed_in(client, account):
    assert client.login(username=account.username, password=PASSWORD)
    return client


@pytest.mark.parametrize("role", Role)
def test_every_member_reads_all_terms_with_their_symbols(client, wall, address, role):
    page = signed_in(client, make_member(wall, role)).get(address)

    text = page.content.decode()
    assert page.status_code == 200
    assert text.count('<svg class="swatch"') == 62
    assert "Place where original colour is missing" in text
    assert "never smaller" in text


def test_a_stranger_does_not_learn_that_the_wall_exists(client, address):
    page = signed_in(client, make_account()).get(address)

    assert page.status_code == 404


def test_who_is_not_signed_in_is_sent_to_sign_in(client, address):
    page = client.get(address)

    assert page.status_code == 302
    assert "sign-in" in page["Location"]


def test_terms_are_not_written_by_this_page(client, wall, address):
    page = signed_in(client, make_member(wall, Role.LEAD)).post(address)

    assert page.status_code == 405
