"""Is the thermal part of a crack taken away, and no trend stated where the seasons make one?"""

import numpy as np
import pytest
import scipy.signal
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.cracks import (
    CrackTrend,
    Thermal,
    crack_change,
    crack_trend,
    thermal_coefficient,
)
from survey.watch.spans import YEAR_S
from survey.watch.trend import NoTrend, mann_kendall
from survey.watch.units import fahrenheit_to_celsius

MONTHS = np.arange(36)
TIMES = MONTHS * YEAR_S / 12
SURFACE = 15 + 10 * np.sin(2 * np.pi * MONTHS / 12)
# A known crack: 0.048 mm a year, 0.012 mm closed by each degree, a zigzag of 0.003 mm.
WIDTH = 0.200 + 0.004 * MONTHS - 0.012 * (SURFACE - 15) + 0.003 * (-1.0) ** MONTHS


def test_a_known_crack_is_taken_apart():
    found = crack_trend(TIMES, WIDTH, SURFACE)

    # source: statsmodels OLS of the same 36 readings: a 0.20026, b 0.003985 per month, c -0.012006,
    # residual SD 0.00313
    assert isinstance(found, CrackTrend)
    assert found.width_mm == pytest.approx(0.20026, abs=5e-6)
    assert found.mm_per_year / 12 == pytest.approx(0.003985, abs=5e-7)
    assert found.thermal.mm_per_c == pytest.approx(-0.012006, abs=5e-7)
    assert found.residual_sd_mm == pytest.approx(0.00313, abs=5e-6)
    assert found.low_mm_per_year < 0.048 < found.high_mm_per_year
    assert found.statement.startswith("A trend is shown")


def test_without_temperature_the_first_year_would_show_a_trend_six_times_too_large():
    """The trap that the refusal guards against, shown with the test itself."""
    # source: statsmodels OLS without temperature: 0.02266 mm a month in the first 12 months
    slope = np.polyfit(MONTHS[:12], WIDTH[:12], 1)[0]

    assert slope == pytest.approx(0.02266, abs=5e-6)
    assert slope / 0.004 == pytest.approx(5.7, abs=0.05)
    assert mann_kendall(WIDTH[:12]).p == pytest.approx(0.0075, abs=5e-5)


@pytest.mark.parametrize(
    ("count", "with_temperature", "words"),
    [
        (36, False, "Without surface temperature"),
        (12, True, "On a year or less"),
        (13, True, "On a year or less"),
        (9, True, "9 readings are too few"),
    ],
)
def test_no_trend_is_stated_on_a_year_or_less_or_without_temperature(
    count, with_temperature, words
):
    found = crack_trend(TIMES[:count], WIDTH[:count], SURFACE[:count] if with_temperature else None)

    assert isinstance(found, NoTrend)
    assert words in found.reason


def test_no_trend_is_stated_if_temperature_hardly_moved():
    found = crack_trend(TIMES, WIDTH, 15 + 0.05 * SURFACE)

    assert isinstance(found, NoTrend)
    assert "moved by 1.0 °C only" in found.reason


def test_readings_without_temperature_do_not_count():
    surface = np.where(MONTHS < 26, np.nan, SURFACE)

    found = crack_trend(TIMES, WIDTH, surface)

    assert isinstance(found, NoTrend)
    assert "On a year or less" in found.reason


def test_the_interval_is_no_narrower_than_another_program_gives():
    rng = np.random.default_rng(17)
    months = np.arange(60)
    surface = 15 + 10 * np.sin(2 * np.pi * months / 12)
    noise = np.convolve(rng.normal(0, 0.01, 62), [1, 0.8, 0.5], "valid")
    width = 0.3 - 0.01 * (surface - 15) + noise
    design = np.column_stack((np.ones(60), months / 12, surface - surface.mean()))
    # source: statsmodels OLS, cov_type="HAC", 3 lags
    theirs = sm.OLS(width, design).fit(cov_type="HAC", cov_kwds={"maxlags": 3}, use_t=True)

    found = crack_trend(months * YEAR_S / 12, width, surface)

    assert isinstance(found, CrackTrend)
    assert found.mm_per_year == pytest.approx(theirs.params[1])
    assert found.thermal.error_mm_per_c > 1.1 * sm.OLS(width, design).fit().bse[2]
    assert found.high_mm_per_year - found.low_mm_per_year >= np.ptp(theirs.conf_int()[1]) - 1e-12


