"""Is a real year of weather turned into the numbers that other programs make of it?

A typical year of a weather station, hourly. Its months come from different years, as such files
are made; they are taken here as one year of hours that follow each other.
"""

import importlib.metadata
import socket
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from iapws.iapws97 import _PSat_T

from survey.watch.climate_band import (
    NoBand,
    TargetBand,
    daily_ranges,
    running_range,
    seasonal_cycle,
    target_band,
)
from survey.watch.psychrometrics import dew_point_c, saturation_pressure_pa
from survey.watch.salts import count_cycles, passage_of

HOUR_S = 3600.0
HALF_TENTH_C, HALF_PCT = 0.05, 0.5  # the file gives 0.1 °C and whole percents
# The steam tables end at 0 °C, and colder rows of the file were partly made over ice, not water.
LEAST_DEW_C = 0.1
WINDOW = 721  # hours in 30 days, both ends in


@pytest.fixture(scope="module")
def weather():
    # source: pvlib 0.16, pvlib/data/723170TYA.CSV: TMY3 of Greensboro, North Carolina (NREL)
    path = Path(
        str(importlib.metadata.distribution("pvlib").locate_file("pvlib/data/723170TYA.CSV"))
    )
    read = pd.read_csv(path, skiprows=1)
    columns = {"Dry-bulb (C)": "air", "Dew-point (C)": "dew", "RHum (%)": "humidity"}
    return read[list(columns)].rename(columns=columns).astype(float)


@pytest.fixture(autouse=True)
def _no_network(monkeypatch):
    def refuse(*_args, **_kwargs):
        raise AssertionError("The weather must come from the package, not from a network.")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)


@pytest.fixture(scope="module")
def above_freezing(weather):
    return weather[weather.dew >= LEAST_DEW_C]


@pytest.fixture(scope="module")
def contradicts_itself(above_freezing):
    """True where no air has the row's temperature, dew point and humidity, however rounded."""
    # source: IAPWS-IF97, region 4, by the package iapws
    dew, air = above_freezing.dew, above_freezing.air
    most = 100 * steam(dew + HALF_TENTH_C) / steam(air - HALF_TENTH_C)
    least = 100 * steam(dew - HALF_TENTH_C) / steam(air + HALF_TENTH_C)
    humidity = above_freezing.humidity.to_numpy()
    return (most < humidity - HALF_PCT) | (least > humidity + HALF_PCT)


def steam(celsius):
    return np.array([_PSat_T(one + 273.15) for one in celsius])


def times_of(values):
    return np.arange(len(values)) * HOUR_S


def test_the_year_is_whole(weather):
    assert len(weather) == 8760
    assert not weather.isna().to_numpy().any()


def test_saturation_pressure_agrees_with_the_steam_tables_at_the_years_temperatures(weather):
    air = weather.air[weather.air >= LEAST_DEW_C].unique()

    assert saturation_pressure_pa(air) * 1e-6 == pytest.approx(steam(air), rel=0.003)


def test_rows_that_contradict_themselves_are_few(above_freezing, contradicts_itself):
    """101 of 6,522, by the steam tables alone: the file's humidity was not made from its dew point.

    They are told apart so that the other rows can be held to their rounding and nothing more.
    """
    assert len(above_freezing) == 6522
    assert int(contradicts_itself.sum()) == 101


def test_the_dew_point_is_the_stations_own_within_its_rounding(above_freezing, contradicts_itself):
    rows = above_freezing[~contradicts_itself]

    lowest = dew_point_c(rows.air - HALF_TENTH_C, rows.humidity - HALF_PCT)
    highest = dew_point_c(rows.air + HALF_TENTH_C, rows.humidity + HALF_PCT)

    assert (rows.dew >= lowest - HALF_TENTH_C).all()
    assert (rows.dew <= highest + HALF_TENTH_C).all()
    apart = dew_point_c(rows.air, rows.humidity) - rows.dew
    assert float(apart.median()) == pytest.approx(0.0, abs=0.02)
    assert float(apart.abs().max()) < 0.4  # half a percent of a dry hour


@pytest.mark.parametrize("name", ["air", "humidity", "dew"])
def test_daily_ranges_agree_with_pandas(weather, name):
    # source: pandas, groupby of 24 hours
    theirs = weather[name].groupby(np.arange(8760) // 24).agg(["min", "max"])

    found = daily_ranges(
        times_of(weather),
        weather[name],
        day_starts_s=np.arange(366) * 24 * HOUR_S,
        interval_s=HOUR_S,
    )

    assert [one.smallest for one in found] == theirs["min"].tolist()
    assert [one.largest for one in found] == theirs["max"].tolist()
    assert {one.readings for one in found} == {24}


def test_the_change_in_24_hours_agrees_with_pandas(weather):
    # source: pandas, rolling window of 25 hours: both ends in
    window = weather.humidity.rolling(25)
    theirs = (window.max() - window.min()).to_numpy()

    found = running_range(times_of(weather), weather.humidity, interval_s=HOUR_S)

    assert np.array_equal(found, theirs, equal_nan=True)


def test_the_seasonal_cycle_agrees_with_pandas_and_leaves_the_edges_empty(weather):
    # source: pandas, rolling mean of 721 hours, centred
    theirs = weather.humidity.rolling(WINDOW, center=True).mean().to_numpy()

    found = seasonal_cycle(times_of(weather), weather.humidity, interval_s=HOUR_S)

    assert np.isnan(found[:360]).all()
    assert np.isnan(found[-360:]).all()
    assert np.allclose(found, theirs, atol=1e-9, equal_nan=True)


def test_the_band_of_the_year_run_on_by_a_month_agrees_with_pandas(weather):
    humidity = pd.concat([weather.humidity, weather.humidity[:720]], ignore_index=True)
    # source: pandas, reading less rolling mean, quantiles 0.07 and 0.93
    apart = (humidity - humidity.rolling(WINDOW, center=True).mean()).dropna()

    found = target_band(times_of(humidity), humidity, interval_s=HOUR_S)

    assert isinstance(found, TargetBand)
    assert found.fluctuations == apart.size == 8760
    assert (found.low_percentile, found.high_percentile) == pytest.approx(
        tuple(apart.quantile([0.07, 0.93]))
    )


def test_one_year_alone_has_no_band(weather):
    assert isinstance(target_band(times_of(weather), weather.humidity, interval_s=HOUR_S), NoBand)


def cycles_one_by_one(values, *, wet, dry, dwell):
    """Return the dryings after a wetting; a stay counts from `dwell` readings after its first."""
    cycles, counted, state, stayed = 0, None, None, 0
    for value in values:
        now = "wet" if value >= wet else "dry" if value < dry else "between"
        stayed = stayed + 1 if now == state else 0
        state = now
        if now != "between" and stayed == dwell:
            cycles += counted == "wet" and now == "dry"
            counted = now
    return cycles


@pytest.mark.parametrize("every", [1, 3])
@pytest.mark.parametrize(("hysteresis", "dwell"), [(0.0, 0), (2.0, 0), (5.0, 0), (2.0, 3)])
def test_salt_cycles_are_those_of_a_plain_loop(weather, every, hysteresis, dwell):
    values = weather.humidity.to_numpy()[::every]
    step_s = every * HOUR_S
    expected = cycles_one_by_one(values, wet=75.3 + hysteresis, dry=75.3 - hysteresis, dwell=dwell)

    found = count_cycles(
        np.arange(values.size) * step_s,
        values,
        passage_of(75.3, hysteresis_rh_pct=hysteresis, dwell_s=dwell * step_s),
        interval_s=step_s,
    )

    assert expected > 50
    assert found.cycles == expected
