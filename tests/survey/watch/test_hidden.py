"""Does a computation stay hidden until it applies, with a reason that names what is missing?"""

import numpy as np
import pytest

from survey.watch.climate_days import Air
from survey.watch.hidden import control_types, humidity_trend, salt_cycles, seasonal_band

HOUR_S, DAY_S = 3600.0, 86_400.0
# source: values of the trade, section 4: these readings cross 75.3 % RH downwards five times,
# three times with hysteresis 73.3 / 77.3, never with a dwell of two readings
ROW = [70, 74, 76, 78, 74, 72, 77, 80, 76, 75, 74, 76, 74, 76, 60, 80, 79, 70]


def air(values, *, every_s=HOUR_S, air_c=20.0):
    held = np.array(values, dtype=float)
    return Air(every_s * np.arange(held.size), np.full(held.size, air_c), held, ())


def a_year(days):
    hours = np.arange(days * 24)
    return air(50 + 5 * np.sin(2 * np.pi * hours / 24))


def test_no_cycle_is_counted_before_a_salt_is_identified():
    part = salt_cycles(air(ROW), [], interval_s=HOUR_S)

    assert "No salt is identified" in part.hidden_because
    assert not part.rows


def test_cycles_are_counted_with_threshold_dwell_and_thinning():
    each_four_times = np.repeat(ROW, 4)  # a reading every 15 min, each stay of an hour or more

    part = salt_cycles(air(each_four_times, every_s=900.0), ["NaCl"], interval_s=900.0)

    alone = part.rows[0]
    assert alone[0] == "NaCl, 75.5 % RH at 20 °C"
    assert alone[2] == "3"
    assert "at 30 min" in alone[3]
    assert "at 60 min" in alone[3]
    assert part.rows[1][0] == "NaCl in a common mixture"


def test_sulfate_is_counted_at_both_ends_of_what_sources_give():
    part = salt_cycles(air(ROW), ["Na2SO4"], interval_s=HOUR_S)

    assert [row[0] for row in part.rows] == ["Na2SO4, at 82.9 % RH", "Na2SO4, at 95.6 % RH"]


@pytest.mark.parametrize("compute", [seasonal_band, control_types])
def test_a_method_of_other_materials_waits_for_a_person(compute):
    part = compute(a_year(420), stated=False, interval_s=HOUR_S)

    assert "a person" in part.hidden_because


@pytest.mark.parametrize("compute", [seasonal_band, control_types])
def test_a_stated_method_still_needs_its_record(compute):
    part = compute(a_year(200), stated=True, interval_s=HOUR_S)

    assert "days" in part.hidden_because
    assert not part.lines


def test_a_band_is_shown_from_13_months_on_and_never_narrower_than_10():
    part = seasonal_band(a_year(396), stated=True, interval_s=HOUR_S)

    assert part.hidden_because == ""
    assert "-10.0 to +10.0 % RH" in part.lines[0]


def test_types_of_control_are_shown_on_a_whole_year():
    part = control_types(a_year(396), stated=True, interval_s=HOUR_S)

    shares = {row[0]: row[1] for row in part.rows}
    assert list(shares) == ["AA", "A1", "A2", "B", "C", "D"]
    assert shares["A2"] == "100.0"  # 45 to 55 % lies within 40 to 60


def test_no_trend_is_stated_on_a_year_or_less():
    assert "a year or less" in humidity_trend(a_year(360)).hidden_because


def test_a_trend_is_stated_on_more_than_a_year():
    days = np.arange(500)
    noise = np.random.default_rng(5).normal(0, 0.5, 500)
    rising = Air(DAY_S * days, np.full(500, 20.0), 50 + 0.01 * days + noise, ())

    part = humidity_trend(rising)

    assert part.hidden_because == ""
    assert "A trend is shown" in part.lines[0]
