"""Do import and compare refuse bad files and arguments in plain words, with nothing half-written?"""

import json
import math
import os

import pytest
from django.core.management import CommandError, call_command

from survey.ledger.models import Entry, Logbook
from survey.record.management.commands import import_outlines
from survey.record.models import Examination, Observation, Survey
from tests.support.factories import make_observation, make_survey, make_wall
from tests.survey.record.test_importing import box, collection, feature

pytestmark = [pytest.mark.django_db, pytest.mark.database]

SOUND = feature(box(1, 1, 5, 5), term="paint-loss", item="L1")
LINE = {"type": "LineString", "coordinates": [[1, 1], [9, 9]]}


@pytest.fixture
def wall():
    wall = make_wall()
    make_observation(make_survey(wall, "B1"), item="L1")
    return wall


@pytest.fixture
def file(tmp_path):
    def write(content, name="outlines.json"):
        path = tmp_path / name
        text = content if isinstance(content, str) else json.dumps(content)
        path.write_text(text, encoding="utf-8")
        return path

    return write


def rows():
    return {
        model.__name__: model.objects.count()
        for model in (Survey, Logbook, Entry, Observation, Examination)
    }


def refused(command, *words):
    """Run a command that must refuse; return its message after looking that nothing was kept."""
    before = rows()
    with pytest.raises(CommandError) as error:
        call_command(command, *map(str, words))
    assert rows() == before
    return str(error.value)


def refused_file(path, *more):
    return refused("import_outlines", path, "--survey", "P1", "--date", "2026-06-15", *more)


def test_a_file_that_is_not_there_is_named(wall, tmp_path):
    assert "There is no file" in refused_file(tmp_path / "missing.json")


def test_a_folder_is_no_file(wall, tmp_path):
    assert "is not a file that can be read" in refused_file(tmp_path)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root reads all files")
def test_a_file_without_the_right_to_read_it_says_why(wall, file):
    path = file(collection(SOUND))
    path.chmod(0)

    assert "cannot be read" in refused_file(path)


def test_an_enormous_file_is_refused_before_it_is_read(wall, tmp_path, monkeypatch):
    path = tmp_path / "huge.json"
    with path.open("wb") as sparse:
        sparse.truncate(import_outlines.LARGEST_FILE_BYTES + 1)
    monkeypatch.setattr(type(path), "read_bytes", None)
    monkeypatch.setattr(type(path), "open", None)

    message = refused_file(path)

    assert "the limit is 256.0 MB. Nothing was read." in message


def test_an_enormous_coverage_file_is_refused_too(wall, file, tmp_path):
    path = tmp_path / "huge.json"
    with path.open("wb") as sparse:
        sparse.truncate(import_outlines.LARGEST_FILE_BYTES + 1)

    assert "the limit is" in refused_file(file(collection(SOUND)), "--coverage", path)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ('{"type": "FeatureCollection",\n "frame": oops}', r"line 2, column 11"),
        ("", r"line 1, column 1"),
        ('{"features": [NaN]}', "NaN is not a number that JSON has"),
        ('{"features": [1e999]}', "is too large"),
        ("[" * 100_000, "nested too deeply"),
        ("[]", 'must hold one object of type "FeatureCollection"'),
        ({"type": "FeatureCollection", "features": []}, 'frame is None; it must be "wall-inches"'),
        ({**collection(), "frame": "metres"}, "frame is 'metres'"),
        ({**collection(), "features": {}}, "features must be a list"),
        (collection(7), "Feature 1: it must be an object"),
        (collection({"properties": 7}), "Feature 1: it must be an object"),
    ],
)
def test_a_file_that_is_no_collection_says_what_is_wrong(wall, file, content, message):
    assert message in refused_file(file(content))


