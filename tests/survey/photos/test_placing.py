"""Is a photograph placed by its points, once, and refused with nothing kept where it cannot be?"""

import numpy as np
import pytest

from gridmap.errors import InvalidInput
from gridmap.lens import Lens
from gridmap.rectify import MarkedPoint, to_wall_in
from survey.clock import moment
from survey.jobs.models import Job
from survey.ledger.drafts import ALREADY_THERE, STORED, Draft
from survey.ledger.models import Entry
from survey.ledger.services import rebuild
from survey.photos.models import Placement
from survey.photos.placement_kind import placement_id
from survey.photos.placing import check_points, place_photograph, sight_of, suggestion
from survey.record.services import append_to_survey
from tests.support.factories import make_survey, make_wall
from tests.survey.photos.marked import CORNERS, PRIYA, SIZE_PX, corners, picture, taken

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def survey():
    return make_survey(make_wall())


@pytest.fixture
def photograph(survey):
    return taken(survey)


def nothing_kept(survey):
    return (
        not Entry.objects.filter(kind="placement").exists()
        and not Placement.objects.exists()
        and not Job.objects.exists()
    )


def test_four_corners_place_a_photograph_of_a_cell(photograph):
    placed = place_photograph(photograph, corners(), writer=PRIYA, kinds=("corner",) * 4)

    row = Placement.objects.get()
    assert (row.photograph_id, row.survey) == (photograph.pk, photograph.survey)
    assert row.head_id == placed.receipt.id
    assert row.head.observed_by == "Priya Lund"
    assert [point["kind"] for point in row.points] == ["corner"] * 4
    places = to_wall_in(sight_of(row, photograph), [px for _, px, _ in CORNERS])
    assert places == pytest.approx(np.array([wall for *_, wall in CORNERS]), abs=1e-6)


def test_from_four_points_the_error_on_record_is_that_of_marking(photograph):
    place_photograph(photograph, corners(), writer=PRIYA)

    row = Placement.objects.get()
    # one pixel is 24 in / 800 px = 0.03 in; among four points its error is about as large
    assert 0.02 < row.error_in < 0.06
    assert row.fit["checked"] is False
    assert row.fit["leave_one_out_in"] is None
    assert row.fit["statements"][0].startswith("Four points fit always; nothing is checked.")


def test_the_copy_holds_the_cell_and_stays_within_picture_and_wall(photograph):
    fit = check_points(photograph, corners())

    proposal = suggestion(photograph, fit)

    x0, y0, x1, y1 = proposal.bounds_in
    assert x0 <= 48 and y0 <= 96 and x1 >= 72 and y1 >= 120
    assert x0 >= proposal.covered_in[0] and y1 <= proposal.covered_in[3]
    # 800 px over 24 in: about 33 px/in
    assert proposal.px_per_in == 30


def test_a_copy_never_reaches_beyond_the_painting(survey):
    photograph = taken(survey, cells=())
    edge = [MarkedPoint(name, px, (x - 48.0, y - 96.0)) for name, px, (x, y) in CORNERS]

    proposal = suggestion(photograph, check_points(photograph, edge))

    assert proposal.bounds_in[:2] == (0.0, 0.0)
    assert proposal.covered_in[0] < 0 and proposal.covered_in[1] < 0


def test_placed_again_with_the_same_points_nothing_changes(photograph):
    first = place_photograph(photograph, corners(), writer=PRIYA)

    again = place_photograph(photograph, corners(), writer=PRIYA)

    assert (first.receipt.status, again.receipt.status) == (STORED, ALREADY_THERE)
    assert again.receipt.id == first.receipt.id
    assert again.job == first.job
    assert Entry.objects.filter(kind="placement").count() == 1


def test_other_points_correct_the_placement(photograph):
    first = place_photograph(photograph, corners(), writer=PRIYA)
    moved = [MarkedPoint(p.name, (p.px[0] + 2, p.px[1]), p.wall_in) for p in corners()]

    second = place_photograph(photograph, moved, writer=PRIYA)

    row = Placement.objects.get()
    assert row.head_id == second.receipt.id
    assert row.head.statement["parents"] == [str(first.receipt.id)]
    assert not row.conflict
    assert row.points[0]["px"][0] == CORNERS[0][1][0] + 2


def test_a_lens_is_kept_with_the_placement(photograph):
    lens = Lens(*SIZE_PX, -0.03, 0.002)
    wall = [wall for *_, wall in CORNERS]
    points = [
        MarkedPoint(name, tuple(lens.bend(np.array([px]))[0].tolist()), place)
        for (name, px, _), place in zip(CORNERS, wall, strict=True)
    ]

    place_photograph(photograph, points, writer=PRIYA, lens=lens)

    row = Placement.objects.get()
    assert row.lens == {"k1": -0.03, "k2": 0.002}
    assert to_wall_in(sight_of(row, photograph), [p.px for p in points]) == pytest.approx(
        np.array(wall), abs=1e-6
    )


def test_placements_are_rebuilt_from_their_entries(photograph):
    place_photograph(photograph, corners(), writer=PRIYA)
    before = Placement.objects.values().get()

    rebuild(photograph.survey.logbook)

    assert Placement.objects.values().get() == before


