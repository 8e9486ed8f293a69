"""Does the plant list say what to expect at the wall, how far to stay, and when it clashes?"""

from datetime import date

import pytest

from survey.treatments.services import record_treatment, withdraw_treatment
from survey.watch.plant_forecast import (
    calendar_weeks,
    clashes_of,
    days_at_wall,
    forecasts,
    works_of,
)
from tests.support.factories import make_account, make_survey, make_wall
from tests.support.register import BREAKER, put
from tests.support.watched import make_limit
from tests.survey.api.drafts import RING

pytestmark = [pytest.mark.django_db, pytest.mark.database]

TREATMENT = {
    "term": "cleaned-area", "geometry": {"type": "Polygon", "coordinates": [RING]},
    "reason": "soot", "decided_by": "Ines Fallow", "condition_before": "soiled",
    "method": "dry sponge", "result": "even", "operators": ["Ines Fallow"],
    "started_at": "2026-06-22T08:30:00Z",
}  # fmt: skip


@pytest.fixture
def wall():
    return make_wall()


def blow(wall, plant, ppv_in_s, distance_in=216.0):
    body = {"at": "2026-10-27T10:00:00Z", "who": "Ines Fallow", "about": str(plant.object_id)}
    return put(wall, "trial-blow", body, ppv_in_s=ppv_in_s, distance_in=distance_in)


def red(found):
    return next(one for one in found.stand_offs if one.level == "red")


def test_the_breaker_of_the_story_is_red_at_eighteen_feet(wall):
    # source: story 7 of the trade: 0.089 in/s class at 18 ft gives 0.146, red; 26.8 ft for 0.08
    make_limit(wall)
    put(wall, "plant", BREAKER)

    (found,) = forecasts(wall)

    assert found.distance_ft == 18.0
    assert found.expected_in_s["FTA"] == pytest.approx(0.146, abs=0.0005)
    assert found.reaches == "red"
    assert red(found).distances_ft["FTA"] == pytest.approx(26.8, abs=0.05)
    assert found.too_near is red(found)


def test_the_truck_of_the_story_is_amber_at_twenty_five_feet(wall):
    # source: story 7 of the trade: loaded truck, 0.076 in/s at 25 ft, amber
    make_limit(wall)
    put(wall, "plant", BREAKER, **{"class": "loaded-trucks"}, name="Truck",
        reference_ppv_in_s=0.076, distance_in=300.0)  # fmt: skip

    (found,) = forecasts(wall)

    assert found.expected_in_s["FTA"] == pytest.approx(0.076)
    assert found.reaches == "amber"
    assert found.too_near is None


def test_one_quiet_blow_shortens_nothing(wall):
    # source: story 7 of the trade: 0.052 at 18 ft, site factor 0.36; 26.8 ft stays
    make_limit(wall)
    plant = put(wall, "plant", BREAKER)
    blow(wall, plant, 0.052)

    (found,) = forecasts(wall)
    trial = red(found).trials["FTA"]

    assert found.factors["FTA"] == pytest.approx(0.36, abs=0.005)
    assert trial.allowed_ft == pytest.approx(26.8, abs=0.05)
    assert "stays 26.8 ft: a trial never shortens it" in trial.statement
    assert found.reaches == "red"


def test_a_loud_blow_lengthens_the_distance_and_raises_what_is_expected(wall):
    make_limit(wall, amber=0.3, red=0.5)
    plant = put(wall, "plant", BREAKER)
    quiet = forecasts(wall)[0]
    blow(wall, plant, 0.6)

    (found,) = forecasts(wall)

    assert quiet.reaches == "neither"
    assert found.reaches == "red"
    assert red(found).allowed_ft > red(quiet).allowed_ft


def test_the_longer_of_both_equations_counts(wall):
    # by hand: 25 · (0.089 / 0.08)^(1/1.1) = 27.5 ft by Caltrans, over 26.8 by FTA
    make_limit(wall)
    put(wall, "plant", BREAKER)

    (found,) = forecasts(wall)

    assert red(found).allowed_ft == pytest.approx(27.5, abs=0.05)


