"""Does the server keep what tablets send, whatever the order in which calls arrive or fail?

A hypothesis state machine over the real views and the real database. Each run stands in one
transaction that is rolled back at its end; an older state is put back by a savepoint, as a copy
of the database would be. At the end every tablet comes home and sends what it still holds.
"""

import hashlib
import json
import sys
import uuid

from django.db import transaction
from django.test import Client
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from gridmap.errors import PontataError
from survey.ledger.devices import leave_set_aside, take_set_aside
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry, SetAside, SetAsideSettled
from survey.ledger.services import rebuild
from survey.photos.models import Photograph
from survey.record.models import Continuation, Examination, Observation, Survey
from survey.record.services import append_to_survey, close_survey
from survey.tablet.models import Tablet
from survey.tablet.services import renew_epoch, retire
from tests.support.factories import observation_body
from tests.support.sending_tablet import Said, SendingTablet, digest_of_statement

MOST_TABLETS, MOST_IN_A_BATCH = 3, 6
CELLS = ("A1", "B2", "C3")
PROJECTED = (Observation, Examination, Photograph)
ANSWERED = ("stored", "already there", "stored as conflict", "set aside")
# What a broken tablet may send in the place of an entry, or do to one.
NO_ENTRY = ("words", 7, None, [], {}, {"id": "no-uuid"}, {"body": {}}, True)
HARM = ("digest", "kind", "body", "parent", "number", "id", "nan", "nul", "surrogate", "made_at")

which = st.integers(0, MOST_TABLETS - 1)
size = st.integers(1, MOST_IN_A_BATCH)


