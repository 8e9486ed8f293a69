"""Is nothing that an enrolled device sends ever refused, lost, or kept twice?"""

import json
from dataclasses import replace

import pytest
from django.db import DataError, OperationalError

from gridmap.errors import Clash, InvalidInput, NotPermitted
from survey.clock import moment
from survey.ledger import kinds
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.devices import (
    leave_set_aside,
    received_to,
    take_from_device,
    take_set_aside,
)
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import SetAside
from tests.support.factories import make_survey, make_wall, observation_body

pytestmark = [pytest.mark.django_db, pytest.mark.database]

CARRIER = Writer(name="Priya Lund", device="tablet 1")


@pytest.fixture
def survey():
    return make_survey(make_wall())


def sent(survey, number, *, object_id=None, parents=(), **changes):
    """Return one entry as a tablet sends it, with its digest and the tablet's number."""
    draft = Draft(
        kind="observation",
        body=observation_body(survey, **changes),
        object_id=object_id or new_id(),
        made_at=moment(),
        observed_by="Ines Fallow",
        recorded_by="Tomas Sedge",
        parents=tuple(parents),
    )
    statement = draft.statement()
    digest = digest_of(canonical_bytes(statement))
    return {**statement, "device_seq": number, "digest": digest}


def take(survey, values, **options):
    return take_from_device(values, logbook=survey.logbook, writer=CARRIER, **options)


def statuses(receipts):
    return [receipt.status for receipt in receipts]


def test_author_and_carrier_are_kept_apart(survey):
    take(survey, [sent(survey, 1)])

    entry = survey.logbook.entries.get()
    assert (entry.observed_by, entry.recorded_by, entry.carried_by, entry.device_seq) == (
        "Ines Fallow",
        "Tomas Sedge",
        "Priya Lund",
        1,
    )


UNREADABLE = [
    None,
    7,
    "an outline",
    [],
    {},
    {"id": "no uuid", "body": {}},
    {"id": str(new_id()), "object_id": str(new_id()), "kind": "observation", "body": []},
]


