"""Does the site register know what waits: facings past their day, people inside, water, losses above?"""

from datetime import UTC, date, datetime

import pytest

from survey.watch.enclosure import deck_book, enclosure
from survey.watch.fragments import fragments
from survey.watch.protection import protections
from tests.support.factories import make_observation, make_survey, make_wall
from tests.support.register import FACING, make_fragment, put, put_from_deck
from tests.survey.watch.test_light_ledger import SESSION

pytestmark = [pytest.mark.django_db, pytest.mark.database]

NOW = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)
BY = {"at": "2026-11-10T10:00:00Z", "by": "Ines Fallow"}
WHO = {"at": "2026-11-17T08:00:00Z", "who": "Priya Lund"}


@pytest.fixture
def wall():
    return make_wall()


def about(line):
    return {"about": str(line.object_id)}


def waits(wall, day):
    (found,) = protections(wall, day)
    return found.waits_because


def test_a_facing_waits_from_the_day_after_it_was_due_off(wall):
    put(wall, "protection", FACING)

    assert waits(wall, date(2026, 6, 30)) == ()
    assert waits(wall, date(2026, 7, 2)) == ("was due off on 30 Jun 2026, 2 days ago",)


def test_a_facing_taken_off_waits_no_more(wall):
    put(wall, "protection-removed", BY, **about(put(wall, "protection", FACING)), seen="no change")

    assert waits(wall, NOW.date()) == ()


def test_an_inspection_moves_the_next_one(wall):
    sheet = put(wall, "protection", FACING, kind="sheeting", due_off_on=None, inspect_every_days=7)
    before = waits(wall, NOW.date())
    put(wall, "protection-inspected", BY, **about(sheet), result="sound", at="2026-11-12T10:00:00Z")

    # by hand: 3 March and 7 days are 10 March, 253 days before 18 November
    assert before == ("inspection was due on 10 Mar 2026, 253 days ago",)
    assert waits(wall, NOW.date()) == ()
    assert waits(wall, date(2026, 11, 20)) == ("inspection was due on 19 Nov 2026, 1 day ago",)


@pytest.mark.parametrize(("result", "said"), [("mend", "to be mended"), ("take-off", "taken off")])
def test_what_an_inspection_found_wanting_waits(wall, result, said):
    facing = put(wall, "protection", FACING, due_off_on="2027-01-31")
    put(wall, "protection-inspected", BY, **about(facing), result=result)

    (reason,) = waits(wall, NOW.date())

    assert said in reason


def test_who_went_in_and_not_out_is_inside_and_overnight_is_said(wall):
    put(wall, "deck-book", WHO, way="in", why="Weekly round")
    put(wall, "deck-book", WHO, who="Tomas Sedge", way="in", why="Weekly round")
    put(wall, "deck-book", WHO, who="tomas sedge ", way="out", at="2026-11-17T11:00:00Z")

    book = deck_book(wall, NOW)

    assert [(one.who, one.overnight) for one in book.inside] == [("Priya Lund", True)]


def test_a_session_whose_observer_is_not_in_the_book_is_named(wall):
    survey = make_survey(wall, "W1")
    put_from_deck(survey, "session", SESSION)
    put_from_deck(survey, "session", {**SESSION, "label": "no book", "observer": "Tomas Sedge"})
    put_from_deck(
        survey, "session", {**SESSION, "label": "old", "opened_at": "2026-03-02T09:00:00Z"}
    )
    put(wall, "deck-book", WHO, way="in", why="Weekly round", at="2026-11-16T08:20:00Z")

    assert [one.content["label"] for one in deck_book(wall, NOW).sessions_unknown] == ["no book"]


def test_water_stands_first_and_what_is_dry_again_does_not(wall):
    put(wall, "enclosure", WHO, what="door", state="open", place="deck 2")
    put(wall, "enclosure", WHO, what="leak-tape", state="wet", place="head")
    put(wall, "enclosure", WHO, what="leak-tape", state="wet", place="floor")
    put(wall, "enclosure", WHO, what="leak-tape", state="dry", place="floor",
        at="2026-11-17T09:00:00Z")  # fmt: skip
    put(wall, "enclosure", WHO, what="filter", state="changed")

    wanting = enclosure(wall, NOW).wanting

    assert [(one.content["what"], one.content.get("place")) for one in wanting] == [
        ("leak-tape", "head"), ("door", "deck 2"),
    ]  # fmt: skip


def loss(survey, item, x_in, y_in, **changes):
    corners = [(0, 0), (2, 0), (2, 3), (0, 3), (0, 0)]
    ring = [[x_in + dx, y_in + dy] for dx, dy in corners]
    geometry = {"type": "Polygon", "coordinates": [ring]}
    return make_observation(survey, item=item, geometry=geometry, **changes)


def test_losses_above_a_fragment_are_offered_the_nearest_to_its_side_first(wall):
    # C05 spans 96 to 120 in from the left and 96 to 120 in up
    survey = make_survey(wall)
    loss(survey, "L1", 130.0, 140.0)  # 10 in aside, above
    loss(survey, "L2", 100.0, 150.0)  # straight above
    loss(survey, "L3", 100.0, 10.0)  # below
    loss(survey, "L4", 200.0, 140.0)  # too far aside
    loss(survey, "F1", 101.0, 150.0, term="flaking")  # no loss
    make_fragment(survey, "C05")

    (found,) = fragments(wall)

    assert [(one.observation.item, one.aside_in) for one in found.candidates] == [
        ("L2", 0.0), ("L1", 10.0),
    ]  # fmt: skip


def test_an_item_is_offered_once_as_the_latest_survey_has_it(wall):
    loss(make_survey(wall), "L1", 100.0, 150.0)
    later = make_survey(wall, "P1", starts_on=date(2026, 6, 15), ends_on=date(2026, 6, 19))
    loss(later, "L1", 101.0, 150.0)
    make_fragment(later, "C05")

    (found,) = fragments(wall)

    assert [one.observation.survey.code for one in found.candidates] == ["P1"]


def test_custody_and_source_stand_with_their_fragment(wall):
    survey = make_survey(wall)
    item, bag = loss(survey, "L2", 100.0, 150.0), str(make_fragment(survey, "C05"))
    put(wall, "custody", BY, about=bag, to="Tomas Sedge", place="Cabinet 2")
    put(wall, "fragment-source", BY, about=bag, item=str(item.pk), grounds="The edge fits")

    (found,) = fragments(wall)

    assert found.place == "Cabinet 2"
    assert found.source_item == item
