"""Does the schedule say how surely an outline lies, with the picture under it counted in?"""

from dataclasses import replace

import pytest

from survey.record.models import Observation
from survey.report.collect_plates import size_of
from survey.report.layout import matter
from tests.survey.report.harvest_report import schedule


def drawn(**errors):
    return Observation(geometry_kind="area", area_sq_in=12.0, perimeter_in=20.0, **errors)


def test_an_area_over_a_picture_has_the_error_of_both():
    # source: by hand, 3-4-5: 0.06 and 0.08 make 0.10; 0.10 × √(20 × 0.5) = 0.31623
    size = size_of(drawn(boundary_error_in=0.06, picture_error_in=0.08))

    assert size.error == pytest.approx(0.31623, abs=0.00001)


def test_an_area_over_no_known_picture_has_the_error_of_its_drawing():
    # source: by hand: 0.06 × √(20 × 0.5) = 0.18974
    assert size_of(drawn(boundary_error_in=0.06)).error == pytest.approx(0.18974, abs=0.00001)


def test_the_item_says_both_errors():
    row = drawn(boundary_error_in=0.06, picture_error_in=0.03)

    assert row.error_words == "boundary error 0.06 in, picture 0.03 in"


def test_the_schedule_prints_both_errors_below_the_term():
    row = replace(schedule()[0], drawn_error="boundary error 0.06 in, picture 0.03 in")
    printed = []

    class Setting:
        def term_name(self, code):
            return code

        def plate_page(self, cells):
            return "1"

        def table(self, columns, rows):
            printed.extend(rows)

    matter._schedule_table(Setting(), [row], "sq in")

    assert printed[0][2].endswith("boundary error 0.06 in, picture 0.03 in")
