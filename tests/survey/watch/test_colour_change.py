"""Is a difference of colour held against how well readings repeat?"""

import numpy as np
import pytest
import skimage.color
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from gridmap.errors import InvalidInput
from survey.watch.colour_change import colour_change, repeatability_de, spot_set

GREY = np.array([50.0, 2.5, 0.0])
BROWN = np.array([60.0, 10.0, 20.0])
readings = arrays(np.float64, (4, 3), elements=st.floats(-3, 3)).map(lambda r: r + BROWN)


def around(lab, rng, *, spread=0.3, count=5):
    return np.asarray(lab) + rng.normal(0, spread / np.sqrt(3), (count, 3))


@pytest.mark.parametrize(
    ("after", "delta_e"),
    # source: Sharma, Wu & Dalal, Color Res. Appl. 30 (2005) 21, table 1, pairs 17, 19 and 20
    [([73, 25, -18], 27.1492), ([56, -27, -3], 31.9030), ([58, 24, 15], 19.4535)],
)
def test_the_difference_of_means_is_ciede2000(after, delta_e):
    before = spot_set(np.tile(GREY, (3, 1)))
    later = spot_set(np.tile(np.array(after, float), (3, 1)))

    found = colour_change(before, later)

    assert found.delta_e == pytest.approx(delta_e, abs=1e-4)
    assert (found.delta_l, found.delta_a, found.delta_b) == tuple(np.array(after) - GREY)
    assert found.shown


@given(held=readings)
def test_scatter_agrees_with_another_program(held):
    # source: skimage.color.deltaE_ciede2000 of each reading to the mean
    apart = skimage.color.deltaE_ciede2000(held, np.tile(held.mean(axis=0), (4, 1)))

    assert spot_set(held).scatter_de == pytest.approx(np.sqrt((apart**2).sum() / 3), abs=1e-6)


def test_pooled_repeatability_by_hand():
    one = spot_set(np.tile(GREY, (3, 1)))
    other = spot_set(GREY + np.array([[1.0, 0, 0], [-1.0, 0, 0], [0, 0, 0]]))

    # source: L* 49 and 51 lie 1.00 from 50 (SL is 1 there), so √(2/2) = 1; pooled √((0 + 2)/4)
    assert other.scatter_de == pytest.approx(1.0, abs=0.01)
    assert repeatability_de(one, other) == pytest.approx(np.sqrt(0.5), abs=0.01)


def test_an_unchanged_spot_is_seldom_said_to_have_changed():
    rng = np.random.default_rng(1936)
    lab = [62.0, 8.0, 21.0]
    shown = sum(
        colour_change(spot_set(around(lab, rng)), spot_set(around(lab, rng))).shown
        for _ in range(500)
    )

    assert shown / 500 <= 0.07


def test_a_change_of_the_stated_size_is_seen_nine_times_in_ten():
    """Readings that scatter in lightness alone, by 0.3, where ΔL* is ΔE00 (SL = 1 at L* 50)."""
    rng = np.random.default_rng(1937)
    size = 3.24 * 0.3 * np.sqrt(2 / 20)

    def lightness(middle):
        return np.column_stack((rng.normal(middle, 0.3, 20), np.zeros((20, 2))))

    found = [
        colour_change(spot_set(lightness(50.0)), spot_set(lightness(50.0 + size)))
        for _ in range(500)
    ]

    assert np.mean([one.reliably_seen_de for one in found]) == pytest.approx(size, rel=0.03)
    assert np.mean([one.shown for one in found]) == pytest.approx(0.90, abs=0.04)


def test_statements():
    rng = np.random.default_rng(3)
    before = spot_set(around([50, 0, 0], rng, spread=0.1))

    same = colour_change(before, spot_set(around([50, 0, 0], rng, spread=0.1)))
    small = colour_change(before, spot_set(around([50.6, 0, 0], rng, spread=0.1)))

    assert "no change shown" in same.statement
    assert small.shown
    assert "does not see a difference under 1" in small.statement


def test_the_instruments_own_drift_widens_the_threshold():
    rng = np.random.default_rng(4)
    before, after = (spot_set(around([50, 0, 0], rng)) for _ in range(2))

    alone = colour_change(before, after).threshold_de
    drifting = colour_change(before, after, instrument_de=0.5).threshold_de

    assert drifting == pytest.approx(np.hypot(alone, 1.96 * 0.5))


@pytest.mark.parametrize(
    ("held", "words"),
    [
        ([[50, 0, 0], [50, 0, 0]], "2 readings of this spot; at least 3"),
        ([[50, 0], [50, 0], [50, 0]], "L\\*, a\\* and b\\*"),
        ([[150, 0, 0]] * 3, "L\\*: 150"),
        ([[50, 0, 0], [50, 0, np.nan], [50, 0, 0]], "2 readings"),
    ],
)
def test_what_cannot_be_is_refused(held, words):
    with pytest.raises(InvalidInput, match=words):
        spot_set(held)
