"""Do the pages of the limits say what is agreed, what is offered, and what can never be found?"""

import pytest
from django.urls import reverse

from tests.support.factories import make_member, make_wall
from tests.support.watched import AIR, make_instrument, make_limit

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def wall():
    return make_wall()


def read(client, wall):
    client.force_login(make_member(wall))
    return client.get(reverse("watch:limits", args=[wall.slug])).content.decode()


def test_a_limit_that_no_instrument_can_reach_is_told_so(client, wall):
    make_instrument(wall, "A1", AIR)
    make_limit(wall, "relative-humidity", unit="%", amber=65.0, red=75.0)
    make_limit(wall, "temperature-rise", unit="K", amber=2.0, red=5.0)

    page = read(client, wall)

    assert "Nothing can be found by 1 of them." in page
    assert "<li>rise of temperature</li>" in page.lower()


def test_the_margin_computed_from_an_air_logger_counts_as_read(client, wall):
    make_instrument(wall, "A1", AIR)
    make_limit(
        wall, "condensation-margin", unit="K", amber=3.0, red=2.0, content={"direction": "below"}
    )

    assert "Nothing can be found" not in read(client, wall)
