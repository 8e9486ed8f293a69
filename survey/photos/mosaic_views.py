"""Pages about the mosaics of a survey: which there are, laying one, importing a finished one.

Nothing is computed here.
"""

from pathlib import Path
from typing import Any, cast

from django.core.files.uploadedfile import TemporaryUploadedFile, UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from gridmap.errors import PontataError
from survey.jobs.models import Job
from survey.jobs.selectors import jobs_at_work
from survey.people.models import Account
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.photos import mosaic_import, mosaicking
from survey.photos.mosaic_forms import ImportForm, LayForm
from survey.photos.mosaic_import import ask_to_import
from survey.photos.mosaicking import ask_for_mosaic, lights_to_lay
from survey.photos.mosaics import mosaics_of
from survey.photos.taking_in import arriving_file
from survey.record.models import Survey
from survey.record.selectors import survey_of_wall
from survey.walls.form_fields import refuse

_FIELDS = {"bounds_in": "right", "error_in": "error", "data": "file", "name": "file"}


@require_GET
def mosaics_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show the mosaics of a survey, version by version, and what could be laid."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    return _page(request, survey_of_wall(opened, code))


@require_POST
def lay(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Ask for a mosaic of the survey's rectified copies in one light."""
    opened = open_page(request, wall, Action.RECORD)
    survey = survey_of_wall(opened, code)
    form = LayForm(request.POST)
    if form.is_valid():
        said = form.cleaned_data
        try:
            job = ask_for_mosaic(
                survey,
                said["mode"],
                said["lamp_side"],
                asked_by=cast(Account, request.user),
                px_per_in=said["px_per_in"],
            )
        except PontataError as error:
            refuse(form, error)
        else:
            return redirect("jobs:job", opened.slug, job.pk)
    return _page(request, survey, lay_form=form, status=400)


@require_POST
def import_mosaic(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Import a finished picture as a mosaic."""
    opened = open_page(request, wall, Action.RECORD)
    survey = survey_of_wall(opened, code)
    form = ImportForm(request.POST, request.FILES, survey=survey)
    if form.is_valid():
        try:
            job = _ask(survey, form, cast(Account, request.user))
        except PontataError as error:
            refuse(form, error, _FIELDS)
        else:
            return redirect("jobs:job", opened.slug, job.pk)
    return _page(request, survey, import_form=form, status=400)


def _ask(survey: Survey, form: ImportForm, asked_by: Account) -> Job:
    file: UploadedFile = form.cleaned_data["file"]
    name = file.name or ""
    if isinstance(file, TemporaryUploadedFile):
        path = Path(file.temporary_file_path())
        return ask_to_import(survey, path, name, statement=form.statement(), asked_by=asked_by)
    with arriving_file() as path:  # small enough to have been held in memory
        with path.open("wb") as whole:
            whole.writelines(file.chunks())
        return ask_to_import(survey, path, name, statement=form.statement(), asked_by=asked_by)


def _page(
    request: HttpRequest,
    survey: Survey,
    *,
    lay_form: LayForm | None = None,
    import_form: ImportForm | None = None,
    status: int = 200,
) -> HttpResponse:
    context: dict[str, Any] = {
        "wall": survey.wall,
        "survey": survey,
        "mosaics": mosaics_of(survey),
        "lights": lights_to_lay(survey),
        "cell_count": survey.layout.grid.cell_count,
        "lay_form": lay_form,
        "form": import_form or ImportForm(survey=survey),
        "refused": import_form is not None,
        "work": jobs_at_work(
            survey.wall, (mosaicking.KIND, mosaic_import.KIND), survey=str(survey.pk)
        ),
    }
    return render(request, "photos/mosaics.html", context, status=status)
