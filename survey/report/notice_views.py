"""Pages of the notices: what a notice says, issuing one, and its PDF."""

from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from gridmap.errors import PontataError
from survey.ledger.desk import object_of_form, writer_at_desk
from survey.ledger.drafts import new_id
from survey.people.pages import open_page
from survey.people.permissions import Action, require
from survey.report.notices import issue_notice, mail_is_set, notice_digest
from survey.report.views import stored_pdf
from survey.watch.notice_text import notice_text
from survey.watch.stop_kinds import NOTICE
from survey.watch.stop_views import choice_of
from survey.watch.stop_words import page_of
from survey.watch.stops import case_of


@require_http_methods(["GET", "POST"])
def notice(request: HttpRequest, wall: str, case_id: UUID) -> HttpResponse:
    """Show the notice of an exceedance or a stop as it would be handed over; issue it."""
    opened = open_page(request, wall, Action.SEE_LIMITS)
    if request.method == "POST":
        require(request.user, opened, Action.RECORD)
    case = case_of(opened, case_id)
    text = notice_text(case, choice_of(case))
    error: PontataError | None = None
    if request.method == "POST":
        try:
            number = issue_notice(
                case,
                text,
                to=request.POST.get("to", ""),
                address=request.POST.get("address", "").strip(),
                writer=writer_at_desk(request.user),
                object_id=object_of_form(request),
            )
        except PontataError as refusal:
            error = refusal
        else:
            messages.success(request, f"Notice N-{number} is issued and on record.")
            return redirect("report:notice", opened.slug, case.id)
    context = {
        "wall": opened,
        "case": case,
        "back": page_of(case),
        "text": text,
        "issued": case.lines.get(NOTICE, ()),
        "mail": mail_is_set(),
        "error": error,
        "typed": request.POST,
        "object_id": new_id(),
    }
    return render(request, "report/notice.html", context, status=400 if error else 200)


@require_GET
def notice_pdf(request: HttpRequest, wall: str, number: int) -> FileResponse:
    """Send the PDF of an issued notice, exactly as it was handed over."""
    opened = open_page(request, wall, Action.SEE_LIMITS)
    return stored_pdf(notice_digest(opened, number), f"{opened.slug}-N-{number}.pdf")
