"""Does an exceedance or a stop stay open until everything of its way is on record?

The first test is the story of the trigger: top sensor 0.084 in/s at 10:42, 37 cells due, 1 h 51 min,
deadline 12:42, open until each cell has an examination or a reason that somebody accepted.
"""

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from gridmap.errors import InvalidInput
from survey.ledger.drafts import Draft, Writer, new_id
from survey.people.models import Role
from survey.record.models import Examination
from survey.record.notices import notices_of
from survey.record.services import append_to_survey
from survey.watch import cells_due, stop_services
from survey.watch.finding import find
from survey.watch.models import Exceedance
from survey.watch.stop_kinds import PAINTING_ONLY
from survey.watch.stop_views import choice_of
from survey.watch.stops import case_of, open_cases
from tests.support.factories import make_member, make_survey, make_wall, observation_body
from tests.support.watched import make_instrument, make_limit, make_readings

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
BEGAN = datetime(2026, 7, 21, 10, 42, tzinfo=UTC)
BY = {"by": "Ines Fallow"}


def at(minutes):
    return (BEGAN + timedelta(minutes=minutes)).isoformat()


@pytest.fixture
def wall():
    return make_wall(width="84 ft", height="14 ft")


@pytest.fixture
def survey(wall):
    return make_survey(wall, "P1")


def put_outlines(survey, columns, *, row="A", term="flaking", condition=2):
    """Draw one outline into the middle of each named cell."""
    drafts = []
    for column in columns:
        x0, y0, _, _ = survey.layout.grid.bounds(f"{row}{column:02d}")
        ring = [[x0 + 9, y0 + 9], [x0 + 12, y0 + 9], [x0 + 12, y0 + 12], [x0 + 9, y0 + 9]]
        drafts.append(
            Draft(
                kind="observation",
                body=observation_body(
                    survey, term=term, condition=condition, item=f"{row}{column}",
                    geometry={"type": "Polygon", "coordinates": [ring]},
                ),
                object_id=new_id(),
                made_at=BEGAN,
                observed_by="Tomas Sedge",
            )
        )  # fmt: skip
    append_to_survey(survey, drafts, writer=Writer(name="Tomas Sedge", device="desk"))


def shake(wall, *, peak=0.084, cell="A20"):
    """Read one blow at the top sensor and find it; return its case."""
    channels = [{"name": "y", "quantity": "particle-velocity", "unit": "in/s", "axis": "y"}]
    top = make_instrument(wall, "V1", channels, interval_s=60.0, cell=cell, content={"code": "V1"})
    times = [BEGAN.timestamp() + place for place in (-60, 0, 60)]
    make_readings(top, "y", times, [0.0, peak, 0.0])
    make_limit(wall, content={"direction": "above"})
    find(top.object_id, BEGAN, BEGAN)
    return case_of(wall, Exceedance.objects.get().object_id)


def put(case, kind, minutes, **body):
    stop_services.put_down(case, kind, {"at": at(minutes), **body}, writer=DESK)


def examine(survey, cells, minutes):
    drafts = [
        Draft(
            kind="examination",
            body={"cell": cell, "mode": "normal", "state": "seen", "done": True,
                  "layout": survey.layout.version},
            object_id=new_id(),
            made_at=BEGAN + timedelta(minutes=minutes),
            observed_by="Tomas Sedge",
        )
        for cell in cells
    ]  # fmt: skip
    append_to_survey(survey, drafts, writer=Writer(name="Tomas Sedge", device="desk"))


