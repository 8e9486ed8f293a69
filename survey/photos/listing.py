"""What do the pages about photographs list: which frames, where they lie, what waits?

Reads only. Slates and tablets' notes are told apart from the frames of the record.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.jobs.models import Job, JobState
from survey.photos.models import (
    Mosaic,
    Photograph,
    PicturePair,
    Placement,
    PresenceStatement,
    RectifiedCopy,
)
from survey.photos.sort_job import KIND as SORTING
from survey.record.models import Mode, Observation, Survey

CELLS_A_PAGE = 24
TESTIMONY_NAMES = {
    "taken_at": "Taken",
    "lens_maker": "Lens by",
    "iso": "Sensitivity",
    "focal_length": "Focal length",
}
STATES = {
    "": "All of them",
    "unplaced": "Not placed on the wall",
    "placed": "Placed on the wall",
    "conflict": "In conflict",
}


@dataclass(frozen=True)
class Listed:
    """A photograph with its place on the wall, where it has one."""

    photograph: Photograph
    placement: Placement | None = None
    drawn: bool = False

    @property
    def placed(self) -> bool:
        """Say whether it lies on the wall: by marked points, or known from the beginning."""
        return self.placement is not None or self.photograph.rectified


@dataclass(frozen=True)
class SurveyPhotographs:
    """How many photographs of which sort a survey has."""

    survey: Survey
    by_mode: dict[str, int]
    unsorted: int
    unplaced: int
    notes: int
    historic: int

    @property
    def frames(self) -> int:
        return sum(self.by_mode.values())

    @property
    def modes(self) -> list[tuple[str, int]]:
        return [(Mode(mode).label, count) for mode, count in sorted(self.by_mode.items())]


@dataclass(frozen=True)
class Wanted:
    """Which frames a person asks to see."""

    mode: str = ""
    cell: str = ""
    state: str = ""


@dataclass
class CellFrames:
    """The frames of one cell, by light."""

    cell: str
    frames: list[Listed] = field(default_factory=list)


def photograph_of_wall(wall: Wall, object_id: UUID) -> Photograph:
    """Return a photograph of a wall; raises NotFound."""
    rows = Photograph.objects.select_related(
        "survey__wall", "survey__layout", "survey__logbook", "head", "blob", "raw_blob"
    )
    found = rows.filter(pk=object_id, survey__wall=wall).first()
    if found is None:
        raise NotFound("There is no such photograph on this wall.")
    return found


def photographs_by_survey(wall: Wall) -> list[SurveyPhotographs]:
    """Return what each survey of a wall has, the latest first."""
    placed = set(
        Placement.objects.filter(survey__wall=wall).values_list("photograph_id", flat=True)
    )
    counts: dict[UUID, dict[str, Any]] = defaultdict(
        lambda: {"by_mode": defaultdict(int), "unsorted": 0, "unplaced": 0, "notes": 0, "old": 0}
    )
    rows = Photograph.objects.filter(survey__wall=wall).values_list(
        "survey", "pk", "role", "mode", "rectified", "cells", "slate"
    )
    for survey, pk, role, mode, rectified, cells, slate in rows:
        count = counts[survey]
        if role == "record":
            count["by_mode"][mode] += 1
            count["unsorted"] += not rectified and not cells
            count["unplaced"] += bool(not rectified and cells and pk not in placed)
        else:
            count["notes"] += role == "note" and not slate
            count["old"] += role == "historic"
    return [
        SurveyPhotographs(
            survey, dict(c["by_mode"]), c["unsorted"], c["unplaced"], c["notes"], c["old"]
        )
        for survey in wall.surveys.order_by("-starts_on", "-code")
        for c in [counts[survey.pk]]
    ]


def frames_by_cell(survey: Survey, wanted: Wanted) -> list[CellFrames]:
    """Return the sorted frames of a survey that are asked for, cell by cell in reading order."""
    rows = survey.photographs.filter(role="record", rectified=False).exclude(cells=[])
    if wanted.mode:
        rows = rows.filter(mode=wanted.mode)
    if wanted.state == "conflict":
        rows = rows.filter(conflict=True)
    cells: dict[str, CellFrames] = {}
    for listed in _listed(rows):
        if wanted.state in {"placed", "unplaced"} and listed.placed != (wanted.state == "placed"):
            continue
        for cell in listed.photograph.cells:
            if not wanted.cell or cell == wanted.cell:
                cells.setdefault(cell, CellFrames(cell)).frames.append(listed)
    order = {label: place for place, label in enumerate(survey.layout.grid.labels())}
    return sorted(cells.values(), key=lambda one: order.get(one.cell, len(order)))


def whole_pictures(survey: Survey) -> list[Listed]:
    """Return the survey's pictures whose place was known from the beginning."""
    return _listed(survey.photographs.filter(role="record", rectified=True))


