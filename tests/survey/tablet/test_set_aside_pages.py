"""Does the lead see everything that was set aside, whatever it is, and is nothing ever lost?"""

import json
import uuid

import pytest
from django.db import transaction
from django.urls import reverse

from survey.ledger.canonical import canonical_bytes, digest_of
from survey.ledger.devices import take_from_device
from survey.ledger.drafts import Writer, read_draft
from survey.ledger.models import SetAside, SetAsideSettled
from survey.people.models import Role
from survey.record.services import close_survey, newly_seen_refused
from tests.support.factories import make_account, make_member, make_survey, make_wall
from tests.survey.api.drafts import RING, entry

pytestmark = [pytest.mark.django_db, pytest.mark.database]

TABLET = Writer(name="Priya Lund", device=f"tablet {uuid.UUID(int=7)}", sets_aside=True)


@pytest.fixture
def survey():
    return make_survey(make_wall(lead=make_account("ines", display_name="Ines Fallow")), "W1")


@pytest.fixture
def lead(client, survey):
    client.force_login(survey.wall.memberships.get().account)


def send(survey, *things, refuse=None):
    take_from_device(things, logbook=survey.logbook, writer=TABLET, refuse=refuse)
    return list(SetAside.objects.order_by("pk"))


def page(client, survey):
    address = reverse("tablets:set_aside", args=[survey.wall.slug, survey.code])
    return client.get(address).content.decode()


def settle(client, survey, aside, **sent):
    address = reverse("tablets:settle", args=[survey.wall.slug, survey.code, aside.pk])
    return client.post(address, sent)


def digested(sent):
    """Return what a tablet sends, with the digest that it would give."""
    draft = read_draft(sent, where="entry", observer="Priya Lund", recorder="Priya Lund")
    return {**sent, "digest": digest_of(canonical_bytes(draft.statement()))}


def late(survey):
    """Set aside a sound observation that reached the survey after it was closed."""
    close_survey(survey, by="Ines Fallow")
    sent = digested(entry(observed_by="Priya Lund"))
    with transaction.atomic():
        (aside,) = send(survey, sent, refuse=newly_seen_refused(survey))
    return aside


def test_what_was_set_aside_is_shown_with_why_when_and_from_where(client, survey, lead):
    send(survey, digested(entry(observed_by="Priya Lund", term="no-such-term")))

    shown = page(client, survey)

    assert "no-such-term" in shown
    assert "Tablet 00000000" in shown
    assert "Priya Lund" in shown
    assert SetAside.objects.get().reason.split("'")[0] in shown


def test_an_outline_that_reads_is_drawn(client, survey, lead):
    send(survey, digested(entry(observed_by="Priya Lund", condition=9)))

    assert 'class="cut-this"' in page(client, survey)


@pytest.mark.parametrize(
    "geometry",
    [
        "a square",
        {"type": "Polygon"},
        {"type": "Polygon", "coordinates": []},
        {"type": "Polygon", "coordinates": [[]]},
        {"type": "Polygon", "coordinates": [["x", "y"]]},
        {"type": "Polygon", "coordinates": [[[1e300, 1], [2, 2], [3, 3]]]},
        {"type": "Banana", "coordinates": [RING]},
        {"type": ["Polygon"], "coordinates": [RING]},
        {"type": "Point", "coordinates": None},
        {"type": "Point", "coordinates": {"0": 1}},
        {"type": "Polygon", "coordinates": [[[-9000, 5], [-9100, 5], [-9100, 9]]]},
        {"type": "MultiPolygon", "coordinates": [[[[]]]]},
    ],
    ids=str,
)
def test_an_outline_that_does_not_read_or_lies_off_the_wall_is_not_drawn(
    client, survey, lead, geometry
):
    send(survey, entry(observed_by="Priya Lund", geometry=geometry))

    shown = page(client, survey)

    assert 'class="cut-this"' not in shown
    assert "What was sent, as it came" in shown


