"""Do the pages of mosaics list versions, start the work, and say why a file is refused?"""

import re

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from survey.jobs.models import Job, JobState
from survey.jobs.services import cancel_job, run_job
from survey.people.models import Role
from survey.photos.models import Mosaic
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.laid import take
from tests.survey.photos.test_orthophotos import bring, painting, saved

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.fixture
def desk(client, survey):
    client.force_login(make_member(survey.wall, display_name="Priya Lund"))
    return client


def address(name="mosaics", survey_code="B1"):
    return reverse(f"photos:{name}", args=["booking-hall", survey_code])


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def typed(**changes):
    fields = {
        "mode": "normal",
        "lamp_side": "",
        "left": "0",
        "right": "24 ft",
        "lower": "0",
        "upper": "14 ft",
        "error": "1/4 in",
        "taken_on": "2026-03-03",
        "operator": "",
        "note": "",
    }
    return {**fields, **changes}


def send(desk, path, name=None, **changes):
    file = SimpleUploadedFile(name or path.name, path.read_bytes(), "image/tiff")
    return desk.post(address("import_mosaic"), {**typed(**changes), "file": file})


def arriving():
    return sorted(path.name for path in (settings.DATA_FOLDER / "arriving").glob("*"))


def test_an_empty_page_says_what_will_stand_there_and_the_first_step(desk):
    shown = text_of(desk.get(address()))

    assert "The mosaics of survey B1 will stand here" in shown
    assert "Place photographs of cells first" in shown


def test_every_version_is_listed_with_its_error_size_and_digest(desk, survey, tmp_path):
    bring(survey, saved(tmp_path, "a.tif"))
    second = bring(survey, saved(tmp_path, "b.tif", pixels=painting()[:, ::-1]))

    shown = text_of(desk.get(address()))

    assert shown.index("Normal light: version 2") < shown.index("Normal light: version 1")
    assert "0.250 in" in shown
    assert "1,440 by 840 px" in shown
    assert second.pyramid_id in shown


def test_cells_without_a_picture_are_told(desk, survey):
    take(survey, "C03")
    desk.post(address("lay_mosaic"), {"mode": "normal", "lamp_side": "", "px_per_in": "8"})
    run_job.call(Job.objects.get().pk)

    shown = text_of(desk.get(address()))

    assert "Laid from photographs of 1 cell" in shown
    assert "83 of 84 without a picture" in shown


def test_laying_starts_work_and_leads_to_it(desk, survey):
    take(survey, "C03")

    answer = desk.post(address("lay_mosaic"), {"mode": "normal", "lamp_side": "", "px_per_in": "8"})

    job = Job.objects.get()
    assert answer.headers["Location"] == reverse("jobs:job", args=["booking-hall", job.pk])
    assert job.state == JobState.WAITING
    assert "Lay a mosaic of survey B1, normal light" in text_of(desk.get(address()))


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"mode": "normal", "px_per_in": "9999"}, "at most 600"),
        ({"mode": "normal", "px_per_in": "fine"}, "is not a number"),
        ({"mode": "normal", "px_per_in": "400"}, "gigapixels"),
        ({"mode": "raking", "px_per_in": "8"}, "Place photographs first"),
    ],
)
def test_a_mosaic_that_cannot_be_laid_is_refused_in_words(desk, survey, sent, words):
    take(survey, "C03")

    answer = desk.post(address("lay_mosaic"), sent)

    assert answer.status_code == 400
    assert words in text_of(answer)
    assert not Job.objects.exists()


def test_a_finished_picture_is_imported_by_the_worker_and_its_file_does_not_stay(
    desk, survey, tmp_path
):
    answer = send(desk, saved(tmp_path))
    job = Job.objects.get()
    waiting = arriving()

    run_job.call(job.pk)

    job.refresh_from_db()
    assert answer.status_code == 302
    assert len(waiting) == 1
    assert job.state == JobState.DONE
    assert arriving() == []
    mosaic = Mosaic.objects.get()
    assert (mosaic.error_in, str(mosaic.taken_on)) == (0.25, "2026-03-03")
    assert mosaic.head.recorded_by == "Priya Lund"