@pytest.mark.parametrize("value", UNREADABLE)
def test_what_is_no_entry_at_all_is_kept_as_it_came(survey, value):
    good = sent(survey, 1)
    for _ in range(3):
        receipts = take(survey, [good, value])
        assert receipts[1].status == "set aside"

    kept = SetAside.objects.get()
    assert json.loads(bytes(kept.raw)) == value
    assert survey.logbook.entries.count() == 1


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"note": "a\0b"}, "NUL"),
        ({"note": "\ud800"}, "canonical form"),
        ({"condition": 2**53}, "canonical form"),
        ({"condition": 7}, "condition is 7"),
        ({"term": "no such term"}, "no such term"),
        ({"geometry": {"type": "Point", "coordinates": [1.0, 1.0]}}, "drawn as"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_what_a_statement_may_not_say_is_set_aside_with_the_reason(survey, change, word):
    good = sent(survey, 1)
    bad = {**sent(survey, 2), "body": {**observation_body(survey), **change}}
    try:
        statement = {key: bad[key] for key in good if key not in {"device_seq", "digest"}}
        bad["digest"] = digest_of(canonical_bytes(statement))
    except InvalidInput:
        pass  # it has no digest at all

    receipts = take(survey, [good, bad])

    assert statuses(receipts) == ["stored", "set aside"]
    assert word in receipts[1].message
    kept = SetAside.objects.get()
    assert (kept.device_seq, str(kept.claimed_id)) == (2, bad["id"])


@pytest.mark.parametrize(
    "change",
    [
        {"body": {"colour": "red"}},
        {"parents": [str(new_id())]},
        {"made_at": "2333-01-01T00:00:00Z"},
        {"observed_by": "x" * 200},
        {"kind_version": 2**53 - 1},
    ],
)
def test_a_device_knows_its_own_words_by_their_digest_also_when_they_are_set_aside(survey, change):
    bad = {**sent(survey, 1), **change}
    stated = {key: value for key, value in bad.items() if key not in {"device_seq", "digest"}}
    bad["digest"] = digest_of(canonical_bytes(stated))

    first, again = take(survey, [bad]), take(survey, [bad])

    assert statuses([*first, *again]) == ["set aside", "set aside"]
    assert first[0].digest == again[0].digest == bad["digest"]


def test_what_was_changed_on_the_way_is_set_aside_under_its_own_digest(survey):
    changed = {**sent(survey, 1), "observed_by": "Somebody Else"}

    receipt = take(survey, [changed])[0]

    assert receipt.status == "set aside"
    assert receipt.digest not in {"", changed["digest"]}


def test_one_entry_that_breaks_the_program_takes_no_other_with_it(survey, monkeypatch):
    family = kinds.projection_of("observation")

    def break_on_two(logbook, histories):
        if any(history.entries[-1].device_seq == 2 for history in histories):
            raise DataError("value too long for a column")
        family.project(logbook, histories)

    monkeypatch.setitem(kinds._projections, "observation", replace(family, project=break_on_two))
    monkeypatch.setitem(kinds._by_kind, "observation", kinds._projections["observation"])

    receipts = take(survey, [sent(survey, number) for number in (1, 2, 3)])

    assert statuses(receipts) == ["stored", "set aside", "stored"]
    assert "value too long" in receipts[1].message
    assert sorted(survey.logbook.entries.values_list("device_seq", "seq")) == [(1, 1), (3, 2)]
    assert survey.observations.count() == 2


def test_a_database_that_cannot_work_now_stores_nothing(survey, monkeypatch):
    family = kinds.projection_of("observation")

    def busy(logbook, histories):
        raise OperationalError("database is locked")

    monkeypatch.setitem(kinds._projections, "observation", replace(family, project=busy))
    monkeypatch.setitem(kinds._by_kind, "observation", kinds._projections["observation"])

    with pytest.raises(OperationalError):
        take(survey, [sent(survey, 1), {}])

    assert survey.logbook.entries.count() == 0
    assert SetAside.objects.count() == 0


def closed(draft):
    raise NotPermitted("The survey was closed before this came.")


def test_what_the_caller_keeps_out_waits_and_can_be_taken_after_all(survey):
    late = sent(survey, 1)
    assert statuses(take(survey, [late], refuse=closed)) == ["set aside"]
    kept = SetAside.objects.get()

    receipt = take_set_aside(kept, by="Ines Fallow", reason="seen before the closing")

    entry = survey.logbook.entries.get()
    assert receipt.digest == entry.digest == late["digest"]
    assert (entry.device, entry.device_seq, entry.carried_by) == ("tablet 1", 1, "Priya Lund")
    again = take(survey, [late], refuse=closed)
    assert (again[0].status, again[0].seq) == ("already there", 1)
    with pytest.raises(Clash):
        take_set_aside(kept, by="Ines Fallow")


def test_what_still_cannot_be_an_entry_stays_set_aside(survey):
    bad = sent(survey, 1, parents=[new_id()])
    take(survey, [bad])
    kept = SetAside.objects.get()

    with pytest.raises(InvalidInput, match=r"parents|replaces"):
        take_set_aside(kept, by="Ines Fallow")

    assert statuses(take(survey, [bad])) == ["set aside"]
    assert SetAside.objects.count() == 1


def test_what_is_left_out_needs_a_reason_and_is_kept(survey):
    take(survey, [{}])
    kept = SetAside.objects.get()

    with pytest.raises(InvalidInput, match="why"):
        leave_set_aside(kept, by="Ines Fallow", reason=" ")
    leave_set_aside(kept, by="Ines Fallow", reason="sent by a page under repair")

    assert SetAside.objects.get().settled.entry is None
    assert statuses(take(survey, [{}])) == ["set aside"]


def test_numbers_are_counted_as_held_only_without_a_gap(survey):
    take(survey, [sent(survey, 1), {**sent(survey, 2), "kind": "guess"}, sent(survey, 4)])

    assert received_to("tablet 1") == 2
    take(survey, [sent(survey, 3)])
    assert received_to("tablet 1", known=2) == 4


def test_a_digest_claimed_for_something_else_is_not_believed(survey):
    first, second = sent(survey, 1), sent(survey, 2)

    receipts = take(survey, [{**first, "digest": second["digest"]}])

    assert statuses(receipts) == ["set aside"]
    assert statuses(take(survey, [first])) == ["stored"]