@pytest.mark.parametrize(
    "thing",
    [
        None,
        [],
        "text",
        17,
        {"body": {"note": "<script>alert(1)</script>"}},
        {"kind": ["observation"], "body": [1, 2]},
        {"kind": "\ud800", "body": {}},
        {"note": "nul \x00 inside"},
    ],
    ids=repr,
)
def test_anything_at_all_can_be_looked_at(client, survey, lead, thing):
    send(survey, thing)

    answer = client.get(reverse("tablets:set_aside", args=[survey.wall.slug, survey.code]))

    assert answer.status_code == 200
    assert "<script>alert" not in answer.content.decode()


def test_a_very_long_thing_is_cut_on_the_page_and_whole_in_the_download(client, survey, lead):
    (aside,) = send(survey, {"note": "x" * 50_000})

    shown = page(client, survey)
    raw = client.get(reverse("tablets:raw", args=[survey.wall.slug, survey.code, aside.pk]))

    assert "more characters are not shown" in shown
    assert raw.content == bytes(aside.raw)
    assert raw["Content-Type"] == "application/octet-stream"
    assert raw["Content-Disposition"].startswith("attachment")


def test_newly_seen_things_of_a_closed_survey_are_taken_in_as_an_amendment(client, survey, lead):
    aside = late(survey)

    answer = settle(client, survey, aside, do="take", reason="Seen before it was closed.")

    assert answer.status_code == 302
    row = survey.observations.get()
    assert (row.item, row.observed_by, row.head.device) == ("L1", "Priya Lund", TABLET.device)
    settled = SetAsideSettled.objects.get()
    assert (settled.settled_by, settled.entry_id) == ("Ines Fallow", row.head_id)
    assert SetAside.objects.count() == 1
    assert "taken into the record, place 2" in page(client, survey)


def test_what_can_be_no_entry_is_not_taken_and_says_why(client, survey, lead):
    (aside,) = send(survey, digested(entry(observed_by="Priya Lund", condition=9)))

    answer = settle(client, survey, aside, do="take")

    assert answer.status_code == 400
    assert "condition is 9" in answer.content.decode()
    assert not SetAsideSettled.objects.exists()
    assert not survey.observations.exists()


def test_leaving_out_needs_a_reason_and_deletes_nothing(client, survey, lead):
    (aside,) = send(survey, {"note": "slip of the hand"})

    refused = settle(client, survey, aside, do="leave", reason=" ")
    settle(client, survey, aside, do="leave", reason="A test of the tablet.")

    assert refused.status_code == 400
    assert SetAside.objects.count() == 1
    shown = page(client, survey)
    assert "left out" in shown and "A test of the tablet." in shown
    assert "Nothing waits." in shown


def test_what_is_settled_is_not_settled_again(client, survey, lead):
    aside = late(survey)
    settle(client, survey, aside, do="leave", reason="Wrong wall.")

    answer = settle(client, survey, aside, do="take")

    assert answer.status_code == 400
    assert "has settled this already" in answer.content.decode()
    assert not survey.observations.exists()


def test_the_lead_is_told_on_the_survey_page_and_a_conservator_is_not(client, survey):
    send(survey, {"note": "what is this"})
    address = reverse("record:survey", args=[survey.wall.slug, survey.code])

    client.force_login(make_member(survey.wall, Role.CONSERVATOR))
    to_conservator = client.get(address).content.decode()
    client.force_login(survey.wall.memberships.get(role=Role.LEAD).account)
    to_lead = client.get(address).content.decode()

    assert "set aside" not in to_conservator
    assert "Survey W1: 1 statement from tablets is set aside and waits for you." in to_lead


def test_nothing_of_another_survey_is_reached_by_its_number(client, survey, lead):
    (aside,) = send(survey, {"note": "of W1"})
    other = make_survey(survey.wall, "W2")

    assert settle(client, other, aside, do="leave", reason="x").status_code == 404
    assert not SetAsideSettled.objects.exists()


def test_json_is_set_out_in_lines(client, survey, lead):
    send(survey, {"note": "Grüße", "numbers": [1, 2]})

    shown = page(client, survey)

    pretty = json.dumps({"note": "Grüße", "numbers": [1, 2]}, ensure_ascii=False, indent=2)
    assert pretty.replace('"', "&quot;") in shown
