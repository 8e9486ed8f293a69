"""Does the nearest place's limit govern a channel, and is the distance to it said rightly?"""

from datetime import date

import pytest

from survey.watch.governing import governing, limits_on, margin_in_words
from tests.support.factories import make_wall
from tests.support.watched import make_instrument, make_limit

pytestmark = [pytest.mark.django_db, pytest.mark.database]

TODAY = date(2026, 11, 18)
VELOCITY = "particle-velocity"


@pytest.fixture
def wall():
    return make_wall()


def governs(wall, instrument, quantity=VELOCITY, **more):
    return governing(limits_on(wall, TODAY), instrument, quantity, **more)


def test_the_nearest_place_governs_even_where_it_is_less_strict(wall):
    logger = make_instrument(wall, "V1", deck="1", cell="C05")
    for amber, place in (
        (0.05, ("wall", "")), (0.07, ("deck", "1")), (0.09, ("cell", "C05")),
        (0.02, ("instrument", "V2")), (0.01, ("deck", "2")),
    ):  # fmt: skip
        make_limit(wall, amber=amber, red=None, place=place)

    assert governs(wall, logger).row.amber == 0.09


def test_among_equals_the_one_that_is_reached_first_governs(wall):
    logger = make_instrument(wall)
    make_limit(wall, amber=0.12, red=None)
    make_limit(wall, amber=0.10, red=None)

    assert governs(wall, logger).row.amber == 0.10


def test_of_margins_the_larger_is_reached_first(wall):
    logger = make_instrument(wall)
    for amber in (3.6, 5.4):
        make_limit(
            wall, "condensation-margin", amber=amber, red=None, unit="°F",
            content={"direction": "below"},
        )  # fmt: skip

    # source: practice of the trade: margins of 5.4 and 3.6 °F are 3 and 2 K
    assert governs(wall, logger, "condensation-margin").amber == pytest.approx(3.0)


def test_limits_of_other_days_do_not_govern(wall):
    logger = make_instrument(wall)
    make_limit(wall, valid_to=date(2026, 11, 17))
    make_limit(wall, valid_from=date(2026, 11, 19))

    assert governs(wall, logger) is None


@pytest.mark.parametrize("content", [{"table": "din-line-3"}, {"direction": "change-24h"}])
def test_a_limit_without_a_single_number_is_left_to_the_exceedances(wall, content):
    make_limit(wall, content=content)

    assert governs(wall, make_instrument(wall)) is None


def test_the_vector_sum_is_held_against_no_limit_of_an_axis(wall):
    make_limit(wall)
    logger = make_instrument(wall)

    assert governs(wall, logger, axis="sum") is None
    assert governs(wall, logger, axis="y") is not None


def test_a_limit_of_one_axis_governs_that_axis_alone(wall):
    make_limit(wall, content={"axis": "z"})
    logger = make_instrument(wall)

    assert governs(wall, logger, axis="x") is None
    assert governs(wall, logger, axis="z") is not None


@pytest.mark.parametrize(
    ("reading_in_s", "words"),
    [
        (0.04, "0.010\u00a0in/s to amber"),
        (0.05, "amber: 0.000\u00a0in/s beyond"),
        (0.06, "amber: 0.010\u00a0in/s beyond"),
        (0.09, "red: 0.010\u00a0in/s beyond"),
    ],
)
def test_the_distance_is_said_in_the_limit_s_own_unit(wall, reading_in_s, words):
    make_limit(wall)
    limit = governs(wall, make_instrument(wall))

    assert margin_in_words(limit, reading_in_s * 25.4 + 1e-12) == words


def test_a_distance_of_temperatures_is_a_difference(wall):
    make_limit(wall, "surface-temperature", amber=70.0, red=None, unit="°F")
    limit = governs(wall, make_instrument(wall), "surface-temperature")

    assert margin_in_words(limit, 20.0) == "2.0\u00a0°F to amber"  # 20 °C are 68 °F