@pytest.mark.parametrize(("memory", "most"), [(0.0, 0.08), (0.3, 0.10), (0.6, 0.12)])
def test_a_crack_that_only_breathes_is_seldom_said_to_open(memory, most):
    """At 95 % confidence about one crack in twenty, though its readings remember each other.

    The robust errors alone would say so of one in eight (0.3) and one in four (0.6).
    """
    rng = np.random.default_rng(19)
    shown = 0
    for _ in range(400):
        noise = scipy.signal.lfilter([1], [1, -memory], rng.normal(0, 0.01, 86))[50:]
        breathing = 0.4 - 0.012 * (SURFACE - 15) + noise
        shown += crack_trend(TIMES, breathing, SURFACE).statement.startswith("A trend")

    assert shown / 400 <= most


@given(slope=st.floats(-0.1, 0.1), per_c=st.floats(-0.05, 0.05))
def test_an_exact_crack_is_found_exactly(slope, per_c):
    width = 1.0 + slope * TIMES / YEAR_S + per_c * (SURFACE - SURFACE.mean())

    found = crack_trend(TIMES, width, SURFACE)

    assert found.mm_per_year == pytest.approx(slope, abs=1e-9)
    assert found.thermal.mm_per_c == pytest.approx(per_c, abs=1e-9)


def test_a_breathing_crack_between_two_visits():
    """0.35 to 0.50 mm while the wall cooled by 15 °F at -0.006 mm/°F: 0.09 of 0.15 is the cold's."""
    before_c, after_c = fahrenheit_to_celsius([68.0, 53.0])

    found = crack_change(
        before_mm=0.35,
        after_mm=0.50,
        reading_error_mm=0.05,
        before_c=float(before_c),
        after_c=float(after_c),
        thermal=Thermal(mm_per_c=-0.006 * 1.8, error_mm_per_c=0.001 * 1.8, readings=12),
    )

    # source: 1.96 · √2 · 0.05 = 0.14; 15 · 0.006 = 0.09, worked by hand
    assert found.threshold_mm == pytest.approx(0.1386, abs=5e-5)
    assert found.explained_mm == pytest.approx(0.09)
    assert found.remainder_mm == pytest.approx(0.06)
    assert found.remainder_threshold_mm == pytest.approx(1.96 * np.hypot(0.07071, 0.015), abs=1e-5)
    assert "+0.15 mm exceeds the error" in found.statement
    assert "remainder +0.06 mm does not exceed its error (0.14 mm)" in found.statement
    assert "± 0.0018 mm/°C, 12 readings" in found.statement


def test_a_change_without_temperature_says_that_its_part_is_unknown():
    found = crack_change(
        before_mm=0.35,
        after_mm=0.50,
        reading_error_mm=0.05,
        before_c=None,
        after_c=12.0,
        thermal=None,
    )

    assert "part of temperature is unknown" in found.statement


def test_a_thermal_coefficient_comes_with_its_error():
    rng = np.random.default_rng(23)
    times = np.arange(14) * 86_400.0
    surface = 15 + rng.normal(0, 4, 14)
    width = 0.4 - 0.01 * surface + rng.normal(0, 0.005, 14)

    found = thermal_coefficient(times, width, surface)

    assert found.readings == 14
    assert abs(found.mm_per_c + 0.01) < 4 * found.error_mm_per_c
    assert 0 < found.error_mm_per_c < 0.002


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: crack_trend(TIMES, WIDTH - 5, SURFACE), "outside 0 to 300 mm"),
        (lambda: crack_trend(TIMES, WIDTH, SURFACE * 5), "°F"),
        (lambda: crack_trend(TIMES, WIDTH, SURFACE[:5]), "5 values for 36 widths"),
        (lambda: thermal_coefficient(TIMES[:9], WIDTH[:9], SURFACE[:9]), "9 readings"),
        (lambda: thermal_coefficient(TIMES, WIDTH, 15 + 0 * SURFACE), "moved by 0.0 °C"),
    ],
)
def test_what_cannot_be_is_refused(call, words):
    with pytest.raises(InvalidInput, match=words):
        call()
