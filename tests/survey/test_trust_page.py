"""Can a tablet fetch the authority over plain HTTP and then open the pages over HTTPS?"""

import hashlib
import os
import socket
import ssl
import time
import urllib.error
import urllib.request

import pytest

from tests.support.running_server import start_server, stop

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(os.name == "nt", reason="--lan is refused on Windows"),
]
START_LIMIT_S = 60.0
ANSWER_LIMIT_S = 60.0  # a machine under load starts its web processes slowly


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lan")
    server, process = start_server(
        "serve", folder, "--lan", "--host", "localhost", "--name", "deck-laptop.lan"
    )
    _wait_until_announced(server, process)
    yield server
    stop(process)


def _wait_until_announced(server, process):
    deadline = time.monotonic() + START_LIMIT_S
    while "fingerprint" not in server.log.read_text():
        assert process.poll() is None, server.log.read_text()
        assert time.monotonic() < deadline, server.log.read_text()
        time.sleep(0.1)


def port_of(server):
    return int(server.url.rsplit(":", 1)[1])


def trust_page(server, path="/"):
    address = f"http://localhost:{port_of(server) + 1}{path}"
    return urllib.request.urlopen(address, timeout=ANSWER_LIMIT_S)


def test_the_fetched_authority_is_the_printed_one_and_opens_the_pages(server):
    der = trust_page(server, "/pontata-authority.crt").read()

    fingerprint = hashlib.sha256(der).hexdigest().upper()
    assert ":".join(fingerprint[n : n + 2] for n in range(0, 64, 2)) in server.log.read_text()
    trusting = ssl.create_default_context(cadata=der)
    opened = urllib.request.urlopen(
        f"https://localhost:{port_of(server)}/", timeout=ANSWER_LIMIT_S, context=trusting
    )
    assert opened.status == 200


def test_a_tablet_that_trusts_nothing_yet_is_refused_by_its_own_rules(server):
    with pytest.raises(urllib.error.URLError, match=r"(?i)certificate verify failed"):
        urllib.request.urlopen(
            f"https://localhost:{port_of(server)}/",
            timeout=ANSWER_LIMIT_S,
            context=ssl.create_default_context(),
        )


def test_the_given_name_is_answered_and_signed_for(server):
    der = trust_page(server, "/pontata-authority.crt").read()
    trusting = ssl.create_default_context(cadata=der)
    with (
        socket.create_connection(("localhost", port_of(server)), timeout=ANSWER_LIMIT_S) as plain,
        trusting.wrap_socket(plain, server_hostname="deck-laptop.lan") as secure,
    ):
        secure.sendall(b"GET / HTTP/1.1\r\nHost: deck-laptop.lan\r\nConnection: close\r\n\r\n")
        status_line = secure.recv(64).split(b"\r\n")[0]

    assert status_line.split()[1] in {b"200", b"302"}


def test_the_page_of_trust_tells_the_steps_and_nothing_of_the_record(server):
    page = trust_page(server).read().decode()

    assert "Compare its SHA-256 fingerprint" in page
    assert f"https://localhost:{port_of(server)}/deck/" in page
    with pytest.raises(urllib.error.HTTPError) as refused:
        trust_page(server, "/walls/")
    assert refused.value.code == 404
