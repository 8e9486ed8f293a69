"""How does a tablet call the real views, and what must hold of every answer?"""

import json
from collections import Counter
from typing import ClassVar

from django.test import Client

from survey.ledger.models import Entry
from tests.support.sending_tablet import digest_of_statement, gapless, number_of

ANSWERED = ("stored", "already there", "stored as conflict", "set aside")


def new_client(account):
    client = Client()
    client.force_login(account)
    return client


class Calls:
    """The calls of tablets by one signed-in client; `acknowledged` holds entry → digest.

    `answers` counts each kind of answer over all runs, because a test in which everything is set
    aside would prove nothing.
    """

    client: Client
    acknowledged: dict[str, str]
    answers: ClassVar[Counter[str]] = Counter()

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
        self.answers[receipt["status"]] += 1
        if receipt["status"] == "set aside":
            assert receipt["message"]
            assert receipt["seq"] is None
            return
        assert receipt["digest"] == value["digest"] == digest_of_statement(value)
        kept = Entry.objects.values_list("seq", "digest").get(pk=receipt["id"])
        assert kept == (receipt["seq"], value["digest"])
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