def test_the_trigger_at_10_42_stops_until_all_37_cells_are_settled(wall, survey):
    # source: practice, story of the trigger: 0.084 in/s at 10:42, 37 cells, 37 x 3 min, 12:42
    put_outlines(survey, range(1, 31))
    put_outlines(survey, range(1, 8), row="B", term="detachment")
    put_outlines(survey, range(31, 40), condition=1)  # slight: not due by condition
    case = shake(wall)
    proposed = choice_of(case)

    assert (case.level, case.exceedance.peak) == ("red", 0.084)
    assert cells_due.time_for(len(proposed.cells)) == "37 cells × 3 min = 1 h 51 min for one person"
    assert cells_due.look_needed_by(case.started) == datetime(2026, 7, 21, 12, 42, tzinfo=UTC)
    assert proposed.cells[:3] == ("A20", "A19", "A21")

    put(case, "activity", 3, activity="Breaking out the lantern kerb", **BY)
    put(case, "told", 2, who="Gil Alder", how="by telephone", **BY)
    put(case, "cells-due", 10, cells=list(proposed.cells), chosen=proposed.words, **BY)
    examine(survey, ["A20"], 12)  # before the scaffold was inspected: does not count
    put(case, "reinspected", 20, by="Rook", competence="Scaffold inspector", result="fit")
    examine(survey, [cell for cell in proposed.cells if cell not in ("A20", "B07")], 60)

    assert case_of(wall, case.id).open_cells == ["A20", "B07"]
    with pytest.raises(InvalidInput, match="2 of 37 due cells"):
        put(case, "no-objection", 100, words=PAINTING_ONLY, **BY)

    # the same cell again, by its own entry
    row = Examination.objects.get(cell="A20")
    append_to_survey(
        survey,
        [
            Draft(kind="examination", body=row.head.content, object_id=row.object_id,
                  made_at=BEGAN + timedelta(minutes=90), observed_by="Tomas Sedge",
                  parents=(row.head_id,))
        ],
        writer=Writer(name="Tomas Sedge", device="desk"),
    )  # fmt: skip
    put(
        case, "looked", 95, cells=["B07"], result="Not reached", **BY,
        inaccessible={"reason": "Behind the standard", "accepted_by": "Ines Fallow"},
    )  # fmt: skip
    put(case, "cause", 96, cause="Blows on the kerb", agreed="reserved", **BY)
    put(case, "no-objection", 100, words=PAINTING_ONLY, **BY)

    assert case_of(wall, case.id).missing == ["the contract instruction of a named role"]
    put(case, "instruction", 110, by="P. Trustee", role="Contract administrator", words="Resume.")
    assert not case_of(wall, case.id).open
    assert open_cases(wall) == []


def test_no_look_is_taken_before_the_scaffold_is_inspected_again(wall, survey):
    case = shake(wall)
    put(case, "reinspected", 20, by="Rook", competence="Scaffold inspector", result="not-fit")

    with pytest.raises(InvalidInput, match="Nobody climbs yet"):
        put(case, "looked", 30, cells=["A20"], result="No change", **BY)


def test_an_instruction_needs_no_objection_first(wall, survey):
    case = shake(wall)

    with pytest.raises(InvalidInput, match="No objection for the painting"):
        put(case, "instruction", 30, by="P. Trustee", role="Contract administrator", words="Go on.")


def test_amber_asks_for_the_activity_and_who_was_told_and_nothing_more(wall, survey):
    case = shake(wall, peak=0.06)

    assert [step.key for step in case.steps] == ["activity", "told"]
    assert open_cases(wall) == []


def test_the_pages_say_what_a_channel_reads_and_not_its_raw_name(wall, survey, client):
    shake(wall, peak=0.06)
    client.force_login(make_member(wall, Role.SITE_MANAGER))

    page = client.get(reverse("watch:exceedances", args=[wall.slug])).content.decode()

    assert "Particle velocity, axis y" in page


def test_a_line_before_it_began_is_refused(wall, survey):
    case = shake(wall)

    with pytest.raises(InvalidInput, match="lies before it began"):
        put(case, "told", -5, who="Gil Alder", how="by telephone", **BY)


def stop_from_deck(survey, **more):
    body = {
        "noticed_at": BEGAN.isoformat(), "activity": "Breaker on the slab; the deck shook.",
        "cells": ["C16", "C17"], "state": "open", **more,
    }  # fmt: skip
    draft = Draft(
        kind="stop", body=body, object_id=new_id(), made_at=BEGAN, observed_by="Tomas Sedge"
    )
    append_to_survey(survey, [draft], writer=Writer(name="Tomas Sedge", device="deck"))
    return draft.object_id


def test_a_stop_from_the_deck_takes_the_same_way_and_its_cells_come_first(wall, survey):
    put_outlines(survey, [1])
    case = case_of(wall, stop_from_deck(survey))

    assert choice_of(case).cells == ("C16", "C17", "A01")
    assert [step.key for step in case.steps if step.missing] == [
        "told", "cells-due", "reinspected", "looked", "cause", "no-objection", "instruction",
    ]  # fmt: skip


