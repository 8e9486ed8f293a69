"""Are ranges and bands computed as published, and are gaps and edges left empty?"""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.climate_band import (
    NoBand,
    TargetBand,
    daily_ranges,
    fluctuation_percentiles,
    running_range,
    seasonal_cycle,
    target_band,
)
from survey.watch.spans import DAY_S

HOUR = 3600.0
HOURS = np.arange(395 * 24)
DAYS = HOURS / 24
NAN = float("nan")


def humidity(weekly):
    return (
        55
        + 12 * np.sin(2 * np.pi * (DAYS - 30) / 365)
        + 4 * np.sin(2 * np.pi * DAYS)
        + weekly * np.sin(2 * np.pi * DAYS / 7)
    )


def band(values, hours=HOURS):
    return target_band(hours * HOUR, values, interval_s=HOUR)


@pytest.mark.parametrize(
    ("weekly", "percentiles", "applied"),
    # source: pandas rolling mean of 721 hours, centred, edges masked; numpy percentiles
    [(6, (-8.027, 8.037), (-10, 10)), (14, (-14.743, 14.752), (-14.743, 14.752))],
)
def test_a_known_year_has_the_band_that_pandas_finds(weekly, percentiles, applied):
    found = band(humidity(weekly))

    assert isinstance(found, TargetBand)
    assert found.fluctuations == 8760
    assert (found.low_percentile, found.high_percentile) == pytest.approx(percentiles, abs=0.01)
    assert (found.low, found.high) == pytest.approx(applied, abs=0.01)
    assert "used by analogy" in found.statements[0]


def test_the_seasonal_cycle_agrees_with_pandas_and_leaves_the_edges_empty():
    values = humidity(6)
    theirs = pd.Series(values).rolling(721, center=True).mean().to_numpy()

    found = seasonal_cycle(HOURS * HOUR, values, interval_s=HOUR)

    assert np.flatnonzero(~np.isnan(found)).tolist() == list(range(360, 9120))
    assert np.allclose(found, theirs, atol=1e-9, equal_nan=True)


def test_a_short_series_by_hand():
    values = [50, 52, 48, 51, 49, 60, 50, 47, 53, 50, 40]

    seasonal = seasonal_cycle(np.arange(11.0), values, interval_s=1.0, half_window_s=2.0)
    low, high, count = fluctuation_percentiles(values, seasonal)

    # source: means of five neighbours, and linear percentiles, worked by hand
    assert seasonal[2:9].tolist() == pytest.approx([50, 52, 51.6, 51.4, 51.8, 52, 48])
    assert np.isnan(seasonal[[0, 1, 9, 10]]).all()
    assert (low, high, count) == (pytest.approx(-3.992), pytest.approx(7.088), 7)


def test_a_window_with_too_few_readings_has_no_seasonal_value():
    values = humidity(6)
    values[2000:2300] = NAN

    found = seasonal_cycle(HOURS * HOUR, values, interval_s=HOUR)

    # 721 hours in a window; 180 lost leave 75.03 %, 181 leave 74.9 %
    assert not np.isnan(found[1819])
    assert np.isnan(found[1820])
    assert np.isnan(found[2150])
    kept = np.delete(np.arange(HOURS.size), np.arange(2000, 2300))
    cut = seasonal_cycle(kept * HOUR, values[kept], interval_s=HOUR)
    assert np.allclose(cut, found[kept], equal_nan=True)  # a lost line is a lost reading


def test_twelve_months_are_not_enough_for_a_year_of_fluctuations():
    found = band(humidity(6)[: 365 * 24], HOURS[: 365 * 24])

    assert isinstance(found, NoBand)
    assert found.reason.startswith("335 days have a seasonal value; a full year of 365")


def test_a_year_with_a_lost_summer_has_no_band():
    values = humidity(6)
    values[3000:6000] = NAN

    found = band(values)

    assert isinstance(found, NoBand)
    assert "fewer than 75% of a year's 8,760" in found.reason


@given(shift=st.floats(-20, 20))
def test_a_shift_of_all_readings_moves_the_cycle_and_not_the_band(shift):
    values = humidity(14)[::24]
    days = np.arange(395) * DAY_S

    one = target_band(days, values, interval_s=DAY_S)
    other = target_band(days, values + shift, interval_s=DAY_S)

    assert other.low == pytest.approx(one.low, abs=1e-9)
    assert np.nanmax(np.abs(other.upper - one.upper - shift)) < 1e-9


def test_a_day_of_25_hours_is_one_day():
    """By hand: clocks go back in the night of the second day, readings hourly, one day cut short."""
    edges = np.array([0, 24, 49, 73]) * HOUR
    hours = np.arange(61)
    values = np.where(hours == 48, 70.0, 50.0 + hours % 2)

    found = daily_ranges(hours * HOUR, values, day_starts_s=edges, interval_s=HOUR)

    assert [(one.readings, one.smallest, one.largest) for one in found] == [
        (24, 50.0, 51.0),
        (25, 50.0, 70.0),
        (12, 50.0, 51.0),
    ]
    assert found[1].range == 20.0
    assert [one.known_share for one in found] == pytest.approx([1.0, 1.0, 11 / 24])


def test_what_is_known_of_a_day_of_25_hours_is_told_in_its_own_hours():
    (day,) = daily_ranges(
        np.arange(16) * HOUR, np.ones(16), day_starts_s=[0.0, 25 * HOUR], interval_s=HOUR
    )

    assert day.known_share == pytest.approx(15 / 25)


def test_a_day_without_readings_has_no_range():
    found = daily_ranges(
        [0.0, HOUR], [1.0, 2.0], day_starts_s=np.arange(4) * DAY_S, interval_s=HOUR
    )

    assert len(found) == 1


def test_a_running_range_is_given_only_where_the_whole_window_is_known():
    hours = np.array([0, 1, 2, 3, 4, 5, 6, 12, 13, 14, 15, 16, 17]) * HOUR
    values = [50, 51, 52, 50, 50, 40, 50, 50, 50, NAN, 53, 50, 50]

    found = running_range(hours, values, interval_s=HOUR, window_s=4 * HOUR)

    assert np.isnan(found[:4]).all()
    assert found[4:7].tolist() == [2.0, 12.0, 12.0]
    assert np.isnan(found[7:11]).all()
    assert found[11:].tolist() == [3.0, 3.0]


def test_midnights_must_rise():
    with pytest.raises(InvalidInput, match="rising midnights"):
        daily_ranges([0.0], [1.0], day_starts_s=[DAY_S, 0.0], interval_s=HOUR)
