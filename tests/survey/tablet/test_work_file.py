"""Does a tablet's work file come in as a push would, and is a hostile or foreign one refused?"""

import base64
import hashlib
import io
import json
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from survey.ledger.blobs import has_arrived
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.drafts import read_draft
from survey.ledger.models import Blob, Entry, SetAside
from survey.people.models import Role
from survey.tablet import work_file
from survey.tablet.services import enrol, retire
from tests.survey.api.drafts import entry

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def tablet(survey, conservator):
    return enrol(survey=survey, name="Deck 1", account=conservator)


def sent(number, **body):
    """Return an entry as a tablet keeps it: with its number and the digest that it gave."""
    made = {**entry(**body), "observed_by": "Ada Moor", "recorded_by": "Priya Lund"}
    draft = read_draft(made, where="entry", observer="", recorder="")
    digest = digest_of(canonical_bytes(draft.statement()))
    return {**draft.statement(), "device_seq": number, "digest": digest}


def picture():
    data = io.BytesIO()
    Image.new("RGB", (12, 8), (120, 90, 60)).save(data, "JPEG")
    return data.getvalue()


def photograph(data, **changes):
    return {
        "digest": hashlib.sha256(data).hexdigest(),
        "mime": "image/jpeg",
        "base64": base64.b64encode(data).decode(),
        **changes,
    }


def work(tablet, *entries, **changes):
    return {
        "format": "pontata-work",
        "version": 1,
        "device": str(tablet.pk),
        "wall": tablet.wall.slug,
        "survey": tablet.survey.code,
        "epoch": str(uuid.uuid4()),
        "made_at": "2026-11-18T10:00:00Z",
        "entries": list(entries),
        "photographs": [],
        **changes,
    }


def take(client, survey, file):
    data = file if isinstance(file, bytes) else json.dumps(file).encode()
    address = reverse("tablets:work_file", args=[survey.wall.slug])
    return client.post(address, {"file": SimpleUploadedFile("work.json", data)})


def test_everything_in_the_file_is_taken_and_the_receipts_are_shown(client, survey, tablet):
    answer = take(client, survey, work(tablet, sent(1), sent(2, item="L2")))

    assert answer.status_code == 200
    assert "2 entries: 2 stored." in answer.content.decode()
    kept = Entry.objects.order_by("seq")
    assert [row.device_seq for row in kept] == [1, 2]
    assert {row.device for row in kept} == {tablet.device}


def test_entries_keep_their_people_whoever_takes_the_file_in(client, survey, tablet):
    client.force_login(survey.wall.memberships.get(role=Role.LEAD).account)

    take(client, survey, work(tablet, sent(1)))

    row = Entry.objects.get()
    assert (row.observed_by, row.recorded_by) == ("Ada Moor", "Priya Lund")
    assert row.carried_by == "Ines Fallow"


def test_the_same_file_again_changes_nothing(client, survey, tablet):
    data = picture()
    file = work(tablet, sent(1), photographs=[photograph(data)])
    take(client, survey, file)

    again = take(client, survey, file).content.decode()

    assert "1 already there" in again
    assert (Entry.objects.count(), Blob.objects.count()) == (1, 1)


def test_what_cannot_be_an_entry_is_set_aside_and_the_rest_taken(client, survey, tablet):
    answer = take(client, survey, work(tablet, sent(1), sent(2, condition=9), "junk", None))

    shown = answer.content.decode()
    assert "4 entries: 1 stored, 3 set aside." in shown
    assert (Entry.objects.count(), SetAside.objects.count()) == (1, 3)


def test_more_entries_than_one_batch_holds_are_all_taken(client, survey, tablet):
    entries = [sent(number, item=f"L{number}") for number in range(1, 404)]

    take(client, survey, work(tablet, *entries))

    assert Entry.objects.count() == 403


def test_photographs_are_kept_for_the_wall_by_their_digest(client, survey, tablet):
    data = picture()

    take(client, survey, work(tablet, photographs=[photograph(data)]))

    assert has_arrived(hashlib.sha256(data).hexdigest(), survey.wall)


