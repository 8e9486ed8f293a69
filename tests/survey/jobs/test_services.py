"""Does long work tell how far it is, stop when asked, and end in one of its states?"""

from datetime import timedelta

import pytest
from django.utils import timezone

from gridmap.errors import InvalidInput
from survey.jobs import services
from survey.jobs.models import LOST_AFTER, Job, JobState
from survey.jobs.services import cancel_job, register, restart_job, run_job, start_job
from tests.support.factories import make_wall

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def work(monkeypatch):
    """Register a kind of work whose steps the test gives."""
    monkeypatch.setattr(services, "_runners", dict(services._runners))

    def kind_with(runner):
        register("trial", runner)
        return start_job(wall=make_wall(), kind="trial", title="Trial", arguments={}, asked_by=None)

    return kind_with


def test_work_that_ends_keeps_its_result(work):
    job = work(lambda job, progress: {"answer": 42})

    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, job.result) == (JobState.DONE, {"answer": 42})
    assert job.ended_at is not None


def test_progress_is_stored_while_the_work_goes_on(work):
    seen = []

    def runner(job, progress):
        progress.tell(3, 3, "third plate")
        seen.append(Job.objects.get(pk=job.pk))
        return {}

    run_job.call(work(runner).pk)

    assert (seen[0].done, seen[0].total, seen[0].message) == (3, 3, "third plate")


def test_running_work_heeds_the_wish_to_stop(work):
    reached = []

    def runner(job, progress):
        cancel_job(job)
        progress.tell(1, 1)
        reached.append("after the wish")
        return {"answer": 42}

    job = work(runner)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, job.result, reached) == (JobState.CANCELLED, {}, [])


def test_waiting_work_is_cancelled_at_once_and_never_runs(work):
    ran = []
    job = work(lambda job, progress: ran.append(job) or {})

    cancel_job(job)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, ran) == (JobState.CANCELLED, [])


def test_a_refusal_is_told_in_its_own_words(work):
    def runner(job, progress):
        raise InvalidInput("The photograph of C17 cannot be read.")

    job = work(runner)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, job.message) == (JobState.FAILED, "The photograph of C17 cannot be read.")


def test_an_unforeseen_fault_fails_the_job_and_gives_nothing_away(work, caplog):
    def runner(job, progress):
        raise RuntimeError("secret detail")

    job = work(runner)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert job.state == JobState.FAILED
    assert "secret detail" not in job.message
    assert "secret detail" in caplog.text


def test_running_a_job_twice_changes_nothing(work):
    runs = []
    job = work(lambda job, progress: runs.append(1) or {})

    run_job.call(job.pk)
    run_job.call(job.pk)

    assert runs == [1]


def test_unknown_work_is_refused():
    with pytest.raises(InvalidInput, match="no work of kind 'knitting'"):
        start_job(wall=make_wall(), kind="knitting", title="", arguments={}, asked_by=None)


def fall_silent(job):
    """The worker takes the job and is never heard of again."""
    silent_since = timezone.now() - LOST_AFTER - timedelta(seconds=1)
    Job.objects.filter(pk=job.pk).update(state=JobState.RUNNING, told_at=silent_since)


def test_a_job_whose_worker_fell_silent_is_started_again_and_ends(work):
    job = work(lambda job, progress: {"answer": 42})
    fall_silent(job)

    restart_job(job)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, job.result, job.attempt) == (JobState.DONE, {"answer": 42}, 2)


def test_a_worker_that_comes_back_late_stops_and_overwrites_nothing(work):
    def runner(job, progress):
        if job.attempt == 1:
            fall_silent(job)
            restart_job(job)
            progress.tell(1, 1)
        return {"by attempt": job.attempt}

    job = work(runner)
    run_job.call(job.pk)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, job.result) == (JobState.DONE, {"by attempt": 2})


def test_failed_work_can_be_asked_for_again(work):
    def runner(job, progress):
        if job.attempt == 1:
            raise InvalidInput("The disk is full.")
        return {"answer": 42}

    job = work(runner)
    run_job.call(job.pk)
    restart_job(job)
    run_job.call(job.pk)

    job.refresh_from_db()
    assert (job.state, job.message, job.result) == (JobState.DONE, "", {"answer": 42})


@pytest.mark.parametrize("state", [JobState.WAITING, JobState.RUNNING, JobState.DONE])
def test_work_that_waits_goes_on_or_is_done_is_not_started_again(work, state):
    job = work(lambda job, progress: {})
    Job.objects.filter(pk=job.pk).update(state=state, told_at=timezone.now())

    with pytest.raises(InvalidInput, match="only work that failed, was cancelled or lost"):
        restart_job(job)

    job.refresh_from_db()
    assert (job.state, job.attempt) == (state, 1)
