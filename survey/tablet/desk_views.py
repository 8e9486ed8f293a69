"""Pages of the desk around the tablets. Nothing is computed here."""

from typing import cast
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gridmap.errors import InvalidInput, NotFound, PontataError
from gridmap.models import Wall
from survey.ledger.devices import leave_set_aside, take_set_aside
from survey.people.models import Account
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.record.conflicts import keep_version, withdraw_versions
from survey.record.models import Survey
from survey.record.selectors import survey_of_wall
from survey.tablet.conflict_pages import conflict_sheets
from survey.tablet.deck_log import deck_log
from survey.tablet.desk_words import RETIREMENTS, device_names, works_without_network
from survey.tablet.models import Tablet
from survey.tablet.services import retire
from survey.tablet.set_aside_pages import aside_of, aside_sheet, settled_in, waiting_in
from survey.tablet.taking_in import WorkTaken, take_work_file
from survey.tablet.work_file import LARGEST_FILE_BYTES, read_work_file
from survey.walls.files import BYTES_PER_MB


def _account(request: HttpRequest) -> Account:
    return cast(Account, request.user)


@require_GET
def tablets_page(request: HttpRequest, wall: str) -> HttpResponse:
    """List the tablets of a wall and say how one is prepared."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    return _tablets_page(request, opened)


def _tablets_page(
    request: HttpRequest,
    wall: Wall,
    *,
    refused: str = "",
    tablet: UUID | None = None,
    status: int = 200,
) -> HttpResponse:
    people = ("survey", "enrolled_by", "retired_by")
    rows = Tablet.objects.filter(wall=wall).select_related(*people)
    context = {
        "wall": wall,
        "working": rows.filter(retired_at__isnull=True),
        "retired": rows.filter(retired_at__isnull=False),
        "retirements": RETIREMENTS.items(),
        "offline": works_without_network(request),
        "refused": refused,
        "refused_tablet": tablet,
    }
    return render(request, "tablet/tablets.html", context, status=status)


@require_POST
def retirement(request: HttpRequest, wall: str, tablet: UUID) -> HttpResponse:
    """Retire a tablet that is lost, reinstalled or handed back; what it sends later waits."""
    opened = open_page(request, wall, Action.RECORD)
    found = Tablet.objects.filter(wall=opened, pk=tablet).first()
    if found is None:
        raise NotFound(f"{opened.name} has no such tablet.")
    why, note = request.POST.get("why", ""), request.POST.get("note", "").strip()
    try:
        if why not in RETIREMENTS:
            raise InvalidInput("Say why: lost, reinstalled or handed back.", field="why")
        reason = f"{why}: {note}" if note else why
        retire(found, account=_account(request), reason=reason)
    except PontataError as error:
        return _tablets_page(request, opened, refused=error.message, tablet=found.pk, status=400)
    messages.success(request, f"{found.name} is retired. What it still sends waits for the lead.")
    return redirect("tablets:list", opened.slug)


@require_http_methods(["GET", "POST"])
def work_file_page(request: HttpRequest, wall: str) -> HttpResponse:
    """Take in the file that a tablet saved of its work, through the door of every push."""
    opened = open_page(request, wall, Action.RECORD)
    if request.method == "GET":
        return _work_file_page(request, opened)
    given = request.FILES.get("file")
    try:
        if given is None:
            raise InvalidInput("No file was chosen. Choose the file that the tablet saved.")
        taken = take_work_file(
            opened,
            read_work_file(given, name=given.name or "The file"),
            account=_account(request),
        )
    except PontataError as error:
        return _work_file_page(request, opened, refused=error.message, status=400)
    return _work_file_page(request, opened, taken=taken)


def _work_file_page(
    request: HttpRequest,
    wall: Wall,
    *,
    taken: WorkTaken | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "wall": wall,
        "taken": taken,
        "refused": refused,
        "largest_mb": LARGEST_FILE_BYTES // BYTES_PER_MB,
    }
    return render(request, "tablet/work_file.html", context, status=status)


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
    sheets = conflict_sheets(survey, device_names(wall))
    context = {
        "wall": wall,
        "survey": survey,
        "sheets": sheets,
        "refused_above": refused if item not in {sheet.object_id for sheet in sheets} else "",
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


@require_GET
def set_aside_page(request: HttpRequest, wall: str, code: str) -> HttpResponse:
    """Show the lead everything that tablets sent and no entry could be made of."""
    opened = open_page(request, wall, Action.SETTLE)
    return _set_aside_page(request, opened, survey_of_wall(opened, code))


def _set_aside_page(
    request: HttpRequest,
    wall: Wall,
    survey: Survey,
    *,
    refused: str = "",
    aside: int | None = None,
    status: int = 200,
) -> HttpResponse:
    name = device_names(wall)
    waiting = list(waiting_in(survey))
    context = {
        "wall": wall,
        "survey": survey,
        "sheets": [aside_sheet(row, survey.layout, name) for row in waiting],
        "refused_above": refused if aside not in {row.pk for row in waiting} else "",
        "settled": settled_in(survey),
        "refused": refused,
        "refused_aside": aside,
        "reason": request.POST.get("reason", ""),
    }
    return render(request, "tablet/set_aside.html", context, status=status)


@require_POST
def settlement(request: HttpRequest, wall: str, code: str, number: int) -> HttpResponse:
    """Take what was set aside into the record as an amendment, or leave it out with a reason."""
    opened = open_page(request, wall, Action.SETTLE)
    survey = survey_of_wall(opened, code)
    aside = aside_of(survey, number)
    by, reason = str(request.user), request.POST.get("reason", "").strip()
    try:
        if request.POST.get("do") == "take":
            receipt = take_set_aside(aside, by=by, reason=reason)
            said = f"It is taken into the record, at place {receipt.seq} of survey {survey.code}."
        else:
            leave_set_aside(aside, by=by, reason=reason)
            said = "It stays out of the record. What was sent is kept, with your reason."
    except PontataError as error:
        return _set_aside_page(
            request, opened, survey, refused=error.message, aside=aside.pk, status=400
        )
    messages.success(request, said)
    return redirect("tablets:set_aside", opened.slug, survey.code)


@require_GET
def raw_bytes(request: HttpRequest, wall: str, code: str, number: int) -> HttpResponse:
    """Send what was set aside as it came, as a file that no browser opens as a page."""
    opened = open_page(request, wall, Action.SETTLE)
    aside = aside_of(survey_of_wall(opened, code), number)
    response = HttpResponse(bytes(aside.raw), content_type="application/octet-stream")
    response["Content-Disposition"] = f'attachment; filename="set-aside-{aside.pk}.json"'
    return response


def _uuid(text: str | None) -> UUID | None:
    try:
        return UUID(text or "")
    except ValueError:
        return None
