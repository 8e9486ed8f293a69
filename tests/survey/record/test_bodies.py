"""Is every entry about a survey refused for what it leaves out or says wrongly, in plain words?"""

import uuid
from datetime import UTC, datetime

import pytest

from gridmap.errors import InvalidInput
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry
from survey.ledger.services import append, open_logbook
from tests.support.factories import make_survey, make_wall, observation_body

pytestmark = [pytest.mark.django_db, pytest.mark.database]

DESK = Writer(name="Ines Fallow", device="desk")
LINE = {"type": "LineString", "coordinates": [[1, 1], [9, 9]]}
BOX = {"type": "Polygon", "coordinates": [[[1, 1], [5, 1], [5, 5], [1, 5], [1, 1]]]}
OFF = {"type": "Polygon", "coordinates": [[[1, 1], [5.001, 1], [5, 5], [1, 5], [1, 1]]]}
MISSING = object()

EXAMINATION = {"layout": 1, "cell": "C03", "mode": "normal", "state": "seen"}
DECISION = {
    "subject": "item",
    "item": str(uuid.uuid4()),
    "choice": "leave",
    "reason": "Stable since the baseline.",
    "decided_by": "Ines Fallow",
}
QUERY = {**DECISION, "subject": "query", "query_key": "ab12", "choice": "other-hand"}
OPINION = {
    "item": str(uuid.uuid4()),
    "cause": "blow from the lantern works",
    "opinion_of": "Ines Fallow",
    "rank": 1,
    "standing": "reserved",
}
WITHDRAWAL = {"reason": "drawn on the wrong cell"}


@pytest.fixture
def survey():
    return make_survey(make_wall())


def draft(kind, body, **changes):
    fields = {
        "kind": kind,
        "body": body,
        "object_id": new_id(),
        "made_at": datetime(2026, 3, 3, 10, 15, tzinfo=UTC),
        "observed_by": "Ines Fallow",
    }
    return Draft(**{**fields, **changes})


def changed(body, changes):
    whole = {**body, **changes}
    return {key: value for key, value in whole.items() if value is not MISSING}


def refused(kind, body, logbook):
    with pytest.raises(InvalidInput) as error:
        append([draft(kind, body)], logbook=logbook, writer=DESK)
    assert not Entry.objects.exists()
    return error.value


OBSERVATIONS = [
    ({"term": MISSING}, "term", "is empty"),
    ({"term": "paint-los"}, "term", "paint-los"),
    ({"term": 7}, "term", "must be text"),
    ({"geometry": MISSING}, "geometry", "must be an object with a type of"),
    ({"geometry": {"type": ["Polygon"]}}, "geometry", "must be an object with a type of"),
    ({"geometry": LINE}, "geometry", "paint loss is drawn as area, not as line"),
    ({"geometry": OFF}, "geometry", "5.001 in, which is not a whole number of 1/256 in"),
    ({"geometry": {"type": "Polygon", "coordinates": []}}, "geometry", "geometry"),
    ({"basis": "guessed"}, "basis", "'guessed'; it must be one of: drawn, edited-copy"),
    ({"basis": MISSING}, "basis", "None"),
    ({"mode": "torch"}, "mode", "'torch'; it must be one of: normal, raking"),
    ({"item": ""}, "item", "is empty"),
    ({"item": "n" * 41}, "item", "at most 40 characters"),
    ({"observed_on": "yesterday"}, "observed_on", "'yesterday'; it must be a date such as"),
    ({"observed_on": MISSING}, "observed_on", "None"),
    ({"layout": 2}, "layout", "is 2; survey B1 uses version 1"),
    ({"layout": True}, "layout", "is True"),
    ({"vocabulary": "one"}, "vocabulary", "'one'"),
    ({"continues": "L1"}, "continues", "must be a list of at most 64"),
    ({"continues": ["L1"]}, "continues", "'L1'; it must be a UUID"),
    ({"condition": 4}, "condition", "is 4; it must be 0, 1, 2 or 3"),
    ({"condition": True}, "condition", "is True"),
    ({"urgency": -1}, "urgency", "is -1"),
    ({"confidence": "sure"}, "confidence", "'sure'"),
    ({"edge": "old"}, "edge", "'old'; it must be one of: fresh, dirty, unclear"),
    ({"note": "n" * 4001}, "note", "at most 4000 characters"),
    ({"debris": 7}, "debris", "must be text"),
    ({"session": "s" * 81}, "session", "at most 80 characters"),
    ({"photographs": [7]}, "photographs", "list of at most 100 texts"),
    ({"changes": "none"}, "changes", "list of at most 100 texts"),
    ({"boundary_error_in": 12.5}, "boundary_error_in", "12.5; it must be a number from 0 to 12 in"),
    ({"boundary_error_in": 0}, "boundary_error_in", "no outline is drawn without error"),
    ({"activity": "yes"}, "activity", "must be an object"),
    ({"activity": {"state": "over"}}, "state", "'over'; it must be one of: suspected, shown"),
    ({"activity": {"state": "shown", "from": "May"}}, "from", "'May'"),
    ({"measures": []}, "measures", "object of at most 20 values"),
    ({"measures": {"depth": True}}, "measures", "measures.depth is True"),
    ({"measures": {"depth": "d" * 301}}, "measures", "longer than 300 characters"),
    ({"colour": "red"}, "colour", "'colour' is not a field of this entry"),
]


