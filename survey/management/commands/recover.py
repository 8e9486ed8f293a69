"""Put a copy of the record back, and let every tablet send again what it still holds."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS, connections

from gridmap.errors import Clash, InvalidInput, PontataError
from survey.copies import Copy, put_back, read_copy
from survey.installation import NotReady, has_accounts, pending_migrations
from survey.tablet.services import renew_epoch

NEW_EPOCH = (
    "This installation has a new epoch: at its next contact every tablet sends again what it still "
    "holds, and reads everything from the start. What it sends twice is kept once."
)
RESTORE_FIRST = (
    "The copy holds no database: it was made on PostgreSQL. Its stored files are put back. Now "
    "restore the dump that belongs to it, then renew the epoch:\n"
    "  pg_restore --clean --if-exists --dbname=NAME pontata.dump\n"
    "  python3 manage.py recover --database-restored"
)


class Command(BaseCommand):
    help = "Put a copy made by backup back; stop the server first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", nargs="?", help="the folder that backup made")
        parser.add_argument(
            "--replace", action="store_true", help="replace the record that is here"
        )
        parser.add_argument(
            "--database-restored",
            action="store_true",
            help="the database was restored by other means: renew the epoch, no more",
        )

    def handle(
        self, *, folder: str | None, replace: bool, database_restored: bool, **options: Any
    ) -> None:
        try:
            if database_restored == bool(folder):
                raise InvalidInput("Name the folder of a copy, or give --database-restored.")
            if folder:
                self.put_back(read_copy(Path(folder)), replace=replace)
            else:
                self.renew_alone()
        except PontataError as error:
            raise CommandError(error.message) from error
        except OSError as error:
            raise CommandError(f"The copy cannot be read or put back: {error}.") from error

    def put_back(self, copy: Copy, *, replace: bool) -> None:
        self.refuse(copy, replace=replace)
        earlier = put_back(copy)
        files = f"{len(copy.blobs):,} stored file{'' if len(copy.blobs) == 1 else 's'}"
        if copy.database is None:
            self.stdout.write(f"{files} of {copy.made_at} checked and put back.")
            self.stdout.write(RESTORE_FIRST)
            return
        self.stdout.write(f"The database and {files} of {copy.made_at} are put back.")
        if earlier is not None:
            self.stdout.write(f"What stood in the database before is kept as {earlier}.")
        # A copy may be of an earlier version; this also lays the guards of the logbooks.
        call_command("migrate", interactive=False, verbosity=0)
        self.renew()

    def refuse(self, copy: Copy, *, replace: bool) -> None:
        """Refuse what does not fit this installation, or would bury a record unasked."""
        if copy.database is not None and connections[DEFAULT_DB_ALIAS].vendor != "sqlite":
            raise InvalidInput(
                "The copy holds an SQLite database, and this installation is on PostgreSQL. "
                "Nothing was changed."
            )
        if copy.database is not None and not replace and has_accounts():
            raise Clash(
                "There is a record here already; nothing was changed. Copy it with backup, then "
                "give --replace."
            )

    def renew_alone(self) -> None:
        pending, _ = pending_migrations()
        if pending:
            raise NotReady(
                f"The restored database waits for {pending} migrations of this version. Run "
                "python3 manage.py migrate, then this command again."
            )
        self.renew()

    def renew(self) -> None:
        renew_epoch()
        self.stdout.write(NEW_EPOCH)
