"""Pages about the photographs of a wall: which there are, one of them, what is missing.

Nothing is computed here.
"""

from collections.abc import Mapping
from typing import Any, cast
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import InvalidInput, PontataError
from survey.ledger.desk import writer_at_own_desk
from survey.people.models import Account
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.photos.cautions import CAUTIONS, GOVERNING, NO_PLAN, cautions_for
from survey.photos.file_formats import RAW_HEADS
from survey.photos.forms import (
    CellsForm,
    CorrectionForm,
    HistoricCorrectionForm,
    LightForm,
    PresenceForm,
    ShotForm,
    cells_typed,
    correction_form,
)
from survey.photos.listing import (
    CELLS_A_PAGE,
    STATES,
    Wanted,
    camera_notes,
    frames_by_cell,
    historical_pictures,
    listed,
    mosaics_with,
    pairs_with,
    photograph_of_wall,
    photographs_by_survey,
    presences_of,
    slates_taken,
    sorting_work,
    testimony_lines,
    whole_pictures,
)
from survey.photos.looking import LARGEST_FILE_BYTES
from survey.photos.models import Photograph
from survey.photos.presence_kind import ANSWERS
from survey.photos.shot_selectors import shot_state
from survey.photos.sort_job import ask_to_sort, last_sorting, unsorted_photographs, why_unsorted
from survey.photos.taking_in import restate, restate_all
from survey.record.models import Mode, Survey
from survey.record.selectors import survey_of_wall
from survey.walls.form_fields import refuse

BYTES_PER_MB = 1024 * 1024
RAW_TYPES = ",".join((*RAW_HEADS, ".cr3"))
PICTURE_TYPES = "image/jpeg,image/png,image/tiff,image/heic,.jpg,.jpeg,.png,.tif,.tiff,.heic,.heif"


@require_GET
def overview(request: HttpRequest, wall: str) -> HttpResponse:
    """Show how many photographs each survey has, and what of them waits."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    context = {
        "wall": opened,
        "rows": photographs_by_survey(opened),
        "historical": len(historical_pictures(opened)),
    }
    return render(request, "photos/overview.html", context)


@require_GET
def survey_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show a survey's photographs cell by cell, and apart from them slates and notes."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    survey = survey_of_wall(opened, code)
    wanted, refused = _wanted(request, survey)
    cells = [] if refused else frames_by_cell(survey, wanted)
    pages = Paginator(cells, CELLS_A_PAGE)
    counts = next(row for row in photographs_by_survey(opened) if row.survey.pk == survey.pk)
    context = {
        "wall": opened,
        "survey": survey,
        "counts": counts,
        "wanted": wanted,
        "refused": refused,
        "modes": Mode.choices,
        "states": STATES.items(),
        "cells": pages.get_page(request.GET.get("page")),
        "frames": sum(len(cell.frames) for cell in cells),
        "whole": whole_pictures(survey),
        "notes": camera_notes(survey),
        "slates": slates_taken(survey),
        "work": sorting_work(survey),
    }
    return render(request, "photos/survey.html", context, status=400 if refused else 200)


def _wanted(request: HttpRequest, survey: Survey) -> tuple[Wanted, str]:
    """Return which frames are asked for, and what is wrong with the question."""
    mode, state = request.GET.get("mode", ""), request.GET.get("state", "")
    cell = request.GET.get("cell", "").strip()
    wanted = Wanted(
        mode if mode in Mode.values else "", cell[:20], state if state in STATES else ""
    )
    try:
        named = cells_typed(cell, survey, field="cell")
    except InvalidInput as error:
        return wanted, error.message
    return Wanted(wanted.mode, named[0] if named else "", wanted.state), ""


@require_GET
def take_in_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Take many photographs in; the page's script sends them one by one."""
    opened = open_page(request, wall, Action.RECORD)
    survey = survey_of_wall(opened, code)
    context = {
        "wall": opened,
        "survey": survey,
        "form": LightForm(initial={"mode": Mode.NORMAL}),
        "accepted": f"{PICTURE_TYPES},{RAW_TYPES}",
        "raw_types": RAW_TYPES,
        "largest_mb": LARGEST_FILE_BYTES // BYTES_PER_MB,
        "cautions": CAUTIONS,
        "governing": GOVERNING,
        "no_plan": NO_PLAN,
    }
    return render(request, "photos/take_in.html", context)


