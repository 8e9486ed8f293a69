"""Does a decision end a conflict, whatever stands against what, and is nothing lost by it?"""

import pytest

from gridmap.errors import Clash, InvalidInput
from survey.clock import moment
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import EntryParent
from survey.ledger.services import rebuild
from survey.record.conflicts import (
    conflict_counts,
    conflicts_of,
    keep_version,
    withdraw_versions,
)
from survey.record.models import Examination, Observation, Standing
from survey.record.services import append_to_survey, close_survey
from tests.support.factories import (
    make_account,
    make_observation,
    make_survey,
    make_wall,
    observation_body,
)

pytestmark = [pytest.mark.django_db, pytest.mark.database]

LARGER = [[10.0, 10.0], [14.0, 10.0], [14.0, 13.0], [10.0, 13.0], [10.0, 10.0]]


@pytest.fixture
def lead():
    return make_account("ines", display_name="Ines Fallow")


@pytest.fixture
def survey(lead):
    return make_survey(make_wall(lead=lead))


def say(survey, object_id, *, kind="observation", by="Priya Lund", parents=(), **body):
    draft = Draft(
        kind=kind,
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=by,
        parents=tuple(parents),
    )
    append_to_survey(survey, [draft], writer=Writer(name=by, device=f"tablet of {by}"))
    return draft.id


def grown(survey, **changes):
    ring = {"type": "Polygon", "coordinates": [LARGER]}
    return observation_body(survey, geometry=ring, **changes)


@pytest.fixture
def disputed(survey):
    """A loss of which two tablets say different things after the same first statement."""
    loss = make_observation(survey)
    first = loss.head_id
    say(survey, loss.pk, parents=[first], by="Tomas Sedge", **observation_body(survey, note="old"))
    say(survey, loss.pk, parents=[first], by="Priya Lund", **grown(survey))
    return loss.pk


def only(survey):
    (conflict,) = conflicts_of(survey)
    return conflict


def heads(conflict):
    return {head.pk for head in conflict.heads}


def test_two_changes_of_one_outline_are_a_conflict(survey, disputed):
    conflict = only(survey)

    assert conflict.object_id == disputed
    assert [head.observed_by for head in conflict.heads] == ["Tomas Sedge", "Priya Lund"]
    assert conflict_counts(survey.wall) == {"B1": 1}


def test_the_same_change_from_two_tablets_is_none(survey):
    loss = make_observation(survey)
    for by in ("Tomas Sedge", "Priya Lund"):
        say(survey, loss.pk, parents=[loss.head_id], by=by, **grown(survey))

    assert conflicts_of(survey) == []


def test_keeping_one_version_ends_the_conflict_and_names_every_head(survey, disputed, lead):
    conflict = only(survey)
    priya = conflict.heads[1]

    receipt = keep_version(
        survey, object_id=disputed, kept=priya.pk, seen_heads=heads(conflict), account=lead
    )

    assert conflicts_of(survey) == []
    row = Observation.objects.get(pk=disputed)
    assert (row.standing, row.area_sq_in) == (Standing.STANDS, 12.0)
    assert (row.head.observed_by, row.head.recorded_by) == ("Priya Lund", "Ines Fallow")
    parents = EntryParent.objects.filter(entry_id=receipt.id)
    assert set(parents.values_list("parent_id", flat=True)) == heads(conflict)
    assert receipt.status == "stored"


def test_three_heads_are_ended_by_one_decision(survey, disputed, lead):
    first = survey.logbook.entries.filter(object_id=disputed).order_by("seq").first()
    say(survey, disputed, parents=[first.pk], by="Ada Moor", **grown(survey, edge="fresh"))
    conflict = only(survey)
    assert len(conflict.heads) == 3

    keep_version(
        survey,
        object_id=disputed,
        kept=conflict.heads[0].pk,
        seen_heads=heads(conflict),
        account=lead,
    )

    assert conflicts_of(survey) == []
    assert Observation.objects.get(pk=disputed).details["note"] == "old"


