"""Pages of the comparison: choose two surveys, read what changed, decide what contradicts."""

import itertools

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from gridmap.errors import InvalidInput, NotFound, PontataError
from survey.compare.pages import (
    QUERY_CHOICES,
    cell_inks,
    compared_share,
    finding_counts,
    item_rows,
    left_out,
    query_rows,
    term_names,
)
from survey.compare.sampled import sampled
from survey.compare.selectors import comparison
from survey.compare.services import decide_query
from survey.compare.tolerance import read_tolerance_in
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.record.models import Survey
from survey.record.selectors import pre_works_statement, survey_of_wall


@require_GET
def choose(request: HttpRequest, wall: str) -> HttpResponse:
    """Let two surveys be chosen; the usual pairs are offered by one tap."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    before, after = request.GET.get("before"), request.GET.get("after")
    error = ""
    if before and after:
        try:
            first, second = survey_of_wall(opened, before), survey_of_wall(opened, after)
            _refuse_same(first, second)
            read_tolerance_in(request.GET.get("tolerance") or "0")
            address = reverse("compare:result", args=[opened.slug, before, after])
            return redirect(f"{address}?{request.GET.urlencode()}")
        except PontataError as refusal:
            error = refusal.message
    surveys = list(opened.surveys.filter(observations__isnull=False).distinct())
    pairs = list(itertools.pairwise(surveys))
    return render(
        request,
        "compare/choose.html",
        {
            "wall": opened,
            "surveys": surveys,
            "pairs": pairs[::-1],
            "error": error,
            "typed": request.GET,
        },
        status=400 if error else 200,
    )


def _refuse_same(first: Survey, second: Survey) -> None:
    if first.pk == second.pk:
        raise InvalidInput(f"Before and after are both {first.code}; choose two surveys.")


@require_GET
def result(request: HttpRequest, wall: str, before: str, after: str) -> HttpResponse:
    """Show what changed between two surveys, how sure, and what was left out."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    first, second = survey_of_wall(opened, before), survey_of_wall(opened, after)
    _refuse_same(first, second)
    tolerance_in = read_tolerance_in(request.GET.get("tolerance") or "0")
    found = comparison(first, second, tolerance_in=tolerance_in)
    rows, queries = item_rows(found, second), query_rows(found)
    survey_url = reverse("record:survey", args=[opened.slug, second.code])
    return render(
        request,
        "compare/result.html",
        {
            "wall": opened,
            "before": first,
            "after": second,
            "found": found,
            "layout": second.layout,
            "cells": cell_inks(found, f"{survey_url}#CELL"),
            "names": term_names(second),
            "share": compared_share(found),
            "sampled": sampled(found),
            "counts": finding_counts(found),
            "items": rows,
            "windows": [row for row in rows if row.found.window is not None],
            "queries": queries,
            "undecided": sum(row.decision is None for row in queries),
            "rate_pct": round(100 * found.false_discovery_rate),
            "left_out": left_out(found),
            "choices": QUERY_CHOICES,
            "tolerance": request.GET.get("tolerance", ""),
            "pre_works": [
                (survey.code, said)
                for survey in (first, second)
                if (said := pre_works_statement(survey))
            ],
        },
    )


@require_POST
def decide(request: HttpRequest, wall: str, before: str, after: str) -> HttpResponse:
    """Put the decision about one query on record."""
    opened = open_page(request, wall, Action.DECIDE)
    first, second = survey_of_wall(opened, before), survey_of_wall(opened, after)
    tolerance = request.POST.get("tolerance", "")
    found = comparison(first, second, tolerance_in=read_tolerance_in(tolerance or "0"))
    key = request.POST.get("query_key", "")
    query = next((query for query in found.queries if query.key == key), None)
    if query is None:
        raise NotFound("This query has lapsed: an entry that it speaks of was corrected.")
    decide_query(
        survey=second,
        query=query,
        choice=request.POST.get("choice", ""),
        reason=request.POST.get("reason", ""),
        decided_by=request.POST.get("decided_by", ""),
        recorded_by=str(request.user),
    )
    messages.success(request, f"The decision about {query.item} is on record.")
    address = reverse("compare:result", args=[opened.slug, before, after])
    return redirect(f"{address}?tolerance={tolerance}#queries")
