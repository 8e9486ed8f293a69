"""Pages of treatments and of decisions about items. Nothing is computed here."""

from typing import Any, cast
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import NotFound, PontataError
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.blobs import read_blob
from survey.ledger.drafts import new_id
from survey.ledger.models import Blob
from survey.people.models import Account
from survey.people.pages import open_page
from survey.people.permissions import Action, may
from survey.record.models import Observation
from survey.record.selectors import survey_of_wall
from survey.treatments.cautions import CAUTIONS, GOVERNING, NO_PLAN
from survey.treatments.forms import (
    CHOICE_NAMES,
    DecisionForm,
    FindItemForm,
    Refused,
    TreatmentForm,
    record_lines,
    typed_treatment,
)
from survey.treatments.models import Treatment
from survey.treatments.pictures import MOMENTS
from survey.treatments.selectors import (
    decisions_of_item,
    item_decisions,
    items_undecided,
    observation_of_survey,
    observations_named,
    treated_areas,
    treatment_of_wall,
    treatments_of,
    with_terms,
)
from survey.treatments.services import (
    correct_treatment,
    decide,
    record_treatment,
    withdraw_treatment,
)
from survey.vocabulary.selectors import vocabulary_of
from survey.walls.form_fields import BaseRows, refuse, with_another_row

_ANY = "00000000-0000-0000-0000-000000000000"
MOST_UNDECIDED = 40


def _account(request: HttpRequest) -> Account:
    return cast(Account, request.user)


@require_GET
def treatment_list(request: HttpRequest, wall: str) -> HttpResponse:
    """List the treatments of a wall, with the places treated."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    rows = with_terms(opened, treatments_of(opened))
    link = reverse("treatments:detail", args=[opened.slug, _ANY]).replace(_ANY, "TREATMENT")
    withdrawn = Treatment.objects.filter(logbook__wall=opened).exclude(withdrawn_because="")
    context = {
        "wall": opened,
        "rows": rows,
        "areas": treated_areas(rows, link, width_in=opened.layout.width_in),
        "withdrawn": with_terms(opened, withdrawn),
        "layout": opened.layout,
    }
    return render(request, "treatments/list.html", context)


@require_http_methods(["GET", "POST"])
def new_treatment(request: HttpRequest, wall: str) -> HttpResponse:
    """Put a treatment on record."""
    opened = open_page(request, wall, Action.TREAT)
    if request.method == "GET":
        initial = {
            "operators": str(request.user),
            "cells": request.GET.get("cell", ""),
            "survey": request.GET.get("survey", ""),
            "item": request.GET.get("item", ""),
            "place": "item" if request.GET.get("item") else "cells",
        }
        form = TreatmentForm(initial=initial, wall=opened)
        return _treatment_page(request, opened, form, object_id=new_id())
    object_id = _uuid(request.POST.get("object_id"))
    form = TreatmentForm(request.POST, request.FILES, wall=opened)
    if form.is_valid():
        try:
            made = record_treatment(
                wall=opened, body=form.body(), account=_account(request), object_id=object_id
            )
        except PontataError as error:
            refuse(form, error, {"geometry": "place"})
        else:
            messages.success(request, "The treatment is on record.")
            return redirect("treatments:detail", opened.slug, made.object_id)
    return _treatment_page(request, opened, form, object_id=object_id or new_id(), status=400)


@require_http_methods(["GET", "POST"])
def correction(request: HttpRequest, wall: str, treatment: UUID) -> HttpResponse:
    """Correct a treatment's record: the new one names the old one, and both are kept."""
    opened = open_page(request, wall, Action.TREAT)
    kept = treatment_of_wall(opened, treatment)
    if request.method == "GET":
        form = TreatmentForm(initial=typed_treatment(kept), wall=opened, kept=kept)
        return _treatment_page(request, opened, form, kept=kept)
    form = TreatmentForm(request.POST, request.FILES, wall=opened, kept=kept)
    if form.is_valid():
        try:
            correct_treatment(
                kept,
                body=form.body(),
                account=_account(request),
                seen_head=_uuid(request.POST.get("seen_head")) or UUID(int=0),
            )
        except PontataError as error:
            refuse(form, error, {"geometry": "place"})
        else:
            messages.success(request, "The correction is on record; what it replaces is kept.")
            return redirect("treatments:detail", opened.slug, kept.object_id)
    return _treatment_page(request, opened, form, kept=kept, status=400)


def _treatment_page(
    request: HttpRequest,
    wall: Wall,
    form: TreatmentForm,
    *,
    kept: Treatment | None = None,
    object_id: UUID | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "wall": wall,
        "form": form,
        "kept": kept,
        "object_id": object_id,
        "cautions": CAUTIONS,
        "governing": f"{GOVERNING} {NO_PLAN}",
        "layout": wall.layout,
        "refused": status != 200,
    }
    return render(request, "treatments/form.html", context, status=status)


