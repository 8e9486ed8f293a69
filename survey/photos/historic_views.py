"""Pages about historical pictures: evidence that something was there before the works.

They answer *present then*, *absent then* or *cannot tell*; nothing is measured on them.
"""

from pathlib import Path
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import InvalidInput, NotFound, PontataError
from gridmap.models import Wall
from survey.ledger.desk import writer_at_own_desk
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.photos.forms import HistoricForm, PresenceForm
from survey.photos.listing import historical_pictures, photograph_of_wall
from survey.photos.models import Photograph
from survey.photos.presence_kind import ANSWERS
from survey.photos.presences import correct_presence, state_presence
from survey.photos.taking_in import ALREADY_TAKEN, Taken, arriving_file, take_in
from survey.photos.views import one_photograph
from survey.record.models import Survey
from survey.walls.form_fields import refuse


@require_GET
def historical_page(request: HttpRequest, wall: str) -> HttpResponse:
    """List the historical pictures of a wall and what each was found to show."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    context = {"wall": opened, "rows": historical_pictures(opened), "answers": ANSWERS}
    return render(request, "photos/historical.html", context)


@require_http_methods(["GET", "POST"])
def new_historical(request: HttpRequest, wall: str) -> HttpResponse:
    """Take a historical picture in, with the certainty of its date and of its source."""
    opened = open_page(request, wall, Action.RECORD)
    surveys = list(
        opened.surveys.select_related("wall", "layout", "logbook").order_by("starts_on", "code")
    )
    if request.method == "GET":
        return _new_page(request, opened, HistoricForm(surveys=surveys), surveys)
    form = HistoricForm(request.POST, request.FILES, surveys=surveys)
    if form.is_valid():
        try:
            taken = _take(form, request)
        except PontataError as error:
            refuse(form, error, {"cell": "cells", "name": "file", "data": "file"})
        else:
            return redirect("photos:photograph", opened.slug, taken.photograph.pk)
    return _new_page(request, opened, form, surveys, status=400)


def _new_page(
    request: HttpRequest,
    wall: Wall,
    form: HistoricForm,
    surveys: list[Survey],
    *,
    status: int = 200,
) -> HttpResponse:
    context = {"wall": wall, "form": form, "surveys": surveys}
    return render(request, "photos/new_historical.html", context, status=status)


def _take(form: HistoricForm, request: HttpRequest) -> Taken:
    sent = form.cleaned_data["file"]
    with arriving_file() as path:
        _write(sent, path)
        taken = take_in(
            form.survey_chosen(),
            path,
            sent.name,
            statement=form.statement(),
            writer=writer_at_own_desk(request.user),
        )
    if taken.status == ALREADY_TAKEN:
        raise InvalidInput(
            f"The same bytes are on record as {taken.photograph.name}. Nothing was kept twice.",
            field="file",
        )
    messages.success(request, f"{taken.photograph.name} is on record as a historical picture.")
    return taken


def _write(sent: object, path: Path) -> None:
    with path.open("wb") as file:
        for piece in sent.chunks():  # type: ignore[attr-defined]  # an uploaded file
            file.write(piece)


@require_POST
def presence(request: HttpRequest, wall: str, photograph: UUID) -> HttpResponse:
    """Say of one place: present then, absent then, or cannot tell."""
    opened = open_page(request, wall, Action.RECORD)
    found = photograph_of_wall(opened, photograph)
    form = PresenceForm(request.POST)
    if form.is_valid():
        try:
            said = {key: form.cleaned_data[key] for key in ("cell", "what", "item", "note")}
            answer = form.cleaned_data["answer"]
            state_presence(found, **said, answer=answer, writer=writer_at_own_desk(request.user))
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{ANSWERS[answer]}: {said['what']}. It is on record.")
            return redirect("photos:photograph", opened.slug, found.pk)
    return one_photograph(request, found, presence=form, status=400)


@require_POST
def presence_correction(
    request: HttpRequest, wall: str, photograph: UUID, statement: UUID
) -> HttpResponse:
    """Answer anew what a picture shows; the earlier answer stays readable."""
    opened = open_page(request, wall, Action.RECORD)
    found = photograph_of_wall(opened, photograph)
    try:
        _answer_anew(request, found, statement)
    except NotFound:
        raise
    except PontataError as error:
        messages.error(request, error.message)
        return one_photograph(request, found, status=400)
    messages.success(request, "The answer is changed; the earlier one stays readable.")
    return redirect("photos:photograph", opened.slug, found.pk)


def _answer_anew(request: HttpRequest, photograph: Photograph, statement: UUID) -> None:
    try:
        seen = UUID(request.POST.get("head", ""))
    except ValueError as error:
        raise InvalidInput("The page is old. Open it again.", field="head") from error
    correct_presence(
        photograph,
        statement,
        seen=seen,
        answer=request.POST.get("answer", ""),
        note=request.POST.get("note", ""),
        writer=writer_at_own_desk(request.user),
    )
