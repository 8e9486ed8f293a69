"""Are feet and inches read as people write them, and written as people read them?"""

import json
import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from gridmap.lengths import (
    ACCEPTED_FORMS,
    MAXIMUM_LENGTH_IN,
    format_area,
    format_area_plain,
    format_feet_inches,
    format_feet_inches_plain,
    format_feet_inches_with_metric,
    format_metric,
    parse_length_in,
    snap_in,
)
from tests.strategies import lattice_points

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "lengths.json").read_text("utf-8"))

wall_lengths = lattice_points(-MAXIMUM_LENGTH_IN, MAXIMUM_LENGTH_IN)


@pytest.mark.parametrize(("text", "inches"), VECTORS["read"])
def test_what_people_write_is_read(text, inches):
    assert parse_length_in(text) == inches


@pytest.mark.parametrize(("text", "because"), VECTORS["refuse"])
def test_what_is_unclear_is_refused_with_field_value_and_reason(text, because):
    with pytest.raises(InvalidInput) as refusal:
        parse_length_in(text, field="width")

    assert refusal.value.field == "width"
    assert refusal.value.message.startswith("width: ")
    assert text[:20] in refusal.value.message
    assert because in refusal.value.message


def test_a_refusal_shows_the_accepted_forms():
    with pytest.raises(InvalidInput) as refusal:
        parse_length_in("12 6")

    assert refusal.value.message.endswith(ACCEPTED_FORMS)


def test_every_form_that_a_refusal_shows_is_accepted():
    shown = ["12' 6 1/2\"", "12-6 1/2", "12 ft 6.5 in", '6 1/2"', "150.5", "84 ft"]

    for form in shown:
        assert form in ACCEPTED_FORMS
        parse_length_in(form)


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, 10**400, None, True, [], {}, b"3"]
)
def test_what_is_no_text_and_no_finite_number_is_refused(value):
    with pytest.raises(InvalidInput):
        parse_length_in(value)


def test_a_number_is_taken_as_inches():
    assert parse_length_in(150) == 150.0
    assert parse_length_in(0.1) == 0.1
    assert math.copysign(1.0, parse_length_in("-0")) == 1.0


def test_a_field_that_says_so_refuses_a_length_below_its_limit():
    assert parse_length_in(0, minimum_in=0.0) == 0.0

    with pytest.raises(InvalidInput, match='below the limit of 0"'):
        parse_length_in("-1/16", minimum_in=0.0)


def test_an_absurdly_long_text_is_shortened_in_the_message():
    with pytest.raises(InvalidInput) as refusal:
        parse_length_in("9" * 1_000_000)

    assert "1,000,000 characters; the limit is 40" in refusal.value.message
    assert len(refusal.value.message) < 400


@given(st.text(max_size=45))
def test_any_text_is_read_or_refused_in_words(text):
    try:
        length_in = parse_length_in(text)
    except InvalidInput:
        return

    assert math.isfinite(length_in)


@pytest.mark.parametrize("case", VECTORS["write"], ids=lambda case: case["plain"])
def test_lengths_are_written_to_the_nearest_sixteenth(case):
    assert format_feet_inches(case["inches"]) == case["typographic"]
    assert format_feet_inches_plain(case["inches"]) == case["plain"]


@pytest.mark.parametrize(
    "case", VECTORS["write_from_mm"]["cases"], ids=lambda case: str(case["mm"])
)
def test_published_metric_lengths_come_out_in_feet_and_inches(case):
    # source: the inch of 24 FR 5348 (1959), 25.4 mm exactly; the cases are worked by hand.
    assert format_feet_inches(case["mm"] / 25.4) == case["typographic"]


@given(st.floats(-MAXIMUM_LENGTH_IN, MAXIMUM_LENGTH_IN))
def test_rounding_is_to_the_nearest_sixteenth_and_never_shows_twelve_inches(length_in):
    text = format_feet_inches_plain(length_in)

    off_by = abs(Fraction(parse_length_in(text)) - Fraction(length_in))
    assert off_by <= Fraction(1, 32) + Fraction(1, 10**9)
    assert ' 12"' not in text
    assert " 12 " not in text


@given(wall_lengths)
def test_every_point_of_the_lattice_comes_back_from_both_ways_of_writing_it(length_in):
    assert parse_length_in(format_feet_inches_plain(length_in, denominator=256)) == length_in
    assert parse_length_in(format_feet_inches(length_in, denominator=256)) == length_in


@given(wall_lengths)
def test_the_set_form_has_no_space_that_breaks(length_in):
    assert " " not in format_feet_inches_with_metric(length_in)


@given(wall_lengths, st.floats(-0.4999, 0.4999))
def test_snapping_finds_the_nearest_point_of_the_lattice(point_in, part_of_a_step):
    moved_in = point_in + part_of_a_step / 256

    assert snap_in(point_in) == point_in
    assert snap_in(moved_in) == point_in


@pytest.mark.parametrize(("value", "snapped"), VECTORS["snap"])
def test_snapping_agrees_with_the_browser(value, snapped):
    assert snap_in(value) == snapped


@pytest.mark.parametrize(("inches", "text"), VECTORS["metric"])
def test_metric_lengths(inches, text):
    assert format_metric(inches) == text


def test_the_metric_value_stands_beside_feet_and_inches_on_request():
    assert format_feet_inches_with_metric(150.5) == "12′\u00a06\u202f½″\u00a0(3.823\u00a0m)"


@pytest.mark.parametrize(("square_inches", "text"), VECTORS["areas"])
def test_areas(square_inches, text):
    assert format_area(square_inches) == text


def test_an_area_in_plain_text_has_ordinary_signs():
    assert format_area_plain(-169_344) == "-1,176 sq ft"


@pytest.mark.parametrize(
    "write", [format_feet_inches, format_feet_inches_plain, format_metric, format_area]
)
@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_what_is_not_finite_is_not_written(write, value):
    with pytest.raises(InvalidInput):
        write(value)


def test_a_rounding_that_is_no_part_of_the_lattice_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="power of two"):
        format_feet_inches(1.0, denominator=10)
