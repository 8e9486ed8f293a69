"""How do tablets on the local network trust this machine? By a certificate authority of its own.

A browser keeps a page for use without a network only when it came over HTTPS. So the installation
makes an authority once, signs a server certificate for its names and addresses with it, and tells
how a tablet comes to trust it. Certificates follow RFC 5280; the authority may sign for private
names and addresses only (name constraints), so that a stolen key opens nothing else.
"""

import datetime as dt
import ipaddress
import os
import socket
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from gridmap.errors import InvalidInput

AUTHORITY_DAYS = 5 * 365
SERVER_DAYS = 397  # browsers refuse server certificates that run longer than 398 days
RENEW_BEFORE_DAYS = 30
LONGEST_DNS_LABEL = 63
PRIVATE_ENDINGS = ("local", "lan", "home.arpa", "internal", "localhost")
# The private ranges of RFC 1918 and RFC 3927, loopback, and their IPv6 kin (RFC 4193, RFC 4291).
PRIVATE_RANGES = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "fe80::/10",
    "::1/128",
)
# RFC 5737 keeps this address for documentation: asking for a route to it sends nothing.
_NOWHERE = ("192.0.2.1", 9)

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True)
class Names:
    """Under which names and addresses tablets may call this machine."""

    dns: tuple[str, ...]
    addresses: tuple[Address, ...]

    @property
    def hosts(self) -> list[str]:
        """Return them as a browser's address line has them."""
        return [*self.dns, *(f"[{a}]" if a.version == 6 else str(a) for a in self.addresses)]


