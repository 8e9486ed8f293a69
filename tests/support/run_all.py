"""What does `python3 manage.py test` run, on which databases, and how did each end?

Everything on SQLite; then, where a PostgreSQL can be had, what is marked `database` once more on
it. Further arguments go to pytest as they are.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.support.postgres import NoPostgres, running_postgres

PROJECT = Path(__file__).resolve().parents[2]
NO_TEST_COLLECTED = 5  # pytest's exit code


def run_tests(arguments: Sequence[str]) -> int:
    """Run pytest once on SQLite and once on PostgreSQL; return 0 when both ended well."""
    print("Tests on SQLite.", flush=True)
    on_sqlite = pytest_with(arguments, database={})
    on_postgres, said = run_on_postgres(arguments)
    print(f"\nSQLite: {outcome(on_sqlite)}. PostgreSQL: {said}.", flush=True)
    return on_sqlite or on_postgres


def run_on_postgres(arguments: Sequence[str]) -> tuple[int, str]:
    """Run the tests marked `database` on the given PostgreSQL, or on one of our own."""
    if "-m" in arguments or any(part.startswith("-m") for part in arguments):
        return 0, "left out, because -m chooses the tests"
    if os.environ.get("DATABASE_URL"):
        given = {name: os.environ.get(name, "") for name in ("DATABASE_URL", "DATABASE_OWNER_URL")}
        return judged(marked_database(arguments, given))
    try:
        with running_postgres() as database:
            return judged(marked_database(arguments, database))
    except NoPostgres as reason:
        # On a laptop the second database is a bonus; where every change is judged it is not.
        return (1 if os.environ.get("CI") else 0), f"not run, {reason}"


def marked_database(arguments: Sequence[str], database: dict[str, str]) -> int:
    print("\nTests marked `database`, on PostgreSQL.", flush=True)
    return pytest_with(["-m", "database", *arguments], database=database)


def judged(code: int) -> tuple[int, str]:
    if code == NO_TEST_COLLECTED:
        return 0, "none of the chosen tests is marked `database`"
    return code, outcome(code)


def outcome(code: int) -> str:
    return "passed" if code == 0 else f"failed (pytest ended with {code})"


def pytest_with(arguments: Sequence[str], *, database: dict[str, str]) -> int:
    """Run pytest in a process of its own, on a data folder of its own."""
    with tempfile.TemporaryDirectory(prefix="pontata-test-") as data_folder:
        environment = {**os.environ, "PONTATA_DATA": data_folder}
        for variable in ("DATABASE_URL", "DATABASE_OWNER_URL", "PONTATA_CLOCK"):
            environment.pop(variable, None)
        environment.update({name: url for name, url in database.items() if url})
        command = [sys.executable, "-m", "pytest", *arguments]
        process = subprocess.Popen(command, cwd=PROJECT, env=environment)
        return wait_for(process)


def wait_for(process: subprocess.Popen) -> int:
    """Let pytest take Ctrl-C itself, and print its closing report."""
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            time.sleep(0.1)
