"""Take a finished picture of the whole wall, made elsewhere, into a survey as a mosaic."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import InvalidInput, PontataError
from gridmap.lengths import parse_length_in
from gridmap.tiles import Bounds
from survey.ledger.drafts import Writer
from survey.photos.forms import PICTURE_MODES
from survey.photos.mosaic_kind import IMPORTED
from survey.photos.mosaics import MosaicStatement
from survey.photos.orthophotos import import_orthophoto
from survey.record.models import Mode, Survey
from survey.record.selectors import survey_of_wall
from survey.walls.choice import the_wall


class Command(BaseCommand):
    help = (
        "Take a finished picture of the wall (TIFF, JPEG or PNG) into a survey as a mosaic. The "
        "file is kept as it is; the same file stated the same is taken once."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        modes = [mode for mode, _ in PICTURE_MODES]
        parser.add_argument("file", type=Path, help="the picture, upright")
        parser.add_argument("--survey", required=True, metavar="CODE", help="the survey's code")
        parser.add_argument("--mode", default=Mode.NORMAL, choices=modes, help="(normal)")
        parser.add_argument("--lamp-side", default="", metavar="SIDE", help="such as left")
        parser.add_argument(
            "--bounds",
            nargs=4,
            metavar=("LEFT", "LOWER", "RIGHT", "UPPER"),
            help="which part of the wall it shows, such as 0 0 '84 ft' '14 ft' (the whole)",
        )
        parser.add_argument(
            "--error",
            required=True,
            metavar="LENGTH",
            help="one standard deviation of a place on it, such as '1/8 in'",
        )
        parser.add_argument("--taken-on", metavar="DAY", help="YYYY-MM-DD")
        parser.add_argument("--operator", default="imported", help="who made it (imported)")
        parser.add_argument("--note", default="", help="what else is known of it")
        parser.add_argument("--wall", metavar="NAME", help="the wall, where there are several")

    def handle(self, *, file: Path, survey: str, **options: Any) -> None:
        try:
            found = survey_of_wall(the_wall(options["wall"]), survey)
            if not file.is_file():
                raise InvalidInput(f"There is no file {file}.", field="file")
            before = found.mosaics.count()
            mosaic = import_orthophoto(
                found,
                file,
                file.name,
                statement=_statement(found, options),
                writer=Writer(name=options["operator"], device="import"),
                tell=self._tell if self.stdout.isatty() else None,
            )
        except PontataError as error:
            raise CommandError(f"{error.message} Nothing was imported.") from error
        new = found.mosaics.count() > before
        self.stdout.write(
            f"Survey {found.code} of {found.wall.name}: mosaic in "
            f"{mosaic.get_mode_display().lower()}, version {mosaic.version}, "
            f"{mosaic.width_px:,} by {mosaic.height_px:,} px, "
            f"{mosaic.px_per_in:g} px/in{'' if new else '; it was there already'}."
        )

    def _tell(self, done: int, total: int) -> None:
        self.stdout.write(f"\r{100 * done // total:3d} %", ending="")
        if done >= total:
            self.stdout.write("")
        self.stdout.flush()


def _statement(survey: Survey, options: dict[str, Any]) -> MosaicStatement:
    return MosaicStatement(
        mode=options["mode"],
        lamp_side=options["lamp_side"],
        bounds_in=_bounds(survey, options["bounds"]),
        error_in=parse_length_in(options["error"], field="error"),
        source=IMPORTED,
        taken_on=_day(options["taken_on"]),
        operator=options["operator"],
        note=options["note"],
    )


def _bounds(survey: Survey, typed: list[str] | None) -> Bounds:
    if typed is None:
        return 0.0, 0.0, survey.layout.width_in, survey.layout.height_in
    x0, y0, x1, y1 = (parse_length_in(text, field="bounds") for text in typed)
    return x0, y0, x1, y1


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as error:
        raise InvalidInput(
            f"--taken-on is {text!r}; write it as 2026-03-03.", field="taken_on"
        ) from error
