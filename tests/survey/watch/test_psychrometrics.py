"""Are damp, dew point and the margin to condensation computed as published?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws.iapws97 import _PSat_T, _TSat_P

from gridmap.errors import InvalidInput
from survey.watch.psychrometrics import (
    SensorErrors,
    absolute_humidity_g_m3,
    condensation_margin_c,
    dew_point_c,
    inside_sensor_error,
    margin_error_c,
    margin_statement,
    mixing_ratio_g_kg,
    saturation_pressure_pa,
    surface_humidity_rh_pct,
    vapour_pressure_pa,
)
from survey.watch.units import celsius_to_fahrenheit, fahrenheit_to_celsius

temperatures = st.floats(-30, 50)
humidities = st.floats(5, 100)


@pytest.mark.parametrize(
    ("celsius", "pascal"), [(0.0, 610.94), (10.0, 1226.02), (20.0, 2333.44), (30.0, 4236.65)]
)
def test_saturation_pressure_is_that_of_its_formula(celsius, pascal):
    # source: Alduchov & Eskridge, J. Appl. Meteor. 35 (1996) 601, eq. 21, worked by hand
    assert float(saturation_pressure_pa(celsius)) == pytest.approx(pascal, abs=0.006)


@pytest.mark.parametrize(
    ("celsius", "pascal"),
    # source: ASHRAE Fundamentals, Hyland & Wexler; PsychroLib 2.5.0, GetSatVapPres
    [(0.5, 633.77), (10, 1228.00), (20, 2338.80), (30, 4246.03), (40, 7383.46), (50, 12349.86)],
)
def test_saturation_pressure_is_within_a_quarter_percent_of_ashrae(celsius, pascal):
    assert float(saturation_pressure_pa(celsius)) == pytest.approx(pascal, rel=0.0025)


@given(celsius=st.floats(0, 60))
def test_saturation_pressure_agrees_with_the_steam_tables(celsius):
    # source: IAPWS-IF97, region 4, by the package iapws
    steam = _PSat_T(celsius + 273.15) * 1e6

    assert float(saturation_pressure_pa(celsius)) == pytest.approx(steam, rel=0.0045)


@pytest.mark.parametrize(
    ("celsius", "humidity", "dew_point", "mixing"),
    # source: PsychroLib 2.5.0, GetTDewPointFromRelHum and GetHumRatioFromRelHum at 101,325 Pa
    [
        (20, 50, 9.272, 7.262),
        (25, 60, 16.701, 11.895),
        (10, 80, 6.713, 6.089),
        (30, 70, 23.928, 18.795),
        (5, 95, 4.267, 5.130),
        (18, 35, 2.325, 4.467),
        (35, 40, 19.385, 14.132),
        (22, 75, 17.367, 12.418),
        (2, 90, 0.535, 3.925),
        (40, 20, 12.783, 9.198),
    ],
)
def test_dew_point_and_mixing_ratio_agree_with_ashrae(celsius, humidity, dew_point, mixing):
    assert float(dew_point_c(celsius, humidity)) == pytest.approx(dew_point, abs=0.03)
    assert float(mixing_ratio_g_kg(celsius, humidity)) == pytest.approx(mixing, rel=0.003)


@pytest.mark.parametrize(
    ("celsius", "humidity", "dew_point", "absolute", "mixing"),
    # source: Alduchov & Eskridge 1996, inverted; e/(461.5 T) and 621.945 e/(P - e) by hand
    [
        (20, 50, 9.261, 8.624, 7.245),
        (25, 60, 16.698, 13.786, 11.866),
        (10, 80, 6.708, 7.506, 6.079),
        (30, 70, 23.930, 21.197, 18.752),
    ],
)
def test_humid_air_agrees_with_its_formulas(celsius, humidity, dew_point, absolute, mixing):
    assert float(dew_point_c(celsius, humidity)) == pytest.approx(dew_point, abs=6e-4)
    assert float(absolute_humidity_g_m3(celsius, humidity)) == pytest.approx(absolute, rel=1e-4)
    assert float(mixing_ratio_g_kg(celsius, humidity)) == pytest.approx(mixing, abs=6e-4)


@pytest.mark.parametrize(
    ("fahrenheit", "humidity", "dew_point_f"), [(68, 50, 48.690), (70, 60, 55.492)]
)
def test_dew_point_in_fahrenheit_agrees_with_ashrae(fahrenheit, humidity, dew_point_f):
    # source: PsychroLib 2.5.0 in I-P units, GetTDewPointFromRelHum
    found = celsius_to_fahrenheit(dew_point_c(fahrenheit_to_celsius(fahrenheit), humidity))

    assert float(found) == pytest.approx(dew_point_f, abs=0.054)


@given(celsius=st.floats(0, 40), humidity=st.floats(20, 100))
def test_dew_point_agrees_with_the_steam_tables(celsius, humidity):
    pressure_mpa = _PSat_T(celsius + 273.15) * humidity / 100
    if pressure_mpa < 611.3e-6:  # the tables end at 0 °C
        return
    # source: IAPWS-IF97, region 4, by the package iapws
    steam = _TSat_P(pressure_mpa) - 273.15

    assert float(dew_point_c(celsius, humidity)) == pytest.approx(steam, abs=0.035)


def test_below_freezing_the_dew_point_is_over_water_and_no_frost_point():
    # source: Alduchov & Eskridge 1996 over water; the frost point would be -8.164 °C (PsychroLib)
    assert float(dew_point_c(0.0, 50.0)) == pytest.approx(-9.196, abs=6e-4)


@pytest.mark.parametrize(
    ("air", "humidity", "surface", "margin", "at_surface"),
    # source: Alduchov & Eskridge 1996, by hand
    [(20, 65, 14, 0.779, 95.06), (20, 50, 12, 2.739, 83.33), (25, 60, 16, -0.698, 104.54)],
)
def test_margin_and_surface_humidity_agree_with_the_formula(
    air, humidity, surface, margin, at_surface
):
    assert float(condensation_margin_c(air, humidity, surface)) == pytest.approx(margin, abs=6e-4)
    assert float(surface_humidity_rh_pct(air, humidity, surface)) == pytest.approx(
        at_surface, abs=6e-3
    )


def test_a_lamp_that_warms_the_surface_dries_it():
    # source: a surface of 66 °F at 55 % RH, warmed to 79 °F, IAPWS-IF97 by the package iapws
    air, warm = fahrenheit_to_celsius([66.0, 79.0])
    expected = 55 * _PSat_T(air + 273.15) / _PSat_T(warm + 273.15)

    assert float(surface_humidity_rh_pct(air, 55.0, warm)) == pytest.approx(expected, abs=0.1)
    assert round(expected) == 35


@given(celsius=temperatures, humidity=humidities)
def test_surface_humidity_at_air_temperature_is_air_humidity(celsius, humidity):
    assert float(surface_humidity_rh_pct(celsius, humidity, celsius)) == pytest.approx(humidity)


@given(celsius=temperatures)
def test_saturated_air_has_its_dew_point_at_its_temperature(celsius):
    assert float(dew_point_c(celsius, 100.0)) == pytest.approx(celsius, abs=1e-9)


@given(celsius=temperatures, humidity=humidities)
def test_air_is_saturated_at_its_dew_point(celsius, humidity):
    dew_point = dew_point_c(celsius, humidity)
    if dew_point < -40:
        return
    assert float(saturation_pressure_pa(dew_point)) == pytest.approx(
        float(vapour_pressure_pa(celsius, humidity)), rel=1e-9
    )


@given(celsius=temperatures, humidity=st.floats(5, 95), surface=temperatures)
def test_a_surface_below_the_dew_point_is_above_100_percent(celsius, humidity, surface):
    margin = float(condensation_margin_c(celsius, humidity, surface))
    at_surface = float(surface_humidity_rh_pct(celsius, humidity, surface))

    if abs(margin) > 1e-9:
        assert (margin < 0) == (at_surface > 100)


def test_the_sensor_errors_of_a_common_logger_give_about_one_degree():
    # source: +3 % RH moves the dew point of 20 °C, 50 % by 0.87 °C, +0.5 °C by 0.46 °C, together
    # 0.98 °C: PsychroLib 2.5.0, differences of GetTDewPointFromRelHum
    humidity = SensorErrors(air_c=0.0, humidity_rh_pct=3.0, surface_c=0.0)
    air = SensorErrors(air_c=0.5, humidity_rh_pct=0.0, surface_c=0.0)
    both = SensorErrors(air_c=0.5, humidity_rh_pct=3.0, surface_c=0.0)

    assert float(margin_error_c(20, 50, errors=humidity)) == pytest.approx(0.87, abs=0.03)
    assert float(margin_error_c(20, 50, errors=air)) == pytest.approx(0.46, abs=0.01)
    assert float(margin_error_c(20, 50, errors=both)) == pytest.approx(0.98, abs=0.03)


@pytest.mark.parametrize(("air", "humidity", "surface"), [(20, 50, 12), (5, 90, 4), (30, 40, 20)])
def test_the_error_budget_is_what_simulated_sensors_show(air, humidity, surface):
    errors = SensorErrors(air_c=0.3, humidity_rh_pct=1.5, surface_c=0.4)
    rng = np.random.default_rng(1936)
    shown = condensation_margin_c(
        rng.normal(air, 0.3, 200_000),
        rng.normal(humidity, 1.5, 200_000),
        rng.normal(surface, 0.4, 200_000),
    )

    assert float(margin_error_c(air, humidity, errors=errors)) == pytest.approx(
        shown.std(), rel=0.01
    )


def test_a_margin_under_its_error_shows_nothing():
    assert inside_sensor_error([0.8, -0.8, 1.2, np.nan], 1.0).tolist() == [True, True, False, False]
    assert "neither shown nor excluded" in margin_statement(0.8, 1.0)
    assert "+1.4 °F (+0.8 °C)" in margin_statement(0.8, 1.0)
    assert "condensation is to be expected" in margin_statement(-1.2, 1.0)
    assert "above the dew point" in margin_statement(1.2, 1.0)
    assert "unknown" in margin_statement(float("nan"), 1.0)


def test_a_missing_reading_gives_no_margin():
    found = condensation_margin_c([20.0, np.nan, 20.0], [50.0, 50.0, np.nan], 12.0)

    assert np.isfinite(found[0])
    assert np.isnan(found[1:]).all()


def test_perfectly_dry_air_has_no_dew_point():
    assert np.isnan(dew_point_c(20.0, 0.0))


@pytest.mark.parametrize(
    ("celsius", "humidity", "words"),
    [
        (68.0, 50.0, r"68 °C.*outside -40 to 60 °C.*°F"),
        (20.0, -1.0, r"-1 % RH.*outside 0 to 110"),
        (20.0, 293.0, r"293 % RH"),
    ],
)
def test_impossible_air_is_refused_in_words(celsius, humidity, words):
    with pytest.raises(InvalidInput, match=words):
        dew_point_c(celsius, humidity)
