"""How a draft is made and a report is issued, at once or as background work."""

import json
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.urls import reverse

from gridmap.errors import Clash, InvalidInput
from gridmap.models import Wall
from survey.clock import moment
from survey.jobs.models import Job
from survey.jobs.services import Progress, start_job
from survey.ledger.blobs import keep_blob
from survey.ledger.models import Blob
from survey.people.models import Account
from survey.record.models import Survey
from survey.record.selectors import survey_of_wall
from survey.report.build import build_pdf
from survey.report.collect import Issue, report_content
from survey.report.content import ReportContent, ReportState, VersionRow, to_plain
from survey.report.models import IssuedReport, PaperKind, report_number

JOB_KIND = "report"


def make_draft(
    survey: Survey, *, against: Survey | None, kind: str, produced_at: datetime
) -> bytes:
    """Return the PDF of a draft; nothing is kept."""
    _check(survey, against, kind)
    content = report_content(
        survey, against=against, issue=Issue(kind=kind), produced_at=produced_at
    )
    return build_pdf(content)


def start_report(
    *,
    survey: Survey,
    against: Survey | None,
    kind: str,
    asked_by: Account,
    issue: bool,
    supersedes: IssuedReport | None = None,
    changed: str = "",
) -> Job:
    """Ask for a report as background work; a draft, or one that is issued when it is done."""
    _check(survey, against, kind)
    if supersedes is not None:
        _refuse_superseded(supersedes)
        if not changed.strip():
            raise InvalidInput("Say in a sentence what the new version changes.", field="changed")
    what = "Issue" if issue else "Draft"
    title = f"{what} the {PaperKind(kind).label.lower()} on survey {survey.code}"
    return start_job(
        wall=survey.wall,
        kind=JOB_KIND,
        title=title + (f" against {against.code}" if against else ""),
        arguments={
            "survey": survey.code,
            "against": against.code if against else None,
            "kind": kind,
            "issue": issue,
            "supersedes": supersedes.pk if supersedes else None,
            "changed": changed.strip()[:300],
            "asked_by": str(asked_by),
        },
        asked_by=asked_by,
    )


def _check(survey: Survey, against: Survey | None, kind: str) -> None:
    if kind not in PaperKind.values:
        raise InvalidInput(
            f"kind is {kind!r}; it must be one of: {', '.join(PaperKind.values)}.", field="kind"
        )
    if against is not None and against.pk == survey.pk:
        raise InvalidInput(f"Survey {survey.code} cannot be compared with itself.", field="against")


def run_report(job: Job, progress: Progress) -> dict[str, Any]:
    """Make the report that a job asks for; the job's result names where it is read."""
    wanted = job.arguments
    survey = survey_of_wall(job.wall, wanted["survey"])
    against = survey_of_wall(job.wall, wanted["against"]) if wanted["against"] else None
    produced_at = moment()
    progress.tell(0, 1, "Collecting what the record says")
    issue, former = _issue(job.wall, wanted, produced_at)
    content = report_content(survey, against=against, issue=issue, produced_at=produced_at)
    pdf = build_pdf(content, progress=progress.tell, cancelled=progress.cancelled)
    blob = keep_blob(pdf, mime="application/pdf", wall=survey.wall)
    if not wanted["issue"]:
        return {"pdf": blob.digest, "url": reverse("report:draft", args=[job.wall.slug, job.pk])}
    report = _issue_report(survey, against, content, blob, former, wanted)
    url = reverse("report:pdf", args=[job.wall.slug, report.number, report.version])
    return {"pdf": blob.digest, "url": url}


def _issue(wall: Wall, wanted: dict[str, Any], at: datetime) -> tuple[Issue, IssuedReport | None]:
    if not wanted["issue"]:
        return Issue(kind=wanted["kind"]), None
    former = IssuedReport.objects.filter(wall=wall, pk=wanted["supersedes"] or 0).first()
    if former is None:
        number = (IssuedReport.objects.filter(wall=wall).aggregate(n=Max("number"))["n"] or 0) + 1
        first = VersionRow(1, ReportState.ISSUED, at.date(), "First issue.")
        return Issue(wanted["kind"], report_number(number), 1, True, versions=(first,)), None
    _refuse_superseded(former)
    rows = [
        VersionRow(
            row.version, ReportState.ISSUED, row.issued_at.date(), row.changed or "First issue."
        )
        for row in IssuedReport.objects.filter(wall=wall, number=former.number).order_by("version")
    ]
    rows.append(VersionRow(former.version + 1, ReportState.ISSUED, at.date(), wanted["changed"]))
    return (
        Issue(
            kind=wanted["kind"],
            number=former.label,
            version=former.version + 1,
            issued=True,
            supersedes=str(former),
            versions=tuple(rows),
        ),
        former,
    )


def _refuse_superseded(report: IssuedReport) -> None:
    later = IssuedReport.objects.filter(supersedes=report).first()
    if later is not None:
        raise Clash(f"{report} is superseded already, by version {later.version}.")


@transaction.atomic
def _issue_report(
    survey: Survey,
    against: Survey | None,
    content: ReportContent,
    pdf: Blob,
    former: IssuedReport | None,
    wanted: dict[str, Any],
) -> IssuedReport:
    data = json.dumps(to_plain(content), ensure_ascii=False, sort_keys=True).encode()
    number = int(content.document.number.removeprefix("R-"))
    return IssuedReport.objects.create(
        wall=survey.wall,
        number=number,
        version=content.document.version,
        kind=wanted["kind"],
        survey=survey,
        against=against,
        pdf=pdf,
        data=keep_blob(data, mime="application/json", wall=survey.wall),
        supersedes=former,
        changed=wanted["changed"],
        issued_by=wanted["asked_by"],
        issued_at=content.document.produced_at,
    )
