"""Does the one door into a logbook take, number, refuse and project as it says?"""

import dataclasses
import uuid
from datetime import UTC, datetime

import pytest

from gridmap.errors import InvalidInput
from survey.ledger.drafts import Draft, Writer
from survey.ledger.models import Entry, SetAside
from survey.ledger.services import append, rebuild
from survey.record.models import (
    CauseOpinion,
    Continuation,
    Decision,
    Examination,
    Observation,
    Standing,
)
from tests.support.factories import make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
TABLET = Writer(name="Ines Fallow", device="tablet-1", sets_aside=True)
SQUARE = {"type": "Polygon", "coordinates": [[[1, 1], [5, 1], [5, 5], [1, 5], [1, 1]]]}


@pytest.fixture
def survey():
    return make_survey(make_wall())


def observation(**changes):
    body = {
        "term": "paint-loss",
        "geometry": SQUARE,
        "basis": "drawn",
        "mode": "normal",
        "item": "Pl1",
        "observed_on": "2026-03-03",
        **changes.pop("body", {}),
    }
    return Draft(
        **{
            "kind": "observation",
            "body": body,
            "object_id": uuid.uuid4(),
            "made_at": datetime(2026, 3, 3, 10, 15, tzinfo=UTC),
            "observed_by": "Ines Fallow",
            **changes,
        }
    )


def test_entries_are_numbered_without_gaps(survey):
    append([observation(), observation()], logbook=survey.logbook, writer=DESK)
    receipts = append([observation()], logbook=survey.logbook, writer=DESK)

    assert [receipt.seq for receipt in receipts] == [3]
    assert list(survey.logbook.entries.values_list("seq", flat=True)) == [1, 2, 3]


def test_the_same_entry_twice_is_there_already(survey):
    draft = observation()
    append([draft], logbook=survey.logbook, writer=DESK)

    receipts = append([draft], logbook=survey.logbook, writer=DESK)

    assert [receipt.status for receipt in receipts] == ["already there"]
    assert Entry.objects.count() == 1


def test_another_statement_under_a_used_id_is_refused(survey):
    draft = observation()
    append([draft], logbook=survey.logbook, writer=DESK)
    other = dataclasses.replace(draft, body={**draft.body, "note": "something else"})

    with pytest.raises(InvalidInput, match="already in a logbook"):
        append([other], logbook=survey.logbook, writer=DESK)


def test_an_invalid_draft_from_the_desk_stores_nothing_of_its_batch(survey):
    bad = observation(body={"condition": 7})

    with pytest.raises(
        InvalidInput, match=r"Entry 2 of 2: condition is 7; it must be 0, 1, 2 or 3"
    ):
        append([observation(), bad], logbook=survey.logbook, writer=DESK)

    assert Entry.objects.count() == Observation.objects.count() == 0


def test_an_invalid_draft_from_a_tablet_is_set_aside_and_the_rest_is_stored(survey):
    bad = observation(body={"condition": 7})

    receipts = append([bad, observation()], logbook=survey.logbook, writer=TABLET)

    assert [receipt.status for receipt in receipts] == ["set aside", "stored"]
    assert "condition is 7" in SetAside.objects.get().reason
    assert Observation.objects.count() == 1


def test_what_cannot_be_canonical_is_set_aside_as_raw_bytes(survey):
    bad = observation(body={"note": "\ud800"})

    receipts = append([bad], logbook=survey.logbook, writer=TABLET)

    assert receipts[0].status == "set aside"
    assert b"paint-loss" in bytes(SetAside.objects.get().raw)


def test_a_correction_replaces_the_head_and_keeps_the_first_entry(survey):
    first = observation()
    append([first], logbook=survey.logbook, writer=DESK)
    better = observation(
        object_id=first.object_id, parents=(first.id,), body={"note": "edge seen again"}
    )

    append([better], logbook=survey.logbook, writer=DESK)

    row = Observation.objects.get()
    assert (row.head_id, row.standing) == (better.id, Standing.STANDS)
    assert row.details["note"] == "edge seen again"
    assert Entry.objects.count() == 2


