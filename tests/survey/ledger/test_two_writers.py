"""Do two processes that write into one logbook at once lose nothing and leave no gap?"""

import json

import pytest

from tests.support.processes import Script, answer_of, own_database

pytestmark = [pytest.mark.database]

BATCHES = 25  # of two entries each, per writer


@pytest.fixture
def script(tmp_path):
    with own_database(tmp_path, prefix="two_writers") as environment:
        yield Script("pair_of_writers.py", environment)


def test_two_writers_at_once_leave_no_gap_and_lose_nothing(script):
    script.run("prepare")

    writers = script.start_together(*(("write", name, str(BATCHES)) for name in ("ines", "tomas")))
    told = [json.loads(answer_of(writer)) for writer in writers]

    kept = json.loads(script.run("read"))
    receipts = {
        entry: seq for one in told for entry, seq, status in one["receipts"] if status == "stored"
    }
    assert max(one["began"] for one in told) < min(one["ended"] for one in told)
    assert [seq for _, seq, _ in kept["entries"]] == list(range(1, 4 * BATCHES + 1))
    assert {entry: seq for entry, seq, _ in kept["entries"]} == receipts
    assert kept["observations"] == 4 * BATCHES
