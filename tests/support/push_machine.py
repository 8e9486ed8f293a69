"""Does the server keep what tablets send, whatever the order in which calls arrive or fail?

A hypothesis state machine over the real views and the real database. Each run stands in one
transaction that is rolled back at its end; an older state is put back by a savepoint, as a copy
of the database would be. At the end every tablet comes home and sends what it still holds.
"""

import hashlib
import sys
import uuid

from django.db import transaction
from django.db.models import Count, Max
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from gridmap.errors import PontataError
from survey.ledger.devices import leave_set_aside, take_set_aside
from survey.ledger.drafts import Draft, Writer, new_id
from survey.ledger.models import Entry, SetAside, SetAsideSettled
from survey.ledger.services import rebuild
from survey.record.models import Survey
from survey.record.services import append_to_survey, close_survey
from survey.tablet.models import Tablet
from survey.tablet.services import renew_epoch, retire
from tests.support.factories import observation_body
from tests.support.kept_rows import is_held, nothing_is_kept_twice, projected
from tests.support.sending_tablet import (
    HARM,
    NO_ENTRY,
    Said,
    SendingTablet,
    digest_of_statement,
    harmed,
)
from tests.support.tablet_calls import ANSWERED, Calls

MOST_TABLETS, MOST_IN_A_BATCH = 3, 6
CELLS = ("A01", "B02")

xs = st.integers(0, 200)
which = st.integers(0, MOST_TABLETS - 1)
size = st.integers(1, MOST_IN_A_BATCH)
orders = st.randoms(use_true_random=False)


class Pushing(Calls, RuleBasedStateMachine):
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
        for _ in range(2):
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

    @rule(who=which, x=xs, count=st.integers(1, 4))
    def observe(self, who, x, count):
        for number in range(count):
            self.tablet(who).say("observation", self.outline(x + number))

    @rule(who=which, x=xs, at=which)
    def correct(self, who, x, at):
        """Correct an outline that the tablet knows, its own or another's."""
        tablet = self.tablet(who)
        objects = tablet.objects_of("observation")
        if objects:
            object_id = objects[-1 - at % len(objects)]
            parents = tablet.heads_of(object_id)
            tablet.say("observation", self.outline(x), object_id=object_id, parents=parents)

    @rule(who=which, others=st.integers(0, 1), cell=st.sampled_from(CELLS))
    def examine(self, who, others, cell):
        """Tablets that examine the same cell meet in one object, and may not agree."""
        object_id = str(uuid.uuid5(self.survey.id, f"examination:1:{cell}:normal"))
        for number, state in zip(range(who, who + others + 1), ("seen", "touch"), strict=False):
            tablet = self.tablet(number)
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

    @rule(who=which, count=size)
    def push(self, who, count):
        """Send the first of what is unsent and hear the answer, as on a good day."""
        tablet = self.tablet(who)
        sent = self.batch(tablet, tablet.unsent[:count])
        self.hear(tablet, sent, self.deliver(tablet, sent))

    @rule(who=which, begin=st.integers(0, 3), count=size, order=orders)
    def push_out_of_order(self, who, begin, count, order):
        tablet = self.tablet(who)
        chosen = tablet.unsent[begin : begin + count]
        order.shuffle(chosen)
        sent = self.batch(tablet, chosen)
        self.hear(tablet, sent, self.deliver(tablet, sent))

    @rule(who=which, count=size)
    def push_and_lose_the_answer(self, who, count):
        tablet = self.tablet(who)
        self.deliver(tablet, self.batch(tablet, tablet.unsent[:count]))

    @rule(who=which, count=size)
    def push_and_lose_the_request(self, who, count):
        """It may still arrive, late."""
        tablet = self.tablet(who)
        self.batch(tablet, tablet.unsent[:count])

    @rule(who=which, count=size)
    def push_twice(self, who, count):
        """The same batch again changes nothing."""
        tablet = self.tablet(who)
        sent = self.batch(tablet, tablet.unsent[:count])
        self.deliver(tablet, sent)
        kept = self.counts()
        self.hear(tablet, sent, self.deliver(tablet, sent))
        assert self.counts() == kept

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

    @rule(x=xs)
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

    @precondition(lambda self: len(self.batches) > 6)
    @rule(who=which)
    def retire_a_tablet(self, who):
        row = Tablet.objects.get(pk=self.tablet(who).id)
        if row.retired_at is None and len(self.tablets) > 1:
            retire(row, account=self.scene.lead, reason="Left on the train.")

    @precondition(lambda self: len(self.batches) > 6)
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
        told = self.survey.logbook.entries.aggregate(last=Max("seq"), count=Count("seq"))
        assert (told["last"] or 0) == told["count"]

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
        entries = {str(entry.pk): entry for entry in Entry.objects.all()}
        aside = list(SetAside.objects.select_related("settled__entry"))
        for tablet in self.tablets:
            for said in tablet.said:
                assert said.status in ANSWERED
                assert is_held(tablet, said.value, entries=entries, aside=aside), said
        for entry_id, digest in self.acknowledged.items():
            assert entries[entry_id].digest == digest
        nothing_is_kept_twice(entries.values(), aside)
        self.rebuilding_gives_the_same_rows()

    def send_everything(self, tablet):
        while waiting := tablet.unsent[:MOST_IN_A_BATCH]:
            self.hear(tablet, waiting, self.deliver(tablet, waiting))

    def pull_everything(self, tablet):
        told = self.page(tablet, after=0, limit=7)
        if told["epoch"] != tablet.epoch:
            tablet.begin_epoch(told["epoch"])
            self.send_everything(tablet)
            told = self.page(tablet, after=0, limit=7)
        seen = told["entries"]
        while rows := self.page(tablet, after=len(seen), limit=200)["entries"]:
            seen += rows
        kept = self.survey.logbook.entries.order_by("seq")
        assert [(row["seq"], row["id"], row["digest"]) for row in seen] == [
            (row.seq, str(row.pk), row.digest) for row in kept
        ]

    def rebuilding_gives_the_same_rows(self):
        before = projected(self.survey)
        rebuild(self.survey.logbook)
        assert projected(self.survey) == before

    # -- what the rules need

    def batch(self, tablet, chosen):
        """Note what is sent, because a request may arrive again, late."""
        self.batches.append((tablet, chosen))
        return chosen

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
