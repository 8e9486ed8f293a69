"""What does one of two writers do who put entries into one logbook at the same moment?

Run as a process of its own: `prepare`, then `write NAME COUNT` twice at once, then `read`. The
database is that of the environment. A writer says it is ready and waits for a line on its input.
"""

import json
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import django

django.setup()

from survey.installation import make_ready  # noqa: E402
from survey.ledger.drafts import Draft, Writer, new_id  # noqa: E402
from survey.ledger.models import Entry, Logbook  # noqa: E402
from survey.record.models import Observation, Survey  # noqa: E402
from survey.record.services import append_to_survey  # noqa: E402
from tests.support.factories import make_survey, make_wall, observation_body  # noqa: E402


def prepare():
    make_ready()
    make_survey(make_wall())


def write(name, count):
    survey = Survey.objects.get()
    print("ready", flush=True)
    sys.stdin.readline()
    began, receipts = time.time(), []
    for number in range(int(count)):
        drafts = [observed(survey, f"{name}{number}-{part}", name) for part in range(2)]
        receipts += append_to_survey(survey, drafts, writer=Writer(name=name, device=name))
    lines = [[str(receipt.id), receipt.seq, receipt.status] for receipt in receipts]
    print(json.dumps({"receipts": lines, "began": began, "ended": time.time()}))


def observed(survey, item, name):
    return Draft(
        kind="observation",
        body=observation_body(survey, item=item),
        object_id=new_id(),
        made_at=datetime(2026, 3, 3, 10, 15, tzinfo=UTC),
        observed_by=name,
    )


def read():
    logbook = Logbook.objects.get(name="B1")
    rows = Entry.objects.filter(logbook=logbook).order_by("seq")
    print(
        json.dumps(
            {
                "entries": [[str(row.pk), row.seq, row.carried_by] for row in rows],
                "observations": Observation.objects.count(),
            }
        )
    )


if __name__ == "__main__":
    {"prepare": prepare, "write": write, "read": read}[sys.argv[1]](*sys.argv[2:])
