"""Take outlines made elsewhere into a survey, and the areas that were seen."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from gridmap.errors import PontataError
from survey.clock import moment
from survey.ledger.canonical import digest_of
from survey.ledger.drafts import ALREADY_THERE, Draft, Receipt, Writer
from survey.ledger.models import Entry
from survey.record.importing import ImportedBy, coverage_drafts, outline_drafts
from survey.record.models import Mode, Survey, SurveyKind
from survey.record.services import append_to_survey, create_survey
from survey.walls.choice import the_wall
from survey.walls.files import read_json_file

LARGEST_FILE_BYTES = 256 * 1024 * 1024
IDS_AT_ONCE = 500


class Command(BaseCommand):
    help = (
        "Take the outlines of a file (frame wall-inches) into a survey; makes the survey where it "
        "is missing. Areas seen come from --coverage: what no area covers was not examined."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a FeatureCollection in wall inches")
        parser.add_argument("--survey", required=True, metavar="CODE", help="the survey's code")
        parser.add_argument("--date", metavar="DAY", help="day seen, YYYY-MM-DD (today)")
        parser.add_argument("--kind", choices=SurveyKind.values, default=None, help="(round)")
        parser.add_argument("--coverage", type=Path, metavar="FILE", help="areas seen")
        parser.add_argument("--observer", default="imported", help="who observed (imported)")
        parser.add_argument("--wall", metavar="NAME", help="the wall, where there are several")

    def handle(self, *, file: Path, survey: str, coverage: Path | None, **options: Any) -> None:
        try:
            day = _day(options["date"])
            outlines = read_json_file(file, largest_bytes=LARGEST_FILE_BYTES)
            areas = read_json_file(coverage, largest_bytes=LARGEST_FILE_BYTES) if coverage else None
            with transaction.atomic():
                found = _survey(survey, day, outlines, areas, options)
                by = ImportedBy(options["observer"], day or found.starts_on, _digest(file))
                seen_by = ImportedBy(by.name, by.observed_on, _digest(coverage or file))
                drafts = outline_drafts(outlines, survey=found, by=by)
                examined = coverage_drafts(areas, survey=found, by=seen_by) if areas else []
                receipts = _store(found, drafts, by)
                cells = _store(found, _unknown(examined), by)
        except PontataError as error:
            raise CommandError(f"{error.message} Nothing was imported.") from error
        self._tell(found, drafts, receipts, cells, with_coverage=coverage is not None)

    def _tell(
        self,
        survey: Survey,
        drafts: list[Draft],
        receipts: list[Receipt],
        cells: list[Receipt],
        *,
        with_coverage: bool,
    ) -> None:
        there = sum(receipt.status == ALREADY_THERE for receipt in receipts)
        changed = [draft for draft in drafts if draft.body.get("changes")]
        self.stdout.write(
            f"Survey {survey.code} of {survey.wall.name}: {len(receipts) - there} outlines "
            f"imported, {there} were there already."
        )
        for draft in changed[:20]:
            self.stdout.write(f"  {draft.body['item']}: {' '.join(draft.body['changes'])}")
        if len(changed) > 20:
            self.stdout.write(f"  … and {len(changed) - 20} more outlines changed; see the record.")
        if with_coverage:
            self.stdout.write(f"{len(cells)} examinations of cells imported.")
        else:
            self.stdout.write(
                "No --coverage: nothing counts as examined, so nothing can be compared."
            )


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise CommandError(f"--date is {text!r}; write a day such as 2026-03-02.") from error


def _digest(file: Path) -> str:
    return digest_of(file.read_bytes())


def _survey(
    code: str, day: date | None, outlines: Any, areas: Any, options: dict[str, Any]
) -> Survey:
    wall = the_wall(options["wall"])
    found = wall.surveys.filter(code=code).first()
    if found is not None:
        if options["kind"] not in (None, found.kind):
            raise CommandError(
                f"Survey {code} is a {found.get_kind_display().lower()}, not {options['kind']}."
            )
        return found
    day = day or moment().date()
    return create_survey(
        wall=wall,
        code=code,
        kind=options["kind"] or SurveyKind.ROUND.value,
        starts_on=day,
        ends_on=day,
        modes=sorted(_modes(outlines) | _modes(areas)) or [Mode.NORMAL.value],
    )


def _modes(collection: Any) -> set[str]:
    """Return the modes that a file names; what is no mode is refused later, with its feature."""
    features = collection.get("features", []) if isinstance(collection, dict) else []
    found = set()
    for feature in features if isinstance(features, list) else []:
        properties = feature.get("properties") if isinstance(feature, dict) else None
        mode = properties.get("mode") if isinstance(properties, dict) else None
        if isinstance(mode, str) and mode in Mode.values:
            found.add(mode)
    return found


def _unknown(drafts: list[Draft]) -> list[Draft]:
    """Return the drafts whose entries are not in a logbook yet."""
    known: set[UUID] = set()
    for start in range(0, len(drafts), IDS_AT_ONCE):
        ids = [draft.id for draft in drafts[start : start + IDS_AT_ONCE]]
        known |= set(Entry.objects.filter(pk__in=ids).values_list("pk", flat=True))
    return [draft for draft in drafts if draft.id not in known]


def _store(survey: Survey, drafts: list[Draft], by: ImportedBy) -> list[Receipt]:
    writer = Writer(name=by.name, device=f"import:{by.file_digest[:16]}")
    return append_to_survey(survey, drafts, writer=writer)