def camera_notes(survey: Survey) -> list[Photograph]:
    """Return the notes of tablets' own cameras; they are no photographs of the record."""
    return list(survey.photographs.filter(role="note", slate={}).order_by("-taken_at", "name"))


def slates_taken(survey: Survey) -> list[Photograph]:
    """Return the frames that show a slate."""
    return list(survey.photographs.filter(role="note").exclude(slate={}).order_by("taken_at"))


def historical_pictures(wall: Wall) -> list[tuple[Listed, list[PresenceStatement]]]:
    """Return the historical pictures of a wall with what they were found to show."""
    rows = Photograph.objects.filter(survey__wall=wall, role="historic").select_related("survey")
    listed = _listed(rows)
    said: dict[UUID, list[PresenceStatement]] = defaultdict(list)
    ids = [one.photograph.pk for one in listed]
    for statement in PresenceStatement.objects.filter(photograph_id__in=ids).order_by("cell"):
        said[statement.photograph_id].append(statement)
    listed.sort(key=lambda one: one.photograph.historic.get("earliest") or "9999")
    return [(one, said[one.photograph.pk]) for one in listed]


def presences_of(
    photograph: Photograph,
) -> list[tuple[PresenceStatement, Observation | None]]:
    """Return what a historical picture was found to show, with the outline each is about."""
    rows = PresenceStatement.objects.filter(photograph_id=photograph.pk).select_related("head")
    ids = [row.observation_id for row in rows if row.observation_id]
    outlines = {
        row.pk: row for row in Observation.objects.filter(pk__in=ids).select_related("survey")
    }
    return [
        (row, outlines.get(row.observation_id) if row.observation_id else None)
        for row in sorted(rows, key=lambda row: (row.cell, row.what))
    ]


def listed(photograph: Photograph) -> Listed:
    """Return one photograph with its place on the wall."""
    return _listed(Photograph.objects.filter(pk=photograph.pk))[0]


def pairs_with(photograph: Photograph) -> QuerySet[PicturePair]:
    """Return the pairs that were made of a photograph, either as itself or as its copy."""
    here = str(photograph.pk)
    copies = RectifiedCopy.objects.filter(photograph_id=photograph.pk)
    digests = [photograph.blob_id, *copies.values_list("blob_id", flat=True)]
    asked = Q(before__id=here) | Q(after__id=here)
    asked |= Q(before__digest__in=digests) | Q(after__digest__in=digests)
    return PicturePair.objects.filter(asked, wall=photograph.survey.wall).select_related(
        "before_survey", "after_survey"
    )


def mosaics_with(photograph: Photograph) -> list[Mosaic]:
    """Return the mosaics that hold a photograph as a piece."""
    rows = Mosaic.objects.filter(survey=photograph.survey)
    here = str(photograph.pk)
    return [row for row in rows if any(piece.get("photograph") == here for piece in row.pieces)]


def testimony_lines(photograph: Photograph) -> list[tuple[str, str]]:
    """Return what the file says of itself, each under a name for people."""
    said = photograph.testimony.items()
    return [(TESTIMONY_NAMES.get(k, k.replace("_", " ").capitalize()), v) for k, v in said]


def sorting_work(survey: Survey) -> Job | None:
    """Return the work that sorts the survey's frames just now, or waits to."""
    jobs = Job.objects.filter(wall=survey.wall, kind=SORTING, arguments__survey=str(survey.pk))
    return jobs.filter(state__in=(JobState.WAITING, JobState.RUNNING)).order_by("-pk").first()


def _listed(rows: QuerySet[Photograph]) -> list[Listed]:
    photographs = list(rows.order_by("mode", "lamp_side", "taken_at", "name"))
    places = _placements(photographs)
    heads = [row.head_id for row in places.values()]
    drawn = set(
        RectifiedCopy.objects.filter(placement_entry__in=heads).values_list("photograph_id")
    )
    return [Listed(row, places.get(row.pk), (row.pk,) in drawn) for row in photographs]


def _placements(photographs: Iterable[Photograph]) -> dict[UUID, Placement]:
    surveys = {row.survey_id for row in photographs}
    rows = Placement.objects.filter(survey__in=surveys).select_related("head")
    return {row.photograph_id: row for row in rows}
