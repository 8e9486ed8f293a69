"""Are reports numbered, kept and superseded, never replaced, and does one figure stand in all?"""

import io
from datetime import UTC, date, datetime

import pypdf
import pytest

from gridmap.errors import Clash, InvalidInput
from survey.jobs.models import Job
from survey.jobs.services import cancel_job, run_job
from survey.ledger.blobs import read_blob
from survey.report.models import IssuedReport
from survey.report.services import make_draft, start_report
from tests.support.factories import make_account, make_observation, make_survey, make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]
MOMENT = datetime(2026, 6, 20, 9, tzinfo=UTC)


@pytest.fixture
def lead():
    return make_account(display_name="Ines Fallow")


@pytest.fixture
def survey(lead):
    survey = make_survey(make_wall(lead=lead))
    make_observation(survey, item="L1", condition=2, note="edge <fresh> & clean")
    return survey


def issue(survey, lead, **more):
    job = start_report(
        survey=survey, against=None, kind="condition", asked_by=lead, issue=True, **more
    )
    run_job.call(job.pk)
    job.refresh_from_db()
    assert job.state == "done", job.message
    return IssuedReport.objects.order_by("-pk").first()


def text_of(pdf):
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


def test_a_draft_says_so_and_leaves_nothing_behind(survey):
    pdf = make_draft(survey, against=None, kind="condition", produced_at=MOMENT)

    assert "DRAFT" in text_of(pdf)
    assert "edge <fresh> & clean" in text_of(pdf)
    assert IssuedReport.objects.count() == 0


def test_issued_reports_are_numbered_one_after_the_other(survey, lead):
    first, second = issue(survey, lead), issue(survey, lead)

    assert [first.label, second.label] == ["R-0001", "R-0002"]
    assert "DRAFT" not in text_of(read_blob(first.pdf_id))


def test_a_new_version_supersedes_and_the_old_one_is_kept(survey, lead):
    first = issue(survey, lead)
    before = read_blob(first.pdf_id)

    second = issue(survey, lead, supersedes=first, changed="Item L2 added.")

    assert (second.number, second.version, second.supersedes) == (1, 2, first)
    assert read_blob(first.pdf_id) == before
    assert "Item L2 added." in text_of(read_blob(second.pdf_id))


def test_what_is_superseded_cannot_be_superseded_again(survey, lead):
    first = issue(survey, lead)
    issue(survey, lead, supersedes=first, changed="Item L2 added.")

    with pytest.raises(Clash, match="superseded already"):
        issue(survey, lead, supersedes=first, changed="Again.")


def test_a_new_version_must_say_what_it_changes(survey, lead):
    first = issue(survey, lead)

    with pytest.raises(InvalidInput, match="what the new version changes"):
        issue(survey, lead, supersedes=first, changed="  ")


def test_a_report_that_is_cancelled_keeps_nothing(survey, lead):
    job = start_report(survey=survey, against=None, kind="condition", asked_by=lead, issue=True)
    cancel_job(Job.objects.get(pk=job.pk))

    run_job.call(job.pk)

    assert IssuedReport.objects.count() == 0


def test_a_survey_is_not_compared_with_itself(survey, lead):
    with pytest.raises(InvalidInput, match="cannot be compared with itself"):
        start_report(survey=survey, against=survey, kind="condition", asked_by=lead, issue=False)


def test_a_report_against_an_earlier_survey_prints_both(survey, lead):
    later = make_survey(
        survey.wall,
        "P1",
        kind="after-phase",
        starts_on=date(2026, 6, 15),
        ends_on=date(2026, 6, 19),
    )
    make_observation(later, item="L1")

    text = text_of(make_draft(later, against=survey, kind="phase", produced_at=MOMENT))

    assert "Phase hand-over record" in text
    assert "B1" in text and "P1" in text
