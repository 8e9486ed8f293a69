"""Are two surveys' pictures of a cell laid on each other once, or told why they are not?"""

import io

import pytest
from PIL import Image
from shapely.geometry import Polygon

from gridmap.errors import InvalidInput
from survey.jobs.models import JobState
from survey.jobs.services import JobCancelled, run_job
from survey.ledger.blobs import read_blob
from survey.photos.models import PairState, PicturePair
from survey.photos.pairing import ask_again, lay
from tests.survey.photos.paired import CELL, LOSSES, ask, frame, take, two_surveys

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def surveys():
    return two_surveys()


def window(survey):
    return survey.layout.grid.bounds(CELL)


def pair_with_losses(surveys):
    before, after = surveys
    take(before, frame(window(before), seed=1), "before.jpg")
    take(after, frame(window(after), seed=2, losses=LOSSES), "after.jpg")
    return ask(before, after)


def run(pair):
    run_job.call(pair.job_id)
    pair.refresh_from_db()
    return pair


def test_the_planted_losses_become_hints_at_their_places_on_the_wall(surveys):
    pair = run(pair_with_losses(surveys))

    assert pair.state == PairState.COMPARED, pair.reason or pair.job.message
    truth = frame(window(surveys[1]), seed=2, losses=LOSSES).planted
    hints = [Polygon(hint["ring"]).buffer(0) for hint in pair.hints]
    assert len(hints) == len(truth)
    for planted in truth:
        ring = Polygon(planted.ring_in)
        shared = max(hint.intersection(ring).area / hint.union(ring).area for hint in hints)
        assert shared > 0.6  # a ring of 1/4 in is 8 px across here


def test_the_strongest_hint_comes_first_and_none_is_in_the_record(surveys):
    pair = run(pair_with_losses(surveys))

    strengths = [hint["strength"] for hint in pair.hints]
    assert strengths == sorted(strengths, reverse=True)
    assert len({hint["key"] for hint in pair.hints}) == len(strengths)
    assert surveys[1].observations.count() == 0


def test_the_pictures_of_a_pair_have_one_size_and_no_metadata(surveys):
    pair = run(pair_with_losses(surveys))

    blobs = (pair.before_blob_id, pair.after_blob_id, pair.difference_blob_id)
    opened = [Image.open(io.BytesIO(read_blob(digest))) for digest in blobs]
    assert len({image.size for image in opened}) == 1
    assert all(not image.getexif() and "exif" not in image.info for image in opened)


def test_the_quality_is_stated_in_pixels_and_on_the_wall(surveys):
    pair = run(pair_with_losses(surveys))

    quality = pair.quality
    assert 0 < quality["error_px"] < 0.3
    assert quality["error_in"] == pytest.approx(quality["error_px"] / pair.px_per_in, rel=0.01)
    assert "windows agree" in quality["words"]


def test_the_same_two_pictures_make_the_same_pair_and_no_second_work(surveys):
    first = pair_with_losses(surveys)

    second = ask(*surveys)

    assert second.pk == first.pk
    assert second.job_id == first.job_id
    assert PicturePair.objects.count() == 1


def test_work_on_a_pair_that_is_done_changes_nothing(surveys):
    pair = run(pair_with_losses(surveys))
    made, digest = pair.hints, pair.after_blob_id

    again = ask_again(pair, asked_by=None)

    assert again.job_id == pair.job_id
    assert (again.hints, again.after_blob_id) == (made, digest)


def test_cancelled_work_keeps_nothing_and_can_be_asked_for_again(surveys):
    pair = pair_with_losses(surveys)

    def stop(done, total, message=""):
        if done == 3:
            raise JobCancelled("Cancelled. Nothing was kept.")

    with pytest.raises(JobCancelled):
        lay(pair, tell=stop)
    pair.job.state = JobState.CANCELLED
    pair.job.save()
    again = ask(*surveys)

    pair.refresh_from_db()
    assert pair.state == PairState.WAITING
    assert pair.before_blob is None
    assert again.job_id != first_job(pair)


def first_job(pair):
    return pair.wall.jobs.order_by("pk").filter(kind="compare-pictures").first().pk


def test_a_lamp_on_the_other_side_is_told_and_shown_but_not_compared(surveys):
    before, after = surveys
    said = {"mode": "raking"}
    left, right = (
        frame(window(before), seed=3, light=f"raking-{side}") for side in ("left", "right")
    )
    take(before, left, "left.jpg", lamp_side="left, 8°", **said)
    take(after, right, "right.jpg", lamp_side="right, 8°", **said)

    pair = run(ask(before, after, mode="raking"))

    assert pair.state == PairState.REFUSED
    assert "“left, 8°”" in pair.reason
    assert "“right, 8°”" in pair.reason
    assert pair.hints == []
    assert pair.before_blob is not None


def test_raking_light_without_a_stated_side_is_shown_but_not_compared(surveys):
    before, after = surveys
    seen = frame(window(before), seed=3, light="raking-left")
    take(before, seen, "before.jpg", mode="raking")
    take(after, frame(window(after), seed=4, light="raking-right"), "after.jpg", mode="raking")

    pair = run(ask(before, after, mode="raking"))

    assert pair.state == PairState.REFUSED
    assert "not stated of either picture" in pair.reason
    assert pair.hints == []


def test_an_even_lamp_that_a_slate_names_is_the_light_of_a_frame_that_names_none(surveys):
    before, after = surveys
    take(before, frame(window(before), seed=1), "before.jpg")
    take(after, frame(window(after), seed=2), "after.jpg", lamp_side="even")

    assert run(ask(before, after)).state == PairState.COMPARED


def test_a_picture_of_another_place_is_refused_with_a_reason(surveys):
    before, after = surveys
    take(before, frame(window(before), seed=1), "before.jpg")
    take(after, frame(window(after), seed=2, wall=9), "another.jpg")

    pair = run(ask(before, after))

    assert pair.state == PairState.REFUSED
    assert "different places" in pair.reason
    assert pair.job.state == JobState.DONE


def test_a_survey_without_a_picture_of_the_cell_is_named(surveys):
    before, after = surveys
    take(before, frame(window(before), seed=1), "before.jpg")

    with pytest.raises(InvalidInput, match=f"Survey P1 has no picture of {CELL}"):
        ask(before, after)

    assert PicturePair.objects.count() == 0


def test_the_later_survey_does_not_stand_in_for_the_earlier_one(surveys):
    before, after = surveys

    with pytest.raises(InvalidInput, match="P1 is not earlier than B1"):
        ask(after, before)


def test_a_key_that_no_picture_has_is_refused(surveys):
    pair_with_losses(surveys)

    with pytest.raises(InvalidInput, match="Choose again"):
        ask(*surveys, first="copy:nothing")


def test_a_historical_picture_is_never_offered_for_a_pair(surveys):
    before, after = surveys
    old = {
        "date_words": "about 1951",
        "date_certainty": "probable",
        "source": "a postcard",
        "source_certainty": "certain",
    }
    take(before, frame(window(before), seed=1), "card.jpg", role="historic", historic=old)
    take(after, frame(window(after), seed=2), "after.jpg")

    with pytest.raises(InvalidInput, match="Survey B1 has no picture of C03 on the wall"):
        ask(before, after)

    assert not PicturePair.objects.exists()
