"""Is a placed photograph drawn square to the wall once, without metadata, and stopped when asked?"""

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from gridmap.rectify import MarkedPoint
from survey.jobs.models import Job, JobState
from survey.jobs.services import JobCancelled, cancel_job, run_job
from survey.ledger.blobs import read_blob
from survey.ledger.models import Blob, Entry
from survey.photos.models import Photograph, RectifiedCopy
from survey.photos.placing import place_photograph
from survey.photos.rectifying import copy_of, read_copy
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.camera import exif
from tests.survey.photos.marked import CORNERS, PRIYA, SIZE_PX, corners, picture, taken

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def survey():
    return make_survey(make_wall())


def place(photograph, **more):
    return place_photograph(photograph, corners(), writer=PRIYA, **more)


def run(job):
    run_job.call(job.pk)
    job.refresh_from_db()
    return job


def test_the_worker_draws_the_copy(survey):
    placed = place(taken(survey), asked_by=make_member(survey.wall), px_per_in=20)

    job = run(placed.job)

    copy = RectifiedCopy.objects.get()
    assert job.state == JobState.DONE
    assert job.result["digest"] == copy.blob_id
    x0, y0, x1, y1 = copy.bounds_in
    assert (copy.width_px, copy.height_px) == (round((x1 - x0) * 20), round((y1 - y0) * 20))
    assert copy.placement_entry_id == placed.receipt.id
    opened = Image.open(io.BytesIO(read_blob(copy.blob_id)))
    assert opened.size == (copy.width_px, copy.height_px)


def crosses():
    """A grey wall with a bright dot, 9 px across, at each corner of the cell."""
    out = np.full((SIZE_PX[1], SIZE_PX[0], 3), 90, np.uint8)
    for _, (x, y), _ in CORNERS:
        cv2.circle(out, (round(x * 16 - 8), round(y * 16 - 8)), 72, (255, 255, 255), -1, shift=4)
    file = io.BytesIO()
    Image.fromarray(out).save(file, "PNG")
    return file.getvalue()


def test_what_was_marked_lies_at_its_place_on_the_copy(survey):
    placed = place(taken(survey, data=crosses(), name="C03.png"), px_per_in=30)

    drawn = read_copy(copy_of(Entry.objects.get(pk=placed.receipt.id)))

    x0, y0, x1, y1 = placed.suggestion.bounds_in
    light = drawn.pixels[..., 1].astype(float) - 90
    height, width = light.shape
    for _, _, (x, y) in CORNERS:
        u, v = (x - x0) / (x1 - x0) * width, (y1 - y) / (y1 - y0) * height
        rows = slice(max(int(v) - 12, 0), int(v) + 12)
        columns = slice(max(int(u) - 12, 0), int(u) + 12)
        dot = np.clip(light[rows, columns] - 60, 0, None)
        vs, us = np.mgrid[rows, columns] + 0.5
        # source: the dot's own centre of light; 0.15 px are 0.005 in
        assert (dot * us).sum() / dot.sum() == pytest.approx(u, abs=0.15)
        assert (dot * vs).sum() / dot.sum() == pytest.approx(v, abs=0.15)


def test_the_copy_has_no_metadata(survey):
    file = io.BytesIO()
    Image.open(io.BytesIO(picture())).save(file, "JPEG", exif=exif(gps=True))
    placed = place(taken(survey, data=file.getvalue()))

    copy = copy_of(Entry.objects.get(pk=placed.receipt.id))

    opened = Image.open(io.BytesIO(read_blob(copy.blob_id)))
    assert not opened.getexif()
    assert set(opened.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_turned_picture_is_placed_as_it_is_seen(survey):
    upright = Image.open(io.BytesIO(picture()))
    file = io.BytesIO()
    # orientation 6: the file's rows run down the right side of what is seen
    upright.transpose(Image.Transpose.ROTATE_90).save(
        file, "JPEG", quality=95, exif=exif(orientation=6)
    )
    turned = taken(survey, data=file.getvalue(), name="turned.jpg")
    plain = taken(survey, data=picture(), name="plain.jpg")

    copies = [
        read_copy(copy_of(Entry.objects.get(pk=place(one).receipt.id))) for one in (turned, plain)
    ]

    assert (turned.width_px, turned.height_px) == SIZE_PX
    away = np.abs(copies[0].pixels.astype(int) - copies[1].pixels)
    assert away.mean() < 3


def test_where_the_photograph_does_not_reach_the_copy_is_grey_and_not_valid(survey):
    askew = [
        MarkedPoint(name, (px[0] + dx, px[1]), wall)
        for (name, px, wall), dx in zip(CORNERS, (150, -30, -30, -150), strict=True)
    ]
    placed = place_photograph(taken(survey), askew, writer=PRIYA, px_per_in=20)

    drawn = read_copy(copy_of(Entry.objects.get(pk=placed.receipt.id)))

    unseen = drawn.valid == 0
    assert 0.002 < unseen.mean() < 0.3
    assert np.median(np.abs(drawn.pixels[unseen].astype(int) - 128)) <= 4


def test_drawing_again_makes_no_second_copy(survey):
    placed = place(taken(survey))
    job = run(placed.job)
    Job.objects.filter(pk=job.pk).update(state=JobState.WAITING)

    run(job)

    assert job.state == JobState.DONE
    assert RectifiedCopy.objects.count() == 1
    assert place(placed_photograph(placed)).job is None


def placed_photograph(placed):
    return Photograph.objects.get(pk=Entry.objects.get(pk=placed.receipt.id).content["photograph"])


def test_the_same_placement_waits_for_one_work_only(survey):
    photograph = taken(survey)

    first, second = place(photograph), place(photograph)

    assert first.job == second.job
    assert Job.objects.count() == 1


def test_cancelled_before_it_began_nothing_is_drawn(survey):
    placed = place(taken(survey))
    cancel_job(placed.job)

    run(placed.job)

    assert placed.job.state == JobState.CANCELLED
    assert not RectifiedCopy.objects.exists()


@pytest.mark.parametrize("step", [0, 1, 2, 3])
def test_stopped_at_any_step_nothing_is_kept(survey, step):
    entry = Entry.objects.get(pk=place(taken(survey)).receipt.id)
    kept = Blob.objects.count()

    def tell(done, total, message):
        if done == step:
            raise JobCancelled("Cancelled. Nothing was kept.")

    with pytest.raises(JobCancelled):
        copy_of(entry, tell=tell)

    assert not RectifiedCopy.objects.exists()
    assert Blob.objects.count() == kept


def test_a_corrected_placement_gets_a_copy_of_its_own(survey):
    photograph = taken(survey)
    first = place(photograph, px_per_in=20)
    second = place(photograph, px_per_in=10)

    for placed in (first, second):
        assert run(placed.job).state == JobState.DONE

    assert sorted(RectifiedCopy.objects.values_list("px_per_in", flat=True)) == [10, 20]
