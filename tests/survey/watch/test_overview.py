"""Does the watch's first page say what each instrument reads and whether anything is unknown?"""

import math
from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from survey.ledger.drafts import new_id
from survey.watch.models import Exceedance
from survey.watch.overview import decks_now
from tests.support.factories import make_member, make_wall
from tests.support.watched import at, head_of, make_instrument, make_limit, make_readings

pytestmark = [pytest.mark.django_db, pytest.mark.database]

NOW = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)


@pytest.fixture
def wall():
    return make_wall()


def only(wall):
    ((deck,),) = [decks_now(wall, NOW)]
    (row,) = deck.instruments
    return row


def test_the_last_number_of_each_channel_is_shown_in_both_units(wall):
    logger = make_instrument(wall)
    make_readings(logger, "air", [at(2026, 11, 18, 7), at(2026, 11, 18, 8)], [15.0, 20.0])

    air, humidity = only(wall).channels

    assert air.value == "68.0\u00a0°F (20.0\u00a0°C)"
    assert air.at == datetime(2026, 11, 18, 8, tzinfo=UTC)
    assert (humidity.value, humidity.at) == ("", None)


def test_the_distance_to_the_governing_limit_stands_beside_the_reading(wall):
    channels = [{"name": "y", "quantity": "particle-velocity", "unit": "mm/s", "axis": "y"}]
    logger = make_instrument(wall, "V1", channels)
    make_readings(logger, "y", [at(2026, 11, 18, 8)], [1.016])  # 0.04 in/s
    make_limit(wall, amber=0.05, red=0.08)

    assert only(wall).channels[0].margin == "0.010\u00a0in/s to amber"


def test_a_moment_without_a_number_is_no_last_reading(wall):
    logger = make_instrument(wall)
    make_readings(logger, "air", [at(2026, 11, 18, 7), at(2026, 11, 18, 8)], [15.0, math.nan])

    assert only(wall).channels[0].at == datetime(2026, 11, 18, 7, tzinfo=UTC)


def test_a_replaced_import_does_not_count(wall):
    logger = make_instrument(wall)
    make_readings(logger, "air", [at(2026, 11, 18, 8)], [99.0], replaced_by=new_id())
    make_readings(logger, "air", [at(2026, 11, 18, 7)], [15.0])

    assert only(wall).channels[0].value.startswith("59.0")


def test_readings_in_fahrenheit_are_shown_as_what_they_are(wall):
    channels = [{"name": "wall", "quantity": "surface-temperature", "unit": "°F"}]
    logger = make_instrument(wall, channels=channels)
    make_readings(logger, "wall", [at(2026, 11, 18, 8)], [50.0])

    assert only(wall).channels[0].value == "50.0\u00a0°F (10.0\u00a0°C)"


def test_silence_beyond_what_was_agreed_is_unknown(wall):
    logger = make_instrument(wall, silence_s=3600.0)
    make_readings(logger, "air", [at(2026, 11, 18, 7)], [15.0])

    row = only(wall)

    assert row.unknown
    assert "Silent for 2 h, agreed are at most 1 h" in row.hearing.statement


def test_an_instrument_never_heard_is_unknown(wall):
    make_instrument(wall)

    assert only(wall).unknown


def test_where_no_silence_is_agreed_none_is_told(wall):
    logger = make_instrument(wall, silence_s=None)
    make_readings(logger, "air", [at(2026, 3, 1)], [15.0])

    row = only(wall)

    assert not row.agreed
    assert not row.unknown


def test_an_instrument_that_writes_of_the_future_is_not_called_heard(wall):
    logger = make_instrument(wall, silence_s=3600.0)
    make_readings(logger, "air", [at(2026, 11, 18, 20)], [15.0])

    row = only(wall)

    assert row.unknown
    assert "in the future" in row.hearing.statement


def test_a_calibration_that_has_run_out_is_named(wall):
    make_instrument(wall, calibrated_until=date(2026, 11, 17))

    assert only(wall).calibration_run_out


def test_instruments_taken_away_or_still_to_come_are_left_out(wall):
    make_instrument(wall, "A1", until_on=date(2026, 11, 17))
    make_instrument(wall, "A2", from_on=date(2026, 11, 19))

    assert decks_now(wall, NOW) == []


def test_those_of_no_deck_stand_last(wall):
    make_instrument(wall, "O1", deck="")
    make_instrument(wall, "A2", deck="2")
    make_instrument(wall, "A1", deck="1")

    assert [deck.name for deck in decks_now(wall, NOW)] == ["1", "2", "elsewhere"]


def test_an_empty_wall_says_what_will_stand_there(client, wall):
    client.force_login(make_member(wall))

    page = client.get(reverse("watch:overview", args=[wall.slug])).content.decode()

    assert "Nothing is watched yet" in page
    assert "No instrument is on record yet" in page


def test_the_page_names_those_that_are_silent(client, wall, settings):
    settings.FIXED_CLOCK = NOW
    make_instrument(wall, "T2")
    client.force_login(make_member(wall))

    page = client.get(reverse("watch:overview", args=[wall.slug])).content.decode()

    assert "T2 is silent. What it watches is not known to be safe." in " ".join(page.split())


def test_no_more_is_read_than_one_block_of_each_channel(wall, django_assert_num_queries):
    for number in range(10):
        logger = make_instrument(wall, f"A{number}")
        make_readings(logger, "air", [at(2026, 11, 18, 8)], [15.0])

    with django_assert_num_queries(4 + 10):  # instruments, limits, exceedances, keys; a block each
        decks_now(wall, NOW)


def test_an_amber_exceedance_whose_log_is_not_finished_is_named(client, wall, settings):
    settings.FIXED_CLOCK = NOW
    logger = make_instrument(wall, "V2")
    limit = make_limit(wall)
    Exceedance.objects.create(
        object_id=new_id(), wall=wall, head=head_of(wall), content={}, limit_version=1,
        instrument_id=logger.object_id, limit_id=limit.object_id, channel="z", level="amber",
        starts_at=NOW, ends_at=NOW, peak=0.06,
    )  # fmt: skip
    client.force_login(make_member(wall))

    page = client.get(reverse("watch:overview", args=[wall.slug])).content.decode()

    assert "Amber, log not finished:" in page
    assert "V2, 18 Nov, 09:00 UTC" in page
