"""How far redrawing moves a size; scipy and a simulated hand are the second sources."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import false_discovery_control, norm

from survey.compare.model import GROWN, NO_CHANGE_SHOWN
from survey.compare.uncertainty import (
    RELIABLY_SEEN_SE,
    THRESHOLD_SE,
    adjusted_for_false_discoveries,
    area_sd_sq_in,
    growth,
    two_sided_p,
)
from tests.survey.compare.simulated_hand import redrawn, ring
from tests.survey.compare.two_surveys import compared, only_item, outline, rectangle, survey


def story_of_c17(after_hand):
    """12.0 to 12.9 sq in, perimeter 20 in, boundary error 0.06 in."""
    before = outline(rectangle(area_sq_in=12.0, perimeter_in=20), id="L1", hand="Ines Fallow")
    after = outline(rectangle(area_sq_in=12.9, perimeter_in=20), hand=after_hand, continues=("L1",))
    return only_item(compared(survey("B1", before), survey("P1", after)))


def test_the_same_hand_shows_growth_in_c17():
    item = story_of_c17("Ines Fallow")

    # source: the trade's worked story of cell C17, stated figures
    assert item.finding == GROWN
    assert item.cells[0] == "C17"
    assert item.growth.standard_error == pytest.approx(0.27, abs=0.005)
    assert item.growth.z == pytest.approx(3.35, abs=0.005)
    assert item.growth.p == pytest.approx(0.0008, abs=0.00005)
    assert item.growth.threshold == pytest.approx(0.53, abs=0.005)
    assert item.growth.reliably_seen == pytest.approx(0.87, abs=0.005)


def test_another_hand_shows_no_change_in_c17():
    item = story_of_c17("Tomas Sedge")

    # source: the trade's worked story of cell C17, stated figures
    assert item.finding == NO_CHANGE_SHOWN
    assert item.growth.standard_error == pytest.approx(0.66, abs=0.005)
    assert item.growth.z == pytest.approx(1.37, abs=0.005)
    assert item.growth.p == pytest.approx(0.17, abs=0.005)
    assert item.growth.threshold == pytest.approx(1.29, abs=0.005)
    assert item.growth.reliably_seen == pytest.approx(2.13, abs=0.005)


def test_a_hand_that_is_not_on_record_counts_as_another_hand():
    before = outline(rectangle(area_sq_in=12.0, perimeter_in=20), id="L1", hand="")
    after = outline(rectangle(area_sq_in=12.9, perimeter_in=20), hand="", continues=("L1",))

    item = only_item(compared(survey("B1", before), survey("P1", after)))

    assert item.growth.same_hand is False
    assert item.finding == NO_CHANGE_SHOWN


def test_the_model_meets_the_spread_of_a_simulated_hand():
    rng = np.random.default_rng(20260302)
    shape = ring(radius_in=3.2)

    areas = [redrawn(shape, rng, error_in=0.06).area for _ in range(2000)]

    # source: Monte Carlo with its own noise (tests/survey/compare/simulated_hand.py); the spread
    # of 2,000 draws is known to about 1.6 %
    expected = area_sd_sq_in(
        boundary_error_in=0.06, perimeter_in=shape.length, correlation_length_in=0.5
    )
    assert np.std(areas) == pytest.approx(expected, rel=0.06)


@given(st.floats(-6, 6))
def test_p_is_two_sided_normal(z):
    # source: scipy.stats.norm
    assert two_sided_p(z) == pytest.approx(2 * norm.sf(abs(z)), rel=1e-9)


def test_the_two_thresholds_are_normal_quantiles():
    # source: scipy.stats.norm: 5 % two-sided, and 90 % power on top of it
    assert pytest.approx(norm.ppf(0.975), abs=0.001) == THRESHOLD_SE
    assert pytest.approx(norm.ppf(0.975) + norm.ppf(0.90), abs=0.002) == RELIABLY_SEEN_SE


@given(st.lists(st.floats(0, 1), min_size=1, max_size=50))
def test_false_discoveries_are_controlled_as_scipy_does(p_values):
    # source: scipy.stats.false_discovery_control (Benjamini and Hochberg)
    assert adjusted_for_false_discoveries(p_values) == pytest.approx(
        false_discovery_control(p_values, method="bh")
    )


def test_no_test_needs_no_control():
    assert len(adjusted_for_false_discoveries([])) == 0


def test_without_any_error_every_difference_is_certain_and_none_is_none():
    same, more = (
        growth(5.0, after, standard_error=0.0, same_hand=True, same_session=True)
        for after in (5.0, 5.1)
    )

    assert (same.z, same.p) == (0.0, 1.0)
    assert more.p == 0.0


def test_twice_the_boundary_error_is_twice_the_standard_deviation():
    one, two = (
        area_sd_sq_in(boundary_error_in=error, perimeter_in=9, correlation_length_in=0.5)
        for error in (0.05, 0.10)
    )

    assert two == pytest.approx(2 * one)


def test_a_border_that_was_not_seen_adds_no_error():
    half_seen = {"normal": shapely.box(0, 0, 400, 168)}
    shape = shapely.box(396, 100, 404, 108)
    before, after = outline(shape, id="L1"), outline(shape, continues=("L1",))

    item = only_item(
        compared(survey("B1", before, coverage=half_seen), survey("P1", after, coverage=half_seen))
    )

    # source: plain arithmetic: 16 in of drawn border lie left of the line at 400 in
    expected = (2 * 0.06**2 * 16 * 0.5) ** 0.5
    assert item.growth.standard_error == pytest.approx(expected)
    assert (item.before, item.after) == pytest.approx((32, 32))
