"""Are dust rates and soiling computed as the literature has them?"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.dust import (
    OFFERED,
    TOLERABLE_PCT_PER_DAY,
    against_before,
    coverage_rate_pct_per_day,
    days_to,
    soiling_units,
)

DAY = 86_400.0


def test_a_week_of_dust():
    # source: (1.9 - 0.5) / 7, worked by hand
    found = coverage_rate_pct_per_day(0.5, 1.9, start_s=3 * DAY, end_s=10 * DAY)

    assert found == pytest.approx(0.20, abs=1e-9)


def test_soiling_units():
    # source: 100 (1 - 88.1/92.4), dust-gauge literature from memory, worked by hand
    assert float(soiling_units(88.1, 92.4)) == pytest.approx(4.654, abs=5e-4)


def test_an_object_becomes_unfit_in_four_days_at_the_tolerable_rate():
    unfit = next(one for one in OFFERED if one.key == "unfit")

    # source: Hancock et al. 1976: 0.7 % at 0.17 % a day, cleaning "every four days"
    found = days_to(unfit.coverage_pct, rate_pct_per_day=TOLERABLE_PCT_PER_DAY)

    assert found == pytest.approx(4.12, abs=5e-3)


def test_a_threshold_that_is_passed_or_never_reached():
    assert days_to(0.7, rate_pct_per_day=0.1, now_pct=0.9) == 0.0
    assert days_to(0.7, rate_pct_per_day=0.0) is None
    assert days_to(0.7, rate_pct_per_day=-0.1) is None


@given(start=st.floats(0, 40), rate=st.floats(0.01, 1.0), threshold=st.floats(41, 100))
def test_after_the_days_told_the_threshold_is_covered(start, rate, threshold):
    days = days_to(threshold, rate_pct_per_day=rate, now_pct=start)

    assert start + rate * days == pytest.approx(threshold)


def test_a_week_is_held_against_the_median_before_the_works():
    found = against_before(0.25, [0.05, 0.1, 0.4])

    assert found.ratio == pytest.approx(2.5)
    assert found.statement.startswith("0.25 % of area per day, 2.5 times the median of 3 weeks")
    assert "No threshold is published for patterned matt paint" in found.statement


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: coverage_rate_pct_per_day(0.5, 101, start_s=0, end_s=DAY), "101 %"),
        (lambda: coverage_rate_pct_per_day(0.5, 1, start_s=DAY, end_s=DAY), "time on the wall"),
        (lambda: soiling_units(50, 0.0), "cannot become less"),
        (lambda: against_before(0.2, []), "No week before"),
        (lambda: against_before(0.2, [0.0, 0.0]), "above 0"),
    ],
)
def test_what_cannot_be_is_refused(call, words):
    with pytest.raises(InvalidInput, match=words):
        call()
