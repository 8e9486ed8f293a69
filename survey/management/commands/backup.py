"""Copy the whole record into a folder: the database and every stored file, with their digests."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.utils import DatabaseError

from gridmap.errors import PontataError
from survey.copies import make_copy

DUMP_FIRST = (
    "The database is on PostgreSQL, which copies itself. Run this first, then this command again, "
    "and keep both together:\n"
    "  pg_dump --format=custom --file=pontata.dump NAME\n"
    "The stored files follow; a file that arrives in between is then in this copy."
)


class Command(BaseCommand):
    help = "Copy the database and every stored file into a new folder; the server may run."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--out", required=True, metavar="FOLDER", help="a new or empty folder")

    def handle(self, *, out: str, **options: Any) -> None:
        if connections[DEFAULT_DB_ALIAS].vendor == "postgresql":
            self.stdout.write(DUMP_FIRST)
        try:
            copied = make_copy(Path(out))
        except PontataError as error:
            raise CommandError(error.message) from error
        except (OSError, DatabaseError) as error:
            raise CommandError(f"The copy is not finished: {error}. Use another folder.") from error
        what = "The database and" if copied.database else "No database, but"
        files = f"{copied.files:,} stored file{'' if copied.files == 1 else 's'}"
        self.stdout.write(
            f"{what} {files}, {copied.size_bytes / 1e6:,.1f} MB, are in {copied.folder}."
        )
        if copied.wanting:
            raise CommandError(
                f"{len(copied.wanting)} stored files are missing or damaged in the store and are "
                f"not in the copy; the first is {copied.wanting[0]}."
            )
