"""Take the readings of a logger's file into the record of an instrument."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import InvalidInput, PontataError
from survey.ledger.drafts import Writer, read_uuid
from survey.walls.choice import the_wall
from survey.watch.field_table import LARGEST_FILE_BYTES
from survey.watch.hours import moment_in_words
from survey.watch.importing import Imported, Preview, import_file, preview, usual_how
from survey.watch.instrument_kinds import zone_of
from survey.watch.instruments import instrument_by_code
from survey.watch.logger_text import How
from survey.watch.models import Instrument

LISTED = 20


class Command(BaseCommand):
    help = (
        "Take a logger's file in: any delimiter, header anywhere. Columns are matched to channels "
        "once per instrument with --map. The same file twice changes nothing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="delimited text, as the logger wrote it")
        parser.add_argument("--instrument", required=True, metavar="CODE")
        parser.add_argument(
            "--map", action="append", default=[], metavar="COLUMN=CHANNEL", dest="matched",
            help="which column fills which channel; once for each",
        )  # fmt: skip
        order = parser.add_mutually_exclusive_group()
        order.add_argument("--day-first", action="store_true", default=None, dest="day_first")
        order.add_argument("--month-first", action="store_false", default=None, dest="day_first")
        clock = parser.add_mutually_exclusive_group()
        clock.add_argument("--zone", metavar="ZONE", help="such as Europe/London")
        clock.add_argument("--offset-min", type=int, metavar="MIN", help="minutes before UTC")
        parser.add_argument("--decimal", choices=[",", "."], help="the decimal sign")
        parser.add_argument("--replace", metavar="IMPORT", help="the import that this corrects")
        parser.add_argument(
            "--sure", action="store_true", help="take it in although it looks wrong; it is noted"
        )
        parser.add_argument("--dry-run", action="store_true", help="say what would be taken in")
        parser.add_argument("--by", default="imported", help="who imports (imported)")
        parser.add_argument("--wall", metavar="NAME", help="the wall, where there are several")

    def handle(self, *, file: Path, instrument: str, **options: Any) -> None:
        try:
            found = instrument_by_code(the_wall(options["wall"]), instrument)
            how = _how(found, options)
            replaces = _replaced(options["replace"])
            data = _bytes(file)
            if options["dry_run"]:
                self._tell_preview(found, preview(found, data, how=how, replaces=replaces))
                return
            made = import_file(
                found,
                data,
                file_name=file.name,
                how=how,
                writer=Writer(name=options["by"], device="import_readings"),
                replaces=replaces,
                sure=options["sure"],
            )
        except PontataError as error:
            said = error.message
            ending = "" if "othing was imported" in said else " Nothing was imported."
            raise CommandError(f"{said}{_advice(error)}{ending}") from error
        self._tell(found, made)

    def _tell(self, instrument: Instrument, made: Imported) -> None:
        content, row = made.row.content, made.row
        if not made.new:
            self.stdout.write(
                f"{instrument.code}: this file is on record already, as import {row.object_id}. "
                "Nothing was changed."
            )
            return
        self.stdout.write(
            f"{instrument.code}: {row.accepted:,} readings, {_span(row)}; import {row.object_id}."
        )
        for note in content.get("notes", []):
            self.stdout.write(f"  {note}")
        self._list_refused(content.get("refused_lines", []), row.refused)

    def _tell_preview(self, instrument: Instrument, looked: Preview) -> None:
        read = looked.read
        self.stdout.write(
            f"{instrument.code}: {read.accepted:,} readings would be taken in. Header in line "
            f"{read.table.header_line}."
        )
        for column in read.columns:
            unit = column.unit if column.unit_said else f"{column.unit}, as the channel says"
            self.stdout.write(f"  “{column.head}” fills {column.channel} ({unit})")
        if read.unused:
            self.stdout.write(f"  Left out: {', '.join(read.unused)}")
        for note in read.notes:
            self.stdout.write(f"  {note}")
        for doubt in looked.doubts:
            self.stdout.write(f"  {'Must be answered: ' if doubt.stops else ''}{doubt.text}")
        if looked.already:
            self.stdout.write("  This file is on record already; importing it changes nothing.")
        listed = [vars(one) for one in read.refused]
        self._list_refused(listed, len(listed))
        self.stdout.write("Nothing was imported (--dry-run).")

    def _list_refused(self, listed: list[dict[str, Any]], count: int) -> None:
        if count:
            self.stdout.write(f"{count:,} refused:")
        for one in listed[:LISTED]:
            where = f"line {one['line']}" + (f", {one['column']}" if one["column"] else "")
            self.stdout.write(f"  {where}: “{one['text']}”. {one['reason']}")
        if count > LISTED:
            self.stdout.write(f"  … and {count - LISTED:,} more; the instrument's page lists them.")


def _how(instrument: Instrument, options: dict[str, Any]) -> How:
    usual = usual_how(instrument)
    if options["zone"]:
        zone_of(options["zone"])
    clock_said = options["zone"] is not None or options["offset_min"] is not None
    return How(
        columns=_columns(options["matched"]) or usual.columns,
        day_first=usual.day_first if options["day_first"] is None else options["day_first"],
        decimal=options["decimal"] or usual.decimal,
        zone=options["zone"] if clock_said else usual.zone,
        offset_min=options["offset_min"] if clock_said else usual.offset_min,
    )


def _columns(matched: list[str]) -> dict[str, str]:
    found = {}
    for pair in matched:
        head, sign, channel = pair.rpartition("=")
        if not sign or not head.strip() or not channel.strip():
            raise InvalidInput(f"--map is {pair!r}; write COLUMN=CHANNEL.", field="columns")
        found[head.strip()] = channel.strip()
    return found


def _replaced(text: str | None) -> UUID | None:
    return read_uuid(text, field="--replace") if text else None


def _bytes(file: Path) -> bytes:
    try:
        if file.stat().st_size > LARGEST_FILE_BYTES:
            raise InvalidInput(
                f"{file.name} has {file.stat().st_size:,} bytes; the limit is "
                f"{LARGEST_FILE_BYTES:,}. Split it by months."
            )
        return file.read_bytes()
    except OSError as error:
        raise InvalidInput(f"{file} cannot be read: {error.strerror}.") from error


def _advice(error: PontataError) -> str:
    """Return which option answers a question."""
    answers = {
        "day_first": " Say --day-first or --month-first.",
        "decimal": " Say --decimal , or --decimal . for it.",
        "columns": " Match them with --map COLUMN=CHANNEL.",
        "sure": " If it is right all the same, say --sure.",
    }
    return answers.get(error.field or "", "")


def _span(row: Any) -> str:
    return f"{moment_in_words(row.first_at)} to {moment_in_words(row.last_at)}"
