"""How does a test get a real server to talk to?

The server is a process of its own on a data folder of its own, so no test database is shared with
it and none has to be emptied. It listens on this machine only.
"""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from dataclasses import dataclass
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
START_LIMIT_S = 240.0  # the demo paints its pictures on first use
STOP_LIMIT_S = 20.0


@dataclass(frozen=True)
class RunningServer:
    """A server under test: where it answers, where it keeps its data, what it has printed."""

    url: str
    data_folder: Path
    log: Path


@pytest.fixture(scope="session")
def demo_server(tmp_path_factory):
    """The demo as a newcomer starts it: the invented wall with its four surveys."""
    with running_server("demo", tmp_path_factory.mktemp("demo")) as server:
        yield server


@pytest.fixture(scope="session")
def empty_server(tmp_path_factory):
    """A server with no wall and no account yet."""
    with running_server("serve", tmp_path_factory.mktemp("empty")) as server:
        yield server


@contextlib.contextmanager
def running_server(command, data_folder):
    """Run `manage.py COMMAND` on a free port until the block ends."""
    server, process = start_server(command, data_folder)
    try:
        wait_until_it_answers(server, process)
        yield server
    finally:
        stop(process)


def start_server(command, data_folder, *options, port=None):
    """Start `manage.py COMMAND`, on a free port if none is given; return server and process."""
    port = port or free_port()
    log = data_folder / "server.log"
    environment = {
        **os.environ,
        "PONTATA_DATA": str(data_folder),
        "PONTATA_SETUP": "0",
        "PYTHONUNBUFFERED": "1",
    }
    for variable in ("DATABASE_URL", "DATABASE_OWNER_URL", "PONTATA_CLOCK"):
        environment.pop(variable, None)
    with log.open("wb") as output:
        process = subprocess.Popen(
            [sys.executable, "manage.py", command, "--port", str(port), *options],
            cwd=PROJECT,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
        )
    return RunningServer(url=f"http://127.0.0.1:{port}", data_folder=data_folder, log=log), process


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_until_it_answers(server, process):
    deadline = time.monotonic() + START_LIMIT_S
    while time.monotonic() < deadline:
        if process.poll() is not None:
            pytest.fail(f"the server ended with {process.returncode}:\n{server.log.read_text()}")
        try:
            urllib.request.urlopen(server.url, timeout=5).close()
            return
        except urllib.error.HTTPError as error:
            pytest.fail(f"{server.url} answers with {error.code}:\n{server.log.read_text()}")
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    pytest.fail(f"no answer within {START_LIMIT_S:.0f} s:\n{server.log.read_text()}")


def stop(process):
    """Ask the server to end as Ctrl-C would; it must take its worker with it."""
    if process.poll() is None:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(STOP_LIMIT_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
