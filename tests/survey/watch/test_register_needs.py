"""Does the wall say what of its site register waits for a person, and only that?"""

from datetime import UTC, datetime

import pytest

from survey.watch.register_needs import needs_of_register
from tests.support.factories import make_wall
from tests.support.register import AGREED, FACING, LAMP_2, put

pytestmark = [pytest.mark.django_db, pytest.mark.database]

WHO = {"at": "2026-11-17T08:00:00Z", "who": "Priya Lund"}


@pytest.fixture
def wall(settings):
    settings.FIXED_CLOCK = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)
    return make_wall()


def said(wall):
    return [need.text for need in needs_of_register(wall)]


def test_a_register_in_order_asks_for_nothing(wall):
    put(wall, "protection", FACING, due_off_on="2026-12-31")
    put(wall, "enclosure", WHO, what="door", state="closed")
    put(wall, "deck-book", WHO, way="in", why="Weekly round", at="2026-11-18T08:00:00Z")
    put(wall, "agreed-dose", AGREED)
    put(wall, "lamp-use", LAMP_2)

    assert said(wall) == []


def test_water_is_an_alarm(wall):
    put(wall, "enclosure", WHO, what="leak-tape", state="wet", place="head")

    (need,) = needs_of_register(wall)

    assert need.alarm
    assert need.text == (
        "Leak tape, head: wet since 17 Nov 2026, 08:00 UTC. Everybody is told now."
    )


def test_a_facing_overdue_and_a_person_not_out_are_asked_for(wall):
    put(wall, "protection", FACING)
    put(wall, "deck-book", WHO, way="in", why="Weekly round")

    assert said(wall) == [
        "Priya Lund went in on 17 Nov 2026 and is not out by the deck book.",
        # by hand: 30 June to 18 November are 141 days
        "Facing 1: was due off on 30 Jun 2026, 141 days ago.",
    ]


def test_a_reached_dose_names_its_cells(wall):
    put(wall, "agreed-dose", AGREED, limit_lx_h=288_000.0)
    put(wall, "lamp-use", LAMP_2)

    assert said(wall) == ["The agreed dose of light is reached on C05."]
