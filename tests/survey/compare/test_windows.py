"""Between which two looks did it come, and what happened in between?"""

from datetime import date

import shapely

from survey.compare.model import Act, PhotographPlace, WallEvent
from tests.survey.compare.two_surveys import (
    B1_DATES,
    P1_DATES,
    compared,
    only_item,
    outline,
    survey,
)

SQUARE = shapely.box(100, 100, 104, 104)


def new_loss(**further):
    comparison = compared(
        survey(
            "B1",
            photographs=(
                PhotographPlace("aa", shapely.box(90, 90, 120, 120)),
                PhotographPlace("bb", shapely.box(300, 90, 320, 120)),
            ),
            **B1_DATES,
        ),
        survey(
            "P1",
            outline(SQUARE, edge="fresh", debris="two flakes", observed_on=date(2026, 6, 16)),
            **P1_DATES,
        ),
        **further,
    )
    return only_item(comparison).to_json()["window"]


def test_a_new_loss_was_last_seen_sound_in_the_survey_before():
    window = new_loss()

    assert window["last_sound"] == {
        "survey": "B1",
        "from": "2026-03-02",
        "to": "2026-03-11",
        "mode": "normal",
        "photographs": ["aa"],
    }
    assert window["first_found"] == {"survey": "P1", "from": "2026-06-16", "to": "2026-06-16"}
    assert (window["edge"], window["debris"]) == ("fresh", "two flakes")


def test_acts_at_the_place_and_events_in_the_time_stand_in_between_by_date():
    window = new_loss(
        events=(
            WallEvent(date(2026, 5, 4), "red vibration event"),
            WallEvent(date(2026, 9, 1), "later leak"),
        ),
        acts=(
            Act("cleaning-test-window", SQUARE, on=date(2026, 4, 2), name="test window T1"),
            Act("cleaned-area", shapely.box(500, 1, 510, 9), on=date(2026, 4, 3)),
        ),
    )

    assert window["between"] == ["2026-04-02 test window T1", "2026-05-04 red vibration event"]


def test_a_grown_loss_was_last_measured_on_the_day_of_its_earlier_drawing():
    item = only_item(
        compared(
            survey("B1", outline(SQUARE, observed_on=date(2026, 3, 5)), **B1_DATES),
            survey("P1", outline(shapely.box(100, 100, 106, 106)), **P1_DATES),
        )
    )

    assert item.window.last_sound_from == item.window.last_sound_to == date(2026, 3, 5)
    assert (item.window.first_found_from, item.window.edge) == (date(2026, 6, 15), "")


def test_an_unchanged_item_has_no_window():
    item = only_item(compared(survey("B1", outline(SQUARE)), survey("P1", outline(SQUARE))))

    assert item.window is None
