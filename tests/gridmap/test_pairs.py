"""How exactly are pictures laid on each other, and how many planted losses are found?

Measured on a wall and on seeds that nothing was tuned on; `tests/benchmarks/pair_benchmark.py`
runs more of them.
"""

from collections import defaultdict

import numpy as np
import pytest

from gridmap.align import NotComparable, register
from tests.gridmap.planted import SEEDS, frame, searched

FAINT_SEEDS = SEEDS[:6]


@pytest.fixture(scope="module")
def measured():
    """Both searches of a seed after each other: they share the earlier frame."""
    full, faint = {}, {}
    for seed in SEEDS:
        full[seed] = searched(seed, 1.0)
        if seed in FAINT_SEEDS:
            faint[seed] = searched(seed, 0.3)
    return full, faint


@pytest.fixture
def full(measured):
    return measured[0]


@pytest.fixture
def faint(measured):
    return measured[1]


def recalls(pairs):
    by_size = defaultdict(list)
    for pair in pairs.values():
        for size, found in pair.found():
            by_size[size].append(found)
    return {size: sum(found) / len(found) for size, found in by_size.items()}


def precision(pairs):
    right = [one for pair in pairs.values() for one in pair.right()]
    return sum(right) / len(right)


def test_every_pair_is_laid_within_a_tenth_of_a_pixel(full):
    errors = {seed: pair.rms_px for seed, pair in full.items()}

    assert len(errors) >= 14
    assert max(errors.values()) <= 0.1, errors


def test_the_stated_error_is_neither_boastful_nor_idle(full):
    ratios = [pair.rms_px / pair.registration.error_px for pair in full.values()]

    assert max(ratios) < 3.0
    assert 0.3 < float(np.median(ratios)) < 2.0


@pytest.mark.parametrize("size_in", [1.0, 0.5, 0.25])
def test_bare_losses_are_found(full, size_in):
    assert recalls(full)[size_in] >= 0.95


def test_what_is_found_beside_bare_losses_is_little(full):
    assert precision(full) >= 0.93


@pytest.mark.parametrize("size_in", [1.0, 0.5, 0.25])
def test_most_faint_losses_are_found(faint, size_in):
    assert recalls(faint)[size_in] >= 0.6


def test_what_is_found_beside_faint_losses_is_not_much(faint):
    assert precision(faint) >= 0.8


@pytest.mark.parametrize("seed", SEEDS[:3])
def test_raking_light_from_the_other_side_is_not_comparable(seed):
    left = frame(seed, later=False, light="raking-left")
    right = frame(seed, later=True, light="raking-right")

    with pytest.raises(NotComparable):
        register(left.pixels, right.pixels)


def test_another_place_of_the_wall_is_not_comparable():
    here = frame(SEEDS[1], later=False, light="normal")
    there = frame(SEEDS[3], later=True, light="normal")

    with pytest.raises(NotComparable, match="different places"):
        register(here.pixels, there.pixels)