@pytest.mark.parametrize(("changes", "field", "message"), OBSERVATIONS)
def test_an_observation_is_refused_with_field_value_and_limit(survey, changes, field, message):
    error = refused("observation", changed(observation_body(survey), changes), survey.logbook)

    assert error.field == field
    assert message in error.message


EXAMINATIONS = [
    ({"layout": 2}, "layout", "is 2; survey B1 uses version 1"),
    ({"layout": "1"}, "layout", "whole number"),
    ({"cell": "Z99"}, "cell", "Z99"),
    ({"cell": "c3"}, "cell", "c3"),
    ({"mode": "torch"}, "mode", "'torch'"),
    ({"state": "glanced"}, "state", "'glanced'; it must be one of: touch, seen"),
    ({"state": "not-examined"}, "cause", "is empty"),
    ({"cause": "c" * 201}, "cause", "at most 200 characters"),
    ({"seen": LINE}, "seen", "seen"),
    ({"seen": OFF}, "seen", "1/256 in"),
    ({"touch": 7}, "touch", "touch must be an object"),
    ({"hidden": {}}, "hidden", "list of at most 200"),
    ({"hidden": [7]}, "hidden", "must be an object"),
    ({"hidden": [{"geometry": BOX}]}, "cause", "is empty"),
    ({"searched": ["paint-los"]}, "term", "paint-los"),
    ({"searched": "paint-loss"}, "searched", "list of at most 100 texts"),
    ({"done": "yes"}, "done", "'yes'; it must be true or false"),
    ({"note": 7}, "note", "must be text"),
    ({"looked": 1}, "looked", "is not a field of this entry"),
]


@pytest.mark.parametrize(("changes", "field", "message"), EXAMINATIONS)
def test_an_examination_is_refused_with_field_value_and_limit(survey, changes, field, message):
    error = refused("examination", changed(EXAMINATION, changes), survey.logbook)

    assert error.field == field
    assert message in error.message


DECISIONS = [
    (DECISION, {"subject": "wall"}, "subject", "'wall'"),
    (DECISION, {"item": "L1"}, "item", "'L1'; it must be a UUID"),
    (DECISION, {"choice": "other-hand"}, "choice", "leave, watch, treat, investigate"),
    (DECISION, {"reason": " "}, "reason", "is empty"),
    (DECISION, {"decided_by": MISSING}, "decided_by", "is empty"),
    (DECISION, {"decided_by": "n" * 151}, "decided_by", "at most 150 characters"),
    (DECISION, {"refused": [{"option": "fill"}]}, "reason", "is empty"),
    (DECISION, {"refused": 7}, "refused", "list of at most 12"),
    (DECISION, {"review_on": "spring"}, "review_on", "'spring'"),
    (DECISION, {"recommendation": 4}, "recommendation", "must be 0, 1, 2 or 3"),
    (DECISION, {"urgency": 1}, "urgency", "is not a field"),
    (QUERY, {"query_key": MISSING}, "query_key", "is empty"),
    (QUERY, {"choice": "leave"}, "choice", "other-hand, other-light"),
]


@pytest.mark.parametrize(("body", "changes", "field", "message"), DECISIONS)
def test_a_decision_is_refused_with_field_value_and_limit(survey, body, changes, field, message):
    error = refused("decision", changed(body, changes), survey.logbook)

    assert error.field == field
    assert message in error.message


