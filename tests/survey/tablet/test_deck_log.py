"""Does the deck log say what tablets noted, and does an open stop stand before everything?"""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from survey.ledger.drafts import Draft, Writer, new_id
from survey.people.models import Role
from survey.record.services import append_to_survey, close_survey
from survey.tablet.deck_log import deck_log, open_stops
from tests.support.factories import make_account, make_member, make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

STOP = {
    "noticed_at": "2026-11-18T08:40:00Z",
    "activity": "Breaker below the deck",
    "cells": ["C03"],
    "state": "open",
}
SESSION = {
    "state": "open",
    "label": "18 Nov, columns 3 and 4",
    "opened_at": "2026-11-18T08:00:00Z",
    "observer": "Priya Lund",
    "recorder": "Tomas Sedge",
    "cells": ["C03", "C04"],
    "mode": "raking",
    "lamps": [],
    "cautions_read": True,
    "minutes": {},
    "rechecks": [],
}


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines", display_name="Ines Fallow")), "W1")


def say(survey, kind, body, *, object_id=None, parents=(), by="Priya Lund"):
    draft = Draft(
        kind=kind,
        body=body,
        object_id=object_id or new_id(),
        made_at=datetime(2026, 11, 18, 9, 0, tzinfo=UTC),
        observed_by=by,
        parents=tuple(parents),
    )
    append_to_survey(survey, [draft], writer=Writer(name=by, device=f"tablet of {by}"))
    return draft


def read(client, survey, name="tablets:deck_log", *, role=Role.READER):
    client.force_login(make_member(survey.wall, role))
    return client.get(reverse(name, args=[survey.wall.slug, survey.code])).content.decode()


def test_a_stop_of_which_nobody_was_told_says_so_in_words(client, survey):
    say(survey, "stop", STOP)

    page = read(client, survey)

    assert "Breaker below the deck" in page
    assert "Nobody has been told yet." in page


def test_who_was_told_is_named_with_number_and_minute(client, survey):
    told = [{"who": "Gil Alder", "number": "555-0142", "at": "2026-11-18T08:44:00Z"}]
    say(survey, "stop", {**STOP, "told": told})

    page = read(client, survey)

    assert "Gil Alder" in page and "555-0142</span> at 08:44 UTC" in page
    assert "Nobody has been told" not in page


def test_an_open_stop_is_read_first_on_the_wall_and_the_survey(client, survey):
    say(survey, "stop", STOP)

    for name, arguments in (("record:wall", []), ("record:survey", [survey.code])):
        client.force_login(make_member(survey.wall, Role.READER))
        page = client.get(reverse(name, args=[survey.wall.slug, *arguments])).content.decode()
        assert "notice-alarm" in page
        assert "Works stopped, survey W1, 18 Nov 2026, 08:40 UTC" in page
        assert "Nobody has been told yet." in page


def test_an_open_stop_is_read_first_among_all_the_readers_walls(client, survey):
    say(survey, "stop", STOP)
    client.force_login(make_member(survey.wall, Role.CONSERVATOR))

    page = client.get(reverse("walls:start")).content.decode()

    first = page.index("<li", page.index("What needs you"))
    assert page[first:].startswith('<li class="notice notice-alarm">')
    assert "Works stopped, survey W1" in page


def test_the_wall_page_says_a_stop_once(client, survey):
    say(survey, "stop", STOP)
    client.force_login(make_member(survey.wall, Role.CONSERVATOR))

    page = client.get(reverse("record:wall", args=[survey.wall.slug])).content.decode()

    assert page.count("Works stopped, survey W1") == 1


def test_a_stop_of_one_survey_stands_on_the_page_of_another_under_its_own_survey(client, survey):
    say(survey, "stop", STOP)
    other = make_survey(survey.wall, "W2")

    page = read(client, other, "record:survey")

    assert page.count("Works stopped, survey W1") == 1
    assert page.index("Works stopped, survey W1") > page.index('class="wall-alarms"')


