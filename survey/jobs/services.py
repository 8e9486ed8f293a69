"""How long work is asked for, run with progress, and cancelled.

A kind of work registers a runner. The worker (`manage.py db_worker`) picks jobs up through
Django's Tasks interface, so another machine can take them.
"""

import logging
import time
from collections.abc import Callable
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_tasks import task

from gridmap.errors import InvalidInput, PontataError
from gridmap.models import Wall
from survey.jobs.models import Job, JobState
from survey.people.models import Account

SECONDS_BETWEEN_REPORTS = 0.25
log = logging.getLogger(__name__)


class JobCancelled(PontataError):
    """Somebody asked to stop this work."""


class Progress:
    """What a runner tells while it works; it raises JobCancelled once a stop was asked for."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._told_at = 0.0

    def tell(self, done: int, total: int, message: str = "") -> None:
        """Store how far the work is, at most four times a second, and heed a wish to stop."""
        now = time.monotonic()
        if done < total and now - self._told_at < SECONDS_BETWEEN_REPORTS:
            return
        self._told_at = now
        _own(self._job).update(done=done, total=total, message=message, told_at=timezone.now())
        if self.cancelled():
            raise JobCancelled("Cancelled. Nothing was kept.")

    def cancelled(self) -> bool:
        """Say whether a stop was asked for, or whether another worker has taken the job over."""
        return not _own(self._job).filter(cancel_asked=False).exists()


Runner = Callable[[Job, Progress], dict[str, Any]]
_runners: dict[str, Runner] = {}


def register(kind: str, runner: Runner) -> None:
    """Make a kind of work known; called once from a room's AppConfig.ready."""
    _runners[kind] = runner


def start_job(
    *, wall: Wall, kind: str, title: str, arguments: dict[str, Any], asked_by: Account | None
) -> Job:
    """Put work into the queue and return its row; the worker takes it after the commit."""
    if kind not in _runners:
        raise InvalidInput(f"There is no work of kind {kind!r}.", field="kind")
    job = Job.objects.create(
        wall=wall, kind=kind, title=title, arguments=arguments, asked_by=asked_by
    )
    transaction.on_commit(lambda: run_job.enqueue(job.pk))
    return job


def cancel_job(job: Job) -> None:
    """Ask a job to stop; one that still waits is cancelled at once."""
    Job.objects.filter(pk=job.pk, state=JobState.RUNNING).update(cancel_asked=True)
    Job.objects.filter(pk=job.pk, state=JobState.WAITING).update(
        cancel_asked=True, state=JobState.CANCELLED, ended_at=timezone.now()
    )


def restart_job(job: Job) -> None:
    """Ask once more for work that failed, was cancelled, or whose worker fell silent.

    Raises InvalidInput for a job that still waits or works, and for one that is done.
    """
    with transaction.atomic():
        job = Job.objects.select_for_update().get(pk=job.pk)
        if not job.may_start_again(timezone.now()):
            raise InvalidInput(
                f"“{job.title}” is {job.get_state_display().lower()}; only work that failed, was "
                "cancelled or lost its worker can be started again."
            )
        Job.objects.filter(pk=job.pk).update(
            state=JobState.WAITING,
            attempt=job.attempt + 1,
            done=0,
            total=0,
            message="",
            cancel_asked=False,
            told_at=None,
            ended_at=None,
        )
        transaction.on_commit(lambda: run_job.enqueue(job.pk))


@task()
def run_job(job_id: int) -> None:
    """Run one job; running it a second time changes nothing."""
    taken = Job.objects.filter(pk=job_id, state=JobState.WAITING).update(
        state=JobState.RUNNING, told_at=timezone.now()
    )
    if not taken:
        return
    job = Job.objects.get(pk=job_id)
    try:
        result = _runners[job.kind](job, Progress(job))
    except JobCancelled as stop:
        _end(job, JobState.CANCELLED, message=stop.message)
    except PontataError as error:
        _end(job, JobState.FAILED, message=error.message)
    except Exception:
        log.exception("Job %s (%s) failed", job.pk, job.kind)
        _end(job, JobState.FAILED, message="The work failed; the server's log says why.")
    else:
        _end(job, JobState.DONE, result=result)


def _end(job: Job, state: JobState, **values: Any) -> None:
    _own(job).update(state=state, ended_at=timezone.now(), **values)


def _own(job: Job) -> QuerySet[Job]:
    """Return the row while this attempt is the one that counts."""
    return Job.objects.filter(pk=job.pk, attempt=job.attempt)
