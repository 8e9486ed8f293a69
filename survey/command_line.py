"""Does a command find the tables that it needs?

Somebody whose first command is `import_wall` should not have to know that a database wants making.
"""

import sys
from collections.abc import Sequence

import django
from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line, get_commands

# They look at the database in their own order, after the port.
LOOK_FOR_THEMSELVES = {"demo", "serve", "migrate", "backup", "recover"}
OF_DJANGO = {"createsuperuser", "changepassword", "db_worker"}


def run_command(arguments: Sequence[str]) -> None:
    """Make the tables of a new installation where the command needs them, then run it."""
    try:
        django.setup()
    except ImproperlyConfigured as error:
        sys.exit(f"A setting makes no sense. {error}")
    if needs_tables(arguments):
        from survey.installation import NotReady, make_ready

        try:
            make_ready()
        except NotReady as error:
            sys.exit(error.message)
    execute_from_command_line(["manage.py", *arguments])


def needs_tables(arguments: Sequence[str]) -> bool:
    """Say whether the command reads or writes the record; Django must be set up."""
    if not arguments or {"-h", "--help"} & set(arguments):
        return False
    command = arguments[0]
    if command in LOOK_FOR_THEMSELVES:
        return False
    return command in OF_DJANGO or str(get_commands().get(command, "")).startswith("survey")
