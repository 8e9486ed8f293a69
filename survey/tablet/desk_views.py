"""Pages of the desk around the tablets. Nothing is computed here."""

from typing import cast
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from gridmap.errors import PontataError
from gridmap.models import Wall
from survey.people.models import Account
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.record.conflicts import keep_version, withdraw_versions
from survey.record.models import Survey
from survey.record.selectors import survey_of_wall
from survey.tablet.conflict_pages import conflict_sheets
from survey.tablet.deck_log import deck_log
from survey.tablet.desk_words import device_names


def _account(request: HttpRequest) -> Account:
    return cast(Account, request.user)


@require_GET
def tablets_page(request: HttpRequest, wall: str) -> HttpResponse:
    """List the tablets of a wall and say how one is prepared."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    return render(request, "tablet/tablets.html", {"wall": opened})


@require_GET
def deck_log_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show what tablets noted about the days on the deck: stops first, then sessions."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    survey = survey_of_wall(opened, code)
    pictures = dict(survey.photographs.values_list("blob_id", "name"))
    context = {"wall": opened, "survey": survey, "log": deck_log(survey), "pictures": pictures}
    return render(request, "tablet/deck_log.html", context)


@require_GET
def conflicts_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show every conflict of a survey, its versions side by side."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    return _conflicts_page(request, opened, survey_of_wall(opened, code))


def _conflicts_page(
    request: HttpRequest,
    wall: Wall,
    survey: Survey,
    *,
    refused: str = "",
    item: UUID | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "wall": wall,
        "survey": survey,
        "sheets": conflict_sheets(survey, device_names(wall)),
        "refused": refused,
        "refused_item": item,
        "reason": request.POST.get("reason", ""),
    }
    return render(request, "tablet/conflicts.html", context, status=status)


@require_POST
def conflict_decision(request: HttpRequest, wall: str, code: str, item: UUID) -> HttpResponse:
    """Keep one of the versions, or withdraw them all; the decision is an entry of its own."""
    opened = open_page(request, wall, Action.DECIDE)
    survey = survey_of_wall(opened, code)
    seen = {head for text in request.POST.getlist("heads") if (head := _uuid(text))}
    try:
        if request.POST.get("do") == "withdraw":
            withdraw_versions(
                survey,
                object_id=item,
                reason=request.POST.get("reason", "").strip(),
                seen_heads=seen,
                account=_account(request),
            )
            said = "All versions are withdrawn; they stay in the logbook with your reason."
        else:
            keep_version(
                survey,
                object_id=item,
                kept=_uuid(request.POST.get("kept")) or UUID(int=0),
                seen_heads=seen,
                account=_account(request),
            )
            said = "The version is kept. The decision is an entry; what it ends stays readable."
    except PontataError as error:
        return _conflicts_page(
            request, opened, survey, refused=error.message, item=item, status=400
        )
    messages.success(request, said)
    return redirect("tablets:conflicts", opened.slug, survey.code)


def _uuid(text: str | None) -> UUID | None:
    try:
        return UUID(text or "")
    except ValueError:
        return None
