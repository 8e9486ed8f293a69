"""Tests of the quantities that instruments read, and how their readings are said."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.quantities import (
    QUANTITIES,
    from_canonical,
    quantity_of,
    shown,
    to_canonical,
)

EVERY_UNIT = [(name, unit) for name, one in QUANTITIES.items() for unit in one.units]


@pytest.mark.parametrize(("quantity", "unit"), EVERY_UNIT)
@given(share=st.floats(0.0, 1.0))
def test_a_reading_survives_the_way_into_another_unit_and_back(quantity, unit, share):
    least, most = quantity_of(quantity).range_in(unit)
    value = least + share * (most - least)

    there = to_canonical(value, quantity, unit)

    assert float(from_canonical(there, quantity, unit)) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("name", QUANTITIES)
def test_every_quantity_is_shown_in_units_that_it_has(name):
    one = quantity_of(name)

    assert one.shown_in
    assert set(one.shown_in) <= set(one.units)


# source: 0.08 in/s × 25.4 mm/in, exact by 24 FR 5348 (1959); 0 °C = 32 °F by definition
@pytest.mark.parametrize(
    ("value", "quantity", "said"),
    [
        (2.032, "particle-velocity", "0.080\u00a0in/s (2.03\u00a0mm/s)"),
        (0.0, "air-temperature", "32.0\u00a0°F (0.0\u00a0°C)"),
        (-40.0, "surface-temperature", "−40.0\u00a0°F (−40.0\u00a0°C)"),
        (3.0, "condensation-margin", "5.4\u00a0°F (3.0\u00a0K)"),
        (62.4, "colour-l", "62.40"),
        (1.0, "water", "water"),
        (0.0, "door", "closed"),
        (float("nan"), "illuminance", "no reading"),
    ],
)
def test_a_reading_is_said_in_both_units(value, quantity, said):
    assert shown(value, quantity) == said


def test_a_missing_reading_stays_missing_in_every_unit():
    for quantity, unit in EVERY_UNIT:
        assert np.isnan(to_canonical([np.nan], quantity, unit)).all()


def test_a_unit_of_another_quantity_is_refused_with_those_that_fit():
    with pytest.raises(InvalidInput) as refused:
        to_canonical(50.0, "relative-humidity", "°F")

    assert "°F" in refused.value.message
    assert "relative humidity is given in %" in refused.value.message
