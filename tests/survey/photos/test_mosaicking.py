"""Are rectified copies laid together cell by cell, evened in brightness, and nothing half-stored?"""

import numpy as np
import pytest
from django.conf import settings

from gridmap.errors import InvalidInput
from survey.jobs.models import Job, JobState
from survey.jobs.services import JobCancelled, Progress, cancel_job, run_job
from survey.ledger.models import Blob, Entry
from survey.photos import mosaicking
from survey.photos.laying import blank, draw_cell, pieces_of
from survey.photos.models import Mosaic
from survey.photos.mosaic_kind import check_mosaic
from survey.photos.mosaicking import ask_for_mosaic, lay_mosaic, lights_to_lay, run
from survey.photos.pyramids import read_region
from tests.support.factories import make_member, make_survey, make_wall
from tests.survey.photos.laid import PRIYA, take

pytestmark = [pytest.mark.django_db, pytest.mark.database]

CELLS = ("C03", "C04", "D03", "D04")


@pytest.fixture
def survey():
    return make_survey(make_wall())


def lay(survey, **changes):
    asked = {"px_per_in": 12.0, "writer": PRIYA, **changes}
    return lay_mosaic(survey, "normal", "", **asked)


def state():
    files = sorted(str(path) for path in settings.DATA_FOLDER.rglob("*") if path.is_file())
    return Entry.objects.count(), Blob.objects.count(), Mosaic.objects.count(), files


def gains_of(mosaic):
    return {piece["cell"]: np.array(piece["gain"]) for piece in mosaic.pieces}


def test_each_cell_has_its_own_picture_and_the_others_are_named_as_missing(survey):
    photographs = {cell: take(survey, cell) for cell in CELLS}

    mosaic = lay(survey)

    assert {p["cell"]: p["photograph"] for p in mosaic.pieces} == {
        cell: str(photograph.pk) for cell, photograph in photographs.items()
    }
    assert set(mosaic.missing) == set(survey.layout.grid.labels()) - set(CELLS)
    assert mosaic.error_in == max(piece["error_in"] for piece in mosaic.pieces)
    assert mosaic.bounds_in == [0.0, 0.0, 288.0, 168.0]


def test_gains_recover_the_exposures_of_neighbouring_frames(survey):
    """The frames are the painting's, taken by one camera; what is known is how they were exposed.

    The lens darkens its corners, so the gains are held against those of the same frames exposed
    alike, not against 1.
    """
    other = make_survey(survey.wall, "P1")
    exposed = {"C03": 1.0, "C04": 0.8, "D03": 1.1, "D04": 0.65}
    for cell, gain in exposed.items():
        take(survey, cell)
        take(other, cell, gain=gain)

    alike, evened = gains_of(lay(survey)), gains_of(lay(other))

    mean = np.exp(np.mean(np.log(list(exposed.values()))))
    for cell, gain in exposed.items():
        assert evened[cell] / alike[cell] == pytest.approx(mean / gain, rel=0.01), cell


def test_one_changed_place_does_not_alter_the_gains(survey):
    """Marks of light and a loss are what the middle of many places does not heed."""
    for cell in CELLS:
        take(survey, cell)

    gains = np.array(list(gains_of(lay(survey)).values()))

    assert np.abs(gains - 1).max() < 0.05  # the lens's fall and lean at the frames' edges


@pytest.mark.parametrize("px_per_in", [12.0, 7.3])
def test_seams_lie_on_the_cell_lines_and_nowhere_else(survey, monkeypatch, px_per_in):
    """Every pixel up to the line is the one picture's, from the line on the other's."""
    for cell in CELLS:
        take(survey, cell)
    laid = []
    write = mosaicking.write_bare_pyramid

    def look(bare, size, path, **more):
        pixels = np.fromfile(bare, np.uint8)
        laid.append(pixels.reshape(size[1], size[0], 3))
        return write(bare, size, path, **more)

    monkeypatch.setattr(mosaicking, "write_bare_pyramid", look)
    mosaic = lay(survey, px_per_in=px_per_in)
    pieces = {p.photograph.cells[0]: p for p in pieces_of(survey, "normal", "")}
    gains, scale = gains_of(mosaic), mosaic.px_per_in
    expected = np.zeros_like(laid[0])

    for cell in survey.layout.grid.labels():
        x0, y0, x1, y1 = survey.layout.grid.bounds(cell)
        # A line's place on the picture: inches from its upper left corner times px/in.
        left, right = round(x0 * scale), round(x1 * scale)
        top, bottom = round((168 - y1) * scale), round((168 - y0) * scale)
        size = (right - left, bottom - top)
        bounds = (left / scale, 168 - bottom / scale, right / scale, 168 - top / scale)
        here = expected[top:bottom, left:right]
        here[:] = (
            draw_cell(pieces[cell], bounds, size, gains[cell]) if cell in CELLS else blank(size)
        )

    assert laid[0].shape == (mosaic.height_px, mosaic.width_px, 3)
    away = np.abs(laid[0].astype(int) - expected)
    assert away.max() <= 1  # the record keeps five digits of a gain


def test_the_marks_of_the_projected_grid_lie_where_they_are_on_the_wall(survey):
    """The corner that four frames share: a cross of light, a quarter of it from each."""
    for cell in CELLS:
        take(survey, cell)
    mosaic = lay(survey, px_per_in=24.0)

    # Two inches about the crossing at 6 ft across and 8 ft up, at 48 px/in.
    part = read_region(mosaic, (71.0, 95.0, 73.0, 97.0), 96).astype(float).sum(axis=2)

    arms = np.r_[8:36, 60:88]  # away from the middle, where the other arm lies
    for line in (part[arms].mean(axis=0), part[:, arms].mean(axis=1)):
        light = np.clip(line - np.median(line), 0, None) ** 2
        middle_px = (light * (np.arange(96) + 0.5)).sum() / light.sum()
        assert middle_px / 48 == pytest.approx(1.0, abs=0.03)  # in