def test_a_limit_in_millimetres_gives_the_same_distance(wall):
    make_limit(wall, amber=0.05 * 25.4, red=0.08 * 25.4, unit="mm/s")
    put(wall, "plant", BREAKER)

    (found,) = forecasts(wall)

    assert red(found).distances_ft["FTA"] == pytest.approx(26.8, abs=0.05)


def test_without_an_agreed_limit_nothing_is_judged(wall):
    put(wall, "plant", BREAKER)

    (found,) = forecasts(wall)

    assert found.reaches == "unknown"
    assert found.stand_offs == []
    assert found.expected_in_s["FTA"] == pytest.approx(0.146, abs=0.0005)


@pytest.mark.parametrize(
    "other",
    [
        {"content": {"table": "DIN 4150-3, line 3"}},
        {"content": {"axis": "sum"}},
        {"valid_from": date(2026, 11, 21)},
        {"valid_to": date(2026, 11, 1)},
    ],
)
def test_a_limit_that_cannot_be_held_against_it_is_left_out(wall, other):
    make_limit(wall, **other)
    put(wall, "plant", BREAKER)

    assert forecasts(wall)[0].stand_offs == []


def test_no_equation_is_used_on_the_same_masonry(wall):
    make_limit(wall)
    put(wall, "plant", BREAKER, same_masonry=True)

    (found,) = forecasts(wall)

    assert found.expected_in_s == {}
    assert found.reaches == "unknown"


def test_the_calendar_shows_the_days_on_which_they_meet(wall):
    make_limit(wall)
    put(wall, "plant", BREAKER)
    make_survey(wall, "W1", kind="round", starts_on=date(2026, 11, 16), ends_on=date(2026, 11, 27))
    found = forecasts(wall)

    (clash,) = clashes_of(wall, found, after=date(2026, 11, 18))

    assert (clash.first_on, clash.last_on, clash.days) == (
        date(2026, 11, 16), date(2026, 11, 20), 5,
    )  # fmt: skip
    assert clash.works.reaches == "red"
    assert clashes_of(wall, found, after=date(2026, 11, 21)) == []


def test_weeks_begin_on_monday_and_mark_the_clash(wall):
    make_limit(wall)
    put(wall, "plant", BREAKER)
    make_survey(wall, "W1", starts_on=date(2026, 11, 20), ends_on=date(2026, 11, 23))

    weeks = calendar_weeks(
        works_of(forecasts(wall)), days_at_wall(wall), first=date(2026, 11, 18),
        today=date(2026, 11, 18), weeks=2,
    )  # fmt: skip

    assert weeks[0][0].day == date(2026, 11, 16)
    assert [day.day.day for week in weeks for day in week if day.clash] == [20]
    assert [day.day.day for week in weeks for day in week if day.today] == [18]
    assert [day.day.day for week in weeks for day in week if day.wall] == [20, 21, 22, 23]


def test_days_of_treatment_count_and_withdrawn_ones_do_not(wall):
    lead = make_account()
    kept = record_treatment(wall=wall, body=TREATMENT, account=lead)
    taken_back = record_treatment(
        wall=wall, body={**TREATMENT, "started_at": "2026-07-01T08:30:00Z"}, account=lead
    )
    withdraw_treatment(taken_back, reason="Never done", account=lead, seen_head=taken_back.head_id)

    (treated,) = days_at_wall(wall)

    assert (treated.what, treated.first_on, treated.last_on) == (
        "Treatment", kept.started_at.date(), date(2026, 6, 22),
    )  # fmt: skip


def test_machines_that_are_gone_stand_last(wall):
    put(wall, "plant", BREAKER, **{"from": "2026-07-13", "to": "2026-07-31"}, name="Gone")
    put(wall, "plant", BREAKER, name="Here")

    found = forecasts(wall, today=date(2026, 11, 18))

    assert [one.line.content["name"] for one in found] == ["Here", "Gone"]