class Pushing(RuleBasedStateMachine):
    """Tablets that say, send and pull; a desk that closes, takes and leaves; copies put back.

    `scene` is given by the test: the survey, a conservator's client, and the lead's account.
    """

    scene = None

    def __init__(self):
        super().__init__()
        self.run = transaction.atomic()
        self.run.__enter__()
        self.survey = Survey.objects.get(pk=self.scene.survey.pk)
        self.client = self.scene.client
        self.tablets: list[SendingTablet] = []
        self.batches: list[
            tuple[SendingTablet, list[Said]]
        ] = []  # sent once; may arrive again, late
        self.acknowledged: dict[str, str] = {}  # entry → digest, since the last copy put back
        self.copies: list[tuple] = []
        self.photographs = 0
        self.enrol()

    # -- what people and tablets do

    @precondition(lambda self: len(self.tablets) < MOST_TABLETS and self.state() == "open")
    @rule()
    def enrol(self):
        body = {"wall": self.survey.wall.slug, "survey": self.survey.code, "name": "Deck"}
        answer = self.post("/api/v1/tablets/", body)
        assert answer.status_code in (200, 201), answer.content
        told = answer.json()
        assert told["next_device_seq"] == 1
        self.tablets.append(SendingTablet(id=told["tablet"]["id"], epoch=told["epoch"]))

    @rule(who=which, x=st.integers(0, 200), again=st.booleans(), at=which)
    def observe(self, who, x, again, at):
        """Draw an outline, or correct one that the tablet knows."""
        tablet = self.tablet(who)
        objects = tablet.objects_of("observation") if again else []
        object_id = objects[at % len(objects)] if objects else None
        parents = tablet.heads_of(object_id) if object_id else ()
        tablet.say("observation", self.outline(x), object_id=object_id, parents=parents)

    @rule(who=which, cell=st.sampled_from(CELLS), state=st.sampled_from(["seen", "touch"]))
    def examine(self, who, cell, state):
        """Two tablets that examine the same cell meet in one object."""
        tablet = self.tablet(who)
        object_id = str(uuid.uuid5(self.survey.id, f"examination:1:{cell}:normal"))
        body = {"layout": 1, "cell": cell, "mode": "normal", "state": state, "done": True}
        parents = tablet.heads_of(object_id)
        tablet.say("examination", body, object_id=object_id, parents=parents)

    @rule(who=which, at=which)
    def withdraw(self, who, at):
        tablet = self.tablet(who)
        objects = tablet.objects_of("observation")
        if objects:
            object_id = objects[at % len(objects)]
            body = {"reason": "Twice the same."}
            tablet.say("withdrawal", body, object_id=object_id, parents=tablet.heads_of(object_id))

    @rule(who=which, before=st.booleans())
    def photograph(self, who, before):
        """Take a note picture; its bytes come before or after the entry that names it."""
        tablet = self.tablet(who)
        self.photographs += 1
        data = f"{tablet.id} {self.photographs}".encode() * 3
        digest = hashlib.sha256(data).hexdigest()
        body = {
            "digest": digest, "size_bytes": len(data), "mime": "image/jpeg", "name": "note.jpg",
            "mode": "normal", "role": "note", "width_px": 40, "height_px": 30,
        }  # fmt: skip
        if before:
            tablet.say("photograph", body)
        self.hand_over(tablet, digest, data)
        if not before:
            tablet.say("photograph", body)

    @rule(who=which, value=st.sampled_from(NO_ENTRY))
    def send_what_is_no_entry(self, who, value):
        tablet = self.tablet(who)
        if isinstance(value, dict):
            value = {**value, "device_seq": tablet.next_number()}
        tablet.keep(value)

    @rule(who=which, harm=st.sampled_from(HARM))
    def send_a_harmed_entry(self, who, harm):
        tablet = self.tablet(who)
        whole = tablet.say("observation", self.outline(3))
        tablet.said.pop()
        tablet.keep(harmed(whole, harm))

    @rule(
        who=which,
        begin=st.integers(0, 3),
        count=size,
        order=st.randoms(use_true_random=False),
        fate=st.sampled_from(["answered", "answered", "answer lost", "request lost", "twice"]),
    )
    def push(self, who, begin, count, order, fate):
        """Send some of what is unsent, in any order; the request or its answer may be lost."""
        tablet = self.tablet(who)
        chosen = tablet.unsent[begin : begin + count]
        if fate != "answered":
            order.shuffle(chosen)
        self.batches.append((tablet, chosen))
        if fate == "request lost":
            return
        answer = self.deliver(tablet, chosen)
        if fate == "twice":
            kept = self.counts()
            answer = self.deliver(tablet, chosen)
            assert self.counts() == kept
        if fate != "answer lost":
            self.hear(tablet, chosen, answer)

    @precondition(lambda self: self.batches)
    @rule(at=st.integers(0, 50))
    def an_old_request_arrives(self, at):
        self.deliver(*self.batches[at % len(self.batches)])

    @rule(who=which, back=st.integers(0, 3), limit=st.integers(1, 200))
    def pull(self, who, back, limit):
        """Whatever the cursor, a page holds what follows it, without a hole."""
        tablet = self.tablet(who)
        after = max(0, max(tablet.pulled, default=0) - back)
        told = self.page(tablet, after=after, limit=limit)
        if told["epoch"] != tablet.epoch:
            tablet.begin_epoch(told["epoch"])
            return
        for row in told["entries"]:
            assert tablet.pulled.get(row["seq"], row)["digest"] == row["digest"]
            assert digest_of_statement(row) == row["digest"]
            tablet.pulled[row["seq"]] = row

    @rule(x=st.integers(0, 200))
    def the_desk_draws(self, x):
        if self.state() != "open":
            return
        draft = Draft(
            kind="observation",
            body=self.outline(x),
            object_id=new_id(),
            made_at=self.scene.made_at,
            observed_by="Ines Fallow",
        )
        append_to_survey(self.survey, [draft], writer=Writer(name="Ines Fallow", device="desk"))

    @rule(who=which)
    def retire_a_tablet(self, who):
        row = Tablet.objects.get(pk=self.tablet(who).id)
        if row.retired_at is None and len(self.tablets) > 1:
            retire(row, account=self.scene.lead, reason="Left on the train.")

    @precondition(lambda self: len(self.batches) > 5)
    @rule(sealed=st.booleans())
    def close(self, sealed):
        if self.state() == "open":
            close_survey(self.survey, by="Ines Fallow")
            if sealed:
                Survey.objects.filter(pk=self.survey.pk).update(state="sealed")

    @rule(at=st.integers(0, 50), take=st.booleans())
    def settle(self, at, take):
        """The lead takes what was set aside into the record after all, or leaves it out."""
        waiting = SetAside.objects.filter(settled__isnull=True).order_by("pk")
        if not waiting:
            return
        kept = waiting[at % len(waiting)]
        if not take:
            leave_set_aside(kept, by="Ines Fallow", reason="Sent by mistake.")
            return
        before = self.counts()
        try:
            with transaction.atomic():
                receipt = take_set_aside(kept, by="Ines Fallow")
        except PontataError:
            assert self.counts() == before
        else:
            assert Entry.objects.get(pk=receipt.id).device == kept.device

    @precondition(lambda self: len(self.copies) < 2)
    @rule()
    def copy_the_database(self):
        delivered = [(tablet, set(tablet.delivered)) for tablet in self.tablets]
        self.copies.append((transaction.savepoint(), delivered, dict(self.acknowledged)))

    @precondition(lambda self: self.copies)
    @rule()
    def put_the_copy_back(self):
        """An older state is put back; the epoch is renewed, and tablets enrolled since are lost."""
        savepoint, delivered, self.acknowledged = self.copies.pop()
        transaction.savepoint_rollback(savepoint)
        renew_epoch()
        for tablet, numbers in delivered:
            tablet.delivered = numbers
        self.tablets = [tablet for tablet, _ in delivered]
        self.batches = [batch for batch in self.batches if batch[0] in self.tablets]

    # -- what must hold after every step

    @invariant()
    def places_have_no_hole(self):
        rows = self.survey.logbook.entries.order_by("-seq").values_list("seq", flat=True)
        assert (rows.first() or 0) == rows.count()

    def teardown(self):
        try:
            if sys.exc_info()[0] is None:
                self.come_home()
        finally:
            transaction.set_rollback(True)
            self.run.__exit__(None, None, None)

    def come_home(self):
        """Every tablet sends what it holds and pulls to the end; then all must be told alike."""
        for tablet in self.tablets:
            self.send_everything(tablet)
        for tablet in self.tablets:
            self.pull_everything(tablet)
            for said in tablet.said:
                assert said.status in ANSWERED
                assert self.is_held(tablet, said.value), (said, self.trace(said))
        for entry_id, digest in self.acknowledged.items():
            assert Entry.objects.get(pk=entry_id).digest == digest
        for settled in SetAsideSettled.objects.exclude(entry=None):
            assert settled.entry.device_seq == settled.set_aside.device_seq
        self.nothing_stands_aside_and_in_the_record()
        self.rebuilding_gives_the_same_rows()

    def nothing_stands_aside_and_in_the_record(self):
        taken = Entry.objects.values_list("device", "device_seq", "digest")
        seen = {(device, number) for device, number, _ in taken if number is not None}
        for kept in SetAside.objects.filter(settled__isnull=True):
            value = json.loads(bytes(kept.raw).decode("utf-8", "surrogatepass"))
            if (kept.device, kept.device_seq) in seen and isinstance(value, dict):
                entry = Entry.objects.filter(device=kept.device, device_seq=kept.device_seq).get()
                assert {**entry.statement, "device_seq": kept.device_seq} != value

    def trace(self, said):
        return [bytes(r.raw) for r in SetAside.objects.filter(claimed_id=said.id)], list(
            Entry.objects.filter(pk=said.id).values()
        )

    def send_everything(self, tablet):
        for _ in range(3):  # a new epoch makes everything unsent once more
            while waiting := tablet.unsent[:MOST_IN_A_BATCH]:
                answer = self.deliver(tablet, waiting)
                self.hear(tablet, waiting, answer)
                if tablet.epoch != answer["epoch"]:
                    break

    def pull_everything(self, tablet):
        told = self.page(tablet, after=0, limit=200)
        if told["epoch"] != tablet.epoch:
            tablet.begin_epoch(told["epoch"])
            self.send_everything(tablet)
        seen, after = [], 0
        while rows := self.page(tablet, after=after, limit=7)["entries"]:
            seen += rows
            after = rows[-1]["seq"]
        kept = self.survey.logbook.entries.order_by("seq")
        assert [(row["seq"], row["id"], row["digest"]) for row in seen] == [
            (row.seq, str(row.pk), row.digest) for row in kept
        ]

    def is_held(self, tablet, value):
        """Say whether a thing stands in the record word for word, or aside in the lead's sight."""
        if isinstance(value, dict) and value.get("digest"):
            entry = Entry.objects.filter(digest=value["digest"]).first()
            if entry is not None:
                return str(entry.pk) == value["id"]
        aside = SetAside.objects.filter(device=tablet.device)
        return any(says(row, value) for row in aside)

    def rebuilding_gives_the_same_rows(self):
        before = projected(self.survey)
        rebuild(self.survey.logbook)
        assert projected(self.survey) == before

    # -- how calls are made

    def deliver(self, tablet, sent):
        values = [said.value for said in sent]
        body = {
            "contract": 1,
            "epoch": tablet.epoch,
            "sent_at": "2026-11-18T12:00:00Z",
            "unsent": len(tablet.unsent),
            "photographs_unsent": 0,
            "entries": values,
        }
        answer = self.post(f"/api/v1/tablets/{tablet.id}/push/", body)
        assert answer.status_code == 200, answer.content
        told = answer.json()
        tablet.delivered |= {n for n in map(number_of, values) if n is not None}
        assert told["received_to"] == gapless(tablet.delivered)
        for value, receipt in zip(values, told["receipts"], strict=True):
            self.check_receipt(value, receipt)
        return told

    def check_receipt(self, value, receipt):
        assert receipt["status"] in ANSWERED
        if receipt["status"] == "set aside":
            assert receipt["message"]
            assert receipt["seq"] is None
            return
        assert receipt["digest"] == value["digest"] == digest_of_statement(value)
        entry = Entry.objects.get(pk=receipt["id"])
        assert (entry.seq, entry.digest) == (receipt["seq"], value["digest"])
        self.acknowledged[receipt["id"]] = receipt["digest"]

    def hear(self, tablet, sent, answer):
        if answer["epoch"] != tablet.epoch:
            tablet.begin_epoch(answer["epoch"])
        else:
            tablet.told(sent, answer["receipts"])

    def page(self, tablet, *, after, limit):
        """Ask for a page of the feed and hold it against the logbook."""
        address = f"/api/v1/tablets/{tablet.id}/pull/?after={after}&limit={limit}"
        answer = self.client.get(address)
        assert answer.status_code == 200, answer.content
        told = answer.json()
        places = [row["seq"] for row in told["entries"]]
        assert places == list(range(after + 1, after + 1 + len(places)))
        assert len(places) == min(limit, max(0, told["head"] - after))
        return told

    def hand_over(self, tablet, digest, data):
        """Send the bytes in two parts, the second perhaps again after its answer was lost."""
        half = len(data) // 2
        for offset, part in ((0, data[:half]), (half, data[half:]), (half, data[half:])):
            address = (
                f"/api/v1/tablets/{tablet.id}/blobs/{digest}?offset={offset}&total={len(data)}"
            )
            answer = self.client.put(address, data=part, content_type="application/octet-stream")
            assert answer.status_code == 200, answer.content
        assert answer.json() == {"digest": digest, "held": len(data), "complete": True}

    def post(self, address, body):
        return self.client.post(address, data=json.dumps(body), content_type="application/json")

    def tablet(self, number):
        return self.tablets[number % len(self.tablets)]

    def state(self):
        return Survey.objects.values_list("state", flat=True).get(pk=self.survey.pk)

    def counts(self):
        return Entry.objects.count(), SetAside.objects.count(), SetAsideSettled.objects.count()

    def outline(self, x):
        ring = [[x, 10.0], [x + 2.0, 10.0], [x + 2.0, 13.0], [x, 13.0], [x, 10.0]]
        shape = {"type": "Polygon", "coordinates": [[[float(a), b] for a, b in ring]]}
        return observation_body(self.scene.survey, geometry=shape)


