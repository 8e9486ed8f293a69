"""Does the light ledger say how much of its agreed dose each cell has taken, and how warm it got?"""

from datetime import date

import numpy as np
import pytest

from survey.watch.light_ledger import cells_of_deck, light_of, logged_light
from tests.support.factories import make_survey, make_wall
from tests.support.register import AGREED, LAMP_2, put, put_from_deck
from tests.support.watched import at, make_instrument, make_readings

pytestmark = [pytest.mark.django_db, pytest.mark.database]

TODAY = date(2026, 11, 18)
SESSION = {
    "state": "closed", "label": "16 Nov", "opened_at": "2026-11-16T08:30:00Z",
    "closed_at": "2026-11-16T09:25:00Z", "observer": "Priya Lund", "recorder": "Priya Lund",
    "deck": "2", "cells": ["A05", "A06"], "mode": "raking", "cautions_read": True,
    "lamps": [
        {"setting": "Raking, 8°", "side": "left", "lux": 180,
         "on_at": "2026-11-16T08:30:00Z", "off_at": "2026-11-16T09:00:00Z"},
    ],
}  # fmt: skip


@pytest.fixture
def wall():
    return make_wall(width="84 ft")


def test_the_lamp_of_the_story_fills_ninety_two_per_cent(wall):
    # source: story 11 of the trade: 800 lx × 6 h × 5 d × 12 wk = 288,000 lx·h; C17 at 92 % of 313,000
    put(wall, "agreed-dose", AGREED)
    put(wall, "lamp-use", LAMP_2, cells=["C17"], lux=800.0, minutes=6 * 60 * 5 * 12)

    (cell,) = light_of(wall, TODAY).cells

    assert cell.line.cell == "C17"
    assert cell.line.lx_h == pytest.approx(288_000)
    assert f"{cell.line.share:.0%}" == "92%"
    assert cell.hours_left == pytest.approx(31.25)  # by hand: 25,000 lx·h / 800 lx
    assert cell.advice == "31 h are left at 800 lx: move lamp 2 or burn it less."


def test_the_lamps_heat_dries_the_surface_as_in_the_story(wall):
    # source: story 11 of the trade: surface 66 → 79 °F cuts its humidity from 55 % to 35 %
    put(wall, "lamp-use", LAMP_2, surface_before_c=(66 - 32) / 1.8,
        surface_after_c=(79 - 32) / 1.8, surface_rh_pct=55.0)  # fmt: skip

    (heat,) = light_of(wall, TODAY).heat

    assert heat.rise.lit_rh_pct == pytest.approx(35, abs=0.5)
    assert "+13.0 °F (+7.2 °C)" in heat.rise.statement
    assert heat.assumed


def test_a_cell_over_its_dose_is_to_be_left_in_the_dark(wall):
    put(wall, "agreed-dose", AGREED, limit_lx_h=200_000.0)
    put(wall, "lamp-use", LAMP_2)

    (cell,) = light_of(wall, TODAY).cells

    assert cell.advice == "The agreed dose is reached: move lamp 2 or turn it off."


def test_a_cell_with_much_left_is_told_the_hours_and_no_more(wall):
    # by hand: 800 lx × 1 h of 313,000 lx·h leaves 312,200 lx·h, 390.25 h
    put(wall, "agreed-dose", AGREED)
    put(wall, "lamp-use", LAMP_2, minutes=60.0)

    (cell,) = light_of(wall, TODAY).cells

    assert cell.advice == "390 h are left at 800 lx."


def test_without_an_agreed_dose_no_share_is_said(wall):
    put(wall, "lamp-use", LAMP_2)

    (cell,) = light_of(wall, TODAY).cells

    assert cell.line.share is None
    assert cell.advice == ""


def test_a_cells_own_agreement_goes_before_the_walls(wall):
    put(wall, "agreed-dose", AGREED, cells=["C05"], limit_lx_h=576_000.0)
    put(wall, "agreed-dose", AGREED)
    put(wall, "lamp-use", LAMP_2, cells=["C05", "C06"])

    shares = {one.line.cell: round(one.line.share, 2) for one in light_of(wall, TODAY).cells}

    assert shares == {"C05": 0.5, "C06": 0.92}


def test_light_from_before_the_agreed_year_is_not_counted(wall):
    put(wall, "agreed-dose", AGREED)
    put(wall, "lamp-use", LAMP_2, at="2026-02-27T16:00:00Z")

    assert light_of(wall, TODAY).cells == []


def test_lamps_of_the_decks_sessions_count(wall):
    # by hand: 180 lx for half an hour is 90 lx·h
    put_from_deck(make_survey(wall, "W1"), "session", SESSION)

    found = light_of(wall, TODAY).cells

    assert [(one.line.cell, one.line.lx_h) for one in found] == [("A05", 90.0), ("A06", 90.0)]


def test_a_session_without_a_measured_lamp_is_named_and_not_counted(wall):
    lamp = {key: value for key, value in SESSION["lamps"][0].items() if key != "lux"}
    put_from_deck(make_survey(wall, "W1"), "session", {**SESSION, "lamps": [lamp]})

    found = light_of(wall, TODAY)

    assert found.cells == []
    assert [one.content["label"] for one in found.undecided] == ["16 Nov"]


def test_a_deck_lights_the_cells_that_are_worked_from_it(wall):
    # by hand: deck 2 at 14 ft stands 6 ft over the lower edge at 8 ft: rows A to D of 2 ft
    found = cells_of_deck(wall, "2")

    assert len(found) == 4 * 42
    assert {cell[0] for cell in found} == set("ABCD")


def test_what_a_logger_measured_stands_with_its_unknown_hours(wall):
    # by hand: 100 lx from 8 to 10 and from 14 to 16 h are 400 lx·h; the four hours between unknown
    logger = make_instrument(
        wall, "L1", [{"name": "lux", "quantity": "illuminance", "unit": "lx"}], interval_s=3600.0
    )
    times = [at(2026, 11, 17, hour) for hour in (8, 9, 10, 14, 15, 16)]
    make_readings(logger, "lux", times, np.full(6, 100.0))

    (found,) = logged_light(wall, date(2026, 11, 17), date(2026, 11, 17))

    assert found.dose.lx_h == pytest.approx(400)
    assert "for 4.0 h nothing is known" in found.dose.statement
