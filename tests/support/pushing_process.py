"""What does one of several tablets do that push and pull at the same moment, each in a process?

Run as a process of its own: `prepare`, then `push NAME BATCHES` and `pull COUNT` at once, then
`read`. The database is that of the environment; calls go through the real views.
"""

import json
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import django

django.setup()

from django.conf import settings  # noqa: E402

from survey.installation import make_ready  # noqa: E402
from survey.ledger.models import Entry  # noqa: E402
from survey.people.models import Account, Role  # noqa: E402
from survey.record.models import Observation, Survey  # noqa: E402
from survey.tablet.models import Tablet  # noqa: E402
from survey.tablet.services import enrol, installation  # noqa: E402
from tests.support.factories import (  # noqa: E402
    make_member,
    make_survey,
    make_wall,
    observation_body,
)
from tests.support.sending_tablet import SendingTablet  # noqa: E402
from tests.support.tablet_calls import new_client  # noqa: E402

TABLETS = ("Deck 1", "Deck 2", "Deck 3")
IN_A_BATCH = 5
PULL_LIMIT_S = 200.0


def prepare():
    make_ready()
    wall = make_wall()
    account = make_member(wall, Role.CONSERVATOR, "tomas", display_name="Tomas Sedge")
    survey = make_survey(wall)
    for name in TABLETS:
        enrol(survey=survey, name=name, account=account)


def ready():
    """Return a signed-in client once the others are ready too."""
    settings.ALLOWED_HOSTS = ["testserver"]
    client = new_client(Account.objects.get(username="tomas"))
    print("ready", flush=True)
    sys.stdin.readline()
    return client


def tablet_called(name):
    row = Tablet.objects.get(name=name)
    return SendingTablet(id=str(row.pk), epoch=str(installation().epoch))


def push(name, batches):
    tablet, survey = tablet_called(name), Survey.objects.get()
    client = ready()
    began, told = time.time(), []
    for _ in range(int(batches)):
        for _ in range(IN_A_BATCH):
            tablet.say("observation", observation_body(survey))
        told += pushed(client, tablet)
    print(json.dumps({"receipts": told, "began": began, "ended": time.time()}))


def pushed(client, tablet):
    """Send what is unsent; return entry and place of each receipt."""
    sent = tablet.unsent
    body = {
        "contract": 1,
        "epoch": tablet.epoch,
        "sent_at": "2026-11-18T12:00:00Z",
        "unsent": len(sent),
        "photographs_unsent": 0,
        "entries": [said.value for said in sent],
    }
    address = f"/api/v1/tablets/{tablet.id}/push/"
    answer = client.post(address, data=json.dumps(body), content_type="application/json")
    assert answer.status_code == 200, answer.content
    receipts = answer.json()["receipts"]
    tablet.told(sent, receipts)
    return [[receipt["id"], receipt["seq"], receipt["status"]] for receipt in receipts]


def pull(count):
    """Pull by the cursor alone until so many entries were seen, as a tablet between two decks."""
    tablet = tablet_called(TABLETS[-1])
    client = ready()
    began, seen, cursor, pages = time.time(), [], 0, 0
    while len(seen) < int(count) and time.time() < began + PULL_LIMIT_S:
        answer = client.get(f"/api/v1/tablets/{tablet.id}/pull/?after={cursor}&limit=7")
        assert answer.status_code == 200, answer.content
        rows = answer.json()["entries"]
        seen += [[row["id"], row["seq"]] for row in rows]
        cursor = rows[-1]["seq"] if rows else cursor
        pages += bool(rows)
    print(json.dumps({"seen": seen, "pages": pages, "began": began, "ended": time.time()}))


def read():
    rows = Entry.objects.order_by("seq")
    kept = {
        "entries": [[str(row.pk), row.seq] for row in rows],
        "observations": Observation.objects.count(),
        "received_to": sorted(Tablet.objects.values_list("received_to", flat=True)),
    }
    print(json.dumps(kept))


if __name__ == "__main__":
    {"prepare": prepare, "push": push, "pull": pull, "read": read}[sys.argv[1]](*sys.argv[2:])
