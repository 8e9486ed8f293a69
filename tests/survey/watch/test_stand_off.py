"""Are expected vibrations and stand-off distances those of the manuals, and does a trial only add?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.stand_off import (
    CALTRANS_GROUNDS,
    OFFERED,
    Blow,
    distance_for_limit_ft,
    expect,
    expected_ppv_in_s,
    judge_trial,
    offered_plant,
    pile_ppv_at_25_ft_in_s,
    velocity_level_vdb,
)

references = st.floats(0.003, 1.6)
distances = st.floats(5, 500)


@pytest.mark.parametrize(
    ("reference", "distance", "expected"),
    # source: FTA Report 0123 (2018), eq. 7-2, worked by hand: roller, bulldozer, impact pile
    [(0.210, 50, 0.07425), (0.089, 10, 0.35180), (0.644, 100, 0.08050)],
)
def test_fta(reference, distance, expected):
    assert float(expected_ppv_in_s(reference, distance)) == pytest.approx(expected, abs=5e-6)


@pytest.mark.parametrize(
    ("reference", "distance", "expected"),
    # source: Caltrans manual, n = 1.1, from memory, worked by hand
    [(0.210, 50, 0.09797), (0.089, 10, 0.24385)],
)
def test_caltrans(reference, distance, expected):
    found = expected_ppv_in_s(reference, distance, exponent=1.1)

    assert float(found) == pytest.approx(expected, abs=5e-6)


def test_a_pile_driver_by_its_energy():
    # source: Caltrans manual, 0.65 (25/D)^1.1 (E/36,000)^0.5, from memory, worked by hand
    at_25 = pile_ppv_at_25_ft_in_s(50_000)

    assert float(expected_ppv_in_s(at_25, 100, exponent=1.1)) == pytest.approx(0.16672, abs=5e-6)
    assert pile_ppv_at_25_ft_in_s(4 * 36_000) == pytest.approx(2 * 0.65)


@pytest.mark.parametrize(
    ("reference", "limit", "exponent", "distance"),
    [
        # source: D = 25 (PPV/limit)^(1/1.5), worked by hand: bulldozer, roller, piles to 0.12 in/s
        (0.089, 0.12, 1.5, 20.48),
        (0.210, 0.12, 1.5, 36.31),
        (0.644, 0.12, 1.5, 76.63),
        (1.518, 0.12, 1.5, 135.73),
        # source: a county's environmental report that cites FTA: bulldozer 11 ft, trucks 10 ft
        (0.089, 0.3, 1.5, 11.12),
        (0.076, 0.3, 1.5, 10.01),
        # source: Caltrans, n = 1.1, from memory, worked by hand: roller to 0.08 in/s
        (0.210, 0.08, 1.1, 60.11),
    ],
)
def test_distances_for_a_limit(reference, limit, exponent, distance):
    found = distance_for_limit_ft(reference, limit, exponent=exponent)

    assert found == pytest.approx(distance, abs=0.006)


@pytest.mark.parametrize(
    ("key", "vdb"),
    # source: FTA Report 0123, table 7-4, both columns; the first four confirmed, others from memory
    [
        ("large-bulldozer", 87),
        ("loaded-trucks", 86),
        ("jackhammer", 79),
        ("small-bulldozer", 58),
        ("pile-impact-upper", 112),
        ("pile-sonic", 93),
        ("vibratory-roller", 94),
        ("clam-shovel", 94),
        ("hydromill-soil", 66),
    ],
)
def test_both_columns_of_the_table_agree(key, vdb):
    assert round(velocity_level_vdb(offered_plant(key).ppv_at_25_ft_in_s)) == vdb


@given(reference=references, distance=distances, exponent=st.floats(1.0, 1.5))
def test_at_the_distance_for_a_limit_the_limit_is_expected(reference, distance, exponent):
    limit = float(expected_ppv_in_s(reference, distance, exponent=exponent))

    assert distance_for_limit_ft(reference, limit, exponent=exponent) == pytest.approx(distance)


def test_a_plant_list_of_two_lines():
    """A breaker at 18 ft is red, a truck at 25 ft amber; 26.8 ft for 0.08 in/s by FTA."""
    breaker = expect(
        "breaking out", offered_plant("large-bulldozer"), distance_ft=18.0, amber_in_s=0.05,
        red_in_s=0.08,
    )  # fmt: skip
    truck = expect(
        "deliveries", offered_plant("loaded-trucks"), distance_ft=25.0, amber_in_s=0.05,
        red_in_s=0.08,
    )  # fmt: skip

    # source: FTA eq. 7-2, worked by hand
    assert (round(breaker.fta_in_s, 3), breaker.reaches) == (0.146, "red")
    assert round(breaker.fta_stand_off_ft, 1) == 26.8
    assert (truck.fta_in_s, truck.reaches) == (0.076, "amber")
    assert breaker.stand_off_ft == max(breaker.fta_stand_off_ft, breaker.caltrans_stand_off_ft)
    assert "Not valid for tools on the same masonry" in breaker.caution


def test_one_gentle_blow_shortens_nothing():
    found = judge_trial([Blow(18.0, 0.052)], ppv_at_25_ft_in_s=0.089, limit_in_s=0.08)

    # source: 0.052 / 0.1457 = 0.36, worked by hand
    assert round(found.site_factor, 2) == 0.36
    assert round(found.allowed_ft, 1) == 26.8
    assert not found.sufficient
    assert found.statement.startswith(
        "Site factor 0.36 from the worst of 1 blow at 1 distance; the allowed distance stays "
        "26.8 ft: a trial never shortens it. Fewer than 10 blows"
    )


def test_one_hard_blow_lengthens():
    found = judge_trial(
        [Blow(18.0, 0.05), Blow(18.0, 0.30), Blow(18.0, 0.06)],
        ppv_at_25_ft_in_s=0.089,
        limit_in_s=0.08,
    )

    # source: 18 (0.30 / 0.08)^(1/1.5) = 43.4 ft, worked by hand
    assert round(found.allowed_ft, 1) == 43.4
    assert found.worst == Blow(18.0, 0.30)
    assert "grows to 43.4 ft from 26.8" in found.statement


def test_a_site_that_carries_farther_than_the_equation_lengthens_by_its_own_slope():
    """Blows that fall with 1/D only: 2.0 in/s·ft reach 0.08 at 25 ft, and the worst counts."""
    blows = [Blow(d, 4.0 / d * f) for d in (20.0, 40.0, 80.0) for f in (1.0, 0.8, 0.7, 0.9)]

    found = judge_trial(blows, ppv_at_25_ft_in_s=0.089, limit_in_s=0.08)

    # source: D = 4.0 / 0.08 = 50 ft by the site's own slope; by FTA's slope through the farthest
    # blow 80 (0.05 / 0.08)^(1/1.5) = 58.5 ft, worked by hand
    assert found.allowed_ft == pytest.approx(58.5, abs=0.05)
    assert found.sufficient


def test_beyond_the_farthest_blow_the_sites_own_slope_reaches_farther():
    blows = [Blow(d, 4.0 / d) for d in (20.0, 40.0, 80.0)]

    found = judge_trial(blows, ppv_at_25_ft_in_s=0.089, limit_in_s=0.02)

    # source: 4.0 / 0.02 = 200 ft, worked by hand; FTA's slope through the blow at 80 ft gives 147
    assert found.allowed_ft == pytest.approx(200.0)


@given(
    blows=st.lists(
        st.tuples(st.sampled_from([12.0, 20.0, 35.0, 60.0]), st.floats(0.001, 2.0)),
        min_size=1,
        max_size=20,
    ),
    reference=references,
)
def test_a_trial_never_shortens_and_no_blow_lies_over_the_limit_beyond_it(blows, reference):
    trial = [Blow(distance, ppv) for distance, ppv in blows]

    found = judge_trial(trial, ppv_at_25_ft_in_s=reference, limit_in_s=0.08)

    assert found.allowed_ft >= found.equation_ft
    for blow in trial:
        if blow.distance_ft > found.allowed_ft * (1 + 1e-9):
            assert blow.ppv_in_s <= 0.08 * (1 + 1e-9)


@given(
    blows=st.lists(st.floats(0.001, 2.0), min_size=1, max_size=8),
    more=st.floats(0.001, 2.0),
    reference=references,
)
def test_one_more_blow_at_the_same_distance_never_shortens(blows, more, reference):
    def allowed(values):
        trial = [Blow(20.0, value) for value in values]
        return judge_trial(trial, ppv_at_25_ft_in_s=reference, limit_in_s=0.08).allowed_ft

    assert allowed([*blows, more]) >= allowed(blows)


def test_every_offered_machine_says_how_far_it_was_checked():
    confirmed = {plant.key for plant in OFFERED if plant.label == "confirmed"}

    assert confirmed == {"large-bulldozer", "loaded-trucks", "jackhammer", "small-bulldozer"}
    assert np.all(np.diff(sorted(CALTRANS_GROUNDS.values())) > 0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: expected_ppv_in_s(0.089, 18.0, path="same masonry"), "1 to 315 Hz"),
        (lambda: expected_ppv_in_s(0.089, 0.0), "outside 1 to 5000 ft"),
        (lambda: distance_for_limit_ft(0.089, 0.0), "limit: 0.0 in/s must be above"),
        (lambda: expected_ppv_in_s(0.089, 18.0, exponent=3.0), "exponent"),
        (lambda: judge_trial([], ppv_at_25_ft_in_s=0.1, limit_in_s=0.1), "without a blow"),
        (lambda: Blow(18.0, -0.1), "measured PPV"),
        (lambda: offered_plant("crane"), "not in the list"),
    ],
)
def test_what_cannot_be_is_refused(call, words):
    with pytest.raises(InvalidInput, match=words):
        call()
