"""Do web server and worker start together and end together?"""

import os
import signal
import time
import urllib.error
import urllib.request

import psutil
import pytest

from tests.support.running_server import running_server, start_server, wait_until_it_answers

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(os.name == "nt", reason="stops the server by POSIX signals"),
]


@pytest.fixture
def server(tmp_path):
    server, process = start_server("serve", tmp_path)
    wait_until_it_answers(server, process)
    yield server, process
    if process.poll() is None:
        process.kill()
        process.wait()


def children_of(process):
    return psutil.Process(process.pid).children(recursive=True)


@pytest.mark.parametrize("asked", [signal.SIGINT, signal.SIGTERM])
def test_one_signal_ends_the_web_server_and_the_worker(server, asked):
    _, process = server
    children = children_of(process)
    commands = " ".join(part for child in children for part in child.cmdline())
    assert "gunicorn" in commands
    assert "db_worker" in commands

    process.send_signal(asked)
    code = process.wait(20)

    gone, alive = psutil.wait_procs(children, timeout=10)
    assert code == 0
    assert alive == []
    assert len(gone) == len(children)


def test_a_worker_that_ends_takes_the_web_server_with_it_and_says_so(server):
    running, process = server
    worker = next(child for child in children_of(process) if "db_worker" in child.cmdline())

    worker.kill()
    code = process.wait(20)

    assert code == 1
    assert "The worker ended by itself" in running.log.read_text()
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(running.url, timeout=2)


def test_the_second_start_finds_the_database_as_it_was_left(tmp_path):
    with running_server("serve", tmp_path):
        pass
    first = (tmp_path / "secret-key").read_text()

    began = time.monotonic()
    with running_server("serve", tmp_path) as server:
        took_s = time.monotonic() - began
        assert urllib.request.urlopen(server.url, timeout=5).status == 200

    assert (tmp_path / "secret-key").read_text() == first
    assert took_s < 60


def test_a_fresh_installation_says_how_to_make_the_first_account(tmp_path):
    with running_server("serve", tmp_path) as server:
        said = server.log.read_text()

    assert "createsuperuser" in said
    assert server.url in said
