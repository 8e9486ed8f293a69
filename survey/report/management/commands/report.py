"""Write the report on a survey as a PDF (PDF/A-2b); what is written so is a draft."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from gridmap.errors import PontataError
from survey.clock import moment
from survey.record.selectors import survey_of_wall
from survey.report.models import PaperKind
from survey.report.services import make_draft
from survey.walls.choice import the_wall


class Command(BaseCommand):
    help = "Write the report on a survey as a PDF. Numbered reports are issued on the report page."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("survey", metavar="SURVEY", help="code of the survey")
        parser.add_argument("--against", metavar="SURVEY", help="an earlier survey to compare with")
        parser.add_argument("--kind", choices=PaperKind.values, default=PaperKind.CONDITION.value)
        parser.add_argument("--out", type=Path, required=True, metavar="FILE", help="the PDF")
        parser.add_argument("--wall", metavar="NAME", help="the wall, where there are several")

    def handle(self, *, survey: str, against: str | None, out: Path, **options: Any) -> None:
        if not out.parent.is_dir():
            raise CommandError(f"--out: there is no folder {out.parent}. Make it first.")
        try:
            wall = the_wall(options["wall"])
            found = survey_of_wall(wall, survey)
            earlier = survey_of_wall(wall, against) if against else None
            pdf = make_draft(found, against=earlier, kind=options["kind"], produced_at=moment())
            out.write_bytes(pdf)
        except PontataError as error:
            raise CommandError(f"{error.message} Nothing was written.") from error
        except OSError as error:
            raise CommandError(f"--out: {out} cannot be written: {error.strerror}.") from error
        self.stdout.write(
            f"{out}: draft {PaperKind(options['kind']).label.lower()}, {len(pdf):,} B."
        )
