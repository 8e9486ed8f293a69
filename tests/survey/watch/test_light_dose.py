"""Does a dose add up, leave silences out, and stand against its limit?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.light_dose import (
    CLASSES,
    LampUse,
    hours_to_limit,
    lamp_rise,
    ledger,
    logged_dose,
)
from survey.watch.spans import Span
from survey.watch.units import fahrenheit_to_celsius

HOUR = 3600.0
LIMITS = {one.key: one for one in CLASSES}
NAN = float("nan")
lights = st.lists(st.floats(0, 5000), min_size=3, max_size=60)


def test_a_day_by_the_hour():
    # source: trapezoids worked by hand: half of both ends and all between, 770 lx·h
    found = logged_dose(
        np.arange(9) * HOUR, [0, 40, 90, 150, 180, 160, 100, 50, 0], interval_s=HOUR
    )

    assert found.lx_h == pytest.approx(770.0)
    assert found.statement == "770 lx·h in 8.0 h, without a gap."


@given(values=lights, cut=st.integers(1, 59))
def test_doses_of_two_parts_add_up_to_that_of_the_whole(values, cut):
    times = np.arange(len(values)) * 600.0
    at = min(cut, len(values) - 2)

    whole = logged_dose(times, values, interval_s=600.0).lx_h
    first = logged_dose(times[: at + 1], values[: at + 1], interval_s=600.0).lx_h
    second = logged_dose(times[at:], values[at:], interval_s=600.0).lx_h

    assert first + second == pytest.approx(whole)


@given(values=lights, factor=st.floats(0, 10))
def test_twice_the_light_is_twice_the_dose(values, factor):
    times = np.arange(len(values)) * 600.0

    once = logged_dose(times, values, interval_s=600.0).lx_h
    scaled = logged_dose(times, factor * np.array(values), interval_s=600.0).lx_h

    assert scaled == pytest.approx(factor * once, abs=1e-6)


def test_a_silence_takes_no_dose_and_is_said():
    """By hand: 100 lx for 2 h, silent for 5 h, 100 lx for 1 h, watched for 10 h."""
    times = np.array([0, 1, 2, 3, 7, 8]) * HOUR

    found = logged_dose(
        times,
        [100, 100, 100, NAN, 100, 100],
        interval_s=HOUR,
        watched=Span(0.0, 10.5 * HOUR),
    )

    assert found.lx_h == pytest.approx(300.0)
    assert found.known_s == 3 * HOUR
    assert found.unknown_s == 5 * HOUR  # the last 2.5 h are within 2.5 intervals
    assert found.statement.startswith("At least 300 lx·h in 3.0 h; for 5.0 h nothing is known")


def test_lamp_minutes_of_a_season():
    """120 lx, 8 h on 300 days: 48 % of the low class, 192 % of the medium."""
    use = LampUse("lamp 2", ("C17",), 120.0, 8 * 60 * 300)

    # source: 120 · 8 · 300 = 288,000; CIE 157:2004 limits from memory
    assert use.lx_h == 288_000
    assert use.lx_h / LIMITS["low"].limit_lx_h == pytest.approx(0.48)
    assert use.lx_h / LIMITS["medium"].limit_lx_h == pytest.approx(1.92)


def test_light_and_time_count_alike():
    # source: reciprocity, 50 lx for 10 h = 250 lx for 2 h, leaflet of a museum association
    assert LampUse("a", ("A1",), 50, 600).lx_h == LampUse("b", ("A1",), 250, 120).lx_h == 500


def test_hours_at_50_lux():
    # source: 150,000 / 50 and 15,000 / 50, worked by hand
    assert hours_to_limit(50, limit_lx_h=150_000) == 3000
    assert hours_to_limit(50, limit_lx_h=15_000) == 300
    assert hours_to_limit(50, limit_lx_h=15_000, taken_lx_h=20_000) == 0


def test_the_ledger_says_which_cell_is_nearest_its_limit_and_which_lamp_to_move():
    """800 lx, 6 h on 5 days of 12 weeks: 288,000 lx·h, 92 % of an agreed 313,000."""
    uses = [
        LampUse("lamp 2", ("C17", "C18"), 800.0, 6 * 60 * 5 * 12 - 60 * 60),
        LampUse("lamp 1", ("C17",), 800.0, 60 * 60),
    ]

    lines = ledger(uses, limits_lx_h={"C17": 313_000.0}, earlier_lx_h={"A01": 100.0})

    # source: 800 · 6 · 5 · 12 = 288,000, worked by hand
    assert [(line.cell, line.lx_h) for line in lines] == [
        ("C17", 288_000.0),
        ("C18", 240_000.0),
        ("A01", 100.0),
    ]
    assert lines[0].statement == (
        "C17 at 92% of the agreed 313,000 lx·h, most of it (240,000) by lamp 2."
    )
    assert lines[1].statement == "C18: 240,000 lx·h; no limit is agreed."


def test_a_lamp_warms_and_dries_the_surface():
    before, after = (float(fahrenheit_to_celsius(f)) for f in (66.0, 79.0))

    found = lamp_rise(before_c=before, after_c=after, sensor_error_c=0.5, surface_rh_pct=55.0)

    # source: 55 % · es(66 °F) / es(79 °F) = 35 %, saturation pressures of the steam tables
    assert found.lit_rh_pct == pytest.approx(35.3, abs=0.2)
    assert found.statement == (
        "The surface changed by +13.0 °F (+7.2 °C) with the lamp on; humidity at the surface "
        "55 % to 35 %."
    )


def test_a_rise_under_the_sensors_error_is_not_shown():
    found = lamp_rise(before_c=19.0, after_c=20.0, sensor_error_c=0.5)

    assert found.error_c == pytest.approx(1.386, abs=5e-4)
    assert "under 2.5 °F no rise is shown" in found.statement
    assert found.lit_rh_pct is None


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: logged_dose([0.0], [-1.0], interval_s=60.0), "-1 lx is outside"),
        (lambda: LampUse("a", (), 50, 60), "name the cells"),
        (lambda: LampUse("a", ("A1",), 50, -1), "-1 min"),
        (lambda: hours_to_limit(0.0, limit_lx_h=1000.0), "above 0 lx"),
        (lambda: ledger([LampUse("a", ("A1",), 5, 6)], limits_lx_h={"A1": 0.0}), "limit of A1"),
        (lambda: lamp_rise(before_c=66.0, after_c=79.0, sensor_error_c=0.5), "°F"),
    ],
)
def test_what_cannot_be_is_refused(call, words):
    with pytest.raises(InvalidInput, match=words):
        call()
