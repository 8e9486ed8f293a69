"""How are a survey's frames sorted to cells: slates read, frames told apart, corrections written?

Work that can be repeated: frames that a person put to a cell stay there, frames that a slate put
there are put anew where a slate came late, and what has not changed is not written again.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC
from typing import Any

from django.db.models import Q, QuerySet

from survey.jobs.models import Job, JobState
from survey.jobs.services import Progress, start_job
from survey.ledger.drafts import Writer
from survey.people.models import Account
from survey.photos.measured import measured_sharpness, slate_texts
from survey.photos.models import Photograph
from survey.photos.slates import slates_of
from survey.photos.sorting import Frame, Placed, Sorting, Unsorted, sort_frames
from survey.photos.taking_in import restate_all
from survey.photos.testimony import BODY_NUMBER, clock_of
from survey.record.models import Mode, Survey

KIND = "sort-frames"


def ask_to_sort(survey: Survey, *, asked_by: Account) -> Job:
    """Start sorting a survey's frames; work that waits for the same survey is returned instead."""
    waiting = Job.objects.filter(
        wall=survey.wall,
        kind=KIND,
        arguments__survey=str(survey.pk),
        state__in=(JobState.WAITING, JobState.RUNNING),
    )
    return waiting.first() or start_job(
        wall=survey.wall,
        kind=KIND,
        title=f"Sort the frames of survey {survey.code} by their slates",
        arguments={"survey": str(survey.pk)},
        asked_by=asked_by,
    )


def last_sorting(survey: Survey) -> Job | None:
    """Return the last sorting of the survey's frames that came to its end."""
    done = Job.objects.filter(kind=KIND, arguments__survey=str(survey.pk), state=JobState.DONE)
    return done.order_by("-ended_at").first()


def unsorted_photographs(survey: Survey) -> QuerySet[Photograph]:
    """Return the frames of the record that no cell is known of."""
    return survey.photographs.filter(role="record", rectified=False, cells=[])


def why_unsorted(survey: Survey) -> dict[str, str]:
    """Return why each frame was left unsorted by the last sorting, by the photograph's id."""
    job = last_sorting(survey)
    return {row["photograph"]: row["why"] for row in job.result["unsorted"]} if job else {}


def run(job: Job, progress: Progress) -> dict[str, Any]:
    """Sort a survey's frames (the runner of this kind of work)."""
    survey = Survey.objects.select_related("wall", "layout", "logbook").get(
        pk=job.arguments["survey"]
    )
    photographs = _to_sort(survey)
    texts = {}
    for place, photograph in enumerate(photographs):
        progress.tell(place, len(photographs), f"Looking for slates: {photograph.name}")
        texts[photograph.pk] = slate_texts(photograph)
        measured_sharpness(photograph)  # for the shot list, which must not wait for it
    frames = [_frame(photograph, texts[photograph.pk]) for photograph in photographs]
    sorting = sort_frames(
        frames,
        wall=survey.wall.slug,
        survey=survey.code,
        cells=survey.layout.grid.labels(),
    )
    name = str(job.asked_by) if job.asked_by else "Pontata"
    changes = _changes(photographs, sorting)
    progress.tell(len(photographs), len(photographs) + 1, "Writing the cells")
    restate_all(survey, changes, writer=Writer(name=name, device="desk"))
    return _result(sorting, changed=len(changes), conflicts=_conflicts(survey))


def _to_sort(survey: Survey) -> list[Photograph]:
    """Return frames that no person put to a cell, and the slates photographed between them."""
    rows = survey.photographs.filter(rectified=False, conflict=False, role__in=("record", "note"))
    by_slate = ~Q(slate={})
    chosen = rows.filter(Q(role="record", cells=[]) | by_slate)
    return list(chosen.select_related("head", "survey__logbook").order_by("name", "pk"))


def _frame(photograph: Photograph, texts: Sequence[str]) -> Frame:
    clock = clock_of(photograph.testimony)
    return Frame(
        key=str(photograph.pk),
        name=photograph.name,
        camera=photograph.testimony.get("camera", ""),
        # A clock without a zone is read as UTC: its slates say how far off that is.
        clock=clock if clock is None or clock.tzinfo else clock.replace(tzinfo=UTC),
        slates=slates_of(texts),
        one_body=BODY_NUMBER in photograph.testimony.get("camera", ""),
    )


def _changes(
    photographs: Sequence[Photograph], sorting: Sorting
) -> list[tuple[Photograph, Mapping[str, Any]]]:
    """Return what has to be said anew: only what differs from the record."""
    rows = {str(photograph.pk): photograph for photograph in photographs}
    changes: list[tuple[Photograph, Mapping[str, Any]]] = []
    for placed in sorting.placed:
        photograph = rows[placed.key]
        stated = _stated(placed)
        if photograph.head.content | stated != photograph.head.content:
            changes.append((photograph, stated))
    for frame in sorting.unsorted:
        if rows[frame.key].slate:  # an earlier slate had put it somewhere; it cannot be told now
            anew = {"slate": None, "cells": None, "role": "record"}
            changes.append((rows[frame.key], anew))
    return changes


def _stated(placed: Placed) -> dict[str, Any]:
    slate = placed.slate
    stated: dict[str, Any] = {
        "cells": [slate.cell],
        "lamp_side": slate.side,
        "taken_at": placed.taken_at.isoformat(timespec="seconds"),
        "slate": {
            "number": slate.number,
            "cell": slate.cell,
            "mode": slate.mode,
            "side": slate.side,
            "at": slate.at.isoformat(),
            "from_name": placed.from_name,
        },
    }
    if slate.mode in Mode.values:
        stated["mode"] = slate.mode
    return {**stated, "role": "note"} if placed.is_slate else stated


def _conflicts(survey: Survey) -> list[Unsorted]:
    rows = unsorted_photographs(survey).filter(conflict=True)
    why = "Two statements of it contradict each other; decide between them first."
    return [Unsorted(str(row.pk), row.name, why) for row in rows]


def _result(sorting: Sorting, *, changed: int, conflicts: list[Unsorted]) -> dict[str, Any]:
    return {
        "changed": changed,
        "sorted": sum(not placed.is_slate for placed in sorting.placed),
        "slates": sum(placed.is_slate for placed in sorting.placed),
        "unsorted": [
            {"photograph": frame.key, "name": frame.name, "why": frame.why}
            for frame in (*sorting.unsorted, *conflicts)
        ],
        "without_frames": [slate.words for slate in sorting.without_frames],
        "clocks": [
            {
                "camera": clock.camera,
                "ahead_s": clock.ahead_s,
                "slates": clock.slates,
                "from": clock.first_at.isoformat(),
            }
            for clock in sorting.clocks
        ],
    }
