"""Is what may be said of a photograph told from what may not?"""

import pytest

from gridmap.errors import InvalidInput
from survey.photos.projection import check_statement
from tests.support.factories import make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

BODY = {
    "digest": "a" * 64, "name": "DSC_0042.JPG", "mode": "normal", "role": "record",
    "width_px": 6000, "height_px": 4000, "mime": "image/jpeg", "size_bytes": 9,
}  # fmt: skip
HISTORIC = {
    "date_words": "about 1950", "earliest": "1948-01-01", "latest": "1952-12-31",
    "date_certainty": "probable", "source": "postcard", "source_certainty": "possible",
}  # fmt: skip
SLATE = {
    "number": 4, "cell": "C03", "mode": "raking", "side": "left",
    "at": "2026-06-15T09:00:00Z", "from_name": "DSC_0041.JPG",
}  # fmt: skip
RAW = {"digest": "b" * 64, "name": "DSC_0042.NEF", "size_bytes": 5, "mime": "application/x"}


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"cells": ["C03", "G12"], "slate": SLATE, "raw": RAW, "testimony": {"iso": "ISO 100"}},
        {"light": {"lamp": "LED", "angle_deg": 8, "scale_bar": True, "colour_target": False}},
        {"role": "historic", "historic": HISTORIC},
        {"role": "historic", "historic": {**HISTORIC, "earliest": "", "latest": None}},
    ],
)
def test_what_a_person_and_a_file_may_say_is_let_in(survey, said):
    check_statement({**BODY, **said}, survey)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"colour": "red"}, "colour"),
        ({"digest": "A" * 64}, "digest"),
        ({"role": "evidence"}, "role"),
        ({"width_px": 0}, "width_px"),
        ({"cells": ["Z99"]}, "cell"),
        ({"cells": "C03"}, "cells"),
        ({"light": {"angle_deg": 91}}, "angle_deg"),
        ({"light": {"angle_deg": True}}, "angle_deg"),
        ({"light": {"watts": 9}}, "watts"),
        ({"light": []}, "light"),
        ({"testimony": {"iso": 100}}, "testimony"),
        ({"testimony": {str(n): "x" for n in range(41)}}, "testimony"),
        ({"raw": {**RAW, "digest": "short"}}, "digest"),
        ({"raw": {**RAW, "size_bytes": 0}}, "size_bytes"),
        ({"slate": {**SLATE, "number": -1}}, "number"),
        ({"slate": {**SLATE, "place": "x"}}, "place"),
        ({"historic": HISTORIC}, "historic"),
        ({"role": "historic"}, "date_words"),
        ({"role": "historic", "historic": {**HISTORIC, "date_certainty": "sure"}}, "date_certainty"),
        ({"role": "historic", "historic": {**HISTORIC, "latest": "1940-01-01"}}, "latest"),
        ({"role": "historic", "historic": {**HISTORIC, "earliest": "1948"}}, "earliest"),
        ({"role": "historic", "historic": {**HISTORIC, "source": " "}}, "source"),
    ],
)  # fmt: skip
def test_what_cannot_be_said_is_refused_by_its_field(survey, said, field):
    with pytest.raises(InvalidInput) as refused:
        check_statement({**BODY, **said}, survey)

    assert refused.value.field == field
