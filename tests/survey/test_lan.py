"""Does a device that trusts this machine's authority trust this machine, and nothing else?

source: RFC 5280 path validation as OpenSSL (Python's ssl) and the verifier of the `cryptography`
package carry it out; both are other people's code.
"""

import datetime as dt
import ipaddress
import os
import socket
import ssl
import stat
import threading

import pytest
from cryptography import x509
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from gridmap.errors import InvalidInput
from survey.lan import Names, local_authority, names_of_machine, server_certificate

NOW = dt.datetime.now(dt.UTC)
NAMES = Names(("localhost", "deck-laptop.local"), (ipaddress.ip_address("127.0.0.1"),))


@pytest.fixture
def authority(tmp_path):
    return local_authority(tmp_path, now=NOW)


@pytest.fixture
def server(tmp_path, authority):
    return server_certificate(tmp_path, NAMES, authority, now=NOW)


def shake_hands(server, authority, name):
    """Open a real TLS connection on this machine and return the error that the client met."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(server.certificate_file, server.key_file)
    client = ssl.create_default_context(cafile=authority.certificate_file if authority else None)
    with socket.create_server(("127.0.0.1", 0)) as listener:
        answering = threading.Thread(target=_answer, args=(listener, context))
        answering.start()
        try:
            with (
                socket.create_connection(listener.getsockname()) as plain,
                client.wrap_socket(plain, server_hostname=name),
            ):
                return None
        except ssl.SSLCertVerificationError as error:
            return error
        finally:
            answering.join()


def _answer(listener, context):
    connection, _ = listener.accept()
    try:
        context.wrap_socket(connection, server_side=True).close()
    except (ssl.SSLError, OSError):
        connection.close()


@pytest.mark.parametrize("name", ["localhost", "deck-laptop.local", "127.0.0.1"])
def test_a_device_that_trusts_the_authority_trusts_each_name(server, authority, name):
    assert shake_hands(server, authority, name) is None


def test_another_name_and_a_device_without_the_authority_are_refused(server, authority):
    assert "match" in str(shake_hands(server, authority, "other.local")).lower()
    assert shake_hands(server, None, "localhost") is not None


def test_the_authority_cannot_vouch_for_a_public_name(tmp_path, authority):
    public = Names(("museum.example.org",), ())

    forged = server_certificate(tmp_path, public, authority, now=NOW)

    verifier = PolicyBuilder().store(Store([authority.certificate])).time(NOW)
    with pytest.raises(VerificationError):
        verifier.build_server_verifier(x509.DNSName("museum.example.org")).verify(
            forged.certificate, []
        )
    assert shake_hands(forged, authority, "museum.example.org") is not None


def test_the_chain_stands_before_the_verifier_of_another_package(server, authority):
    verifier = PolicyBuilder().store(Store([authority.certificate])).time(NOW)

    chain = verifier.build_server_verifier(x509.DNSName("deck-laptop.local")).verify(
        server.certificate, []
    )

    assert len(chain) == 2


def test_a_second_start_keeps_both_certificates(tmp_path, authority, server):
    assert local_authority(tmp_path, now=NOW).fingerprint == authority.fingerprint
    again = server_certificate(tmp_path, NAMES, authority, now=NOW)
    assert again.fingerprint == server.fingerprint


def test_new_names_and_a_near_end_bring_a_new_server_certificate(tmp_path, authority, server):
    more = Names((*NAMES.dns, "survey.lan"), NAMES.addresses)
    renewed = server_certificate(tmp_path, more, authority, now=NOW)
    assert renewed.fingerprint != server.fingerprint

    near_its_end = NOW + dt.timedelta(days=370)
    later = server_certificate(tmp_path, more, authority, now=near_its_end)
    assert later.certificate.not_valid_after_utc > near_its_end + dt.timedelta(days=300)


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such file modes")
def test_keys_can_be_read_by_their_owner_alone(authority, server):
    for key in (authority.key_file, server.key_file):
        assert stat.S_IMODE(key.stat().st_mode) == 0o600


def test_named_hosts_join_the_machines_own():
    names = names_of_machine(["Survey.lan", "192.168.7.20"])

    assert "localhost" in names.dns
    assert "survey.lan" in names.dns
    assert ipaddress.ip_address("192.168.7.20") in names.addresses


@pytest.mark.parametrize("name", ["museum.example.org", "8.8.8.8", "two words", "-x.local", ""])
def test_a_name_that_is_not_of_the_local_network_is_refused(name):
    with pytest.raises(InvalidInput) as refused:
        names_of_machine([name])

    assert refused.value.field == "name"
