"""Pages of the reports: ask for a draft, issue, supersede, read."""

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from gridmap.errors import NotFound, PontataError
from gridmap.models import Wall
from survey.jobs.models import Job
from survey.ledger.blobs import blob_path
from survey.people.pages import open_page
from survey.people.permissions import Action, require
from survey.people.selectors import signed_in
from survey.record.selectors import survey_of_wall
from survey.report.models import IssuedReport, PaperKind
from survey.report.services import JOB_KIND, start_report

JOBS_SHOWN = 12


@require_http_methods(["GET", "POST"])
def reports(request: HttpRequest, wall: str) -> HttpResponse:
    """List issued reports and drafts; ask for another."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    error: PontataError | None = None
    if request.method == "POST":
        issue = request.POST.get("what") == "issue"
        require(request.user, opened, Action.ISSUE_REPORT if issue else Action.MAKE_REPORT)
        try:
            job = _asked(request, opened, issue=issue)
            return redirect("jobs:job", opened.slug, job.pk)
        except PontataError as refusal:
            error = refusal
    surveys = list(opened.surveys.order_by("-starts_on", "-code"))
    context = {
        "wall": opened,
        "issued": IssuedReport.objects.filter(wall=opened).select_related(
            "survey", "against", "supersedes", "superseded_by"
        ),
        "jobs": Job.objects.filter(wall=opened, kind=JOB_KIND)[:JOBS_SHOWN],
        "surveys": surveys,
        "kinds": PaperKind.choices,
        "error": error,
        "typed": request.POST,
    }
    return render(request, "report/reports.html", context, status=400 if error else 200)


def _asked(request: HttpRequest, wall: Wall, *, issue: bool) -> Job:
    form = request.POST
    against = form.get("against", "")
    former = None
    if form.get("supersedes", "").isdigit():
        former = IssuedReport.objects.filter(wall=wall, pk=int(form["supersedes"])).first()
    return start_report(
        survey=survey_of_wall(wall, form.get("survey", "")),
        against=survey_of_wall(wall, against) if against else None,
        kind=form.get("kind", ""),
        asked_by=signed_in(request.user),
        issue=issue,
        supersedes=former,
        changed=form.get("changed", ""),
    )


@require_GET
def issued_pdf(request: HttpRequest, wall: str, number: int, version: int) -> FileResponse:
    """Send the PDF of an issued report, exactly as it was issued."""
    opened = open_page(request, wall, Action.SEE_RECORD)
    row = IssuedReport.objects.filter(wall=opened, number=number, version=version).first()
    if row is None:
        raise NotFound("There is no such report on this wall.")
    return stored_pdf(row.pdf_id, f"{opened.slug}-{row.label}-v{row.version}.pdf")


@require_GET
def draft_pdf(request: HttpRequest, wall: str, number: int) -> FileResponse:
    """Send the PDF of a draft."""
    opened = open_page(request, wall, Action.MAKE_REPORT)
    job = Job.objects.filter(wall=opened, kind=JOB_KIND, pk=number).first()
    if job is None or not job.result.get("pdf"):
        raise NotFound("There is no such draft on this wall.")
    return stored_pdf(job.result["pdf"], f"{opened.slug}-draft-{job.pk}.pdf")


def stored_pdf(digest: str, name: str) -> FileResponse:
    """Send a PDF of the store under a name."""
    try:
        file = open(blob_path(digest), "rb")  # noqa: SIM115  FileResponse closes it
    except FileNotFoundError as error:
        raise NotFound("The store has lost this report's bytes.") from error
    return FileResponse(file, content_type="application/pdf", filename=name)
