"""Do the invented days on the deck come into the logbook as they would from a tablet?"""

import pytest

from demo_fixtures.deck_days import CODE, deck_days
from demo_fixtures.load import load_deck_days, load_surveys, load_wall
from survey.tablet.deck_log import deck_log, open_stops

pytestmark = [pytest.mark.django_db, pytest.mark.database]


def test_the_days_on_the_deck_are_kept_once_and_no_stop_stands():
    wall = load_wall(say=str)
    surveys = load_surveys(wall)
    load_deck_days(surveys, say=str)
    load_deck_days(surveys, say=str)

    log = deck_log(surveys[CODE])

    assert surveys[CODE].logbook.entries.count() == len(deck_days())
    assert (len(log.sessions), len(log.checks), len(log.readings)) == (2, 2, 3)
    assert (len(log.fragments), len(log.stops)) == (1, 1)
    assert open_stops(wall) == []


def test_the_days_are_the_same_each_time():
    assert deck_days() == deck_days()
