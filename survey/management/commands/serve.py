"""Serve the pages of this installation, with the worker for long work beside them."""

import os
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import InvalidInput, PontataError
from survey.clock import moment
from survey.installation import has_accounts, make_ready
from survey.lan import Certificate, local_authority, names_of_machine, server_certificate
from survey.serving import Encryption, check_port, serve

LOOPBACK = {"127.0.0.1", "::1", "localhost"}
DEFAULT_HOST, EVERY_ADDRESS = "127.0.0.1", "0.0.0.0"


class Command(BaseCommand):
    help = "Serve this installation on this machine, with its worker; Ctrl-C stops both."

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_address(parser)
        parser.add_argument(
            "--lan",
            action="store_true",
            help="serve tablets on the local network over HTTPS, with a certificate authority "
            "of this machine's own",
        )
        parser.add_argument(
            "--name",
            action="append",
            default=[],
            help="with --lan: a further name or address of this machine (may be repeated)",
        )

    def handle(self, *, host: str, port: int, lan: bool, name: list[str], **options: Any) -> None:
        try:
            if name and not lan:
                raise InvalidInput("--name goes with --lan.", field="name")
            if lan:
                self.serve_lan(EVERY_ADDRESS if host == DEFAULT_HOST else host, port, name)
            else:
                self.serve_here(host, port)
        except PontataError as error:
            raise CommandError(error.message) from error

    def serve_here(self, host: str, port: int) -> None:
        check_port(host, port, command="serve")
        make_ready()
        call_command("collectstatic", interactive=False, verbosity=0)
        serve(host, port, announce=lambda: self.announce(host, port))

    def serve_lan(self, host: str, port: int, extra: list[str]) -> None:
        if os.name == "nt":
            raise InvalidInput(
                "--lan needs a web server that Windows lacks here. Put one with HTTPS in front "
                "and name the host in PONTATA_HOSTS.",
                field="lan",
            )
        names = names_of_machine(extra)
        for wanted in (port, port + 1):
            check_port(host, wanted, command="serve --lan")
        make_ready()
        call_command("collectstatic", interactive=False, verbosity=0)
        folder = settings.DATA_FOLDER / "certificates"
        authority = local_authority(folder, now=moment())
        server = server_certificate(folder, names, authority, now=moment())
        encryption = Encryption(
            certificate_file=server.certificate_file,
            key_file=server.key_file,
            authority_file=authority.certificate_file,
            hosts=names.hosts,
            trust_port=port + 1,
        )
        serve(
            host,
            port,
            announce=lambda: self.announce_lan(names.hosts, port, authority),
            encryption=encryption,
        )

    def announce_lan(self, hosts: list[str], port: int, authority: Certificate) -> None:
        self.stdout.write("Pontata serves this machine and the local network over HTTPS:")
        for host in hosts:
            self.stdout.write(f"  https://{host}:{port}/deck/")
        self.stdout.write(
            "A tablet must trust this machine once. Open on the tablet, take the certificate and "
            "follow the steps:"
        )
        for host in hosts:
            if host not in LOOPBACK:
                self.stdout.write(f"  http://{host}:{port + 1}/")
        self.stdout.write(
            "Before you trust it, compare this SHA-256 fingerprint with the one that the tablet "
            f"shows:\n  {authority.fingerprint}"
        )
        self.stdout.write(
            f"Where a tablet finds nothing, let ports {port} and {port + 1} through this "
            "machine's firewall. Ctrl-C stops it."
        )
        self.stdout.flush()

    def announce(self, host: str, port: int) -> None:
        self.stdout.write(f"Pontata serves at {address(host, port)}")
        if not has_accounts():
            self.stdout.write("No account yet. Make the first: python3 manage.py createsuperuser")
        if host not in LOOPBACK:
            self.stdout.write(
                "Other machines reach it without encryption, and tablets will not work offline. "
                "Use --lan, or put a web server with HTTPS in front and name the host in "
                "PONTATA_HOSTS."
            )
        self.stdout.write("Ctrl-C stops it.")
        self.stdout.flush()


def add_address(parser: ArgumentParser) -> None:
    """The two options that say where to serve."""
    parser.add_argument("--port", type=int, default=8000, help="1 to 65535 (8000)")
    parser.add_argument("--host", default=DEFAULT_HOST, help="address to serve on (127.0.0.1)")


def address(host: str, port: int) -> str:
    """Return what to type into a browser on this machine."""
    shown = {"0.0.0.0": "127.0.0.1", "::": "[::1]"}.get(host, f"[{host}]" if ":" in host else host)
    return f"http://{shown}:{port}/"
