"""Do entries become the rows that they stand for, and the less seen hold where looks differ?"""

import json
from datetime import UTC, datetime

import pytest
import shapely

from survey.ledger.canonical import examination_id
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.services import append, rebuild
from survey.record.models import Examination, Observation, Survey
from survey.record.projection import examined_areas
from survey.record.selectors import coverage_by_mode, shapes_text, touch_by_mode
from survey.record.services import append_to_survey
from tests.support.factories import make_observation, make_survey, make_wall, observation_body

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
CELL = 24.0 * 24.0  # sq in; cell G01 runs from (0, 0) to (24, 24)


@pytest.fixture
def survey():
    return make_survey(make_wall())


def rectangle(x0, y0, x1, y1):
    return {"type": "Polygon", "coordinates": [[[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]]}


def examination(survey, *, object_id=None, parents=(), by="Tomas Sedge", **changes):
    body = {"layout": 1, "cell": "G01", "mode": "normal", "state": "seen", **changes}
    return Draft(
        kind="examination",
        body=body,
        object_id=object_id or examination_id(survey.id, 1, body["cell"], body["mode"]),
        made_at=datetime(2026, 3, 3, 10, 15, tzinfo=UTC),
        observed_by=by,
        parents=parents,
    )


def areas(survey, **content):
    body = {"layout": 1, "cell": "G01", "mode": "normal", "state": "seen", **content}
    return tuple(shapely.area(found) for found in examined_areas(body, survey.layout))


@pytest.mark.parametrize(
    ("content", "seen", "touch"),
    [
        ({"state": "seen"}, CELL, 0.0),
        ({"state": "touch"}, CELL, CELL),
        ({"state": "seen", "seen": rectangle(0, 0, 24, 6)}, 144.0, 0.0),
        ({"state": "part-hidden", "seen": rectangle(0, 0, 48, 6)}, 144.0, 0.0),
        ({"state": "not-examined", "cause": "no deck"}, 0.0, 0.0),
        ({"state": "not-examined", "cause": "no deck", "seen": rectangle(0, 0, 24, 6)}, 0.0, 0.0),
    ],
)
def test_an_examination_means_its_whole_cell_unless_it_says_which_part(
    survey, content, seen, touch
):
    assert areas(survey, **content) == (seen, touch)


def test_what_was_touched_was_seen(survey):
    content = {"seen": rectangle(0, 0, 24, 6), "touch": rectangle(0, 3, 24, 12)}

    assert areas(survey, **content) == (24 * 12, 24 * 9)


def test_what_was_hidden_was_neither_seen_nor_touched(survey):
    hidden = [{"geometry": rectangle(0, 0, 24, 6), "cause": "deck boards"}]

    assert areas(survey, state="touch", hidden=hidden) == (24 * 18, 24 * 18)


def test_of_two_looks_that_differ_the_less_seen_holds(survey):
    left = examination(survey, seen=rectangle(0, 0, 18, 24), state="part-hidden")
    lower = examination(survey, seen=rectangle(0, 0, 24, 12), state="part-hidden", by="Priya Lund")

    append_to_survey(survey, [left, lower], writer=DESK)

    row = Examination.objects.get()
    assert row.conflict
    assert shapely.area(coverage_by_mode([row])["normal"]) == 18 * 12


def test_two_objects_for_one_cell_and_mode_add_nothing_to_what_was_seen(survey):
    left = examination(survey, seen=rectangle(0, 0, 18, 24), state="part-hidden")
    stray = examination(survey, object_id=new_id(), seen=rectangle(0, 0, 24, 12), state="touch")

    append_to_survey(survey, [left, stray], writer=DESK)

    rows = list(Examination.objects.all())
    assert shapely.area(coverage_by_mode(rows)["normal"]) == 18 * 24
    assert shapely.area(touch_by_mode(rows)["normal"]) == 0


def test_of_two_looks_that_differ_only_what_both_looked_for_was_looked_for(survey):
    terms = ["paint-loss", "flaking", "soiling"]
    one = examination(survey, searched=terms[:2], done=True)
    other = examination(survey, searched=terms[1:], done=False)

    append_to_survey(survey, [one, other], writer=DESK)

    row = Examination.objects.get()
    assert (row.searched, row.done) == (["flaking"], False)


def test_a_person_settles_which_look_holds(survey):
    left = examination(survey, seen=rectangle(0, 0, 18, 24), state="part-hidden")
    whole = examination(survey)
    append_to_survey(survey, [left, whole], writer=DESK)

    settled = examination(survey, parents=(left.id, whole.id))
    append_to_survey(survey, [settled], writer=DESK)

    row = Examination.objects.get()
    assert not row.conflict
    assert shapely.area(coverage_by_mode([row])["normal"]) == CELL


def test_the_outline_kept_ready_is_the_ring_as_drawn(survey):
    bow = {"type": "Polygon", "coordinates": [[[0, 0], [10, 10], [10, 0], [0, 10], [0, 0]]]}

    row = make_observation(survey, geometry=bow)

    told = json.loads(row.shape_json)
    assert told["geometry"] == bow
    assert told["area_sq_in"] == pytest.approx(50.0)  # two triangles of 10 by 5 in
    assert shapely.from_wkb(bytes(row.shape_wkb)).is_valid


def test_what_reaches_over_the_walls_edge_counts_on_the_wall_only(survey):
    row = make_observation(survey, geometry=rectangle(-4, -4, 4, 4))

    assert row.area_sq_in == 16.0
    assert row.cells == ["G01"]


def test_a_withdrawn_outline_is_not_sent(survey):
    row = make_observation(survey)
    withdrawal = Draft(
        kind="withdrawal",
        body={"reason": "a shadow"},
        object_id=row.pk,
        made_at=datetime(2026, 3, 3, 11, 0, tzinfo=UTC),
        observed_by="Tomas Sedge",
        parents=(row.head_id,),
    )

    append_to_survey(survey, [withdrawal], writer=DESK)

    assert json.loads(shapes_text(survey))["outlines"] == []
    assert Observation.objects.get().withdrawn_because == "a shadow"


def test_a_rebuild_opens_and_closes_the_survey_as_its_entries_say(survey):
    closing = Draft(
        kind="survey-closed",
        body={},
        object_id=survey.id,
        made_at=datetime(2026, 3, 13, 16, 0, tzinfo=UTC),
        observed_by="Ines Fallow",
    )
    append(
        [Draft(**vars(d)) for d in [closing]] + [examination(survey)],
        logbook=survey.logbook,
        writer=DESK,
    )
    Survey.objects.update(state="open", closed_on=None)

    rebuild(survey.logbook)

    again = Survey.objects.get()
    assert (again.state, again.closed_on.isoformat()) == ("closed", "2026-03-13")


def test_an_observation_can_be_put_back_after_its_withdrawal(survey):
    row = make_observation(survey)
    entry = {
        "object_id": row.pk,
        "made_at": datetime(2026, 3, 3, 11, 0, tzinfo=UTC),
        "observed_by": "Tomas Sedge",
    }
    away = Draft(kind="withdrawal", body={"reason": "a shadow"}, parents=(row.head_id,), **entry)
    back = Draft(kind="observation", body=observation_body(survey), parents=(away.id,), **entry)

    append_to_survey(survey, [away, back], writer=DESK)

    assert Observation.objects.get().standing == "stands"
