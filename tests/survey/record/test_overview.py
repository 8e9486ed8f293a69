"""Do the figures of the wall page follow from what was examined and drawn?"""

from datetime import UTC, date, datetime

import pytest

from gridmap.lengths import SQ_IN_PER_SQ_FT
from survey.ledger.canonical import examination_id
from survey.ledger.drafts import Draft, Writer, new_id
from survey.record.models import Survey
from survey.record.overview import (
    cell_inks,
    cells_waiting,
    cells_with_outlines,
    mode_coverages,
    term_totals,
    unseen_areas,
)
from survey.record.selectors import pre_works_statement
from survey.record.services import append_to_survey
from survey.walls.services import set_phase
from tests.support.factories import make_observation, make_survey, make_wall, observation_body

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
WIDTH_IN, HEIGHT_IN = 84 * 12, 14 * 12
BOARDS = (66.0, 78.0)  # 13 ft 6 in to 14 ft 6 in above the floor; the lower edge stands at 8 ft
TOUCH_TOP_IN = HEIGHT_IN - 18.0  # the top 1 ft 6 in is out of reach
CLOCK = [[486.0, 108.0], [522.0, 108.0], [522.0, 144.0], [486.0, 144.0]]  # 3 ft by 3 ft: 9 sq ft
DOOR = [[720.0, 0.0], [792.0, 0.0], [792.0, 18.0], [720.0, 18.0]]  # 6 ft by 1 ft 6 in: 9 sq ft


def harvest_wall(**changes):
    return make_wall(width="84 ft", **changes)


