"""Does the due list show why a cell is due, draw a sample that can be drawn again, and feed the deck?"""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse

from survey.ledger.drafts import Writer
from survey.people.models import Role
from survey.tablet.selectors import _due
from survey.watch.due import after_stops, due_now, reasons_by_cell
from survey.watch.log_lines import say
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.watch.test_stops import BEGAN, at, examine, put, put_outlines, shake

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
NOW = BEGAN + timedelta(days=1)


@pytest.fixture
def wall():
    return make_wall(width="84 ft", height="14 ft")


@pytest.fixture
def survey(wall):
    return make_survey(wall, "P1")


def agree(wall, **more):
    said = {
        "at": at(0), "interval_days": 7, "sample_cells": 60, "agreed_by": "Ines Fallow", **more,
    }  # fmt: skip
    say(wall, "look-agreement", said, writer=DESK)


def line_of(wall, cell, now=NOW):
    return next(line for line in due_now(wall, now).lines if line.cell == cell)


def test_nothing_is_preset_before_people_agree(client, wall, survey):
    client.force_login(make_member(wall, Role.LEAD))

    page = client.get(reverse("watch:due", args=[wall.slug])).content.decode()

    assert due_now(wall, NOW) is None
    assert "nothing is preset" in page
    assert "Put down the agreement" in page


def test_a_cell_never_looked_at_is_due_and_counts_as_the_worst(wall, survey):
    agree(wall)

    line = line_of(wall, "A01")

    assert (line.condition, line.urgency, line.age) == (3, 3, 3)
    assert line.because == ("never looked at",)


def test_the_parts_of_a_cells_sum_come_from_the_record(wall, survey):
    agree(wall)
    put_outlines(survey, [1], condition=2)
    examine(survey, ["A01", "A02"], -60 * 24 * 3)  # three days before
    shake(wall)  # red, on deck 1 only

    on_deck_2 = line_of(wall, "A01", BEGAN)
    nothing_seen = line_of(wall, "A02", BEGAN)

    assert (on_deck_2.condition, on_deck_2.exposure) == (2, 0)
    assert on_deck_2.age == pytest.approx(3 / 7)
    assert (nothing_seen.condition, nothing_seen.urgency, nothing_seen.due) == (0, 0, False)


def test_a_red_exceedance_makes_the_cells_of_its_deck_due(wall, survey):
    agree(wall)
    examine(survey, ["G01"], -60)
    shake(wall)

    assert line_of(wall, "G01", NOW).because == ("1 red exceedance since",)


def test_the_weeks_draw_is_the_same_for_everybody_and_another_next_week(wall, survey):
    agree(wall)

    first, again = due_now(wall, NOW).draw, due_now(wall, NOW + timedelta(days=1)).draw
    following = due_now(wall, NOW + timedelta(days=7)).draw

    assert len(first.drawn) == 60
    assert first.drawn == again.drawn
    assert first.drawn != following.drawn


def test_sixty_cells_looked_at_allow_what_the_hypergeometric_says(wall, survey):
    # source: practice, story of the weekly sample: 12 of 294 at 95 %, 16 if four in five are noticed
    agree(wall)
    examine(survey, due_now(wall, NOW).draw.drawn, 60)

    said = due_now(wall, NOW).draw.if_none_changed

    assert (said.at_most, said.at_most_with_detection) == (12, 16)


def test_looks_follow_3_6_and_12_months_after_hand_back(wall, survey):
    agree(wall, handed_back_on="2026-11-30")

    repeats = due_now(wall, NOW).repeats

    assert repeats == (date(2027, 2, 28), date(2027, 5, 30), date(2027, 11, 30))


def test_cells_of_a_stop_lead_the_decks_pack_only_after_the_re_inspection(wall, survey):
    put_outlines(survey, [20])
    case = shake(wall)
    put(case, "cells-due", 10, cells=["A20"], chosen="By hand", by="Ines Fallow")
    examine(survey, ["A20"], 5)  # done before the scaffold was inspected again

    before = after_stops(wall)
    put(case, "reinspected", 20, by="Rook", competence="Scaffold inspector", result="fit")

    assert before == []
    assert _due(survey, [one.cell for one in after_stops(wall)])[0] == "A20"
    assert reasons_by_cell(wall, datetime(2026, 7, 22, tzinfo=UTC))["A20"] == "due after Red at V1"


def test_a_reader_cannot_agree_on_looks(client, wall, survey):
    client.force_login(make_member(wall, Role.READER))

    response = client.post(reverse("watch:due", args=[wall.slug]), {"interval_days": "7"})

    assert response.status_code == 403


def test_the_page_keeps_an_agreement_and_shows_the_list(client, wall, survey):
    client.force_login(make_member(wall, Role.LEAD))
    address = reverse("watch:due", args=[wall.slug])
    sent = {"interval_days": "7", "sample_cells": "60", "agreed_by": "Ines Fallow"}

    refused = client.post(address, {**sent, "sample_cells": "295"})
    client.post(address, sent)

    assert refused.status_code == 400
    assert "294" in refused.content.decode()
    assert "294 of 294 cells due by risk" in client.get(address).content.decode()
