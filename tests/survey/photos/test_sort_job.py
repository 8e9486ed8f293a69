"""Are frames sorted to cells by the slates photographed between them, and is the work repeatable?"""

import pytest

from survey.jobs.models import Job, JobState
from survey.jobs.services import run_job
from survey.ledger.drafts import Writer
from survey.ledger.models import Entry
from survey.ledger.services import rebuild
from survey.photos.models import Photograph
from survey.photos.sort_job import ask_to_sort, last_sorting, unsorted_photographs, why_unsorted
from survey.photos.taking_in import Statement, restate, take_in
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.camera import NINE, frame, later, slate_frame, slate_text

pytestmark = [pytest.mark.django_db, pytest.mark.database]
PRIYA = Writer(name="Priya Lund", device="desk")


@pytest.fixture
def survey():
    return make_survey(make_wall())


def put(survey, data, name, **said):
    statement = Statement(**{"mode": "normal", **said})
    return take_in(survey, data, name, statement=statement, writer=PRIYA).photograph


def sort(survey):
    job = ask_to_sort(survey, asked_by=make_member(survey.wall))
    run_job.call(job.pk)
    job.refresh_from_db()
    assert job.state == JobState.DONE, job.message
    return job.result


def card(survey, *, fast_s=0.0):
    """Two cells, each a slate and its frames, as the camera's clock has them; the last too late."""
    shots = (
        ("IMG_0001.JPG", 0.0, slate_text(cell="C03", number=1, at=NINE, mode="raking", side="left")),
        ("IMG_0002.JPG", 1.0, None),
        ("IMG_0003.JPG", 5.0, slate_text(cell="C04", number=2, at=later(NINE, minutes=5))),
        ("IMG_0004.JPG", 6.0, None),
        ("IMG_0005.JPG", 95.0, None),
    )  # fmt: skip
    for seed, (name, minutes, text) in enumerate(shots):
        taken = later(NINE, minutes=minutes, seconds=fast_s)
        said = {"taken": taken, "seed": seed, "number": "7042"}
        data = slate_frame(text, **said) if text else frame(**said)
        put(survey, data, name)


def cells(survey):
    rows = survey.photographs.filter(role="record").order_by("name")
    return [(row.name, row.cells, row.mode, row.lamp_side) for row in rows]


def test_frames_take_cell_and_light_from_the_slate_before_them(survey):
    card(survey)

    result = sort(survey)

    assert cells(survey) == [
        ("IMG_0002.JPG", ["C03"], "raking", "left"),
        ("IMG_0004.JPG", ["C04"], "normal", "even"),
        ("IMG_0005.JPG", [], "normal", ""),
    ]
    assert (result["sorted"], result["slates"]) == (2, 2)
    assert [row["name"] for row in result["unsorted"]] == ["IMG_0005.JPG"]
    late = Photograph.objects.get(name="IMG_0005.JPG")
    assert why_unsorted(survey) == {str(late.pk): result["unsorted"][0]["why"]}
    assert "1 h 30 min after slate 2" in result["unsorted"][0]["why"]


def test_the_camera_s_clock_is_put_right_by_its_slates(survey):
    card(survey, fast_s=3720.0)

    result = sort(survey)

    moment = Photograph.objects.get(name="IMG_0002.JPG").taken_at
    # The slate shows its time in steps of 5 s, so half a step is the best guess.
    assert abs((moment - later(NINE, minutes=1)).total_seconds()) <= 5.0
    assert result["clocks"][0]["ahead_s"] == pytest.approx(-3720.0, abs=5.0)


def test_slates_become_notes_and_are_no_frames_of_the_record(survey):
    card(survey)

    sort(survey)

    slate = Photograph.objects.get(name="IMG_0001.JPG")
    assert slate.role == "note"
    assert slate.slate["from_name"] == slate.name
    assert [row.name for row in unsorted_photographs(survey)] == ["IMG_0005.JPG"]


def test_sorting_again_writes_nothing(survey):
    card(survey)
    sort(survey)
    before = Entry.objects.count()

    result = sort(survey)

    assert Entry.objects.count() == before
    assert result["changed"] == 0
    assert result["sorted"] == 2


def test_a_slate_that_comes_late_moves_the_frames_behind_it(survey):
    card(survey)
    sort(survey)
    text = slate_text(cell="D05", number=3, at=later(NINE, minutes=5, seconds=30))
    put(
        survey,
        slate_frame(text, taken=later(NINE, minutes=5.5), seed=9, number="7042"),
        "IMG_0003b.JPG",
    )

    sort(survey)

    assert Photograph.objects.get(name="IMG_0004.JPG").cells == ["D05"]


def test_a_frame_that_a_person_put_to_a_cell_stays_there(survey):
    card(survey)
    sort(survey)
    moved = Photograph.objects.get(name="IMG_0004.JPG")
    restate(moved, {"cells": ["A01"], "slate": None}, writer=PRIYA)

    sort(survey)

    assert Photograph.objects.get(name="IMG_0004.JPG").cells == ["A01"]


def test_the_logbook_gives_the_same_rows_again(survey):
    card(survey)
    sort(survey)
    before = cells(survey)

    rebuild(survey.logbook)

    assert cells(survey) == before


def test_sorting_that_waits_is_not_asked_for_twice(survey):
    person = make_member(survey.wall)

    first = ask_to_sort(survey, asked_by=person)

    assert ask_to_sort(survey, asked_by=person) == first
    assert Job.objects.count() == 1


def test_a_sorting_that_is_cancelled_writes_nothing(survey):
    card(survey)
    before = Entry.objects.count()
    job = ask_to_sort(survey, asked_by=make_member(survey.wall))
    Job.objects.filter(pk=job.pk).update(cancel_asked=True)

    run_job.call(job.pk)

    job.refresh_from_db()
    assert job.state == JobState.CANCELLED
    assert Entry.objects.count() == before
    assert last_sorting(survey) is None
