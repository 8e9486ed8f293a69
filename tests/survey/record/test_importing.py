"""Do outlines from a file become the right items of a survey, and cells the right examinations?"""

import io
import json
from datetime import date

import pytest
import shapely
from django.core.management import call_command

from survey.ledger.models import Entry
from survey.record.models import Continuation, Examination, Observation
from survey.record.selectors import coverage_by_mode, touch_by_mode
from tests.support.factories import make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def wall():
    return make_wall()


def box(x0, y0, x1, y1):
    return {"type": "Polygon", "coordinates": [[[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]]}


def feature(geometry, **properties):
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def collection(*features):
    return {"type": "FeatureCollection", "frame": "wall-inches", "features": features}


@pytest.fixture
def take(tmp_path):
    """Write the files of a survey and import them; returns what was printed."""

    def run(*features, survey="B1", day="2026-03-02", seen=None, more=()):
        file = tmp_path / f"{survey}.json"
        file.write_text(json.dumps(collection(*features)), encoding="utf-8")
        words = ["import_outlines", str(file), "--survey", survey, "--date", day, *more]
        if seen is not None:
            areas = tmp_path / f"{survey}-seen.json"
            areas.write_text(json.dumps(collection(*seen)), encoding="utf-8")
            words += ["--coverage", str(areas)]
        out = io.StringIO()
        call_command(*words, stdout=out)
        return out.getvalue()

    return run


def labels(survey):
    return sorted(Observation.objects.filter(survey__code=survey).values_list("item", flat=True))


def test_coordinates_from_a_cell_in_feet_and_inches_give_the_same_outline(wall, take):
    # The cell E03 of the small wall begins 4 ft from the left end and 4 ft above the lower edge.
    ring = [["0", "0' 2\""], ["1' 3 1/2\"", '2"'], ["1' 3 1/2\"", "1 ft"], ["0 in", "12"], ["0", 2]]
    local = feature({"type": "Polygon", "coordinates": [ring]}, term="paint loss", cell="E03")
    whole = feature(box(48.0, 50.0, 63.5, 60.0), term="paint loss")

    take(local, whole)

    near, far = Observation.objects.order_by("item")
    assert near.shape.equals(far.shape)
    assert near.shape_json != far.shape_json  # they are two items
    assert json.loads(near.shape_json)["geometry"] == json.loads(far.shape_json)["geometry"]
    assert near.cells == ["E03"]


def test_a_term_is_taken_by_code_trade_name_or_synonym(wall, take):
    words = ["paint-loss", "Paint loss", "open crack"]
    crack = {"type": "LineString", "coordinates": [[1, 1], [9, 9]]}

    take(
        *(feature(crack if word == "open crack" else box(1, 1, 5, 5), term=word) for word in words)
    )

    assert sorted(Observation.objects.values_list("term", flat=True)) == [
        "paint-loss",
        "paint-loss",
        "plaster-crack",
    ]


def test_items_without_a_name_are_named_by_the_terms_letters(wall, take):
    take(*(feature(box(x, 1, x + 2, 3), term="paint-loss") for x in (1, 5, 9)))

    letters = {label.rstrip("0123456789") for label in labels("B1")}
    assert len(letters) == 1
    assert [label.lstrip(*letters) for label in labels("B1")] == ["1", "2", "3"]


def test_a_name_given_later_in_the_file_is_kept_free(wall, take):
    take(feature(box(1, 1, 3, 3), term="paint-loss"))
    first = labels("B1")[0]

    take(
        feature(box(1, 1, 3, 3), term="paint-loss"),
        feature(box(5, 1, 7, 3), term="paint-loss", item=first[:-1] + "2"),
        survey="P1",
        day="2026-06-15",
    )

    assert labels("P1") == [first[:-1] + "2", first[:-1] + "3"]


def test_a_second_file_names_its_items_on_from_the_first(wall, take):
    take(feature(box(1, 1, 3, 3), term="paint-loss"))
    take(feature(box(5, 1, 7, 3), term="paint-loss"))

    assert len(set(labels("B1"))) == 2


def test_what_continues_an_item_keeps_its_name_and_meets_in_one_object(wall, take):
    take(feature(box(1, 1, 3, 3), term="paint-loss", item="L1"))
    take(feature(box(1, 1, 4, 3), term="paint-loss", continues="L1"), survey="P1", day="2026-06-15")

    later = Observation.objects.get(survey__code="P1")
    prior = Observation.objects.get(survey__code="B1")
    assert later.item == "L1"
    assert Continuation.objects.get().prior_object_id == prior.pk
    assert later.pk.version == 5


def test_the_same_file_twice_changes_nothing(wall, take):
    features = [
        feature(box(1, 1, 3, 3), term="paint-loss"),
        feature(box(5, 1, 7, 3), term="paint-loss", item="L7"),
    ]
    seen = [feature(box(0, 0, 100, 100), mode="normal", state="seen")]
    take(*features, seen=seen)
    before = list(Entry.objects.order_by("pk").values_list("pk", "digest"))

    printed = take(*features, seen=seen)

    assert list(Entry.objects.order_by("pk").values_list("pk", "digest")) == before
    assert "0 outlines imported, 2 were there already" in printed


def test_a_self_crossing_outline_is_taken_and_said(wall, take):
    bow = {"type": "Polygon", "coordinates": [[[0, 0], [10, 10], [10, 0], [0, 10], [0, 0]]]}

    printed = take(feature(bow, term="paint-loss", item="L1"))

    assert "L1: The outline crosses itself" in printed
    assert Observation.objects.get().area_sq_in == pytest.approx(50.0)  # two triangles of 25


def test_coverage_gives_part_cells_the_area_seen_and_hidden_parts_their_cause(wall, take):
    seen = [
        feature(box(0, 0, 60, 168), mode="normal", state="seen"),
        feature(box(0, 0, 24, 24), mode="normal", state="touch"),
        feature(box(0, 96, 288, 108), mode="normal", state="hidden", cause="deck boards"),
    ]

    take(feature(box(1, 1, 3, 3), term="paint-loss"), seen=seen)

    states = dict(Examination.objects.values_list("cell", "state"))
    assert states["G01"] == "touch"
    assert states["F01"] == "seen"
    assert states["C01"] == "part-hidden"
    assert states["F03"] == "part-hidden"
    assert "F04" not in states  # nobody looked there
    assert Examination.objects.get(cell="C01").hidden[0]["cause"] == "deck boards"
    rows = list(Examination.objects.all())
    assert shapely.area(coverage_by_mode(rows)["normal"]) == pytest.approx(60 * 168 - 60 * 12)
    assert shapely.area(touch_by_mode(rows)["normal"]) == pytest.approx(24 * 24)


def test_a_survey_is_made_with_the_modes_that_the_files_name(wall, take):
    take(
        feature(box(1, 1, 3, 3), term="flaking", mode="raking"),
        seen=[feature(box(0, 0, 24, 24), mode="normal")],
    )

    survey = wall.surveys.get()
    assert (survey.kind, survey.starts_on) == ("round", date(2026, 3, 2))
    assert survey.modes == ["normal", "raking"]


def test_outlines_come_into_a_survey_that_is_there(wall, take):
    survey = make_survey(wall, "B1")

    take(feature(box(1, 1, 3, 3), term="paint-loss"))

    assert survey.observations.count() == 1
