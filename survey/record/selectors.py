"""What a survey's record says, read back for pages, comparison and report."""

import json
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import shapely
from django.db.models import QuerySet
from shapely.geometry.base import BaseGeometry

from gridmap.errors import NotFound
from gridmap.models import Layout, Wall
from survey.ledger.selectors import head_seq
from survey.record.models import Examination, Observation, Standing, Survey
from survey.walls.models import first_listed_activity


def survey_of_wall(wall: Wall, code: str) -> Survey:
    """Return a survey by its code; raises NotFound naming those that there are."""
    survey = (
        Survey.objects.select_related("wall", "layout", "vocabulary", "logbook")
        .filter(wall=wall, code=code)
        .first()
    )
    if survey is None:
        codes = ", ".join(wall.surveys.values_list("code", flat=True)) or "none yet"
        raise NotFound(f"There is no survey {code!r} on {wall.name}. Surveys: {codes}.")
    return survey


def previous_survey(survey: Survey) -> Survey | None:
    """Return the survey of the wall that began last before this one and holds outlines."""
    earlier = survey.wall.surveys.filter(starts_on__lt=survey.starts_on, observations__isnull=False)
    return earlier.order_by("-starts_on", "-code").distinct().first()


def standing_observations(survey: Survey) -> QuerySet[Observation]:
    """Return the observations that were not withdrawn, those in conflict among them."""
    return survey.observations.exclude(standing=Standing.WITHDRAWN)


def shapes_text(survey: Survey) -> str:
    """Return the JSON text of a survey's outlines, joined from the texts kept ready."""
    rows = standing_observations(survey).order_by().values_list("shape_json", flat=True)
    code = survey.code.replace('"', "")
    head = head_seq(survey.logbook)
    return f'{{"survey":"{code}","head":{head},"outlines":[{",".join(rows)}]}}'


def outlines_of(survey: Survey) -> list[dict[str, Any]]:
    """Return a survey's outlines as the API shows them."""
    rows = standing_observations(survey).order_by().values_list("shape_json", flat=True)
    return json.loads(f"[{','.join(rows)}]")


def painted_area(layout: Layout) -> BaseGeometry:
    """Return the wall without its openings, in wall inches."""
    wall = shapely.box(0.0, 0.0, layout.width_in, layout.height_in)
    openings = [shapely.make_valid(shapely.Polygon(o["polygon"])) for o in layout.openings]
    return shapely.difference(wall, shapely.union_all(openings)) if openings else wall


def coverage_by_mode(examinations: Iterable[Examination]) -> dict[str, BaseGeometry]:
    """Return per mode the union of what was seen; of two looks at one cell the less seen holds."""
    return _union_by_mode(examinations, touch=False)


def touch_by_mode(examinations: Iterable[Examination]) -> dict[str, BaseGeometry]:
    """Return per mode the union of what was examined within touch."""
    return _union_by_mode(examinations, touch=True)


def _union_by_mode(examinations: Iterable[Examination], *, touch: bool) -> dict[str, BaseGeometry]:
    by_cell: dict[tuple[str, str], BaseGeometry] = {}
    for row in examinations:
        area = shapely.from_wkb(bytes(row.touch_wkb if touch else row.seen_wkb))
        known = by_cell.get((row.mode, row.cell))
        by_cell[row.mode, row.cell] = area if known is None else shapely.intersection(known, area)
    pieces: dict[str, list[BaseGeometry]] = defaultdict(list)
    for (mode, _), area in by_cell.items():
        pieces[mode].append(area)
    return {mode: shapely.union_all(found) for mode, found in pieces.items()}


def pre_works_statement(survey: Survey) -> str:
    """Return what every page says when a baseline was closed after listed works began, else ''."""
    began = first_listed_activity(survey.wall)
    if survey.kind != "baseline" or began is None or survey.closed_on is None:
        return ""
    days = (survey.closed_on - began).days
    if days <= 0:
        return ""
    word = "sealed" if survey.state == "sealed" else "closed"
    return (
        f"{word.capitalize()} {days} days after works began ({began.day} {began:%b} {began.year})."
    )
