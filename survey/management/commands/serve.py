"""Serve the pages of this installation, with the worker for long work beside them."""

from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import PontataError
from survey.installation import has_accounts, make_ready
from survey.serving import check_port, serve

LOOPBACK = {"127.0.0.1", "::1", "localhost"}


class Command(BaseCommand):
    help = "Serve this installation on this machine, with its worker; Ctrl-C stops both."

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_address(parser)

    def handle(self, *, host: str, port: int, **options: Any) -> None:
        try:
            check_port(host, port, command="serve")
            make_ready()
            call_command("collectstatic", interactive=False, verbosity=0)
            serve(host, port, announce=lambda: self.announce(host, port))
        except PontataError as error:
            raise CommandError(error.message) from error

    def announce(self, host: str, port: int) -> None:
        self.stdout.write(f"Pontata serves at {address(host, port)}")
        if not has_accounts():
            self.stdout.write("No account yet. Make the first: python3 manage.py createsuperuser")
        if host not in LOOPBACK:
            self.stdout.write(
                "Other machines reach it without encryption. Put a web server with HTTPS in front, "
                "and name the host in PONTATA_HOSTS."
            )
        self.stdout.write("Ctrl-C stops it.")
        self.stdout.flush()


def add_address(parser: ArgumentParser) -> None:
    """The two options that say where to serve."""
    parser.add_argument("--port", type=int, default=8000, help="1 to 65535 (8000)")
    parser.add_argument("--host", default="127.0.0.1", help="address to serve on (127.0.0.1)")


def address(host: str, port: int) -> str:
    """Return what to type into a browser on this machine."""
    shown = {"0.0.0.0": "127.0.0.1", "::": "[::1]"}.get(host, f"[{host}]" if ":" in host else host)
    return f"http://{shown}:{port}/"
