"""Show the program on the invented wall: load its surveys where they are missing, and serve."""

import time
from argparse import ArgumentParser
from datetime import datetime
from importlib import import_module
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import PontataError
from survey.installation import make_ready
from survey.management.commands.serve import add_address, address
from survey.people.models import Role
from survey.serving import check_port, serve


class Command(BaseCommand):
    help = "Load the invented wall with its surveys where it is missing, and serve it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_address(parser)
        parser.add_argument("--load-only", action="store_true", help="load, and do not serve")

    def handle(self, *, host: str, port: int, load_only: bool, **options: Any) -> None:
        # The demo's story ends on a fixed day; the server and the worker inherit its clock.
        settings.FIXED_CLOCK = settings.FIXED_CLOCK or demo_clock()
        try:
            if not load_only:
                check_port(host, port, command="demo")
            make_ready()
            self.load()
            if load_only:
                return
            call_command("collectstatic", interactive=False, verbosity=0)
            serve(host, port, announce=lambda: self.announce(host, port))
        except PontataError as error:
            raise CommandError(error.message) from error

    def load(self) -> None:
        # Imported here by name: the demo's data is no part of the program.
        load_demo = import_module("demo_fixtures.load").load_demo
        self.stdout.write("Loading the invented wall where it is missing.")
        self.stdout.flush()
        began = time.monotonic()
        load_demo()
        self.stdout.write(f"Loaded in {time.monotonic() - began:.1f} s.")

    def announce(self, host: str, port: int) -> None:
        people = import_module("demo_fixtures.people")
        self.stdout.write(
            "\nPontata, invented demo data. Its clock stands at "
            f"{settings.FIXED_CLOCK:%Y-%m-%d %H:%M} UTC.\n\n  Open {address(host, port)}\n\n"
            f"Accounts, each with the password {people.DEMO_PASSWORD}"
        )
        for person in people.DEMO_PEOPLE:
            role = Role(person.role).label
            self.stdout.write(f"  {person.username:<6} {person.name}, {role.lower()}")
        self.stdout.write("\nCtrl-C stops it.")
        self.stdout.flush()


def demo_clock() -> datetime:
    """Return the fixed moment at which the demo stands."""
    moment: datetime = import_module("demo_fixtures.clock").DEMO_NOW
    return moment