def test_a_picture_of_one_flat_colour_is_placed_like_any_other(survey):
    flat = taken(survey, data=picture(colour=(120, 110, 90)), name="flat.jpg")

    assert place_photograph(flat, corners(), writer=PRIYA).receipt.status == STORED


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({0: ((-1.0, 51.5), (48.0, 120.0))}, "lies at -1, 51.5 px, beside C03.jpg"),
        ({2: ((998.0, 901.0), (72.0, 96.0))}, "which is 1,200 by 900 px"),
        ({1: ((600.0, 56.0), (72.0, 120.0)), 0: ((206.0, 56.0), (48.0, 120.0)),
          2: ((998.0, 56.0), (72.0, 96.0))}, "lie on one line on the picture"),
        ({1: ((206.0, 51.5), (72.0, 120.0))}, "coincide on the picture"),
        ({1: ((1004.5, 60.0), (48.0, 120.0))}, "coincide on the wall"),
        ({0: ((1004.5, 60.0), (48.0, 120.0)), 1: ((206.0, 51.5), (72.0, 120.0)),
          2: ((199.0, 846.5), (72.0, 96.0)), 3: ((998.0, 852.0), (48.0, 96.0))}, "would mirror"),
        ({0: ((206.0, 51.5), (4800.0, 120.0))}, "beside the painting"),
    ],
)  # fmt: skip
def test_points_that_cannot_place_a_picture_are_refused_and_nothing_is_kept(
    photograph, change, words
):
    points = list(corners())
    for place, (px, wall) in change.items():
        points[place] = MarkedPoint(points[place].name, px, wall)

    with pytest.raises(InvalidInput, match=words) as refusal:
        place_photograph(photograph, points, writer=PRIYA)

    assert refusal.value.field == "points"
    assert nothing_kept(photograph.survey)


def test_a_resolution_beyond_the_limit_is_refused_and_nothing_is_kept(photograph):
    with pytest.raises(InvalidInput, match="the limit here is") as refusal:
        place_photograph(photograph, corners(), writer=PRIYA, px_per_in=1_000)

    assert refusal.value.field == "px_per_in"
    assert nothing_kept(photograph.survey)


def test_a_photograph_that_is_square_to_the_wall_already_needs_no_points(survey):
    square = taken(survey, name="m.jpg", rectified=True, bounds_in=(48, 96, 72, 120), cells=())

    with pytest.raises(InvalidInput, match="square to the wall already"):
        place_photograph(square, corners(), writer=PRIYA)


# The door of the logbook, for whoever writes entries without the page.


def body_of(photograph):
    fit = check_points(photograph, corners())
    proposal = suggestion(photograph, fit)
    return {
        "photograph": str(photograph.pk),
        "digest": photograph.blob_id,
        "points": [
            {"name": name, "kind": "corner", "px": list(px), "wall_in": list(wall)}
            for name, px, wall in CORNERS
        ],
        "homography": [list(row) for row in fit.homography],
        "fit": fit.to_json(),
        "error_in": proposal.error_in,
        "bounds_in": list(proposal.bounds_in),
        "px_per_in": 30,
    }


def write(photograph, body):
    draft = Draft("placement", body, placement_id(photograph.pk), moment(), "Priya Lund")
    return append_to_survey(photograph.survey, [draft], writer=PRIYA)


def test_a_placement_that_its_points_give_is_taken(photograph):
    write(photograph, body_of(photograph))

    assert Placement.objects.count() == 1


def shifted(body):
    rows = [list(row) for row in body["homography"]]
    rows[0][2] += 0.5
    return rows


@pytest.mark.parametrize(
    ("change", "field"),
    [
        (lambda body: {"homography": shifted(body)}, "homography"),
        (lambda body: {"homography": [[1, 2], [3, 4]]}, "homography"),
        (lambda body: {"homography": [[0, 0, 0]] * 3}, "homography"),
        (lambda body: {"error_in": 0}, "error_in"),
        (lambda body: {"error_in": "small"}, "error_in"),
        (lambda body: {"bounds_in": [-5, 0, 10, 10]}, "bounds_in"),
        (lambda body: {"bounds_in": [10, 0, 10, 10]}, "bounds_in"),
        (lambda body: {"px_per_in": 0}, "px_per_in"),
        (lambda body: {"px_per_in": True}, "px_per_in"),
        (lambda body: {"points": body["points"][:3]}, "points"),
        (lambda body: {"points": [{**body["points"][0], "kind": "guess"}]}, "points"),
        (lambda body: {"points": [{**body["points"][0], "px": [1]}]}, "points"),
        (lambda body: {"points": [{**body["points"][0], "colour": 1}]}, "points"),
        (lambda body: {"points": [body["points"][0]] * 4}, "points"),
        (lambda body: {"points": 7}, "points"),
        (lambda body: {"lens": {"k1": 9}}, "lens"),
        (lambda body: {"lens": {"k3": 0.1}}, "k3"),
        (lambda body: {"fit": 3}, "fit"),
        (lambda body: {"digest": "0" * 64}, "digest"),
        (lambda body: {"photograph": "11111111-1111-4111-8111-111111111111"}, "photograph"),
        (lambda body: {"mirror": True}, "mirror"),
    ],
)
def test_a_placement_that_contradicts_itself_is_refused(photograph, change, field):
    body = body_of(photograph)

    with pytest.raises(InvalidInput) as refusal:
        write(photograph, {**body, **change(body)})

    assert refusal.value.field == field
    assert not Entry.objects.filter(kind="placement").exists()
