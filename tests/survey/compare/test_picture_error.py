"""What does the error of the picture under an outline do to a finding? Worked by hand: hypot."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from survey.compare.follow import error_in
from survey.compare.model import GROWN, NO_CHANGE_SHOWN, NoiseModel
from survey.compare.progress import overlap_is_real
from survey.compare.uncertainty import drawn_error_in
from tests.survey.compare.two_surveys import compared, only_item, outline, rectangle, survey

SQUARE = shapely.box(100, 100, 110, 110)
NOISE = NoiseModel()


def c17(*, before_error_in=None, after_error_in=None, after_sq_in=12.9):
    """The loss of cell C17 drawn by one hand, 12.0 to 12.9 sq in, over pictures or over none."""
    before = outline(
        rectangle(area_sq_in=12.0, perimeter_in=20), id="L1", picture_error_in=before_error_in
    )
    after = outline(
        rectangle(area_sq_in=after_sq_in, perimeter_in=20),
        continues=("L1",),
        picture_error_in=after_error_in,
    )
    return only_item(compared(survey("B1", before), survey("P1", after)))


def test_the_errors_of_drawing_and_picture_add_in_quadrature():
    # source: by hand, 3-4-5: 0.06 and 0.08 make 0.10
    drawn = outline(SQUARE, boundary_error_in=0.06, picture_error_in=0.08)

    assert error_in(drawn, 0.5) == pytest.approx(0.10, abs=1e-12)


def test_a_picture_of_unknown_error_adds_nothing():
    assert error_in(outline(SQUARE, boundary_error_in=0.06), 0.5) == 0.06


def test_the_agreed_boundary_error_stands_where_only_the_picture_has_one():
    # source: by hand, 3-4-5
    drawn = outline(SQUARE, boundary_error_in=None, picture_error_in=0.04)

    assert error_in(drawn, 0.03) == pytest.approx(0.05, abs=1e-12)


def test_growth_over_two_pictures_is_tested_with_the_wider_error():
    # source: by hand: each error hypot(0.06, 0.08) = 0.1, each SD 0.1 × √(20 × 0.5) = 0.31623,
    # both together × √2 = 0.44721; 1.96 of it 0.87654
    item = c17(before_error_in=0.08, after_error_in=0.08)

    assert item.growth.standard_error == pytest.approx(0.44721, abs=0.00001)
    assert item.growth.threshold == pytest.approx(0.87654, abs=0.00002)
    assert item.finding == GROWN


def test_growth_that_one_picture_error_explains_is_no_change_shown():
    # source: by hand: hypot(0.06, 0.15) = 0.16155, SD 0.51088; with 0.18974 of the other 0.54498;
    # 0.9 / 0.54498 = 1.651, below 1.96
    item = c17(after_error_in=0.15)

    assert item.growth.z == pytest.approx(1.651, abs=0.001)
    assert item.finding == NO_CHANGE_SHOWN


@given(st.floats(0, 2), st.floats(0, 2), st.floats(8, 16))
def test_a_larger_picture_error_never_makes_a_change_easier_to_find(one, other, after_sq_in):
    small, large = sorted((one, other))

    sure, unsure = (c17(after_error_in=error, after_sq_in=after_sq_in) for error in (small, large))

    assert unsure.growth.p >= sure.growth.p
    assert unsure.growth.threshold >= sure.growth.threshold
    assert unsure.growth.reliably_seen >= sure.growth.reliably_seen
    assert sure.finding == NO_CHANGE_SHOWN or unsure.finding in (sure.finding, NO_CHANGE_SHOWN)


@given(st.floats(0, 12), st.floats(0, 12))
def test_the_drawn_error_is_never_below_either_part(boundary, picture):
    assert drawn_error_in(boundary, picture) >= max(boundary, picture)


def test_a_strip_as_wide_as_the_pictures_error_is_no_progress():
    # The strip is 0.2 in wide; 1.96 × hypot(0.06, 0.06) = 0.166, with a picture of 0.1 in on one
    # side 1.96 × hypot(0.06, 0.11662) = 0.257.  source: by hand
    source = outline(SQUARE, term="flaking")
    loss = shapely.box(109.8, 100, 120, 110)

    assert overlap_is_real(source, outline(loss), NOISE)
    assert not overlap_is_real(source, outline(loss, picture_error_in=0.1), NOISE)


def test_a_crack_drawn_over_a_picture_that_lies_beside_is_the_same_crack():
    # The lines lie 0.8 in apart. Without a picture each reaches 0.25 in; with an error of 0.4 in
    # one reaches 1.96 × √2 × hypot(0.06, 0.4) = 1.12 in.  source: by hand
    before = outline(shapely.LineString([(30, 100), (60, 100)]), term="plaster-crack")
    beside = shapely.LineString([(30, 100.8), (60, 100.8)])

    apart = compared(survey("B1", before), survey("P1", outline(beside, term="plaster-crack")))
    same = compared(
        survey("B1", before),
        survey("P1", outline(beside, term="plaster-crack", picture_error_in=0.4)),
    )

    assert len(apart.items) == 2
    assert only_item(same).finding == NO_CHANGE_SHOWN
