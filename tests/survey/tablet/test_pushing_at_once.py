"""Does a tablet that pulls while two others push see every entry, in order and once?

A cursor over places that are taken before they are committed would skip rows for good: what comes
to light behind the cursor is never asked for again.
"""

import json

import pytest

from tests.support.processes import Script, answer_of, own_database
from tests.support.pushing_process import IN_A_BATCH

pytestmark = [pytest.mark.database, pytest.mark.long]

BATCHES = 20  # per pushing tablet
PUSHING = ("Deck 1", "Deck 2")
SENT = len(PUSHING) * BATCHES * IN_A_BATCH


@pytest.fixture
def script(tmp_path):
    with own_database(tmp_path, prefix="pushing") as environment:
        yield Script("pushing_process.py", environment)


def test_a_cursor_skips_no_row_while_two_tablets_push(script):
    script.run("prepare")

    *pushing, pulling = script.start_together(
        *(("push", name, str(BATCHES)) for name in PUSHING), ("pull", str(SENT))
    )
    pushed = [json.loads(answer_of(process)) for process in pushing]
    pulled = json.loads(answer_of(pulling))

    kept = json.loads(script.run("read"))
    receipts = sorted([seq, entry] for one in pushed for entry, seq, _ in one["receipts"])
    assert max(one["began"] for one in pushed) < min(one["ended"] for one in pushed)
    assert pulled["began"] < min(one["ended"] for one in pushed)
    assert {status for one in pushed for _, _, status in one["receipts"]} == {"stored"}
    assert [seq for seq, _ in receipts] == list(range(1, SENT + 1))
    assert [[seq, entry] for entry, seq in kept["entries"]] == receipts
    assert pulled["seen"] == kept["entries"]
    assert pulled["pages"] > 1
    assert kept["observations"] == SENT
    assert kept["received_to"] == [0, BATCHES * IN_A_BATCH, BATCHES * IN_A_BATCH]
