"""Are days of air summed up from what was heard, with what is unknown said beside it?

Expected values are counted by hand from short rows of readings.
"""

import numpy as np
import pytest

from survey.watch.climate_days import air_of, beside, days_of_air

MIDNIGHT_S = 1_784_592_000.0  # 2026-07-21 00:00 UTC, a multiple of 86,400
HOUR_S = 3600.0


def hours(*numbers):
    return MIDNIGHT_S + HOUR_S * np.array(numbers, dtype=float)


def days(found):
    return days_of_air(
        found, day_starts_s=MIDNIGHT_S + 86_400 * np.arange(-1, 4), interval_s=HOUR_S
    )


def air(times, temperatures, humidities, **more):
    return air_of(
        (times, np.array(temperatures, dtype=float)),
        (times, np.array(humidities, dtype=float)),
        interval_s=HOUR_S,
        **more,
    )


def test_each_day_has_its_own_least_and_most():
    times = hours(21, 22, 23, 24, 25)

    first, second = days(air(times, [18, 20, 19, 15, 16], [50, 55, 52, 60, 58]))

    assert (first.day.start_s, second.day.start_s) == (MIDNIGHT_S, MIDNIGHT_S + 86_400)
    assert (first.air_c.smallest, first.air_c.largest) == (18, 20)
    assert (first.humidity_rh_pct.smallest, first.humidity_rh_pct.largest) == (50, 55)
    assert second.air_c.range == 1
    assert second.humidity_rh_pct.range == 2


def test_the_change_in_24_hours_reaches_back_over_midnight():
    times = hours(*range(27))
    humidity = [50.0] * 26 + [61.0]

    first, second = days(air(times, [18] * 27, humidity))

    assert first.change_24h_rh_pct is None  # no 24 h were heard whole yet
    assert second.change_24h_rh_pct == 11


def test_a_silence_counts_as_unknown_hours_of_the_days_that_it_touches():
    times = hours(*range(22), *range(30, 49))  # silent from 21:00 to 06:00

    first, second = days(air(times, [18] * 41, [50] * 41))[:2]

    assert (first.unknown_h, second.unknown_h) == (pytest.approx(3), pytest.approx(6))


def test_one_lost_reading_is_no_silence():
    times = hours(*(hour for hour in range(25) if hour != 3))

    first = days(air(times, [18] * 24, [50] * 24))[0]

    assert first.unknown_h == 0


def test_the_margin_is_that_of_the_surface_over_the_dew_point():
    # source: values of the trade: dew point of 20 °C and 50 % RH is 9.26 °C
    times = hours(1, 2)

    (day,) = days(air(times, [20, 20], [50, 50], surface=(times, np.array([12.26, 15.0]))))

    assert day.margin_least_c == pytest.approx(3.0, abs=0.01)


def test_without_a_surface_reading_near_enough_there_is_no_margin():
    times = hours(1, 2)

    (day,) = days(air(times, [20, 20], [50, 50], surface=(hours(8), np.array([12.0]))))

    assert day.margin_least_c is None


def test_where_one_of_the_two_was_not_heard_there_is_no_air():
    times = hours(1, 2, 3)

    found = air(times, [20, np.nan, 20], [50, 50, np.nan])

    assert found.times_s.tolist() == hours(1).tolist()


def test_the_nearest_reading_is_taken_and_none_is_made_up():
    found = beside(hours(1, 2, 3), hours(1.2, 2.9), [10.0, 20.0], within_s=0.3 * HOUR_S)

    assert found[[0, 2]].tolist() == [10.0, 20.0]
    assert np.isnan(found[1])


def test_a_series_of_one_reading_can_stand_beside_another():
    assert beside(hours(1, 2), hours(2), [7.0], within_s=60.0)[1] == 7.0


def test_no_air_has_no_days():
    assert days(air(np.zeros(0), [], [])) == ()
