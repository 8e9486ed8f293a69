"""How is a finished picture that was sent to the desk imported by the worker, which may be stopped?

The file waits beside the store until the work ends. Nothing of it is on record before that.
"""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.urls import reverse

from gridmap.errors import InvalidInput, PontataError
from survey.jobs.models import Job
from survey.jobs.services import Progress, start_job
from survey.ledger.drafts import Writer
from survey.people.models import Account
from survey.photos.mosaic_kind import IMPORTED
from survey.photos.mosaics import MosaicStatement
from survey.photos.orthophotos import check_statement, import_orthophoto, look_at_orthophoto
from survey.photos.taking_in import plain_name
from survey.record.models import Survey

KIND = "import-mosaic"
_KEPT = ("mode", "lamp_side", "bounds_in", "error_in", "taken_on", "operator", "note")


def ask_to_import(
    survey: Survey, file: Path, name: str, *, statement: MosaicStatement, asked_by: Account
) -> Job:
    """Look at a file, keep it aside and start importing it; the given file is left as it is.

    Raises InvalidInput for what cannot become a mosaic; then nothing is kept.
    """
    name = plain_name(name)
    facts = look_at_orthophoto(file, name)
    check_statement(survey, statement, (facts.width_px, facts.height_px))
    aside = _folder() / f"{uuid4()}{Path(name).suffix.lower()}"
    shutil.copyfile(file, aside)
    try:
        return start_job(
            wall=survey.wall,
            kind=KIND,
            title=f"Import {name} as a mosaic of survey {survey.code}"[:200],
            arguments={
                "survey": str(survey.pk),
                "file": aside.name,
                "name": name,
                **_said(statement),
            },
            asked_by=asked_by,
        )
    except BaseException:
        aside.unlink(missing_ok=True)
        raise


def run(job: Job, progress: Progress) -> dict[str, Any]:
    """Import a mosaic (the runner of this kind of work)."""
    asked = job.arguments
    survey = Survey.objects.select_related("wall", "layout", "logbook").get(pk=asked["survey"])
    name = str(job.asked_by) if job.asked_by else "Pontata"
    with _taken_once(_folder() / asked["file"], asked["name"]) as path:
        progress.tell(0, 1, "Reading the file")
        mosaic = import_orthophoto(
            survey,
            path,
            asked["name"],
            statement=_statement(asked),
            writer=Writer(name=name, device="desk"),
            tell=lambda done, total: progress.tell(done, total + 1, "Making tiles"),
        )
    return {
        "mosaic": str(mosaic.pk),
        "version": mosaic.version,
        "url": reverse("photos:mosaics", args=[survey.wall.slug, survey.code]),
    }


@contextmanager
def _taken_once(path: Path, name: str) -> Iterator[Path]:
    """Yield the file, and take it away once the work has said its last word about it."""
    if not path.exists():
        raise InvalidInput(f"{name} is no longer here. Send it again.", field="file")
    try:
        yield path
    except PontataError:  # refused or cancelled; after a crash it stays, to be tried again
        path.unlink(missing_ok=True)
        raise
    path.unlink(missing_ok=True)


def _folder() -> Path:
    folder = Path(settings.DATA_FOLDER) / "arriving"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _said(statement: MosaicStatement) -> dict[str, Any]:
    said = {key: asdict(statement)[key] for key in _KEPT}
    said["bounds_in"] = list(statement.bounds_in)
    said["taken_on"] = statement.taken_on.isoformat() if statement.taken_on else ""
    return said


def _statement(asked: dict[str, Any]) -> MosaicStatement:
    said = {key: asked[key] for key in _KEPT}
    x0, y0, x1, y1 = said["bounds_in"]
    return MosaicStatement(
        **{
            **said,
            "bounds_in": (x0, y0, x1, y1),
            "taken_on": date.fromisoformat(said["taken_on"]) if said["taken_on"] else None,
            "source": IMPORTED,
        }
    )
