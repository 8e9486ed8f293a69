"""Which background work of a wall waits, runs, or has ended?"""

from collections.abc import Sequence

from django.db.models import QuerySet

from gridmap.models import Wall
from survey.jobs.models import Job, JobState

LATELY = 30
AT_WORK = (JobState.RUNNING, JobState.WAITING)


def jobs_at_work(wall: Wall, kinds: Sequence[str] = (), **arguments: str) -> list[Job]:
    """Return what runs and what waits, in the order in which it is taken up."""
    rows = _jobs(wall).filter(state__in=AT_WORK)
    if kinds:
        rows = rows.filter(kind__in=kinds)
    for key, value in arguments.items():
        rows = rows.filter(**{f"arguments__{key}": value})
    return sorted(rows, key=lambda job: (job.state != JobState.RUNNING, job.made_at, job.pk))


def jobs_ended(wall: Wall, *, most: int = LATELY) -> list[Job]:
    """Return what ended lately, the last first."""
    return list(_jobs(wall).exclude(state__in=AT_WORK).order_by("-ended_at", "-pk")[:most])


def _jobs(wall: Wall) -> QuerySet[Job]:
    return Job.objects.filter(wall=wall).select_related("asked_by")