@dataclass(frozen=True)
class Certificate:
    """A certificate with its key, each in a PEM file."""

    certificate_file: Path
    key_file: Path
    certificate: x509.Certificate

    @property
    def fingerprint(self) -> str:
        """Return the SHA-256 fingerprint as devices show it: pairs of digits with colons."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def names_of_machine(extra: Sequence[str] = ()) -> Names:
    """Return this machine's names and private addresses, with further ones that a person named.

    Raises InvalidInput for a name that no certificate of a private network can hold.
    """
    dns, addresses = ["localhost"], [ipaddress.ip_address("127.0.0.1")]
    host = socket.gethostname().split(".")[0].lower()
    if _is_dns_name(host):
        dns += [f"{host}.local"]
    found = _own_addresses(host)
    for text in extra:
        name = text.strip().rstrip(".").lower()
        try:
            found.append(ipaddress.ip_address(name))
        except ValueError:
            _refuse_bad_name(name)
            dns.append(name)
    for address in found:
        if not _is_private(address):
            if str(address) in extra:
                raise InvalidInput(
                    f"--name {address} is no private address; --lan is for the local network. "
                    "Put a web server with a public certificate in front instead.",
                    field="name",
                )
            continue
        addresses.append(address)
    return Names(tuple(dict.fromkeys(dns)), tuple(dict.fromkeys(addresses)))


def _own_addresses(host: str) -> list[Address]:
    found: list[Address] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_NOWHERE)
            found.append(ipaddress.ip_address(probe.getsockname()[0]))
        except OSError:  # no route anywhere: a machine without a network
            pass
    try:
        answers = socket.getaddrinfo(host, None, socket.AF_INET)
    except OSError:
        answers = []
    found += [ipaddress.ip_address(str(answer[4][0])) for answer in answers]
    return found


def _is_private(address: Address) -> bool:
    return any(
        address in network
        for network in map(ipaddress.ip_network, PRIVATE_RANGES)
        if network.version == address.version
    )


def _is_dns_name(name: str) -> bool:
    labels = name.split(".")
    return all(
        1 <= len(label) <= LONGEST_DNS_LABEL
        and label.isascii()
        and label.replace("-", "").isalnum()
        and not label.startswith("-")
        and not label.endswith("-")
        for label in labels
    )


def _refuse_bad_name(name: str) -> None:
    if not _is_dns_name(name):
        raise InvalidInput(
            f"--name {name!r} is neither a host name nor an address such as 192.168.1.20.",
            field="name",
        )
    if name.split(".")[-1] not in PRIVATE_ENDINGS and not name.endswith(".home.arpa"):
        raise InvalidInput(
            f"--name {name} ends in no private ending ({', '.join(PRIVATE_ENDINGS)}); the "
            "certificate authority of this machine signs for the local network only.",
            field="name",
        )


def local_authority(folder: Path, *, now: dt.datetime) -> Certificate:
    """Return the installation's certificate authority, made on first use and when it runs out."""
    kept = _read(folder, "authority", until=now + dt.timedelta(days=SERVER_DAYS))
    if kept is not None:
        return kept
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Pontata, local network only"),
            x509.NameAttribute(
                NameOID.COMMON_NAME, f"Pontata on {socket.gethostname()[:40]}, {now:%Y-%m-%d}"
            ),
        ]
    )
    builder = (
        _blank(name, name, key.public_key(), now=now, days=AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(list(_permitted()), None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    return _write(folder, "authority", builder.sign(key, hashes.SHA256()), key)


def server_certificate(
    folder: Path, names: Names, authority: Certificate, *, now: dt.datetime
) -> Certificate:
    """Return a certificate for these names signed by the authority, renewed when it must be."""
    wanted = {*names.dns, *map(str, names.addresses)}
    kept = _read(folder, "server", until=now + dt.timedelta(days=RENEW_BEFORE_DAYS))
    if kept is not None and _signed_names(kept.certificate, authority) == wanted:
        return kept
    signer = serialization.load_pem_private_key(authority.key_file.read_bytes(), password=None)
    assert isinstance(signer, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names.dns[-1])])
    issuer = authority.certificate.subject
    builder = (
        _blank(subject, issuer, key.public_key(), now=now, days=SERVER_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.SubjectAlternativeName(
                [*map(x509.DNSName, names.dns), *map(x509.IPAddress, names.addresses)]
            ),
            critical=False,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False
        )
    )
    return _write(folder, "server", builder.sign(signer, hashes.SHA256()), key)


def _permitted() -> Iterable[x509.GeneralName]:
    yield from map(x509.DNSName, PRIVATE_ENDINGS)
    for network in PRIVATE_RANGES:
        yield x509.IPAddress(ipaddress.ip_network(network))


def _blank(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    *,
    now: dt.datetime,
    days: int,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1))  # a tablet's clock may be slow
        .not_valid_after(now + dt.timedelta(days=days))
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _signed_names(certificate: x509.Certificate, authority: Certificate) -> set[str] | None:
    """Return what a certificate of this authority stands for, None for another's."""
    try:
        certificate.verify_directly_issued_by(authority.certificate)
    except (ValueError, TypeError, InvalidSignature):
        return None
    held = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {str(one.value) for one in held}


def _read(folder: Path, stem: str, *, until: dt.datetime) -> Certificate | None:
    """Return what is kept under a name and stays valid until then, else None."""
    certificate_file, key_file = folder / f"{stem}.pem", folder / f"{stem}-key.pem"
    if not (certificate_file.exists() and key_file.exists()):
        return None
    certificate = x509.load_pem_x509_certificate(certificate_file.read_bytes())
    if certificate.not_valid_after_utc < until:
        return None
    return Certificate(certificate_file, key_file, certificate)


def _write(
    folder: Path, stem: str, certificate: x509.Certificate, key: ec.EllipticCurvePrivateKey
) -> Certificate:
    folder.mkdir(parents=True, exist_ok=True)
    certificate_file, key_file = folder / f"{stem}.pem", folder / f"{stem}-key.pem"
    pem = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    key_file.unlink(missing_ok=True)
    with open(os.open(key_file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(pem)
    certificate_file.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    return Certificate(certificate_file, key_file, certificate)