def test_a_lifted_stop_stands_no_longer_and_stays_on_the_log(client, survey):
    stop = say(survey, "stop", STOP)
    lifted = {**STOP, "state": "lifted", "lifted_because": "Looked over by two people."}
    say(survey, "stop", lifted, object_id=stop.object_id, parents=[stop.id])

    assert open_stops(survey.wall) == []
    assert "Looked over by two people." in read(client, survey)


def test_a_stop_lifted_by_one_tablet_and_left_open_by_another_stands(survey):
    stop = say(survey, "stop", STOP)
    lifted = {**STOP, "state": "lifted", "lifted_because": "Quiet again."}
    say(survey, "stop", {**STOP, "note": "More dust"}, object_id=stop.object_id, parents=[stop.id])
    say(survey, "stop", lifted, object_id=stop.object_id, parents=[stop.id])

    assert len(open_stops(survey.wall)) == 1
    assert deck_log(survey).stops[0].conflict


def test_calls_known_to_either_of_two_heads_are_all_listed(survey):
    stop = say(survey, "stop", STOP)
    for who, minute in (("Ines Fallow", 50), ("Gil Alder", 44)):
        told = [{"who": who, "at": f"2026-11-18T08:{minute}:00Z"}]
        body = {**STOP, "told": told}
        say(survey, "stop", body, object_id=stop.object_id, parents=[stop.id])

    told = deck_log(survey).stops[0].told

    assert [call["who"] for call in told] == ["Gil Alder", "Ines Fallow"]


def test_a_session_shows_its_people_its_minutes_and_that_nobody_signed(client, survey):
    opened = say(survey, "session", SESSION)
    closed = {
        **SESSION,
        "state": "closed",
        "lamp_minutes": 38.0,
        "minutes": {"C03": 2.5, "C04": 3.25},
        "rechecks": [
            {"item": str(new_id()), "cell": "C03", "first": "same", "second": "worse"},
            {"item": str(new_id()), "cell": "C04", "first": "same", "second": "same"},
        ],
    }
    say(survey, "session", closed, object_id=opened.object_id, parents=[opened.id])

    page = read(client, survey)
    session = deck_log(survey).sessions[0]

    assert (session.minutes_sum, session.rechecks_alike, session.changes) == (5.75, 1, 1)
    assert "1 of 2 answered alike" in page
    assert "not signed" in page
    assert "38.0" in page


def test_checks_readings_and_fragments_stand_with_their_units(client, survey):
    items = [
        {"what": "trays", "state": "not-in-order", "note": "full of grit"},
        {"what": "filters", "state": "not-checked"},
        {"what": "seals", "state": "in-order"},
    ]
    say(survey, "daily-check", {"checked_on": "2026-11-18", "items": items})
    reading = {"quantity": "moisture", "value": 3.4, "unit": "%", "cell": "C03"}
    say(survey, "spot-reading", reading)
    fragment = {"bag": "22", "cell": "C03", "found_on": "2026-11-18", "weight_g": 0.4}
    say(survey, "fragment", {**fragment, "photographs": ["a" * 64]})

    page = read(client, survey)

    assert "full of grit" in page
    assert "18 Nov 2026" in page
    assert '<td class="num">3.4</td><td>%</td>' in page
    assert '<td class="num">0.4</td>' in page
    assert "Photograph 1, not here yet" in page


def test_a_survey_without_days_on_the_deck_says_what_will_stand_there(client, survey):
    assert "Nothing has been brought for survey W1 yet" in read(client, survey)


def test_the_log_of_a_closed_survey_can_still_be_read(client, survey):
    say(survey, "session", SESSION)
    close_survey(survey, by="Ines Fallow")

    assert "18 Nov, columns 3 and 4" in read(client, survey)


def test_texts_from_a_tablet_are_shown_as_text(client, survey):
    say(survey, "stop", {**STOP, "activity": "<script>alert(1)</script>"})

    page = read(client, survey)

    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page