def test_two_heads_that_differ_are_a_conflict(survey):
    first = observation()
    append([first], logbook=survey.logbook, writer=DESK)
    one, other = (
        observation(object_id=first.object_id, parents=(first.id,), body={"note": note})
        for note in ("from the east", "from the west")
    )

    append([one], logbook=survey.logbook, writer=DESK)
    receipts = append([other], logbook=survey.logbook, writer=DESK)

    assert receipts[0].status == "stored as conflict"
    assert Observation.objects.get().standing == Standing.CONFLICT


def test_two_heads_that_say_the_same_merge_in_silence(survey):
    object_id = uuid.uuid4()

    append([observation(object_id=object_id)], logbook=survey.logbook, writer=DESK)
    receipts = append([observation(object_id=object_id)], logbook=survey.logbook, writer=DESK)

    assert receipts[0].status == "stored"
    assert Observation.objects.get().standing == Standing.STANDS


def test_a_person_settles_a_conflict_by_an_entry_that_names_both_heads(survey):
    object_id = uuid.uuid4()
    one = observation(object_id=object_id, body={"note": "from the east"})
    other = observation(object_id=object_id, body={"note": "from the west"})
    append([one, other], logbook=survey.logbook, writer=DESK)

    settled = observation(object_id=object_id, parents=(one.id, other.id))
    append([settled], logbook=survey.logbook, writer=DESK)

    assert Observation.objects.get().standing == Standing.STANDS


def test_a_parent_of_another_object_is_refused(survey):
    first = observation()
    append([first], logbook=survey.logbook, writer=DESK)

    with pytest.raises(InvalidInput, match="is not an entry of object"):
        append([observation(parents=(first.id,))], logbook=survey.logbook, writer=DESK)


def test_a_withdrawal_keeps_the_outline_on_record_but_not_standing(survey):
    first = observation()
    append([first], logbook=survey.logbook, writer=DESK)
    withdrawal = observation(kind="withdrawal", object_id=first.object_id, parents=(first.id,))
    withdrawal = dataclasses.replace(withdrawal, body={"reason": "drawn on the wrong cell"})

    append([withdrawal], logbook=survey.logbook, writer=DESK)

    row = Observation.objects.get()
    assert (row.standing, row.withdrawn_because) == ("withdrawn", "drawn on the wrong cell")


def test_an_object_cannot_change_its_family(survey):
    first = observation()
    append([first], logbook=survey.logbook, writer=DESK)
    other = Draft(
        kind="loss-window-opinion",
        body={
            "item": str(first.object_id),
            "cause": "blow from the lantern works",
            "opinion_of": "Ines Fallow",
            "rank": 1,
            "standing": "reserved",
        },
        object_id=first.object_id,
        made_at=first.made_at,
        observed_by="Ines Fallow",
    )

    with pytest.raises(InvalidInput, match="stands for one observation"):
        append([other], logbook=survey.logbook, writer=DESK)


PROJECTED = [Observation, Continuation, Examination, Decision, CauseOpinion]


def rows_of(model):
    names = [f.attname for f in model._meta.concrete_fields if f.attname != "id"]
    rows = model.objects.values_list(*names)
    return sorted(repr([bytes(v) if isinstance(v, memoryview) else v for v in row]) for row in rows)


def test_rebuilding_gives_the_same_rows_again(survey):
    first = observation()
    later = observation(body={"continues": [str(first.object_id)], "note": "later"})
    withdrawn = observation()
    drafts = [
        first,
        later,
        withdrawn,
        dataclasses.replace(
            observation(object_id=withdrawn.object_id, parents=(withdrawn.id,)),
            kind="withdrawal",
            body={"reason": "twice"},
        ),
        Draft(
            kind="examination",
            body={"layout": 1, "cell": "C03", "mode": "normal", "state": "seen", "done": True},
            object_id=uuid.uuid4(),
            made_at=first.made_at,
            observed_by="Tomas Sedge",
        ),
        Draft(
            kind="decision",
            body={
                "subject": "item",
                "item": str(first.object_id),
                "choice": "leave",
                "reason": "stable",
                "decided_by": "Ines Fallow",
            },
            object_id=uuid.uuid4(),
            made_at=first.made_at,
            observed_by="Ines Fallow",
        ),
    ]
    append(drafts, logbook=survey.logbook, writer=DESK)
    before = {model: rows_of(model) for model in PROJECTED}
    assert all(before[model] for model in [Observation, Continuation, Examination, Decision])

    rebuild(survey.logbook)

    assert {model: rows_of(model) for model in PROJECTED} == before