OPINIONS = [
    ({"item": 7}, "item", "must be a UUID"),
    ({"cause": ""}, "cause", "is empty"),
    ({"opinion_of": MISSING}, "opinion_of", "is empty"),
    ({"opinion_of": "n" * 151}, "opinion_of", "at most 150 characters"),
    ({"rank": 0}, "rank", "from 1 to 20"),
    ({"standing": "final"}, "standing", "'final'; it must be one of: agreed, disputed, reserved"),
    ({"proof": 1}, "proof", "is not a field"),
]


@pytest.mark.parametrize(("changes", "field", "message"), OPINIONS)
def test_an_opinion_is_refused_with_field_value_and_limit(survey, changes, field, message):
    error = refused("loss-window-opinion", changed(OPINION, changes), survey.logbook)

    assert error.field == field
    assert message in error.message


def test_a_withdrawal_without_a_reason_is_refused(survey):
    assert refused("withdrawal", {}, survey.logbook).field == "reason"


def test_a_withdrawal_of_nothing_is_refused(survey):
    error = refused("withdrawal", WITHDRAWAL, survey.logbook)

    assert error.field == "parents"
    assert "names the entry that it answers" in error.message


def test_a_closing_takes_a_note_and_nothing_else(survey):
    assert refused("survey-closed", {"reason": "x"}, survey.logbook).field == "reason"


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("observation", {}),
        ("examination", EXAMINATION),
        ("withdrawal", WITHDRAWAL),
        ("survey-closed", {}),
    ],
)
def test_what_was_seen_does_not_belong_into_the_walls_standing_logbook(survey, kind, body):
    error = refused(kind, body, open_logbook(survey.wall))

    assert "belongs into a survey's logbook" in error.message


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("examination", EXAMINATION),
        ("decision", DECISION),
        ("decision", QUERY),
        ("loss-window-opinion", OPINION),
        ("survey-closed", {"note": "Lamps off, tools counted."}),
    ],
)
def test_a_sound_body_is_taken(survey, kind, body):
    receipts = append([draft(kind, body)], logbook=survey.logbook, writer=DESK)

    assert receipts[0].status == "stored"


def test_a_name_at_its_limit_is_kept_on_every_database(survey):
    long_name = draft("observation", observation_body(survey), observed_by="N" * 150)

    append([long_name], logbook=survey.logbook, writer=DESK)

    session = survey.observations.get().session
    assert len(session) == 80
    assert session.endswith(", 2026-03-02")


def test_the_character_nul_is_refused_but_a_backslash_is_not(survey):
    backslash = observation_body(survey, note=r"a path\u0000")
    append([draft("observation", backslash)], logbook=survey.logbook, writer=DESK)

    with pytest.raises(InvalidInput, match="the character NUL"):
        append(
            [draft("observation", observation_body(survey, note="a\0b"))],
            logbook=survey.logbook,
            writer=DESK,
        )


def test_one_logbook_cannot_speak_of_an_object_of_another(survey):
    ours = draft("observation", observation_body(survey))
    append([ours], logbook=survey.logbook, writer=DESK)
    foreign = make_survey(make_wall(wall="signal-box", name="Signal box"), "S1")
    theirs = draft("observation", observation_body(foreign), object_id=ours.object_id)

    with pytest.raises(InvalidInput, match="belongs to another logbook"):
        append([theirs], logbook=foreign.logbook, writer=DESK)

    assert survey.observations.count() == 1


def test_an_entry_of_the_same_batch_answers_only_its_own_object(survey):
    first = draft("observation", observation_body(survey))
    other = draft("observation", observation_body(survey, item="L2"), parents=(first.id,))

    with pytest.raises(InvalidInput, match="is not an entry of object"):
        append([first, other], logbook=survey.logbook, writer=DESK)


def test_a_device_gives_each_of_its_numbers_once(survey):
    first = draft("observation", observation_body(survey), device_seq=5)
    append([first], logbook=survey.logbook, writer=DESK)

    with pytest.raises(InvalidInput, match="device_seq is 5"):
        append(
            [draft("observation", observation_body(survey), device_seq=5)],
            logbook=survey.logbook,
            writer=DESK,
        )
