"""Are spikes, flat rings and crossings of a drawn ring recognised exactly?"""

import numpy as np
import pytest
import shapely
from hypothesis import given

from gridmap.strokes import crossings_estimate, is_flat, without_spikes
from tests.strategies import coarse_scribbles


def ring_of(*vertices):
    return np.array([*vertices, vertices[0]], dtype=float)


@pytest.mark.parametrize(
    ("vertices", "left"),
    [
        ([[0, 0], [4, 0], [4, 4], [4, 9], [4, 4], [0, 4]], 4),  # out and back to the same vertex
        ([[0, 0], [4, 0], [4, 9], [4, 4], [0, 4]], 4),  # back past where it came from
        ([[0, 0], [4, 0], [4, 0], [4, 4], [0, 4]], 4),  # repeated
        ([[0, -9], [0, 0], [4, 0], [4, 4], [0, 4], [0, 0]], 4),  # a spike at the seam
        ([[0, 0], [4, 0], [8, 0], [4, 0]], 0),  # nothing but a spike
        ([[0, 0], [4, 0], [4, 4], [4, 0], [0, 0], [0, 4]], 0),  # nothing but two spikes
    ],
)
def test_strokes_out_and_straight_back_go(vertices, left):
    ring = without_spikes(ring_of(*vertices))

    assert max(len(ring) - 1, 0) == left


def test_a_straight_run_is_no_spike():
    ring = ring_of([0, 0], [2, 0], [4, 0], [4, 4], [0, 4])

    assert len(without_spikes(ring)) == len(ring)


@given(coarse_scribbles())
def test_taking_spikes_off_changes_no_signed_area_and_is_done_at_once(vertices):
    ring = np.array(vertices)

    clean = without_spikes(ring)

    # source: the shoelace formula
    assert _signed_area(clean) == _signed_area(ring)
    assert len(without_spikes(clean)) == len(clean)


def _signed_area(ring):
    if len(ring) == 0:
        return 0.0
    x, y = ring.T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)


@given(coarse_scribbles())
def test_a_ring_is_flat_where_its_hull_has_no_area(vertices):
    hull = shapely.MultiPoint(vertices).convex_hull

    assert is_flat(np.array(vertices)) == (len(vertices) < 4 or hull.area == 0)


def test_crossings_of_few_strokes_are_counted_exactly():
    # source: by hand; a five-pointed star crosses itself five times
    star = [[0, 0], [10, 6], [-2, 6], [8, 0], [4, 10]]

    assert crossings_estimate([ring_of(*star)]) == 5
    assert crossings_estimate([ring_of([0, 0], [4, 0], [4, 4])]) == 0


def test_crossings_between_rings_are_counted():
    square = ring_of([0, 0], [4, 0], [4, 4], [0, 4])

    assert crossings_estimate([square, square + 2]) == 2


def test_crossings_of_a_thousand_random_strokes_are_estimated():
    # source: two random chords of a square with ends spread evenly cross in 0.23 of cases
    # (Sylvester's four points: probability of a convex quadrilateral 25/36, a third of it).
    vertices = np.random.default_rng(20261118).uniform(0, 100, (1000, 2))

    estimate = crossings_estimate([ring_of(*vertices)])

    assert estimate == pytest.approx(25 / 36 / 3 * 1000**2 / 2, rel=0.1)
