"""Are readings held against the types of climate control as the chapter has them?"""

import numpy as np
import pytest

from gridmap.errors import InvalidInput
from survey.watch.control_types import (
    control_type,
    humidity_limits,
    share_inside,
    temperature_limits,
)

# source for all numbers: ASHRAE Handbook, HVAC Applications (2019), chapter 24, from memory


def limits(key, season):
    low, high = humidity_limits(control_type(key), annual_rh_pct=50.0, seasonal_rh_pct=season)
    return float(low), float(high)


def test_a1_follows_the_summer_and_a2_does_not():
    assert limits("A1", 60.0) == (55.0, 65.0)
    assert limits("A1", 66.0) == (55.0, 65.0)  # no further than 10 from the average
    assert limits("A2", 60.0) == (40.0, 60.0)


@pytest.mark.parametrize(("key", "share"), [("A1", 1.0), ("A2", 0.0), ("B", 1.0), ("C", 1.0)])
def test_62_percent_in_summer_passes_a1_and_fails_a2(key, share):
    found = humidity_limits(control_type(key), annual_rh_pct=50.0, seasonal_rh_pct=np.array([60.0]))

    assert share_inside([62.0], found) == share


def test_no_limit_goes_beyond_the_outer_ones():
    low, high = humidity_limits(control_type("A1"), annual_rh_pct=62.0, seasonal_rh_pct=[72.0])

    assert (low[0], high[0]) == (67.0, 65.0)  # the type cannot be met there at all
    assert share_inside([66.0], (low, high)) == 0.0


def test_c_and_d_set_outer_limits_alone():
    assert limits("C", 80.0) == (25.0, 75.0)
    assert limits("D", 80.0) == (-np.inf, 75.0)


def test_winter_may_be_ten_kelvin_colder_and_summer_five_warmer():
    low, high = temperature_limits(control_type("A1"), annual_c=18.0, seasonal_c=[5.0, 18.0, 30.0])

    assert low.tolist() == [10.0, 16.0, 21.0]
    assert high.tolist() == [10.0, 20.0, 25.0]


def test_missing_readings_are_left_out():
    found = humidity_limits(
        control_type("AA"), annual_rh_pct=50.0, seasonal_rh_pct=[50.0, 50.0, np.nan]
    )

    assert share_inside([50.0, np.nan, 90.0], found) == 1.0


def test_what_cannot_be_judged_is_refused():
    with pytest.raises(InvalidInput, match="no type of control"):
        control_type("E")
    with pytest.raises(InvalidInput, match="No reading"):
        share_inside([np.nan], (np.array([1.0]), np.array([2.0])))
