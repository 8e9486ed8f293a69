"""How do several processes of a test stand on one database of their own?

A file on SQLite, a new database on PostgreSQL: what is committed there cannot be taken back, by
design. Each process runs a script of this folder and prints what it has to tell.
"""

import contextlib
import os
import subprocess
import sys
import uuid
from pathlib import Path
from urllib.parse import urlsplit

import psycopg

SUPPORT = Path(__file__).resolve().parent
PROJECT = SUPPORT.parents[1]
LIMIT_S = 240  # a machine that is busy with other tests is slow, not wrong


@contextlib.contextmanager
def own_database(data_folder, *, prefix):
    """Yield the environment of processes that share a new database."""
    own = {
        **os.environ,
        "PONTATA_DATA": str(data_folder),
        "DJANGO_SETTINGS_MODULE": "survey.settings",
    }
    if not os.environ.get("DATABASE_URL"):
        yield own
        return
    owner_url = os.environ.get("DATABASE_OWNER_URL") or os.environ["DATABASE_URL"]
    name = f"{prefix}_{uuid.uuid4().hex[:12]}"
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


class Script:
    """A script of this folder, run with words in an environment."""

    def __init__(self, name, environment):
        self.path = SUPPORT / name
        self.environment = environment

    def start(self, *words):
        return subprocess.Popen(
            [sys.executable, str(self.path), *words],
            cwd=PROJECT,
            env=self.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def run(self, *words):
        process = self.start(*words)
        told = answer_of(process)
        assert process.returncode == 0
        return told

    def start_together(self, *lines):
        """Start several, wait until each says it is ready, and let them all go."""
        processes = [self.start(*words) for words in lines]
        assert [process.stdout.readline() for process in processes] == ["ready\n"] * len(lines)
        for process in processes:
            process.stdin.write("go\n")
            process.stdin.flush()
        return processes


def answer_of(process, *, limit_s=LIMIT_S):
    try:
        return process.communicate(timeout=limit_s)[0]
    finally:
        process.kill()