def test_an_import_that_is_cancelled_leaves_neither_file_nor_mosaic(desk, survey, tmp_path):
    send(desk, saved(tmp_path))
    job = Job.objects.get()
    Job.objects.filter(pk=job.pk).update(cancel_asked=True)

    run_job.call(job.pk)

    job.refresh_from_db()
    assert job.state == JobState.CANCELLED
    assert arriving() == []
    assert not Mosaic.objects.exists()


def test_an_import_whose_file_is_gone_asks_for_it_again(desk, survey, tmp_path):
    send(desk, saved(tmp_path))
    job = Job.objects.get()
    for path in (settings.DATA_FOLDER / "arriving").glob("*"):
        path.unlink()

    run_job.call(job.pk)

    job.refresh_from_db()
    assert job.state == JobState.FAILED
    assert "Send it again" in job.message


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"upper": "12 ft"}, "at its lower edge the picture would lie"),
        ({"left": "30 ft", "right": "54 ft"}, "is not on the wall"),
        ({"error": ""}, "Error of a place is empty"),
        ({"error": "0"}, "lies above 0"),
        ({"right": "far"}, "far"),
    ],
)
def test_what_the_pixels_or_the_wall_contradict_is_refused_before_any_work(
    desk, survey, tmp_path, changes, words
):
    answer = send(desk, saved(tmp_path), **changes)

    assert answer.status_code == 400
    assert words in text_of(answer)
    assert "Nothing was imported. Choose the file again" in text_of(answer)
    assert not Job.objects.exists()
    assert arriving() == []


def test_a_disguised_file_is_refused_before_any_work(desk, survey, tmp_path):
    path = tmp_path / "wall.tif"
    path.write_text("<script>anything</script>")

    answer = send(desk, path)

    assert answer.status_code == 400
    assert "wall.tif is no picture" in text_of(answer)
    assert not Job.objects.exists()


def test_a_reader_sees_the_versions_and_no_form(client, survey, tmp_path):
    bring(survey, saved(tmp_path))
    client.force_login(make_member(survey.wall, Role.READER))

    shown = text_of(client.get(address()))

    assert "version 1" in shown
    assert "Import this picture" not in shown


def test_the_command_imports_a_picture_and_a_second_time_says_that_it_is_there(
    survey, tmp_path, capsys
):
    path = saved(tmp_path)
    options = {"survey": "B1", "error": "1/4 in", "taken_on": "2026-03-03"}

    call_command("import_mosaic", path, **options)
    call_command("import_mosaic", path, **options)

    first, again = capsys.readouterr().out.splitlines()
    assert "version 1, 1,440 by 840 px, 5 px/in." in first
    assert "it was there already" in again
    assert Mosaic.objects.count() == 1


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"survey": "X9"}, "X9"),
        ({"bounds": ["0", "0", "24 ft", "12 ft"]}, "lower edge"),
        ({"taken_on": "yesterday"}, "2026-03-03"),
        ({"error": "0"}, "above 0"),
    ],
)
def test_the_command_refuses_in_words(survey, tmp_path, options, words):
    with pytest.raises(CommandError, match=words):
        call_command(
            "import_mosaic", saved(tmp_path), **{"survey": "B1", "error": "1/4 in", **options}
        )

    assert not Mosaic.objects.exists()


def test_waiting_work_is_listed_in_its_order_and_then_what_ended(desk, survey):
    for title in ("First", "Second"):
        Job.objects.create(wall=survey.wall, kind="mosaic", title=title)
    cancel_job(Job.objects.get(title="Second"))
    Job.objects.create(wall=survey.wall, kind="mosaic", title="Third", state=JobState.RUNNING)

    shown = text_of(desk.get(reverse("jobs:list", args=["booking-hall"])))

    assert shown.index("Third") < shown.index("First") < shown.index("Ended lately")
    assert shown.index("Ended lately") < shown.index("Second")


def test_no_work_is_told_as_such(desk):
    shown = text_of(desk.get(reverse("jobs:list", args=["booking-hall"])))

    assert "Nothing waits and nothing runs." in shown