@require_GET
def treatment_detail(request: HttpRequest, wall: str, treatment: UUID) -> HttpResponse:
    """Show everything that a treatment's record says, ready to be printed."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    kept = treatment_of_wall(opened, treatment)
    return _detail_page(request, opened, kept)


def _detail_page(
    request: HttpRequest, wall: Wall, kept: Treatment, *, refused: str = "", status: int = 200
) -> HttpResponse:
    row = with_terms(wall, [kept])[0]
    pictures = kept.details.get("photographs", {})
    context = {
        "wall": wall,
        "treatment": kept,
        "term": row.term,
        "lines": record_lines(kept),
        "pictures": [(m, pictures[m]) for m in MOMENTS if pictures.get(m)],
        "areas": treated_areas([row], "", width_in=wall.layout.width_in),
        "layout": wall.layout,
        "entries": kept.logbook.entries.filter(object_id=kept.object_id).order_by("seq"),
        "can_treat": may(request.user, wall, Action.TREAT),
        "withdrawal_refused": refused,
        "governing": GOVERNING,
    }
    return render(request, "treatments/detail.html", context, status=status)


@require_POST
def withdrawal(request: HttpRequest, wall: str, treatment: UUID) -> HttpResponse:
    """Take a treatment's record back, with the reason."""
    opened = open_page(request, wall, Action.TREAT)
    kept = treatment_of_wall(opened, treatment)
    try:
        withdraw_treatment(
            kept,
            reason=request.POST.get("reason", "").strip(),
            account=_account(request),
            seen_head=_uuid(request.POST.get("seen_head")) or UUID(int=0),
        )
    except PontataError as error:
        return _detail_page(request, opened, kept, refused=error.message, status=400)
    messages.success(request, "The record is withdrawn; it stays in the logbook with the reason.")
    return redirect("treatments:detail", opened.slug, kept.object_id)


@require_GET
def picture(request: HttpRequest, wall: str, treatment: UUID, digest: str) -> HttpResponse:
    """Send a picture of a treatment, as it was put on record."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    kept = treatment_of_wall(opened, treatment)
    named = kept.details.get("photographs", {})
    blob = Blob.objects.filter(pk=digest).first()
    if blob is None or not any(digest in named.get(m, []) for m in MOMENTS):
        raise NotFound("This treatment has no such picture.")
    return HttpResponse(read_blob(digest), content_type=blob.mime)


@require_GET
def decision_list(request: HttpRequest, wall: str) -> HttpResponse:
    """List the decisions about items, those due for review first, and what waits for one."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    find = FindItemForm(request.GET if "item" in request.GET else None, wall=opened)
    if find.is_bound and find.is_valid() and (found := _found(find, opened)):
        return redirect("treatments:decide", opened.slug, found.survey.code, found.object_id)
    newest = opened.surveys.order_by("-starts_on", "-code").first()
    rows = item_decisions(opened, moment().date())
    context = {
        "wall": opened,
        "rows": rows,
        "due": [row for row in rows if row.due],
        "choices": CHOICE_NAMES,
        "find": find,
        "newest": newest,
        "undecided": items_undecided(newest, at_most=MOST_UNDECIDED) if newest else [],
        "can_decide": may(request.user, opened, Action.DECIDE),
    }
    return render(request, "treatments/decisions.html", context)


def _found(find: FindItemForm, wall: Wall) -> Observation | None:
    """Return the one outline under a label, or say beside the field why there is none."""
    survey = survey_of_wall(wall, find.cleaned_data["survey"])
    found = observations_named(survey, find.cleaned_data["item"])
    if len(found) == 1:
        return found[0]
    said = "no outline" if not found else f"{len(found)} outlines"
    find.add_error("item", f"Survey {survey.code} has {said} called {find.cleaned_data['item']}.")
    return None


@require_http_methods(["GET", "POST"])
def decision(request: HttpRequest, wall: str, code: str, item: UUID) -> HttpResponse:
    """Decide about an item: leave as it is, watch, treat or investigate."""
    opened = open_page(request, wall, Action.DECIDE)
    survey = survey_of_wall(opened, code)
    observation = observation_of_survey(survey, item)
    if request.method == "GET":
        form = DecisionForm(initial={"decided_by": str(request.user)})
        return _decision_page(request, observation, form, Refused(prefix="refused"))
    if prefix := request.POST.get("another"):
        data = with_another_row(request.POST, prefix)
        return _decision_page(
            request, observation, DecisionForm(data), Refused(data, prefix="refused")
        )
    form, refused = DecisionForm(request.POST), Refused(request.POST, prefix="refused")
    if all([form.is_valid(), refused.is_valid()]):
        options = [{"option": row["option"], "reason": row["reason"]} for _, row in refused.filled]
        try:
            decide(
                wall=opened,
                survey=survey,
                body=form.body(item=str(observation.object_id), refused=options),
                account=_account(request),
                object_id=_uuid(request.POST.get("object_id")),
            )
        except PontataError as error:
            refuse(form, error)
        else:
            messages.success(request, f"The decision about {observation.item} is on record.")
            return redirect("treatments:decisions", opened.slug)
    return _decision_page(request, observation, form, refused, status=400)


def _decision_page(
    request: HttpRequest,
    observation: Observation,
    form: DecisionForm,
    refused: BaseRows,
    *,
    status: int = 200,
) -> HttpResponse:
    survey = observation.survey
    context: dict[str, Any] = {
        "wall": survey.wall,
        "survey": survey,
        "observation": observation,
        "term": vocabulary_of(survey.vocabulary).term(observation.term),
        "form": form,
        "refused_rows": refused,
        "earlier": decisions_of_item(observation),
        "choices": CHOICE_NAMES,
        "object_id": request.POST.get("object_id") or new_id(),
        "refused": status != 200,
    }
    return render(request, "treatments/decide.html", context, status=status)


def _uuid(text: str | None) -> UUID | None:
    try:
        return UUID(text or "")
    except ValueError:
        return None
