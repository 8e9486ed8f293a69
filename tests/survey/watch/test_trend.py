"""Do trends agree with reference programs, and is none stated where none can be?"""

import numpy as np
import pymannkendall
import pytest
import scipy.signal
import scipy.stats
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.spans import YEAR_S
from survey.watch.trend import (
    NoTrend,
    Trend,
    mann_kendall,
    smallest_detectable_change,
    smallest_detectable_slope,
    theil_sen,
    trend,
    years_to_detect,
)

NILE = sm.datasets.nile.load_pandas().data["volume"].to_numpy(float)
MONTH_S = YEAR_S / 12


def test_the_nile_falls_as_published_programs_say():
    found = mann_kendall(NILE)

    # source: pymannkendall 1.4.3, original_test, on the Nile's flow 1871 to 1970
    assert (found.readings, found.s) == (100, -1387)
    assert found.variance == pytest.approx(112728.33, abs=0.005)
    assert found.z == pytest.approx(-4.12807, abs=5e-6)
    assert found.p == pytest.approx(3.658e-5, rel=2e-4)


def test_the_nile_with_its_serial_correlation_allowed_for():
    found = mann_kendall(NILE)

    # source: pymannkendall 1.4.3, hamed_rao_modification_test
    assert found.corrected_z == pytest.approx(-2.820, abs=5e-4)
    assert found.corrected_p == pytest.approx(0.00480, abs=5e-6)
    assert found.governing_p == found.corrected_p


def test_the_niles_first_thirty_years_show_nothing():
    # source: pymannkendall 1.4.3, original_test
    assert mann_kendall(NILE[:30]).p == pytest.approx(0.592, abs=5e-4)


def test_the_niles_slope_and_its_interval():
    found = theil_sen(np.arange(100.0), NILE)

    # source: scipy.stats.theilslopes
    assert found.slope == pytest.approx(-2.6, abs=1e-12)
    assert (found.low, found.high) == pytest.approx((-3.628, -1.429), abs=5e-4)


def test_a_short_series_with_ties():
    values = [0.10, 0.12, 0.11, 0.12, 0.15, 0.14, 0.18, 0.17, 0.20, 0.19]

    found = mann_kendall(values)

    # source: counted by hand: 40 pairs rise, 4 fall, one is tied; 10·9·25 less 2·1·9, over 18
    assert (found.s, found.variance) == (36, 124.0)
    assert found.z == pytest.approx(3.1431, abs=5e-5)
    assert theil_sen(np.arange(10.0), values).slope == pytest.approx(0.0114286, abs=5e-8)


@given(st.lists(st.integers(0, 12), min_size=10, max_size=60).filter(lambda v: len(set(v)) > 1))
def test_the_test_agrees_with_another_program_on_series_full_of_ties(values):
    theirs = pymannkendall.original_test(values)

    found = mann_kendall(values)

    assert found.s == theirs.s
    assert found.variance == pytest.approx(theirs.var_s)
    assert found.p == pytest.approx(theirs.p, abs=1e-12)


@given(st.lists(st.integers(0, 3), min_size=10, max_size=40).filter(lambda v: len(set(v)) > 1))
def test_the_correction_agrees_where_ranks_are_tied(values):
    found = mann_kendall(values)

    if found.factor > 0:  # else the other program divides by nothing
        theirs = pymannkendall.hamed_rao_modification_test(values)
        assert found.variance * found.factor == pytest.approx(theirs.var_s)


@pytest.mark.parametrize("seed", range(6))
def test_the_correction_agrees_with_another_program(seed):
    rng = np.random.default_rng(seed)
    noise = scipy.signal.lfilter([1], [1, -0.6], rng.normal(0, 1, 120))
    values = noise + 0.01 * np.arange(120)
    # source: pymannkendall.hamed_rao_modification_test
    theirs = pymannkendall.hamed_rao_modification_test(values)

    found = mann_kendall(values)

    assert found.variance * found.factor == pytest.approx(theirs.var_s)
    assert found.corrected_p == pytest.approx(theirs.p, abs=1e-9)


@given(
    values=st.lists(st.floats(-5, 5), min_size=10, max_size=40),
    step=st.floats(0.1, 3),
)
def test_slopes_agree_with_another_program(values, step):
    at = np.arange(len(values)) * step
    # source: scipy.stats.theilslopes, method "separate"
    theirs = scipy.stats.theilslopes(values, at, 0.95)

    found = theil_sen(at, values)

    assert found.slope == pytest.approx(theirs.slope, abs=1e-9)
    assert found.low == pytest.approx(theirs.low_slope, abs=1e-9)
    assert found.high == pytest.approx(theirs.high_slope, abs=1e-9)


@given(values=st.lists(st.floats(-5, 5), min_size=10, max_size=40, unique=True))
def test_turning_a_series_upside_down_turns_the_trend(values):
    up, down = mann_kendall(values), mann_kendall(-np.array(values))

    assert (up.s, up.variance) == (-down.s, down.variance)
    assert up.p == pytest.approx(down.p)