def test_a_withdrawal_against_a_change_can_be_kept(survey, lead):
    loss = make_observation(survey)
    say(survey, loss.pk, parents=[loss.head_id], **grown(survey))
    taken_back = say(
        survey, loss.pk, kind="withdrawal", parents=[loss.head_id], reason="A splash of paint."
    )
    conflict = only(survey)

    keep_version(
        survey, object_id=loss.pk, kept=taken_back, seen_heads=heads(conflict), account=lead
    )

    row = Observation.objects.get(pk=loss.pk)
    assert (row.standing, row.withdrawn_because) == (Standing.WITHDRAWN, "A splash of paint.")
    assert conflicts_of(survey) == []


def test_all_versions_can_be_withdrawn_with_a_reason(survey, disputed, lead):
    conflict = only(survey)

    withdraw_versions(
        survey,
        object_id=disputed,
        reason="Neither outline follows the edge.",
        seen_heads=heads(conflict),
        account=lead,
    )

    assert Observation.objects.get(pk=disputed).standing == Standing.WITHDRAWN
    assert conflicts_of(survey) == []


def test_a_withdrawal_without_reason_is_refused_and_the_conflict_stays(survey, disputed, lead):
    with pytest.raises(InvalidInput):
        withdraw_versions(
            survey,
            object_id=disputed,
            reason=" ",
            seen_heads=heads(only(survey)),
            account=lead,
        )

    assert len(conflicts_of(survey)) == 1


def test_two_examinations_of_one_cell_are_decided(survey, lead):
    cell = new_id()
    body = {"layout": 1, "cell": "C03", "mode": "normal"}
    say(survey, cell, kind="examination", by="Tomas Sedge", **body, state="touch")
    seen = say(survey, cell, kind="examination", by="Priya Lund", **body, state="seen")
    conflict = only(survey)

    keep_version(survey, object_id=cell, kept=seen, seen_heads=heads(conflict), account=lead)

    row = Examination.objects.get(pk=cell)
    assert (row.conflict, row.state) == (False, "seen")


def test_two_changes_of_a_stop_are_decided(survey, lead):
    stop = new_id()
    body = {"noticed_at": "2026-11-18T08:40:00Z", "activity": "Breaking", "cells": ["C03"]}
    first = say(survey, stop, kind="stop", **body, state="open")
    lifted = say(
        survey, stop, kind="stop", parents=[first], **body, state="lifted", lifted_because="Held"
    )
    say(survey, stop, kind="stop", parents=[first], **body, state="open", note="dust")
    conflict = only(survey)

    keep_version(survey, object_id=stop, kept=lifted, seen_heads=heads(conflict), account=lead)

    assert conflicts_of(survey) == []


def test_a_closed_survey_still_takes_the_decision(survey, disputed, lead):
    close_survey(survey, by="Ines Fallow")
    conflict = only(survey)

    keep_version(
        survey,
        object_id=disputed,
        kept=conflict.heads[0].pk,
        seen_heads=heads(conflict),
        account=lead,
    )

    assert conflicts_of(survey) == []


def test_who_saw_fewer_heads_than_there_are_does_not_decide(survey, disputed, lead):
    seen = heads(only(survey))
    first = survey.logbook.entries.filter(object_id=disputed).order_by("seq").first()
    say(survey, disputed, parents=[first.pk], by="Ada Moor", **grown(survey, edge="fresh"))

    with pytest.raises(Clash):
        keep_version(
            survey, object_id=disputed, kept=next(iter(seen)), seen_heads=seen, account=lead
        )

    assert len(only(survey).heads) == 3


def test_a_version_that_is_no_head_is_not_kept(survey, disputed, lead):
    conflict = only(survey)

    with pytest.raises(InvalidInput):
        keep_version(
            survey, object_id=disputed, kept=new_id(), seen_heads=heads(conflict), account=lead
        )


def test_a_decision_is_not_made_twice(survey, disputed, lead):
    conflict = only(survey)
    given = {
        "object_id": disputed,
        "kept": conflict.heads[0].pk,
        "seen_heads": heads(conflict),
        "account": lead,
    }
    keep_version(survey, **given)

    with pytest.raises(Clash):
        keep_version(survey, **given)


def test_the_decided_record_is_rebuilt_as_it_stands(survey, disputed, lead):
    conflict = only(survey)
    keep_version(
        survey,
        object_id=disputed,
        kept=conflict.heads[1].pk,
        seen_heads=heads(conflict),
        account=lead,
    )
    before = Observation.objects.values().get(pk=disputed)

    rebuild(survey.logbook)

    assert Observation.objects.values().get(pk=disputed) == before
