"""What a random look allows to be said; scipy's hypergeometric law is the second source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, hypergeom

from gridmap.errors import InvalidInput
from survey.record.sampling import (
    cells_to_rule_out,
    chance_of_noticing_at_most,
    sampling_statement,
    upper_bound,
)


def test_sixty_unchanged_cells_of_294_leave_at_most_12_changed():
    # source: the sampling story's stated figures, recomputed with scipy.stats.hypergeom:
    # P(none of 12 in 60) = 0.058, P(none of 13 in 60) = 0.046
    assert hypergeom.pmf(0, 294, 12, 60) > 0.05 > hypergeom.pmf(0, 294, 13, 60)
    assert upper_bound(cells=294, looked_at=60) == 12


def test_if_four_in_five_changes_are_noticed_16_may_be_changed():
    assert upper_bound(cells=294, looked_at=60, detection=0.8) == 16


@pytest.mark.parametrize(("changed", "needed"), [(6, 115), (3, 186)])
def test_cells_needed_to_rule_out_a_number_of_changes(changed, needed):
    assert cells_to_rule_out(changed, cells=294) == needed


def test_proving_that_none_of_a_thousand_changed_needs_950():
    # source: ASQ Quality Progress 11/2007 and stats.stackexchange 502243, as the trade cites them
    assert cells_to_rule_out(1, cells=1000) == 950


@given(st.data())
def test_the_chance_is_a_thinned_hypergeometric(data):
    cells = data.draw(st.integers(1, 80))
    looked_at = data.draw(st.integers(0, cells))
    changed = data.draw(st.integers(0, cells))
    noticed = data.draw(st.integers(0, looked_at))
    detection = data.draw(st.sampled_from([0.3, 0.8, 1.0]))

    chance = chance_of_noticing_at_most(
        noticed, cells=cells, changed_cells=changed, looked_at=looked_at, detection=detection
    )

    # source: scipy.stats, hypergeom mixed with binom
    expected = sum(
        hypergeom.pmf(hit, cells, changed, looked_at) * binom.cdf(noticed, hit, detection)
        for hit in range(looked_at + 1)
    )
    assert chance == pytest.approx(expected, abs=1e-9)


@given(st.integers(2, 300), st.data())
def test_looking_at_more_cells_never_allows_more_changes(cells, data):
    looked_at = data.draw(st.integers(1, cells - 1))

    fewer = upper_bound(cells=cells, looked_at=looked_at)

    assert upper_bound(cells=cells, looked_at=looked_at + 1) <= fewer
    assert upper_bound(cells=cells, looked_at=cells) == 0


def test_the_headline_says_the_size_of_change_and_imperfect_detection():
    statement = sampling_statement(
        cells=294, looked_at=60, changed=0, size_of_change="0.9 sq in or more", detection=0.8
    )

    assert statement.text == (
        "60 of 294 cells drawn at random, none found changed by 0.9 sq in or more: at 95% "
        "confidence at most 12 of 294 cells (4.1%) changed if every change is noticed; "
        "16 (5.4%) if 80% are."
    )


def test_detection_too_low_cannot_rule_anything_out():
    assert cells_to_rule_out(1, cells=20, detection=0.5) is None


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"cells": 0, "looked_at": 0}, "cells"),
        ({"cells": 10, "looked_at": 11}, "looked_at"),
        ({"cells": 10, "looked_at": 5, "changed": 6}, "changed"),
        ({"cells": 10, "looked_at": 5, "detection": 0.0}, "detection"),
        ({"cells": 10, "looked_at": 5, "confidence": 1.0}, "confidence"),
    ],
)
def test_a_wrong_value_is_refused_by_name(wrong, field):
    with pytest.raises(InvalidInput) as refusal:
        upper_bound(**wrong)

    assert refusal.value.field == field
    assert str(next(iter({field} & wrong.keys()), field)) in refusal.value.message
