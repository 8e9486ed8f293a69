"""Pages of the record: the wall at a glance, its surveys, one survey, and one item's history."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.clock import moment
from survey.people.permissions import Action
from survey.people.selectors import open_wall
from survey.record.boot import layout_boot, survey_boot, wall_boot
from survey.record.forms import SurveyForm
from survey.record.history import item_history
from survey.record.models import Observation, Survey
from survey.record.overview import (
    cells_waiting,
    cells_with_outlines,
    mode_coverages,
    term_totals,
)
from survey.record.selectors import pre_works_statement, survey_of_wall
from survey.record.services import close_survey


def _open(request: HttpRequest, slug: str, action: Action) -> Wall:
    wall = open_wall(request.user, slug, action)
    request.wall = wall  # type: ignore[attr-defined]  # read by survey.people.context
    return wall


@require_GET
def wall_page(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the strip, the chosen survey's totals by term and its coverage."""
    opened = _open(request, wall, Action.SEE_RECORD)
    surveys = list(opened.surveys.select_related("layout", "vocabulary", "logbook"))
    code = request.GET.get("survey")
    chosen = survey_of_wall(opened, code) if code else (surveys[-1] if surveys else None)
    context: dict[str, object] = {
        "wall": opened,
        "layout": opened.layout,
        "surveys": surveys,
        "survey": chosen,
        "strip": {"wall": wall_boot(opened, opened.layout), "layout": layout_boot(opened.layout)},
    }
    if chosen is not None:
        context |= {
            "totals": term_totals(chosen),
            "coverages": mode_coverages(chosen),
            "waiting": cells_waiting(chosen),
            "pre_works": pre_works_statement(chosen),
            "strip": {
                "wall": wall_boot(opened, chosen.layout),
                "layout": layout_boot(chosen.layout),
                "counts": cells_with_outlines(chosen),
                "cell_url": f"{_survey_url(chosen)}#CELL",
            },
        }
    return render(request, "record/wall.html", context)


def _survey_url(survey: Survey) -> str:
    return reverse("record:survey", args=[survey.wall.slug, survey.code])


@require_GET
def surveys_page(request: HttpRequest, wall: str) -> HttpResponse:
    """List the surveys of a wall with their state and coverage."""
    opened = _open(request, wall, Action.SEE_RECORD)
    rows = [
        {
            "survey": survey,
            "outlines": survey.observations.exclude(standing="withdrawn").count(),
            "waiting": len(cells_waiting(survey)),
            "cells": survey.layout.grid.cell_count,
            "pre_works": pre_works_statement(survey),
        }
        for survey in opened.surveys.select_related("layout")
    ]
    return render(request, "record/surveys.html", {"wall": opened, "rows": rows})


@require_http_methods(["GET", "POST"])
def new_survey(request: HttpRequest, wall: str) -> HttpResponse:
    """Open a survey under the newest layout and vocabulary."""
    opened = _open(request, wall, Action.RECORD)
    today = moment().date()
    form = SurveyForm(
        request.POST or None, wall=opened, initial={"starts_on": today, "ends_on": today}
    )
    if request.method == "POST" and form.is_valid():
        survey = form.save()
        if survey is not None:
            return redirect("record:survey", opened.slug, survey.code)
    status = 400 if form.errors else 200
    return render(request, "record/new_survey.html", {"wall": opened, "form": form}, status=status)


@require_GET
def survey_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show the drawing page of one survey."""
    opened = _open(request, wall, Action.SEE_RECORD)
    survey = survey_of_wall(opened, code)
    return render(
        request,
        "record/survey.html",
        {
            "wall": opened,
            "survey": survey,
            "boot": survey_boot(survey, request.user),
            "pre_works": pre_works_statement(survey),
        },
    )


@require_POST
def close_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Close a survey: it then takes corrections and decisions only."""
    opened = _open(request, wall, Action.CLOSE_SURVEY)
    survey = survey_of_wall(opened, code)
    close_survey(survey, by=str(request.user), note=request.POST.get("note", "")[:4000])
    messages.success(request, f"Survey {survey.code} is closed.")
    return redirect("record:surveys", opened.slug)


@require_GET
def item_page(request: HttpRequest, wall: str, item: UUID) -> HttpResponse:
    """Show every statement made of one item, through all surveys."""
    opened = _open(request, wall, Action.SEE_RECORD)
    observation = (
        Observation.objects.select_related("survey__wall", "survey__vocabulary")
        .filter(pk=item, survey__wall=opened)
        .first()
    )
    if observation is None:
        raise NotFound("There is no such item on this wall.")
    return render(
        request,
        "record/item.html",
        {"wall": opened, "observation": observation, "history": item_history(observation)},
    )
