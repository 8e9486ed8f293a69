"""Does the climate page show margin and days, hide what does not apply, and take a statement?"""

from datetime import UTC, datetime

import numpy as np
import pytest
from django.urls import reverse

from survey.ledger.services import rebuild
from survey.people.models import Role
from survey.watch.applies_kind import what_applies
from tests.support.factories import make_member, make_wall
from tests.support.watched import AIR, at, make_instrument, make_readings

pytestmark = [pytest.mark.django_db, pytest.mark.database]

NOW = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)
SURFACE = {"name": "wall", "quantity": "surface-temperature", "unit": "°C", "error": 0.5}


@pytest.fixture
def wall(settings):
    settings.FIXED_CLOCK = NOW
    return make_wall()


@pytest.fixture
def logger(wall):
    return make_instrument(wall, channels=[*AIR, SURFACE])


def read(logger, hours=48, *, air=20.0, humidity=50.0, surface=12.26):
    times = at(2026, 11, 16) + 3600.0 * np.arange(hours)
    for channel, value in (("air", air), ("rh", humidity), ("wall", surface)):
        make_readings(logger, channel, times, np.full(hours, value))


def page_of(client, wall, query="", role=Role.CONSERVATOR):
    client.force_login(make_member(wall, role))
    response = client.get(reverse("watch:climate", args=[wall.slug]) + query)
    return response, " ".join(response.content.decode().split())


def test_the_margin_is_shown_with_its_error_and_the_days_with_theirs(client, wall, logger):
    # source: values of the trade: the dew point of 20 °C and 50 % RH is 9.26 °C; 3.0 K are 5.4 °F
    read(logger)

    _, page = page_of(client, wall)

    assert "+5.4 °F (+3.0 °C) to the dew point, sensor error" in page
    assert "5.4 (3.0)" in page
    assert "17 Nov 2026" in page


def test_a_surface_read_by_another_instrument_of_the_deck_is_paired(client, wall):
    air = make_instrument(wall, "A1")
    probe = make_instrument(wall, "T2", channels=[SURFACE])
    elsewhere = make_instrument(wall, "T3", channels=[SURFACE], deck="2")
    times = at(2026, 11, 17) + 3600.0 * np.arange(4)
    make_readings(air, "air", times, [20.0] * 4)
    make_readings(air, "rh", times, [50.0] * 4)
    make_readings(probe, "wall", times + 600, [12.26] * 4)
    make_readings(elsewhere, "wall", times, [5.0] * 4)

    _, page = page_of(client, wall)

    assert "<h3>T2," in page
    assert "<h3>T3," not in page


def test_how_far_a_surface_is_from_the_air_logger_is_said(client, wall):
    air = make_instrument(wall, "A1", cell="B01")
    probe = make_instrument(wall, "T2", channels=[SURFACE], cell="B11")
    times = at(2026, 11, 17) + 3600.0 * np.arange(4)
    make_readings(air, "air", times, [20.0] * 4)
    make_readings(air, "rh", times, [50.0] * 4)
    make_readings(probe, "wall", times, [12.26] * 4)

    _, page = page_of(client, wall)

    assert "T2, B11, 20 ft from the air logger" in page  # ten columns of 2 ft


def test_no_reading_in_the_days_asked_for_is_unknown_and_not_safe(client, wall, logger):
    read(logger)

    _, page = page_of(client, wall, "?from=2026-05-01&to=2026-05-03")

    assert "What happened in them is unknown, not safe." in page


def test_a_wall_without_an_air_logger_says_what_is_needed(client, wall):
    _, page = page_of(client, wall)

    assert "They need an instrument with air temperature and relative humidity" in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("?from=yesterday", "write a date as year-month-day"),
        ("?from=2026-11-10&to=2026-11-01", "exchange the two"),
        ("?from=2027-01-01", "still to come"),
        ("?from=2020-01-01&to=2026-01-01", "at most 800 are shown"),
    ],
)
def test_days_that_cannot_be_shown_are_refused_in_words(client, wall, logger, query, said):
    response, page = page_of(client, wall, query)

    assert response.status_code == 400
    assert said in page


def test_a_logger_that_is_not_there_is_not_found(client, wall, logger):
    response, _ = page_of(client, wall, "?instrument=Z9")

    assert response.status_code == 404


def test_salt_cycles_are_counted_once_salts_are_stated_and_hidden_before(client, wall, logger):
    # from 70 % to 80 % and back twice, each stay six hours: two cycles about 75.5 % RH
    humidity = np.repeat([70, 80, 70, 80, 70], 6).astype(float)
    times = at(2026, 11, 16) + 3600.0 * np.arange(humidity.size)
    make_readings(logger, "air", times, np.full(humidity.size, 20.0))
    make_readings(logger, "rh", times, humidity)
    _, before = page_of(client, wall)
    sent = {"by": "Ines Fallow", "why": "Sample S3, C37, ion chromatography", "salts": ["NaCl"]}

    response = client.post(reverse("watch:applies", args=[wall.slug, "salt-cycles"]), sent)
    _, after = page_of(client, wall)

    assert "No salt is identified on record" in before
    assert response.status_code == 302
    assert "<td>NaCl, 75.5 % RH at 20 °C</td>" in after
    assert "<td>2</td>" in after
    assert "Sample S3, C37" in after


def test_salts_must_be_named(client, wall):
    client.force_login(make_member(wall))
    address = reverse("watch:applies", args=[wall.slug, "salt-cycles"])

    response = client.post(address, {"by": "Ines Fallow", "why": "white crystals"})

    assert response.status_code == 400
    assert "no salt is named" in response.content.decode()
    assert what_applies(wall) == {}


def test_a_second_statement_replaces_the_first_and_both_stay_in_the_logbook(client, wall):
    client.force_login(make_member(wall))
    address = reverse("watch:applies", args=[wall.slug, "seasonal-band"])
    client.post(address, {"by": "Ines Fallow", "why": "by analogy, agreed with the Trust"})
    client.post(address, {"by": "Ines Fallow", "why": "agreed with the Trust and the engineer"})

    line = what_applies(wall)["seasonal-band"]

    assert line.content["why"] == "agreed with the Trust and the engineer"
    assert line.head.logbook.entries.filter(kind="applies").count() == 2
    rebuild(line.head.logbook)
    assert what_applies(wall)["seasonal-band"].content == line.content


def test_what_is_not_known_waits_for_no_statement(client, wall):
    client.force_login(make_member(wall))

    assert client.get(reverse("watch:applies", args=[wall.slug, "dose"])).status_code == 404