def test_a_photograph_whose_entry_came_before_it_is_shown_once_the_file_brings_it(
    client, survey, tablet
):
    data = picture()
    body = {
        "digest": hashlib.sha256(data).hexdigest(),
        "name": "note",
        "mode": "normal",
        "role": "note",
        "width_px": 12,
        "height_px": 8,
    }
    named = sent(1)
    named = {**named, "kind": "photograph", "body": body}
    draft = read_draft(named, where="entry", observer="", recorder="")
    named["digest"] = digest_of(canonical_bytes(draft.statement()))
    take(client, survey, work(tablet, named))
    before = survey.photographs.count()

    take(client, survey, work(tablet, named, photographs=[photograph(data)]))

    assert (before, survey.photographs.count()) == (0, 1)


def test_what_was_being_drawn_is_named_and_becomes_no_entry(client, survey, tablet):
    file = work(tablet, sent(1), drafts=[{"id": "d1", "steps": []}])

    shown = take(client, survey, file).content.decode()

    assert "1 outline was still being drawn" in shown
    assert Entry.objects.count() == 1


def test_a_file_that_is_taken_in_leaves_nothing_unsent_on_the_desks_list(client, survey, tablet):
    tablet.unsent = 9
    tablet.save()

    take(client, survey, work(tablet, sent(1), sent(2, item="L2")))

    tablet.refresh_from_db()
    assert (tablet.unsent, tablet.received_to) == (0, 2)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"base64": base64.b64encode(b"other bytes").decode()}, "not those that its digest names"),
        ({"base64": "!!!"}, "cannot be read"),
        ({"base64": None}, "no digest or no bytes"),
        ({"digest": "../../etc"}, "no digest or no bytes"),
        ({"mime": "text/html"}, "no photograph"),
    ],
)
def test_a_wrong_photograph_is_named_and_not_kept(client, survey, tablet, changes, said):
    file = work(tablet, sent(1), photographs=[photograph(picture(), **changes)])

    answer = take(client, survey, file)

    assert said in answer.content.decode().replace("&#x27;", "'")
    assert not Blob.objects.exists()
    assert Entry.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"format": "something"}, "no work file of a tablet"),
        ({"version": 2}, "version 2"),
        ({"device": "Deck 1"}, "no tablet&#x27;s id"),
        ({"device": None}, "never prepared for a survey"),
        ({"device": 7}, "no tablet&#x27;s id"),
        ({"device": str(uuid.uuid4())}, "not enrolled on this wall"),
        ({"wall": "signal-box"}, "of the wall"),
        ({"wall": ["booking-hall"]}, "short text"),
        ({"survey": "B1"}, "enrolled for survey W1"),
        ({"entries": {"0": 1}}, "entries must be a list"),
        ({"photographs": "none"}, "photographs must be a list"),
    ],
    ids=str,
)
def test_a_foreign_or_broken_envelope_is_refused_whole(client, survey, tablet, changes, said):
    answer = take(client, survey, work(tablet, sent(1), **changes))

    assert answer.status_code == 400
    assert said in answer.content.decode()
    assert not Entry.objects.exists() and not SetAside.objects.exists()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{",
        b"\xff\xd8\xff\xe0 a picture",
        b"[]",
        b"null",
        b'{"format": NaN}',
        b"[" * 100_000,
        b'{"format": "pontata-work", "format": "x"}',
    ],
    ids=lambda data: repr(data[:20]),
)
def test_a_file_that_is_no_json_object_is_refused_in_words(client, survey, tablet, data):
    answer = take(client, survey, data)

    assert answer.status_code == 400
    assert 'role="alert"' in answer.content.decode()


def test_a_file_above_the_limit_is_refused_and_the_limit_is_on_the_page(
    client, survey, tablet, monkeypatch
):
    monkeypatch.setattr(work_file, "LARGEST_FILE_BYTES", 1000)

    answer = take(client, survey, work(tablet, *[sent(n) for n in range(1, 9)]))

    assert answer.status_code == 400
    assert "larger than" in answer.content.decode()
    assert "at most 256 MB" in answer.content.decode()
    assert not Entry.objects.exists()


def test_without_a_file_the_page_says_so(client, survey, tablet):
    answer = client.post(reverse("tablets:work_file", args=[survey.wall.slug]))

    assert answer.status_code == 400
    assert "No file was chosen" in answer.content.decode()


def test_a_retired_tablets_file_waits_for_the_lead(client, survey, tablet, conservator):
    retire(tablet, account=conservator, reason="lost")

    shown = take(client, survey, work(tablet, sent(1))).content.decode()

    assert "1 set aside" in shown
    assert not Entry.objects.exists()
    assert SetAside.objects.count() == 1