def rectangle(x0, y0, x1, y1):
    return {"type": "Polygon", "coordinates": [[[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]]}


def look_at_everything(survey):
    """Examine every cell from deck 2's boards: what they hide, and what no hand reaches."""
    drafts = []
    for cell in survey.layout.grid.labels():
        x0, y0, x1, y1 = survey.layout.grid.bounds(cell)
        body = {"layout": 1, "cell": cell, "mode": "normal", "state": "seen", "done": True}
        if y0 < TOUCH_TOP_IN:
            body["touch"] = rectangle(x0, y0, x1, min(y1, TOUCH_TOP_IN))
        if y0 < BOARDS[1] and y1 > BOARDS[0]:
            body["state"] = "part-hidden"
            body["hidden"] = [
                {"geometry": rectangle(0, BOARDS[0], WIDTH_IN, BOARDS[1]), "cause": "deck boards"}
            ]
        drafts.append(
            Draft(
                kind="examination",
                body=body,
                object_id=examination_id(survey.id, 1, cell, "normal"),
                made_at=datetime(2026, 3, 4, 9, 0, tzinfo=UTC),
                observed_by="Tomas Sedge",
            )
        )
    append_to_survey(survey, drafts, writer=DESK)


def coverage_of(survey, mode="normal"):
    return next(found for found in mode_coverages(survey) if found.mode == mode)


def test_deck_boards_leave_1092_of_1176_sq_ft_to_sight_and_966_to_touch():
    survey = make_survey(harvest_wall())

    look_at_everything(survey)

    # source: arithmetic on the invented wall: 84 × 14 = 1,176; less 84 × 1; less 84 × 1.5.
    found = coverage_of(survey)
    assert found.painted_sq_in / SQ_IN_PER_SQ_FT == pytest.approx(1176)
    assert found.seen_sq_ft == pytest.approx(1092)
    assert found.touch_sq_ft == pytest.approx(966)
    assert found.seen_pct == pytest.approx(100 * 1092 / 1176)
    assert round(found.touch_pct, 1) == 82.1


def test_openings_are_subtracted_from_wall_sight_and_touch():
    openings = [{"name": "clock", "polygon": CLOCK}, {"name": "doorway", "polygon": DOOR}]
    survey = make_survey(harvest_wall(openings=openings))

    look_at_everything(survey)

    # Both openings lie where hands reach; neither meets the boards.
    found = coverage_of(survey)
    assert found.painted_sq_in / SQ_IN_PER_SQ_FT == pytest.approx(1176 - 18)
    assert found.seen_sq_ft == pytest.approx(1092 - 18)
    assert found.touch_sq_ft == pytest.approx(966 - 18)


def test_a_mode_in_which_nobody_looked_saw_nothing():
    survey = make_survey(harvest_wall())

    look_at_everything(survey)

    assert coverage_of(survey, "raking").seen_sq_in == 0
    unseen = unseen_areas(survey, "normal")
    assert len(unseen) == 1
    assert unseen[0].words == "Not seen in normal light"


def test_totals_count_areas_lines_and_points_apart():
    survey = make_survey(make_wall())
    make_observation(survey)
    make_observation(survey, item="L2", geometry=rectangle(20, 20, 30, 30))
    crack = {"type": "LineString", "coordinates": [[0, 0], [30, 40]]}
    make_observation(survey, item="C1", term="plaster-crack", geometry=crack)
    holes = {"type": "MultiPoint", "coordinates": [[1, 1], [2, 2], [3, 3]]}
    make_observation(survey, item="P1", term="pop-out", geometry=holes)

    totals = {total.term.code: total for total in term_totals(survey)}

    assert totals["paint-loss"].count == 2
    assert totals["paint-loss"].area_sq_in == pytest.approx(6 + 100)
    assert totals["plaster-crack"].length_in == pytest.approx(50)  # 3, 4, 5
    assert totals["pop-out"].points == 3


def test_outlines_in_conflict_are_in_no_total():
    survey = make_survey(make_wall())
    row = make_observation(survey)
    other = Draft(
        kind="observation",
        body=observation_body(survey, note="from the west"),
        object_id=row.pk,
        made_at=datetime(2026, 3, 3, 11, 0, tzinfo=UTC),
        observed_by="Priya Lund",
    )

    append_to_survey(survey, [other], writer=DESK)

    assert term_totals(survey) == []


def test_an_outline_counts_in_each_cell_that_it_reaches():
    survey = make_survey(make_wall())
    make_observation(survey, geometry=rectangle(20, 20, 30, 30))

    assert cells_with_outlines(survey) == {"F01": 1, "F02": 1, "G01": 1, "G02": 1}
    inks = cell_inks(survey, "/there#CELL")
    assert inks["G01"].words == "G01: 1 outline"
    assert inks["G01"].link == "/there#G01"
    assert inks["A12"].words == "A12: 0 outlines"


def test_a_cell_waits_until_it_is_done_or_called_not_examined():
    survey = make_survey(make_wall())
    assert len(cells_waiting(survey)) == 84
    said = [
        {"cell": "A01", "state": "seen", "done": True},
        {"cell": "A02", "state": "not-examined", "cause": "no deck"},
        {"cell": "A03", "state": "seen"},
    ]
    drafts = [
        Draft(
            kind="examination",
            body={"layout": 1, "mode": "normal", **body},
            object_id=new_id(),
            made_at=datetime(2026, 3, 3, 11, 0, tzinfo=UTC),
            observed_by="Priya Lund",
        )
        for body in said
    ]

    append_to_survey(survey, drafts, writer=DESK)

    assert cells_waiting(survey)[:2] == ["A03", "A04"]


ERECTION = [{"name": "Scaffold erection", "from": "2026-02-16", "to": "2026-02-20"}]


@pytest.fixture
def baseline():
    wall = make_wall()
    set_phase(
        wall=wall,
        number=1,
        name="canopy demolition",
        starts_on=date(2026, 3, 16),
        ends_on=date(2026, 6, 12),
        activities=ERECTION,
    )
    return make_survey(wall)


@pytest.mark.parametrize(
    ("state", "closed_on", "statement"),
    [
        # source: 16 February to 13 March 2026 is 12 + 13 = 25 days by the calendar.
        ("closed", date(2026, 3, 13), "Closed 25 days after works began (16 Feb 2026)."),
        ("sealed", date(2026, 3, 13), "Sealed 25 days after works began (16 Feb 2026)."),
        ("closed", date(2026, 2, 16), ""),
        ("closed", date(2026, 2, 15), ""),
        ("open", None, ""),
    ],
)
def test_a_baseline_closed_after_works_began_says_so(baseline, state, closed_on, statement):
    Survey.objects.update(state=state, closed_on=closed_on)

    assert pre_works_statement(Survey.objects.get()) == statement


def test_a_round_says_nothing_of_works_and_a_wall_without_works_neither(baseline):
    other = make_survey(make_wall(wall="signal-box", name="Signal box"), "S1")
    Survey.objects.update(state="closed", closed_on=date(2026, 3, 13))
    Survey.objects.filter(pk=baseline.pk).update(kind="round")

    assert pre_works_statement(Survey.objects.get(pk=baseline.pk)) == ""
    assert pre_works_statement(Survey.objects.get(pk=other.pk)) == ""
