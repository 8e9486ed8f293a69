"""Pages of background work: how far a job is, and the wish to stop it."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.jobs.models import Job
from survey.jobs.selectors import jobs_at_work, jobs_ended
from survey.jobs.services import cancel_job, restart_job
from survey.people.pages import open_page
from survey.people.permissions import Action
from survey.people.selectors import open_wall


def _job(wall: Wall, number: int) -> Job:
    job = Job.objects.filter(wall=wall, pk=number).select_related("asked_by").first()
    if job is None:
        raise NotFound(f"There is no job {number} on {wall.name}.")
    return job


@require_GET
def jobs_page(request: HttpRequest, wall: str) -> HttpResponse:
    """Show what waits and runs, and what ended lately; the page asks again while something does."""
    opened = open_page(request, wall, Action.MAKE_REPORT)
    now = timezone.now()
    context = {
        "wall": opened,
        "at_work": [(job, job.lost(now)) for job in jobs_at_work(opened)],
        "ended": [(job, job.may_start_again(now)) for job in jobs_ended(opened)],
    }
    return render(request, "jobs/list.html", context)


@require_GET
def job_page(request: HttpRequest, wall: str, number: int) -> HttpResponse:
    """Show one job; the page asks `job_state` every second until it ends."""
    opened = open_page(request, wall, Action.MAKE_REPORT)
    job, now = _job(opened, number), timezone.now()
    shown = {"wall": opened, "job": job, "lost": job.lost(now), "again": job.may_start_again(now)}
    return render(request, "jobs/job.html", shown)


@require_GET
def job_state(request: HttpRequest, wall: str, number: int) -> JsonResponse:
    """Return how far a job is."""
    job = _job(open_wall(request.user, wall, Action.MAKE_REPORT), number)
    return JsonResponse(
        {
            "state": job.state,
            "label": job.get_state_display(),
            "done": job.done,
            "total": job.total,
            "message": job.message,
            "ended": job.ended,
            "again": job.may_start_again(timezone.now()),
            "url": job.result.get("url", ""),
        }
    )


@require_POST
def cancel(request: HttpRequest, wall: str, number: int) -> HttpResponse:
    """Ask a job to stop."""
    opened = open_wall(request.user, wall, Action.MAKE_REPORT)
    cancel_job(_job(opened, number))
    return redirect("jobs:job", opened.slug, number)


@require_POST
def again(request: HttpRequest, wall: str, number: int) -> HttpResponse:
    """Start a job once more that failed, was cancelled or lost its worker."""
    opened = open_wall(request.user, wall, Action.MAKE_REPORT)
    restart_job(_job(opened, number))
    return redirect("jobs:job", opened.slug, number)