@require_http_methods(["GET", "POST"])
def sort_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show which frames no cell is known of, and why; sort them by their slates."""
    action = Action.SEE_RECORD if request.method == "GET" else Action.RECORD
    opened = open_page(request, wall, action)
    survey = survey_of_wall(opened, code)
    if request.method == "POST":
        ask_to_sort(survey, asked_by=cast(Account, request.user))
        return redirect("photos:sort", opened.slug, survey.code)
    return _sort_page(request, survey, CellsForm())


def _sort_page(
    request: HttpRequest, survey: Survey, form: CellsForm, *, status: int = 200
) -> HttpResponse:
    why = why_unsorted(survey)
    rows = unsorted_photographs(survey).order_by("taken_at", "name")
    last = last_sorting(survey)
    context = {
        "wall": survey.wall,
        "survey": survey,
        "form": form,
        "chosen": set(request.POST.getlist("photograph")),
        "unsorted": [(row, why.get(str(row.pk), "")) for row in rows],
        "last": last,
        "result": last.result if last else None,
        "work": sorting_work(survey),
    }
    return render(request, "photos/sort.html", context, status=status)


@require_POST
def put_to_cell(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Put the chosen frames to cells, as a person says it."""
    opened = open_page(request, wall, Action.RECORD)
    survey = survey_of_wall(opened, code)
    form = CellsForm(request.POST)
    if form.is_valid():
        try:
            cells = cells_typed(form.cleaned_data["cells"], survey)
            rows = _chosen(request, survey)
            said: Mapping[str, Any] = {"cells": cells, "slate": None}
            changes = [(row, said) for row in rows]
            restate_all(survey, changes, writer=writer_at_own_desk(request.user))
        except PontataError as error:
            refuse(form, error)
        else:
            count = f"{len(rows)} photograph{'s' if len(rows) > 1 else ''}"
            messages.success(request, f"{count} put to {', '.join(cells)}.")
            back = "survey" if request.POST.get("back") == "survey" else "sort"
            return redirect(f"photos:{back}", opened.slug, survey.code)
    return _sort_page(request, survey, form, status=400)


def _chosen(request: HttpRequest, survey: Survey) -> list[Photograph]:
    ids = [found for text in request.POST.getlist("photograph") if (found := _uuid(text))]
    rows = survey.photographs.filter(pk__in=ids, role__in=("record", "note"))
    chosen = list(rows.select_related("head", "survey__logbook"))
    if not chosen:
        raise InvalidInput("No photograph is chosen. Tick those that show these cells.")
    if contradicted := [row.name for row in chosen if row.conflict]:
        raise InvalidInput(
            f"Two statements of {contradicted[0]} contradict each other; decide between them first."
        )
    return chosen


@require_GET
def shots_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show the shot list of a survey's wall, what is missing of it and which frames differ."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    survey = survey_of_wall(opened, code)
    given = request.GET.copy()
    bare = ShotForm()
    for name, field in bare.fields.items():
        given.setdefault(name, str(field.initial or ""))
    form = ShotForm(given)
    plan = state = None
    if form.is_valid():
        try:
            plan, state = shot_state(survey, form.wanted())
        except PontataError as error:
            refuse(form, error, {"camera": "width_px", "overlap": "overlap_pct"})
    context = {
        "wall": opened,
        "survey": survey,
        "form": form,
        "plan": plan,
        "state": state,
        "cautions": cautions_for([form.data.get("mode", "")]),
        "governing": GOVERNING,
        "no_plan": NO_PLAN,
    }
    return render(request, "photos/shots.html", context, status=200 if plan else 400)


@require_GET
def photograph_page(request: HttpRequest, wall: str, photograph: UUID) -> HttpResponse:
    """Show one photograph: what was said of it, what its file says, where it lies."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    found = photograph_of_wall(opened, photograph)
    return one_photograph(request, found)


def one_photograph(
    request: HttpRequest,
    photograph: Photograph,
    *,
    form: CorrectionForm | HistoricCorrectionForm | None = None,
    presence: PresenceForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show the page of a photograph, with a form that was refused where there is one."""
    initial: dict[str, Any] = {"cell": photograph.cells[0] if photograph.cells else ""}
    entries = photograph.survey.logbook.entries.filter(object_id=photograph.pk)
    context = {
        "wall": photograph.survey.wall,
        "survey": photograph.survey,
        "photograph": photograph,
        "listed": listed(photograph),
        "form": form or correction_form(photograph),
        "presence": presence or PresenceForm(initial=initial),
        "presences": presences_of(photograph),
        "history": entries.order_by("seq"),
        "pairs": pairs_with(photograph),
        "mosaics": mosaics_with(photograph),
        "raw": photograph.head.content.get("raw"),
        "raw_types": RAW_TYPES,
        "testimony": testimony_lines(photograph),
        "answers": ANSWERS.items(),
    }
    return render(request, "photos/photograph.html", context, status=status)


@require_POST
def correction(request: HttpRequest, wall: str, photograph: UUID) -> HttpResponse:
    """Correct cell, light or role of a photograph; what was said before stays readable."""
    opened = open_page(request, wall, Action.RECORD)
    found = photograph_of_wall(opened, photograph)
    form = correction_form(found, request.POST)
    if form.is_valid():
        try:
            _correct(found, form, request)
        except PontataError as error:
            refuse(form, error)
        else:
            return redirect("photos:photograph", opened.slug, found.pk)
    return one_photograph(request, found, form=form, status=400)


def _correct(
    photograph: Photograph,
    form: CorrectionForm | HistoricCorrectionForm,
    request: HttpRequest,
) -> None:
    if request.POST.get("head") != str(photograph.head_id):
        raise InvalidInput(
            "Somebody has changed this photograph's statement since the page was opened. Read it "
            "again, then correct it."
        )
    if photograph.conflict:
        raise InvalidInput(
            f"Two statements of {photograph.name} contradict each other; decide between them first."
        )
    changes = form.changes()
    if not changes:
        messages.info(request, "Nothing was changed.")
        return
    restate(photograph, changes, writer=writer_at_own_desk(request.user))
    messages.success(request, "The correction is on record; the earlier statement stays readable.")


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
