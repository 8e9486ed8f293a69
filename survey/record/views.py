"""Pages of the record: the wall at a glance, its surveys, one survey, and one item's history."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import NotFound
from gridmap.lengths import SQ_IN_PER_SQ_FT
from gridmap.models import Wall
from survey.clock import moment
from survey.people.pages import open_page
from survey.people.permissions import Action, may
from survey.people.selectors import signed_in
from survey.record.boot import survey_boot
from survey.record.forms import SurveyForm
from survey.record.history import item_history
from survey.record.models import Mode, Observation, Standing, Survey
from survey.record.notices import notices_of
from survey.record.overview import (
    cell_inks,
    cells_waiting,
    mode_coverages,
    term_totals,
    unseen_areas,
)
from survey.record.selectors import painted_area, pre_works_statement, survey_of_wall
from survey.record.services import close_survey
from survey.vocabulary.selectors import vocabulary_of
from survey.walls.needs import Need, needs_of


@require_GET
def wall_page(request: HttpRequest, wall: str) -> HttpResponse:
    """Show the strip, what needs the reader, and the chosen survey's coverage and totals."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    surveys = list(opened.surveys.select_related("wall", "layout", "vocabulary", "logbook"))
    code = request.GET.get("survey")
    chosen = survey_of_wall(opened, code) if code else (surveys[-1] if surveys else None)
    context: dict[str, object] = {
        "wall": opened,
        "layout": chosen.layout if chosen else opened.layout,
        "surveys": surveys,
        "survey": chosen,
        "needs": _other_needs(request, opened, chosen),
        "notices": notices_of(opened, request.user),
    }
    return render(request, "record/wall.html", context | (_at_a_glance(chosen) if chosen else {}))


def _other_needs(request: HttpRequest, wall: Wall, survey: Survey | None) -> list[Need]:
    """Return what else waits for the reader: not the shown survey, nor what notices say above."""
    shown = {notice.href for notice in notices_of(wall, request.user)}
    if survey:
        shown.add(reverse("record:survey", args=[wall.slug, survey.code]))
    return [
        need
        for need in needs_of(wall)
        if need.href not in shown and may(request.user, wall, need.action)
    ]


def _at_a_glance(survey: Survey) -> dict[str, object]:
    mode = survey.modes[0]
    return {
        "cells": cell_inks(
            survey, f"{reverse('record:survey', args=[survey.wall.slug, survey.code])}#CELL"
        ),
        "areas": unseen_areas(survey, mode),
        "unseen_mode": Mode(mode).label.lower(),
        "totals": term_totals(survey),
        "coverages": mode_coverages(survey),
        "painted_sq_ft": painted_area(survey.layout).area / SQ_IN_PER_SQ_FT,
        "waiting": cells_waiting(survey),
        "pre_works": pre_works_statement(survey),
        "conflicts": survey.observations.filter(standing=Standing.CONFLICT).count(),
    }


@require_GET
def surveys_page(request: HttpRequest, wall: str) -> HttpResponse:
    """List the surveys of a wall with their state and coverage."""
    opened = open_page(request, wall, Action.SEE_RECORD)
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
    opened = open_page(request, wall, Action.RECORD)
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
    opened = open_page(request, wall, Action.SEE_RECORD)
    survey = survey_of_wall(opened, code)
    return render(
        request,
        "record/survey.html",
        {
            "wall": opened,
            "survey": survey,
            "boot": survey_boot(survey, signed_in(request.user)),
            "pre_works": pre_works_statement(survey),
            "notices": notices_of(opened, request.user, survey=survey.code),
        },
    )


@require_POST
def close_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Close a survey: it then takes corrections and decisions only."""
    opened = open_page(request, wall, Action.CLOSE_SURVEY)
    survey = survey_of_wall(opened, code)
    close_survey(survey, by=str(request.user), note=request.POST.get("note", "")[:4000])
    messages.success(request, f"Survey {survey.code} is closed.")
    return redirect("record:surveys", opened.slug)


@require_GET
def item_page(request: HttpRequest, wall: str, item: UUID) -> HttpResponse:
    """Show every statement made of one item, through all surveys."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    observation = (
        Observation.objects.select_related("survey__wall", "survey__vocabulary")
        .filter(pk=item, survey__wall=opened)
        .first()
    )
    if observation is None:
        raise NotFound("There is no such item on this wall.")
    terms = vocabulary_of(observation.survey.vocabulary).by_code
    return render(
        request,
        "record/item.html",
        {
            "wall": opened,
            "observation": observation,
            "term": terms[observation.term],
            "names": {code: term.name for code, term in terms.items()},
            "history": item_history(observation),
        },
    )