def test_the_same_copies_laid_again_make_no_second_version(survey):
    take(survey, "C03")
    first = lay(survey)
    before = state()

    again = lay(survey)

    assert again.pk == first.pk
    assert state() == before


def test_a_further_photograph_makes_a_new_version_and_leaves_the_old(survey):
    take(survey, "C03")
    first = lay(survey)
    take(survey, "C04")

    second = lay(survey)

    assert (first.version, second.version) == (1, 2)
    assert Mosaic.objects.get(pk=first.pk).pyramid_id == first.pyramid_id


def test_lamp_sides_are_never_laid_together(survey):
    take(survey, "C03", mode="raking", lamp_side="left")
    take(survey, "C04", mode="raking", lamp_side="right", seed=6)

    assert [(one.lamp_side, one.cells) for one in lights_to_lay(survey)] == [
        ("left", 1),
        ("right", 1),
    ]


def test_frames_of_an_even_lamp_are_laid_with_those_that_name_no_lamp(survey):
    take(survey, "C03")
    take(survey, "C04", lamp_side="even", seed=6)

    assert [(one.lamp_side, one.cells) for one in lights_to_lay(survey)] == [("", 2)]
    assert ask_for_mosaic(survey, "normal", "even", asked_by=None).arguments["lamp_side"] == ""
    assert [piece["cell"] for piece in lay(survey).pieces] == ["C03", "C04"]


def test_the_better_placed_of_two_frames_of_a_cell_is_taken(survey):
    take(survey, "C03", seed=5)
    take(survey, "C03", seed=6)
    errors = {str(p.photograph.pk): p.placement.error_in for p in pieces_of(survey, "normal", "")}

    mosaic = lay(survey)

    assert mosaic.pieces[0]["photograph"] == min(errors, key=errors.get)


@pytest.mark.parametrize("stop_at", [1, 6, 20, 60, 100])
def test_work_that_is_cancelled_anywhere_leaves_nothing_half_stored(survey, stop_at):
    for cell in CELLS:
        take(survey, cell)
    before = state()
    told = []

    def tell(done, total, message):
        told.append(done)
        if done >= stop_at:
            raise JobCancelled("stopped")

    with pytest.raises(JobCancelled):
        lay(survey, tell=tell)

    assert told[-1] >= stop_at
    assert state() == before


def test_a_job_lays_the_mosaic_and_says_where_it_is(survey, django_capture_on_commit_callbacks):
    take(survey, "C03")
    priya = make_member(survey.wall)
    job = ask_for_mosaic(survey, "normal", asked_by=priya, px_per_in=10.0)

    run_job.call(job.pk)

    job.refresh_from_db()
    assert job.state == JobState.DONE, job.message
    assert job.result["version"] == 1
    assert job.result["url"].endswith("/surveys/B1/mosaics/")


def test_asking_twice_waits_once(survey):
    take(survey, "C03")

    first = ask_for_mosaic(survey, "normal", asked_by=None)
    second = ask_for_mosaic(survey, "normal", asked_by=None)

    assert first.pk == second.pk


def test_a_cancelled_job_is_told_and_can_be_started_again(survey):
    take(survey, "C03")
    job = ask_for_mosaic(survey, "normal", asked_by=None, px_per_in=10.0)
    Job.objects.filter(pk=job.pk).update(state=JobState.RUNNING)
    job.refresh_from_db()
    cancel_job(job)
    before = state()

    with pytest.raises(JobCancelled):
        run(job, Progress(job))

    assert state() == before
    Job.objects.filter(pk=job.pk).update(cancel_asked=False)
    assert run(job, Progress(job))["version"] == 1


def test_a_survey_without_copies_is_told_what_to_do(survey):
    take(survey, "C03", drawn=False)

    with pytest.raises(InvalidInput, match="Place photographs first"):
        ask_for_mosaic(survey, "normal", asked_by=None)


@pytest.mark.parametrize(
    ("px_per_in", "words"), [(0.5, "lies from 1"), (601.0, "lies from 1"), (300.0, "gigapixels")]
)
def test_a_resolution_beyond_what_can_be_made_is_refused(survey, px_per_in, words):
    take(survey, "C03")

    with pytest.raises(InvalidInput, match=words):
        ask_for_mosaic(survey, "normal", asked_by=None, px_per_in=px_per_in)


def test_a_historical_picture_is_never_laid_into_a_mosaic(survey):
    old = {
        "date_words": "about 1951",
        "date_certainty": "probable",
        "source": "a postcard",
        "source_certainty": "certain",
    }
    take(survey, "C03", role="historic", historic=old)

    assert pieces_of(survey, "normal", "") == []
    assert lights_to_lay(survey) == []
    with pytest.raises(InvalidInput, match="no photograph normal light that is placed"):
        lay(survey)


def test_a_mosaic_that_names_a_historical_picture_as_a_piece_is_refused(survey):
    take(survey, "C03")
    mosaic = lay(survey)
    card = take(
        survey,
        "C04",
        role="historic",
        historic={
            "date_words": "about 1951",
            "date_certainty": "probable",
            "source": "a postcard",
            "source_certainty": "certain",
        },
    )
    body = {**mosaic.head.content, "version": 2}
    body["pieces"] = [{**body["pieces"][0], "photograph": str(card.pk)}]

    with pytest.raises(InvalidInput, match="is a historical picture, on which nothing is measured"):
        check_mosaic(body, survey.logbook)