def bent(geometry_change):
    return {**box(1, 1, 5, 5), **geometry_change}


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        (feature(box(1, 1, 5, 5)), "term is missing"),
        (feature(box(1, 1, 5, 5), term=7), "term is missing"),
        (feature(box(1, 1, 5, 5), term="paint los"), "Near to it: “paint loss”"),
        (
            feature(box(1, 1, 5, 5), term="lacuna"),
            "may mean “plaster loss” or “paint loss”. Name one",
        ),
        (feature(LINE, term="paint-loss"), "paint loss is drawn as area, not as line"),
        (feature(None, term="paint-loss"), "must be an object with a type of"),
        (feature(bent({"type": "Circle"}), term="paint-loss"), "must be an object with a type of"),
        (feature(bent({"type": ["Polygon"]}), term="paint-loss"), "an object with a type of"),
        (feature(bent({"coordinates": [[["a", "b"]] * 4]}), term="paint-loss"), "geometry"),
        (feature(bent({"coordinates": None}), term="paint-loss"), "geometry"),
        (feature(bent({"coordinates": [[[1, 1, 1]] * 4]}), term="paint-loss"), "geometry"),
        (feature(box(900, 1, 905, 5), term="paint-loss"), "beyond the wall, which is 24′"),
        (feature(box(1, 1, 1, 5), term="paint-loss"), "encloses no area"),
        (feature(box(1, 1, 5, 5), term="paint-loss", cell="Z99"), "Z99"),
        (feature(box(1, 1, 5, 5), term="paint-loss", cell=7), "cell is 7"),
        (feature(box(1, 1, 5, 5), term="paint-loss", continues="L9"), "'L9', which no earlier"),
        (feature(box(1, 1, 5, 5), term="paint-loss", item="L1"), "'L1' is named twice"),
        (feature(box(1, 1, 5, 5), term="paint-loss", condition=4), "condition is 4; it must be 0"),
        (feature(box(1, 1, 5, 5), term="paint-loss", mode="torch"), "mode is 'torch'"),
        (feature(box(1, 1, 5, 5), term="paint-loss", boundary_error_in="x"), "boundary_error_in"),
        (feature(box(1, 1, 5, 5), term="paint-loss", boundary_error_in=99), "from 0 to 12 in"),
        (feature(box(1, 1, 5, 5), term="paint-loss", note="n" * 5000), "at most 4000 characters"),
        (feature(box(1, 1, 5, 5), term="paint-loss", note="a\0b"), "the character NUL"),
        (feature(box(1, 1, 5, 5), term="paint-loss", note="\ud800"), "canonical form"),
        (feature(box(1, 1, 5, 5), term="paint-loss", measures=[1]), "measures must be"),
        (feature(box(1, 1, 5, 5), term="paint-loss", activity=1), "activity must be"),
        (feature(box(1, 1, 5, 5), term="paint-loss", observed_by="n" * 200), "observed_by"),
        (feature(box(1, 1, 5, 5), term="paint-loss", item="n" * 60), "at most 40 characters"),
    ],
)
def test_one_bad_feature_keeps_the_whole_file_out_and_is_named(wall, file, bad, message):
    said = refused_file(file(collection(SOUND, bad)))

    assert message in said
    assert "Feature 2" in said or "Entry 2 of 2" in said
    assert said.endswith("Nothing was imported.")


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        (feature(box(1, 1, 5, 5), mode="torch"), "mode is 'torch'; it must be one of: normal"),
        (feature(box(1, 1, 5, 5), mode=["normal"]), "mode is ['normal']"),
        (feature(box(1, 1, 5, 5), state="glanced"), "state is 'glanced'; it must be one of: seen"),
        (feature(LINE, state="seen"), "Coverage feature 2"),
        (feature(None, state="seen"), "Coverage feature 2"),
        (feature([], state="seen"), "Coverage feature 2"),
        (feature(box(1, 1, 5, 5), state="hidden", cause="c" * 500), "cause"),
    ],
)
def test_one_bad_area_seen_keeps_both_files_out(wall, file, bad, message):
    areas = file(collection(feature(box(0, 0, 24, 24)), bad), "seen.json")

    assert message in refused_file(file(collection(SOUND)), "--coverage", areas)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--survey", "P1", "--date", "2026-13-01"], "--date is '2026-13-01'; write a day such as"),
        (["--survey", "P1", "--kind", "glance"], "invalid choice: 'glance'"),
        (["--survey", "B1", "--kind", "round"], "Survey B1 is a baseline, not round"),
        (["--survey", "P 1"], "must be 1 to 20 letters"),
        (["--survey", "P" * 21], "must be 1 to 20 letters"),
        (["--survey", "P1", "--wall", "south"], "There is no wall 'south'. Walls: booking-hall"),
        (["--survey", "P1", "--observer", "n" * 151], "a name of 1 to 150"),
        (["--survey", "P1", "--observer", " "], "a name of 1 to 150"),
        ([], "--survey"),
    ],
)
def test_a_wrong_argument_of_the_import_is_named(wall, file, words, message):
    assert message in refused("import_outlines", file(collection(SOUND)), *words)


def test_an_outline_for_a_closed_survey_is_refused(wall, file):
    Survey.objects.update(state="closed")

    fresh = feature(box(1, 1, 5, 5), term="paint-loss", item="L2")

    said = refused("import_outlines", file(collection(fresh)), "--survey", "B1")

    assert "takes corrections and decisions, but nothing newly seen" in said


def test_a_name_that_the_survey_has_already_is_refused(wall, file):
    said = refused("import_outlines", file(collection(SOUND)), "--survey", "B1")

    assert "item 'L1' is in survey B1 already" in said


def test_with_several_walls_one_must_be_chosen(wall, file):
    make_wall(wall="signal-box", name="Signal box")

    said = refused("import_outlines", file(collection(SOUND)), "--survey", "P1")

    assert "There are 2 walls; choose: --wall booking-hall|signal-box" in said


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["B1", "P9"], "There is no survey 'P9' on Booking hall, north wall. Surveys: B1, P1."),
        (["B9", "P1"], "There is no survey 'B9'"),
        (["B1", "B1"], "BEFORE and AFTER are both B1; name two surveys."),
        (["B1", "P1", "--tolerance", "wide"], "tolerance"),
        (["B1", "P1", "--tolerance", "13 in"], "above the limit of 12 in"),
        (["B1", "P1", "--tolerance=-1"], "tolerance"),
        (["B1", "P1", "--tolerance", str(math.nan)], "tolerance"),
        (["B1", "P1", "--by", "year"], "invalid choice: 'year'"),
        (["B1", "P1", "--wall", "south"], "There is no wall 'south'"),
        (["B1"], "AFTER"),
    ],
)
def test_a_wrong_argument_of_the_comparison_is_named(wall, words, message):
    make_survey(wall, "P1", kind="round")

    assert message in refused("compare", *words)


def test_without_a_wall_the_way_to_one_is_shown(db):
    assert "import_wall FILE" in refused("compare", "B1", "P1")