def test_a_trend_of_three_years_is_stated_per_year():
    rng = np.random.default_rng(3)
    times = np.arange(36) * MONTH_S
    values = 0.2 + 0.05 * times / YEAR_S + rng.normal(0, 0.01, 36)

    found = trend(times, values, unit="mm")

    assert isinstance(found, Trend)
    assert found.slope.slope == pytest.approx(0.05, abs=0.006)
    assert found.slope.low < 0.05 < found.slope.high
    assert found.least_squares_slope == pytest.approx(
        scipy.stats.linregress(times / YEAR_S, values).slope
    )
    assert found.statement.startswith("A trend is shown at 95% confidence: +0.05")


def test_noise_shows_no_trend():
    rng = np.random.default_rng(5)

    found = trend(np.arange(36) * MONTH_S, rng.normal(0, 1, 36), unit="mm")

    assert isinstance(found, Trend)
    assert found.statement.startswith("No trend is shown")


def test_a_zigzag_does_not_make_a_trend_look_surer():
    rng = np.random.default_rng(13)
    times = np.arange(36) * MONTH_S
    values = 0.3 * (-1.0) ** np.arange(36) + rng.normal(0, 0.1, 36)

    found = trend(times, values, unit="mm")
    plain = theil_sen(times / YEAR_S, values)

    assert found.test.factor < 1
    assert (found.slope.low, found.slope.high) == pytest.approx((plain.low, plain.high))


@pytest.mark.parametrize(("memory", "most"), [(0.0, 0.08), (0.3, 0.09), (0.6, 0.10)])
def test_a_series_without_a_trend_is_seldom_said_to_have_one(memory, most):
    """At 95 % confidence about one in twenty; by Hamed & Rao alone one in five at 0.6."""
    rng = np.random.default_rng(29)
    shown = 0
    for _ in range(300):
        noise = scipy.signal.lfilter([1], [1, -memory], rng.normal(0, 1, 110))[50:]
        found = trend(np.arange(60) * MONTH_S, noise, unit="mm")
        shown += found.statement.startswith("A trend")

    assert shown / 300 <= most


def test_serial_correlation_widens_the_interval():
    rng = np.random.default_rng(11)
    noise = scipy.signal.lfilter([1], [1, -0.8], rng.normal(0, 1, 120))
    factor = mann_kendall(noise).factor

    plain = theil_sen(np.arange(120.0), noise)
    wider = theil_sen(np.arange(120.0), noise, variance_factor=factor)

    assert factor > 1.5
    assert wider.high - wider.low > 1.2 * (plain.high - plain.low)


@pytest.mark.parametrize(
    ("times", "values", "words"),
    [
        (np.arange(12) * MONTH_S, np.arange(12.0), "335 days. On a year or less"),
        (np.arange(13) * MONTH_S, np.arange(13.0), "365 days. On a year or less"),
        (np.arange(9) * YEAR_S, np.arange(9.0), "9 readings are too few"),
        (np.arange(36) * MONTH_S, np.full(36, 0.3), "All readings are alike"),
    ],
)
def test_no_trend_is_stated_where_none_can_be(times, values, words):
    found = trend(times, values, unit="mm")

    assert isinstance(found, NoTrend)
    assert words in found.reason


def test_what_is_detectable():
    # source: 1.96 √2 SEM, and 3.24 σ √(12/(n(n² − 1)))/Δt, worked by hand
    assert smallest_detectable_change(0.01) == pytest.approx(0.0277, abs=5e-5)
    assert smallest_detectable_slope(0.02, readings=36, step_years=1 / 12) == pytest.approx(
        0.01248, abs=5e-6
    )
    # source: Weatherhead et al. 1998, from memory
    assert years_to_detect(0.02, slope_per_year=0.01, autocorrelation=0.3) == pytest.approx(
        4.325, abs=5e-4
    )


def test_a_detectable_slope_is_seen_nine_times_in_ten():
    rng = np.random.default_rng(1936)
    months = np.arange(36) / 12
    slope = smallest_detectable_slope(0.02, readings=36, step_years=1 / 12)
    spread = 0.02 / np.sqrt(((months - months.mean()) ** 2).sum())
    noisy = slope * months + rng.normal(0, 0.02, (20_000, 36))
    slopes = (noisy @ (months - months.mean())) / ((months - months.mean()) ** 2).sum()

    assert np.mean(slopes > 1.96 * spread) == pytest.approx(0.90, abs=0.01)


def test_what_cannot_be_tested_is_refused():
    with pytest.raises(InvalidInput, match="10 to 3,000"):
        mann_kendall(np.arange(9.0))
    with pytest.raises(InvalidInput, match="alike"):
        mann_kendall(np.ones(12))
    with pytest.raises(InvalidInput, match="daily or monthly means"):
        trend(np.arange(4000) * 86_400.0, np.arange(4000.0), unit="mm")
    with pytest.raises(InvalidInput, match="autocorrelation"):
        years_to_detect(0.02, slope_per_year=0.01, autocorrelation=1.0)
