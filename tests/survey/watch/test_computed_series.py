"""Is a computed quantity drawn and handed over as one that is read, and never across a silence?"""

from datetime import UTC, datetime

import numpy as np
import pytest
from django.urls import reverse

from survey.watch.computed_series import computed_series
from tests.support.factories import make_member, make_wall
from tests.support.watched import AIR, at, make_instrument, make_limit, make_readings

pytestmark = [pytest.mark.django_db, pytest.mark.database]

SURFACE = {"name": "wall", "quantity": "surface-temperature", "unit": "°C"}
START, END = datetime(2026, 11, 16, tzinfo=UTC), datetime(2026, 11, 17, tzinfo=UTC)
SPAN = {"from": START.isoformat(), "to": END.isoformat()}


@pytest.fixture
def logger():
    return make_instrument(make_wall(), channels=[*AIR, SURFACE])


def read(logger, hours, *, surface=12.26):
    times = at(2026, 11, 16) + 3600.0 * np.array(hours)
    for channel, value in (("air", 20.0), ("rh", 50.0), ("wall", surface)):
        make_readings(logger, channel, times, np.full(times.size, value))


def test_the_margin_is_surface_less_dew_point(logger):
    # source: values of the trade, section 1: the dew point of 20 °C and 50 % RH is 9.26 °C
    read(logger, [1, 2, 3])

    margin = computed_series(logger, "margin", START, END)
    dew = computed_series(logger, "dew-point", START, END)

    assert margin.values == pytest.approx([3.0] * 3, abs=0.01)
    assert dew.values == pytest.approx([9.26] * 3, abs=0.01)


def test_a_silence_stays_a_silence(logger):
    read(logger, [1, 2, 10, 11])

    gaps = computed_series(logger, "margin", START, END).gaps()

    assert [span.duration_s for span in gaps] == [8 * 3600]


def test_the_logger_s_own_probe_is_followed_and_not_a_colder_one_far_off(logger):
    read(logger, [1, 2])
    far = make_instrument(logger.wall, "T3", channels=[SURFACE])
    make_readings(far, "wall", [at(2026, 11, 16, 2)], [8.0])

    margin = computed_series(logger, "margin", START, END)

    assert margin.values == pytest.approx([3.0, 3.0], abs=0.01)


def test_without_a_probe_of_its_own_the_coldest_surface_of_the_deck_counts():
    air = make_instrument(make_wall())
    times = at(2026, 11, 16) + 3600.0 * np.array([1, 2])
    make_readings(air, "air", times, [20.0, 20.0])
    make_readings(air, "rh", times, [50.0, 50.0])
    for code, surface in (("T2", [12.26, 12.26]), ("T3", [13.0, 11.26])):
        probe = make_instrument(air.wall, code, channels=[SURFACE])
        make_readings(probe, "wall", times, surface)

    margin = computed_series(air, "margin", START, END)

    assert margin.values == pytest.approx([3.0, 2.0], abs=0.01)


def test_the_chart_is_in_fahrenheit_with_its_agreed_limit(client, logger):
    read(logger, [1, 2, 3])
    make_limit(
        logger.wall, "condensation-margin", amber=5.4, red=3.6, unit="°F",
        content={"direction": "below"},
    )  # fmt: skip
    client.force_login(make_member(logger.wall))
    address = reverse("watch:computed_data", args=[logger.wall.slug, logger.object_id])

    chart = client.get(address, {**SPAN, "channel": "margin", "columns": "100"}).json()

    assert (chart["unit"], chart["readings"]) == ("°F", 3)
    assert chart["most"] == pytest.approx([5.4] * 3, abs=0.02)
    assert chart["limits"] == [
        {"level": "amber", "value": pytest.approx(5.4)},
        {"level": "red", "value": pytest.approx(3.6)},
    ]


def test_the_values_are_handed_over_in_both_units(client, logger):
    read(logger, [1])
    client.force_login(make_member(logger.wall))
    address = reverse("watch:computed_csv", args=[logger.wall.slug, logger.object_id])

    response = client.get(address, {**SPAN, "channel": "dew-point"})

    head, line = b"".join(response.streaming_content).decode().splitlines()
    assert head == "read at (UTC),dew-point [°F],dew-point [°C]"
    assert line.startswith("2026-11-16T01:00:00Z,48.6")


def test_what_is_not_computed_is_not_found(client, logger):
    client.force_login(make_member(logger.wall))
    address = reverse("watch:computed_data", args=[logger.wall.slug, logger.object_id])

    assert client.get(address, {**SPAN, "channel": "dose"}).status_code == 404


def test_an_instrument_that_reads_no_air_has_no_dew_point(client, logger):
    gauge = make_instrument(logger.wall, "K2", channels=[SURFACE])
    client.force_login(make_member(logger.wall))
    address = reverse("watch:computed_data", args=[logger.wall.slug, gauge.object_id])

    assert client.get(address, {**SPAN, "channel": "margin"}).status_code == 404
