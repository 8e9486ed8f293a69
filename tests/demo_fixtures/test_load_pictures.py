"""Do the demo's frames of cells lie on the wall, drawn square, once, with their story in them?"""

from collections import Counter

import numpy as np
import pytest

from demo_fixtures import load_pictures
from demo_fixtures.cell_frames import hand_held
from demo_fixtures.deck_frames import (
    SIZE_PX,
    cell_window,
    demo_cell_frames,
    painted_window,
    shots,
)
from demo_fixtures.load import load_surveys, load_wall
from demo_fixtures.load_pictures import (
    PAIRS,
    ask_for_pairs,
    load_cell_frames,
    load_mosaics,
    load_postcard,
)
from demo_fixtures.photographs import MOSAICS, mosaic_key, mosaic_pictures
from gridmap.homography import through
from gridmap.rectify import to_wall_in
from survey.jobs.models import Job
from survey.ledger.models import Entry
from survey.photos.models import (
    Photograph,
    PicturePair,
    Placement,
    PresenceStatement,
    RectifiedCopy,
)
from survey.photos.placing import sight_of
from survey.photos.rectifying import read_copy
from survey.photos.services import add_photograph

pytestmark = [pytest.mark.django_db, pytest.mark.database]


def quietly(_):
    """Say nothing."""


@pytest.fixture(scope="module")
def taken():
    """Take the frames of C17 once: they tell the story, and the others take their time."""
    others = [shot.name for shot in shots() if shot.cell != "C17"]
    return list(demo_cell_frames(skip=others))


@pytest.fixture
def surveys(monkeypatch, taken):
    def again(*, skip):
        return (picture for picture in taken if picture.shot.name not in skip)

    monkeypatch.setattr(load_pictures, "demo_cell_frames", again)
    found = load_surveys(load_wall(say=quietly))
    load_cell_frames(found, say=quietly)
    return found


def test_a_picture_of_the_whole_wall_becomes_a_mosaic_once(surveys):
    picture = whole_wall()
    add_photograph(
        survey=surveys["B1"], data=picture.jpeg, name=picture.key, mode=picture.mode,
        operator=picture.taken_by, bounds_in=picture.bounds_in, rectified=True,
    )  # fmt: skip

    load_mosaics(surveys, say=quietly)
    load_mosaics(surveys, say=quietly)

    mosaic = surveys["B1"].mosaics.get()
    assert (mosaic.mode, mosaic.version, mosaic.source) == ("normal", 1, "imported")
    assert tuple(mosaic.bounds_in) == picture.bounds_in


def test_the_postcard_is_evidence_of_presence_and_surely_no_measure(surveys):
    load_postcard(surveys, say=quietly)
    load_postcard(surveys, say=quietly)

    card = Photograph.objects.get(role="historic")
    statement = PresenceStatement.objects.get()
    frames = Placement.objects.exclude(photograph_id=card.pk)
    assert (statement.cell, statement.answer) == ("C17", "absent")
    error_in = Placement.objects.get(photograph_id=card.pk).error_in
    assert error_in > 5 * max(frames.values_list("error_in", flat=True))


def test_pairs_are_asked_for_once_and_wait_for_the_worker(surveys, monkeypatch):
    monkeypatch.setattr(load_pictures, "PAIRS", [p for p in PAIRS if p[3] == "C17"])

    ask_for_pairs(surveys, say=quietly)
    ask_for_pairs(surveys, say=quietly)

    found = PicturePair.objects.order_by("mode").values_list("cell", "mode", "state")
    assert list(found) == [("C17", "normal", "waiting"), ("C17", "raking", "waiting")]


def whole_wall():
    """Return one of the demo's pictures of the whole wall, small."""
    others = {mosaic_key(plan) for plan in MOSAICS} - {"mosaic-F0-normal"}
    return next(mosaic_pictures(skip=others, px_per_in=2.0))


def copies(cell, mode):
    rows = Photograph.objects.filter(cells=[cell], mode=mode).order_by("taken_at")
    return [RectifiedCopy.objects.get(photograph_id=row.pk) for row in rows]


def test_every_frame_is_taken_in_placed_and_drawn(surveys):
    rows = Photograph.objects.filter(role="record", rectified=False)

    assert Counter(row.survey.code for row in rows) == {"B1": 2, "P1": 2, "P2": 2}
    assert Placement.objects.count() == RectifiedCopy.objects.count() == rows.count() == 6
    assert not Job.objects.exists()
    assert rows.filter(lamp_side="left").count() == 2
    assert rows.first().testimony["camera"] == "Rook Plate 6"


def test_nine_crossings_check_each_placement(surveys):
    x0, y0, x1, y1 = cell_window("C17")

    for row in Placement.objects.all():
        assert len(row.points) == 9
        assert row.fit["checked"] and row.fit["statements"] == []
        assert 0.005 < row.error_in < 0.03
        a0, b0, a1, b1 = row.bounds_in
        assert a0 <= x0 and b0 <= y0 and a1 >= x1 and b1 >= y1


def test_the_placed_corners_lie_where_the_truth_has_them(surveys, taken):
    truth = {picture.shot.name: picture.truth for picture in taken}
    x0, y0, x1, y1 = cell_window("C17")
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])

    for row in Placement.objects.all():
        photograph = Photograph.objects.get(pk=row.photograph_id)
        px = truth[photograph.name].to_px(corners)
        away_in = to_wall_in(sight_of(row, photograph), px) - corners
        # marks within 0.8 px at 48 px/in; the limit is 0.02 in at 150 px/in, three times as fine
        assert np.hypot(*away_in.T).max() < 0.06


def test_no_frame_sees_beyond_what_is_painted():
    for number, shot in enumerate(shots()):
        x0, y0, x1, y1 = painted_window(shot.cell)
        camera = hand_held(cell_window(shot.cell), SIZE_PX, tilt=0.03, seed=300 + number)
        width, height = SIZE_PX

        seen = through(camera, np.array([(0, 0), (width, 0), (width, height), (0, height)]))

        assert (seen >= (x0, y0)).all() and (seen <= (x1, y1)).all(), shot.name


def test_the_loss_of_the_first_phase_is_seen_between_the_copies(surveys):
    before, after = (read_copy(copy).pixels.astype(int) for copy in copies("C17", "normal")[:2])
    height, width = min(before.shape[0], after.shape[0]), min(before.shape[1], after.shape[1])

    changed = np.abs(before[:height, :width] - after[:height, :width]).sum(axis=2) > 120

    # source: the story: a fresh loss in C17 between the baseline and the survey after phase 1
    assert changed.sum() > 200


def test_loading_again_adds_nothing(surveys):
    counts = (Entry.objects.count(), RectifiedCopy.objects.count())

    load_cell_frames(surveys, say=quietly)

    assert (Entry.objects.count(), RectifiedCopy.objects.count()) == counts


def test_a_load_that_was_interrupted_is_finished(surveys):
    gone = RectifiedCopy.objects.first()
    photograph_id, digest = gone.photograph_id, gone.blob_id
    gone.delete()

    load_cell_frames(surveys, say=quietly)

    assert RectifiedCopy.objects.get(photograph_id=photograph_id).blob_id == digest
    assert Entry.objects.filter(kind="placement").count() == 6