def harmed(value, harm):
    """Return an entry with one thing wrong, under its own number unless that is the harm."""
    body = value["body"]
    changes = {
        "digest": {"digest": "0" * 64},
        "kind": {"kind": "poem"},
        "body": {"body": {**body, "condition": 9}},
        "parent": {"parents": [str(uuid.uuid4())]},
        "number": {"device_seq": 1},
        "id": {"id": 12},
        "nan": {"body": {**body, "boundary_error_in": float("nan")}},
        "nul": {"body": {**body, "note": "a\0b"}},
        "surrogate": {"body": {**body, "note": "\ud800"}},
        "made_at": {"made_at": "yesterday"},
    }
    wrong = {**value, **changes[harm]}
    if harm in {"kind", "body", "parent"}:
        wrong["digest"] = digest_of_statement(wrong)
    return wrong


def number_of(value):
    number = value.get("device_seq") if isinstance(value, dict) else None
    return number if isinstance(number, int) and not isinstance(number, bool) else None


def gapless(numbers):
    highest = 0
    while highest + 1 in numbers:
        highest += 1
    return highest


def says(kept, value):
    """Say whether what was set aside says what was sent, beyond digest and order of keys."""
    raw = json.loads(bytes(kept.raw).decode("utf-8", "surrogatepass"))
    return text_of(raw) == text_of(value)


def text_of(value):
    if isinstance(value, dict):
        value = {key: part for key, part in value.items() if key != "digest"}
    return json.dumps(value, sort_keys=True)  # as text, because NaN is not equal to itself


def projected(survey):
    """Return every projected row of a survey without the numbers that the database gives."""
    rows = {
        model.__name__: sorted(map(repr, model.objects.filter(survey=survey).values()))
        for model in PROJECTED
    }
    links = Continuation.objects.filter(observation__survey=survey)
    rows["Continuation"] = sorted(links.values_list("observation_id", "prior_object_id"))
    rows["Survey"] = list(Survey.objects.filter(pk=survey.pk).values("state", "closed_on"))
    return rows


def new_client(account):
    client = Client()
    client.force_login(account)
    return client
