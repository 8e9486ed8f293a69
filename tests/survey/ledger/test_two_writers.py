"""Do two processes that write into one logbook at once lose nothing and leave no gap?

The processes stand on a database of their own, made for the test: a file on SQLite, a new
database on PostgreSQL. What is committed there cannot be taken back, by design.
"""

import json
import os
import subprocess
import sys
import uuid
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest

pytestmark = [pytest.mark.database]

PROJECT = Path(__file__).resolve().parents[3]
SCRIPT = PROJECT / "tests" / "support" / "pair_of_writers.py"
BATCHES = 25  # of two entries each, per writer
LIMIT_S = 60


@pytest.fixture
def environment(tmp_path):
    """The environment of processes that share a new database."""
    own = {**os.environ, "PONTATA_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "survey.settings"}
    if not os.environ.get("DATABASE_URL"):
        yield own
        return
    owner_url = os.environ.get("DATABASE_OWNER_URL") or os.environ["DATABASE_URL"]
    name = f"two_writers_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(owner_url, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    renamed = {
        variable: urlsplit(os.environ[variable])._replace(path=f"/{name}").geturl()
        for variable in ("DATABASE_URL", "DATABASE_OWNER_URL")
        if os.environ.get(variable)
    }
    yield {**own, **renamed}
    with psycopg.connect(owner_url, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE "{name}"')


def start(environment, *words):
    return subprocess.Popen(
        [sys.executable, str(SCRIPT), *words],
        cwd=PROJECT,
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def run(environment, *words):
    process = start(environment, *words)
    told = answer_of(process)
    assert process.returncode == 0
    return told


def answer_of(process):
    try:
        return process.communicate(timeout=LIMIT_S)[0]
    finally:
        process.kill()


def test_two_writers_at_once_leave_no_gap_and_lose_nothing(environment):
    run(environment, "prepare")
    writers = [start(environment, "write", name, str(BATCHES)) for name in ("ines", "tomas")]
    assert [writer.stdout.readline() for writer in writers] == ["ready\n", "ready\n"]

    for writer in writers:
        writer.stdin.write("go\n")
        writer.stdin.flush()
    told = [json.loads(answer_of(writer)) for writer in writers]

    kept = json.loads(run(environment, "read"))
    receipts = {
        entry: seq for one in told for entry, seq, status in one["receipts"] if status == "stored"
    }
    assert max(one["began"] for one in told) < min(one["ended"] for one in told)
    assert [seq for _, seq, _ in kept["entries"]] == list(range(1, 4 * BATCHES + 1))
    assert {entry: seq for entry, seq, _ in kept["entries"]} == receipts
    assert kept["observations"] == 4 * BATCHES
