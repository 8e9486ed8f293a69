"""Do least squares and their errors agree with reference data and another program?"""

import numpy as np
import pytest
import scipy.stats
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.regression import (
    autocorrelation,
    least_squares,
    student_quantile,
    student_share_within,
)


def test_least_squares_agree_with_the_certified_longley_data():
    data = sm.datasets.longley.load_pandas()
    design = np.column_stack((np.ones(16), data.exog.to_numpy(float)))

    found = least_squares(design, data.endog.to_numpy(float))

    # source: NIST Statistical Reference Datasets, Longley: certified values
    assert found.coefficients[0] == pytest.approx(-3482258.63459582, rel=1e-9)
    assert found.coefficients[6] == pytest.approx(1829.15146461355, rel=1e-9)
    assert found.errors[0] == pytest.approx(890420.383607373, rel=1e-8)
    assert found.residual_sd == pytest.approx(304.854073561965, rel=1e-9)


@pytest.mark.parametrize("lags", [0, 1, 4])
def test_robust_errors_agree_with_another_program(lags):
    rng = np.random.default_rng(7)
    noise = np.convolve(rng.normal(0, 1, 130), [1, 0.7, 0.4], "valid")
    design = np.column_stack((np.ones(128), np.arange(128.0), rng.normal(0, 3, 128)))
    values = design @ [2.0, 0.01, -0.5] + noise
    # source: statsmodels OLS, cov_type="HAC"
    theirs = sm.OLS(values, design).fit(cov_type="HAC", cov_kwds={"maxlags": lags})

    found = least_squares(design, values, lags=lags)

    assert found.coefficients.tolist() == pytest.approx(theirs.params.tolist())
    assert found.robust_errors.tolist() == pytest.approx(theirs.bse.tolist())


def test_errors_and_intervals_agree_with_another_program():
    rng = np.random.default_rng(8)
    design = np.column_stack((np.ones(20), np.arange(20.0)))
    values = design @ [1.0, 0.3] + rng.normal(0, 1, 20)
    theirs = sm.OLS(values, design).fit()

    found = least_squares(design, values, lags=0)

    assert found.errors.tolist() == pytest.approx(theirs.bse.tolist())
    low, high = found.interval(1)
    their_low, their_high = theirs.conf_int()[1]
    assert low <= their_low + 1e-9  # the largest error is used
    assert high >= their_high - 1e-9


@given(t=st.floats(0, 60), freedom=st.integers(1, 400))
def test_students_distribution_agrees_with_another_program(t, freedom):
    # source: scipy.stats.t
    theirs = 1 - 2 * scipy.stats.t.sf(t, freedom)

    assert student_share_within(t, freedom) == pytest.approx(theirs, abs=1e-10)


@pytest.mark.parametrize(
    ("freedom", "t"), [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042), (120, 1.980)]
)
def test_quantiles_are_those_of_the_table(freedom, t):
    # source: Abramowitz & Stegun, Handbook of Mathematical Functions, table 26.10, from memory
    assert student_quantile(0.95, freedom) == pytest.approx(t, abs=6e-4)


def test_autocorrelation_of_a_zigzag_is_negative_and_of_a_drift_positive():
    assert autocorrelation([1, -1] * 50) == pytest.approx(-0.99)
    assert autocorrelation(np.arange(100.0)) > 0.9
    assert autocorrelation([2.0, 2.0, 2.0]) == 0.0


@pytest.mark.parametrize(
    ("design", "values", "words"),
    [
        ([[1, 2], [1, 2], [1, 2]], [1, 2, 3], "always change together"),
        ([[1, 0], [1, 0], [1, 0]], [1, 2, 3], "explains nothing"),
        ([[1, 2], [1, 3]], [1, 2], "2 readings cannot settle 2 numbers"),
        ([[1, 2], [1, 3], [1, np.nan]], [1, 2, 3], "known influences"),
        ([[1, 2], [1, 3], [1, 5]], [1, 2, np.nan], "leave it out"),
    ],
)
def test_what_cannot_be_fitted_is_refused(design, values, words):
    with pytest.raises(InvalidInput, match=words):
        least_squares(design, values)