def test_a_stop_lifted_on_the_deck_stays_open_until_nothing_is_missing(wall, survey):
    told = [{"who": "Gil Alder", "at": at(2)}]
    stop = stop_from_deck(survey, state="lifted", lifted_because="Looked over", told=told)

    (case,) = open_cases(wall)

    assert case.id == stop
    assert "who was told, and when" not in case.missing


@pytest.mark.parametrize("page", ["treatments:list", "walls:setup", "photos:overview"])
def test_an_open_stop_stands_on_every_page_of_the_wall(client, wall, survey, page):
    case = shake(wall)
    client.force_login(make_member(wall, Role.READER))

    text = client.get(reverse(page, args=[wall.slug])).content.decode()

    assert "Stop: red at V1, 0.084\u00a0in/s (2.13\u00a0mm/s)" in text
    assert reverse("watch:exceedance", args=[wall.slug, case.id]) in text


def test_a_survey_says_the_walls_stop_too_and_says_it_once(client, wall, survey):
    shake(wall)
    member = make_member(wall, Role.READER)
    client.force_login(member)

    text = client.get(reverse("record:wall", args=[wall.slug])).content.decode()

    assert text.count("Stop: red at V1") == 1
    assert [one.survey for one in notices_of(wall, member, survey="P1")] == [""]


def test_the_page_of_a_case_takes_a_step_down_once_though_sent_twice(client, wall, survey):
    case = shake(wall)
    client.force_login(make_member(wall, Role.CONSERVATOR, display_name="Tomas Sedge"))
    address = reverse("watch:exceedance", args=[wall.slug, case.id])
    sent = {
        "step": "told", "id": str(new_id()), "told-at": "2026-07-21T10:44", "told-who": "Gil Alder",
        "told-how": "by telephone", "told-by": "Tomas Sedge",
    }  # fmt: skip

    for _ in range(2):
        client.post(address, sent)

    (line,) = case_of(wall, case.id).lines["told"]
    assert line.content["who"] == "Gil Alder"
    assert "2 min after it began" in client.get(address).content.decode()


def test_a_changed_choice_of_cells_says_why(client, wall, survey):
    put_outlines(survey, [1, 2])
    case = shake(wall)
    client.force_login(make_member(wall, Role.CONSERVATOR))
    address = reverse("watch:exceedance", args=[wall.slug, case.id])
    sent = {
        "step": "cells-due", "cells-due-at": "2026-07-21T10:50", "cells-due-by": "Tomas Sedge",
        "cells-due-cells": "A01, C30",
    }  # fmt: skip

    refused = client.post(address, sent)
    client.post(address, {**sent, "cells-due-changed_because": "C30 hangs over the doorway"})

    assert refused.status_code == 400
    assert "say in a few words why" in refused.content.decode()
    assert case_of(wall, case.id).due_chosen.cells == ["A01", "C30"]


def test_a_site_manager_reads_the_log_and_cannot_write_it(client, wall, survey):
    case = shake(wall)
    client.force_login(make_member(wall, Role.SITE_MANAGER))
    address = reverse("watch:exceedance", args=[wall.slug, case.id])

    read, written = client.get(address), client.post(address, {"step": "told"})

    assert (read.status_code, written.status_code) == (200, 403)
    assert "Put this down" not in read.content.decode()


def test_a_line_taken_back_no_longer_counts_and_says_why_it_was(client, wall, survey):
    case = shake(wall)
    put(case, "told", 2, who="Gil Alder", how="by telephone", **BY)
    (line,) = case_of(wall, case.id).lines["told"]
    client.force_login(make_member(wall, Role.CONSERVATOR))
    address = reverse("watch:exceedance", args=[wall.slug, case.id])

    client.post(address, {"withdraw": str(line.object_id), "reason": " "})
    refused = case_of(wall, case.id).told_at
    client.post(address, {"withdraw": str(line.object_id), "reason": "Rang the wrong number"})

    assert refused is not None
    assert case_of(wall, case.id).told_at is None
    line.refresh_from_db()
    assert line.withdrawn_because == "Rang the wrong number"
