"""Known noise on an unchanged wall: how often is a change called? The noise is not the engine's."""

from dataclasses import replace

import numpy as np
import shapely

from survey.compare import model
from tests.survey.compare.simulated_hand import redrawn, ring
from tests.survey.compare.two_surveys import compared, outline, survey

BOUNDARY_ERROR_IN = 0.06
REDRAWS = 2_000
REPEATS, ITEMS_EACH = 400, 25


def unchanged_wall(rng, places, *, error_in):
    """Two surveys of the same losses, each drawn again by one unsteady hand."""
    true = ring(radius_in=3.2)
    drawn = [
        (
            shapely.transform(redrawn(true, rng, error_in=error_in), lambda xy, p=place: xy + p),
            shapely.transform(redrawn(true, rng, error_in=error_in), lambda xy, p=place: xy + p),
        )
        for place in places
    ]
    before = tuple(outline(first, id=f"L{n}") for n, (first, _) in enumerate(drawn))
    after = tuple(outline(second, continues=(f"L{n}",)) for n, (_, second) in enumerate(drawn))
    return compared(survey("B1", *before), survey("P1", *after))


def places(count):
    across = [(10 + 8 * column, 10 + 8 * row) for row in range(19) for column in range(123)]
    return [np.array(place, dtype=float) for place in across[:count]]


def share_called_changed(comparison):
    """At the 5 % level, before false discoveries are controlled."""
    return np.mean([item.growth.p < 0.05 for item in comparison.items])


def test_of_2000_redraws_three_to_seven_percent_are_called_changed_at_five_percent():
    rng = np.random.default_rng(1936)

    comparison = unchanged_wall(rng, places(REDRAWS), error_in=BOUNDARY_ERROR_IN)

    assert comparison.tested == REDRAWS
    assert 0.03 <= share_called_changed(comparison) <= 0.07


def test_a_hand_twice_as_unsteady_as_stated_is_called_changed_far_more_often():
    rng = np.random.default_rng(1936)

    comparison = unchanged_wall(rng, places(500), error_in=2 * BOUNDARY_ERROR_IN)

    assert share_called_changed(comparison) > 0.2


def test_an_unchanged_wall_gives_any_finding_in_at_most_five_percent_of_repeats():
    rng = np.random.default_rng(2026)
    spots = places(ITEMS_EACH)

    with_finding = 0
    for _ in range(REPEATS):
        comparison = unchanged_wall(rng, spots, error_in=BOUNDARY_ERROR_IN)
        with_finding += any(item.finding != model.NO_CHANGE_SHOWN for item in comparison.items)
        assert comparison.tested == ITEMS_EACH

    assert with_finding / REPEATS <= 0.05


def test_a_true_growth_of_the_reliably_seen_size_is_found_in_about_nine_of_ten():
    rng = np.random.default_rng(84)
    true = ring(radius_in=3.2)
    standard_error = (2 * BOUNDARY_ERROR_IN**2 * true.length * 0.5) ** 0.5
    grown = ring(radius_in=((true.area + 3.24 * standard_error) / true.area) ** 0.5 * 3.2)
    spots = places(300)
    before = [outline(redrawn(true, rng, error_in=0.06), id=f"L{n}") for n in range(len(spots))]
    after = [
        outline(redrawn(grown, rng, error_in=0.06), continues=(f"L{n}",)) for n in range(len(spots))
    ]

    comparison = compared(survey("B1", *_moved(before, spots)), survey("P1", *_moved(after, spots)))

    # source: 90 % power of a normal test at 3.24 standard errors; 300 draws: 0.90 +- 0.035
    assert 0.83 <= share_called_changed(comparison) <= 0.97


def _moved(outlines, spots):
    return [
        replace(one, shape=shapely.transform(one.shape, lambda xy, p=spot: xy + p))
        for one, spot in zip(outlines, spots, strict=True)
    ]
