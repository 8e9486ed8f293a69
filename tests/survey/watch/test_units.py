"""Are readings said rightly in another unit?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch import units

finite = st.floats(-200, 900)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (68.0, 20.0)],
    # source: the fixed points of the Fahrenheit scale, NIST SP 811 (2008), appendix B.8
)
def test_temperatures_agree_at_the_fixed_points(fahrenheit, celsius):
    assert float(units.fahrenheit_to_celsius(fahrenheit)) == pytest.approx(celsius, abs=1e-12)
    assert float(units.celsius_to_fahrenheit(celsius)) == pytest.approx(fahrenheit, abs=1e-12)


def test_a_difference_has_no_32_in_it():
    # source: ASHRAE Handbook, I-P edition, ±5 K given as 9 °F before rounding, from memory
    assert float(units.celsius_difference_to_fahrenheit(5.0)) == 9.0
    assert float(units.fahrenheit_difference_to_celsius(9.0)) == 5.0


def test_lengths_and_velocities_convert_exactly():
    # source: 1 in = 25.4 mm, Federal Register 24 (1959) 5348
    assert float(units.in_to_mm(1.0)) == 25.4
    assert float(units.in_s_to_mm_s(0.12)) == pytest.approx(3.048, abs=1e-12)
    assert float(units.mm_s_to_in_s(3.048)) == pytest.approx(0.12, abs=1e-15)


def test_a_foot_candle_is_a_lumen_on_a_square_foot():
    # source: 1 fc = 10.76391 lx, NIST SP 811 (2008), appendix B.8
    assert float(units.fc_to_lx(1.0)) == pytest.approx(10.76391, abs=5e-6)
    assert float(units.lx_to_fc(units.fc_to_lx(7.0))) == pytest.approx(7.0, abs=1e-12)


def test_60_microwatts_per_lumen_at_50_lux_are_3_milliwatts_per_square_metre():
    # source: the units themselves, 60 µW/lm × 50 lm/m² = 3,000 µW/m²
    assert float(units.uv_irradiance_mw_m2(60.0, 50.0)) == 3.0
    assert float(units.uv_share_uw_lm(3.0, 50.0)) == 60.0


def test_without_light_there_is_no_share_of_ultraviolet():
    found = units.uv_share_uw_lm([1.0, 3.0], [0.0, 50.0])

    assert np.isnan(found[0])
    assert found[1] == 60.0


@given(value=finite)
def test_there_and_back_is_the_same_reading(value):
    there_and_back = units.fahrenheit_to_celsius(units.celsius_to_fahrenheit(value))

    assert float(there_and_back) == pytest.approx(value, abs=1e-9)


@given(first=st.floats(-100, 100), second=st.floats(-100, 100))
def test_the_difference_of_two_temperatures_converts_as_a_difference(first, second):
    apart = units.celsius_to_fahrenheit(first) - units.celsius_to_fahrenheit(second)

    assert float(units.celsius_difference_to_fahrenheit(first - second)) == pytest.approx(
        float(apart), abs=1e-9
    )


def test_a_missing_reading_stays_missing():
    found = units.fahrenheit_to_celsius([68.0, np.nan])

    assert found[0] == 20.0
    assert np.isnan(found[1])


@pytest.mark.parametrize(
    ("convert", "value", "words"),
    [
        (units.fahrenheit_to_celsius, -500.0, "outside -459.67"),
        (units.celsius_to_fahrenheit, -274.0, "outside -273.15"),
        (units.fc_to_lx, -1.0, "outside 0"),
        (units.in_to_mm, float("inf"), "infinite"),
        (units.in_to_mm, "wide", "must be numbers"),
    ],
)
def test_what_cannot_be_is_refused(convert, value, words):
    with pytest.raises(InvalidInput, match=words):
        convert(value)
