"""How entries about a survey become rows: observations, examinations, decisions, opinions."""

import json
import uuid
from collections.abc import Sequence
from datetime import date
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from gridmap.grid import Grid
from gridmap.measure import area_sq_in, cells_touched, length_in, perimeter_in
from gridmap.models import Layout
from gridmap.outline import shape_of
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Entry, Logbook
from survey.record import bodies
from survey.record.models import (
    CauseOpinion,
    Continuation,
    Decision,
    Examination,
    Observation,
    Standing,
    Survey,
    SurveyState,
)

ROWS_AT_ONCE = 500
LONGEST_SESSION = 80  # characters, as the column holds
NOTHING: BaseGeometry = shapely.Polygon()


def project_observations(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the observation of each history, and what it continues, anew."""
    survey = Survey.objects.select_related("layout").get(logbook=logbook)
    ids = [history.object_id for history in histories]
    Continuation.objects.filter(observation_id__in=ids).delete()
    Observation.objects.filter(object_id__in=ids).delete()
    rows = [_observation(survey, history) for history in histories]
    Observation.objects.bulk_create(rows, batch_size=ROWS_AT_ONCE)
    Continuation.objects.bulk_create(
        [
            Continuation(observation=row, prior_object_id=prior)
            for row in rows
            for prior in row.details["continues"]
        ],
        batch_size=ROWS_AT_ONCE,
    )


def _observation(survey: Survey, history: History) -> Observation:
    said = [entry for entry in history.entries if entry.kind == "observation"]
    head = history.heads[-1]
    withdrawal = next((entry for entry in history.heads if entry.kind == "withdrawal"), None)
    shown = head if head.kind == "observation" else said[-1]
    standing = Standing.STANDS
    if history.conflict:
        standing = Standing.CONFLICT
    elif withdrawal is not None:
        standing = Standing.WITHDRAWN
    row = _row_of(survey, history.object_id, shown)
    row.head = head
    row.standing = standing
    row.withdrawn_because = withdrawal.content["reason"] if withdrawal else ""
    row.shape_json = json.dumps(_outline(row, shown.content), ensure_ascii=False)
    return row


def _row_of(survey: Survey, object_id: uuid.UUID, entry: Entry) -> Observation:
    content = entry.content
    shape = wall_shape(content["geometry"], survey.layout)
    kind = bodies.geometry_kind(content["geometry"])
    return Observation(
        object_id=object_id,
        survey=survey,
        term=content["term"],
        item=content["item"],
        geometry_kind=kind,
        shape_wkb=shapely.to_wkb(shape),
        area_sq_in=area_sq_in(shape) if kind == "area" else 0.0,
        perimeter_in=perimeter_in(shape) if kind == "area" else 0.0,
        length_in=length_in(shape) if kind == "line" else 0.0,
        boundary_error_in=content.get("boundary_error_in"),
        boundary_error_source=content.get("boundary_error_source", ""),
        picture_id=content.get("picture"),
        picture_error_in=content.get("picture_error_in"),
        mode=content["mode"],
        basis=content["basis"],
        observed_by=entry.observed_by,
        observed_on=date.fromisoformat(content["observed_on"]),
        session=content.get("session") or _session_of(entry, content["observed_on"]),
        condition=content.get("condition"),
        urgency=content.get("urgency"),
        details=_details(content),
        cells=cells_touched(shape, survey.layout.grid),
    )


def _session_of(entry: Entry, day: str) -> str:
    """Return what stands for a session that nobody named: the hand and the day."""
    return f"{entry.observed_by[: LONGEST_SESSION - len(day) - 2]}, {day}"


def wall_shape(geometry: dict[str, Any], layout: Layout) -> BaseGeometry:
    """Return the valid shape of a geometry as drawn, cut to the wall."""
    kind = bodies.geometry_kind(geometry)
    return shape_of(geometry, kind, width_in=layout.width_in, height_in=layout.height_in)


_SHOWN_DETAILS = ("measures", "activity", "confidence", "edge", "debris", "note", "changes")


def _details(content: dict[str, Any]) -> dict[str, Any]:
    details = {key: content[key] for key in _SHOWN_DETAILS if content.get(key)}
    details["continues"] = content.get("continues", [])
    details["photographs"] = content.get("photographs", [])
    return details


def _outline(row: Observation, content: dict[str, Any]) -> dict[str, Any]:
    return {
        "id": str(row.object_id),
        "entry": str(row.head_id),
        "item": row.item,
        "term": row.term,
        "kind": row.geometry_kind,
        "mode": row.mode,
        "basis": row.basis,
        "standing": row.standing,
        "conflict": row.standing == Standing.CONFLICT,
        "cells": row.cells,
        "condition": row.condition,
        "urgency": row.urgency,
        "observed_by": row.observed_by,
        "observed_on": row.observed_on.isoformat(),
        "area_sq_in": row.area_sq_in,
        "perimeter_in": row.perimeter_in,
        "length_in": row.length_in,
        "boundary_error_in": row.boundary_error_in,
        "boundary_error_source": row.boundary_error_source,
        "picture": str(row.picture_id) if row.picture_id else None,
        "picture_error_in": row.picture_error_in,
        **row.details,
        "geometry": content["geometry"],
    }


def project_examinations(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the examination of each history anew."""
    survey = Survey.objects.select_related("layout").get(logbook=logbook)
    ids = [history.object_id for history in histories]
    Examination.objects.filter(object_id__in=ids).delete()
    rows = [_examination(survey, history) for history in histories]
    Examination.objects.bulk_create(rows, batch_size=ROWS_AT_ONCE)


def _examination(survey: Survey, history: History) -> Examination:
    head = history.heads[-1]
    content = head.content
    # Where two heads differ, the less seen holds until a person decides.
    areas = [examined_areas(entry.content, survey.layout) for entry in history.heads]
    seen, touch = (shapely.intersection_all(list(found)) for found in zip(*areas, strict=True))
    return Examination(
        object_id=history.object_id,
        survey=survey,
        head=head,
        conflict=history.conflict,
        layout_version=content["layout"],
        cell=content["cell"],
        mode=content["mode"],
        state=content["state"],
        seen_wkb=shapely.to_wkb(seen),
        touch_wkb=shapely.to_wkb(touch),
        hidden=content.get("hidden", []),
        searched=_searched_by_all(history),
        done=all(entry.content.get("done", False) for entry in history.heads),
        cause=content.get("cause", ""),
        note=content.get("note", ""),
        observed_by=head.observed_by,
        made_at=head.made_at,
    )


def _searched_by_all(history: History) -> list[str] | None:
    """Return the terms that every head looked for; None: each looked for every term."""
    lists = [entry.content.get("searched") for entry in history.heads]
    named = [found for found in lists if found is not None]
    return [code for code in named[0] if all(code in found for found in named)] if named else None


def examined_areas(content: dict[str, Any], layout: Layout) -> tuple[BaseGeometry, BaseGeometry]:
    """Return what an examination saw and what was within touch, cut to its cell.

    *touch* implies *seen*; *hidden* beats both; without an area the whole cell is meant.
    """
    if content["state"] == "not-examined":
        return NOTHING, NOTHING
    cell = _cell_box(layout.grid, content["cell"])
    touch = NOTHING
    if content.get("touch") is not None:
        touch = wall_shape(content["touch"], layout)
    elif content["state"] == "touch":
        touch = cell
    seen = cell if content.get("seen") is None else wall_shape(content["seen"], layout)
    seen = shapely.union(seen, touch)
    hidden = shapely.union_all(
        [wall_shape(area["geometry"], layout) for area in content.get("hidden", [])]
    )
    if not shapely.is_empty(hidden):
        seen, touch = shapely.difference(seen, hidden), shapely.difference(touch, hidden)
    return shapely.intersection(seen, cell), shapely.intersection(touch, cell)


def _cell_box(grid: Grid, label: str) -> BaseGeometry:
    return shapely.box(*grid.bounds(label))


def project_decisions(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the decision of each history anew."""
    ids = [history.object_id for history in histories]
    Decision.objects.filter(object_id__in=ids).delete()
    Decision.objects.bulk_create(
        [_decision(logbook, history) for history in histories], batch_size=ROWS_AT_ONCE
    )


def _decision(logbook: Logbook, history: History) -> Decision:
    head = history.heads[-1]
    content = head.content
    review_on = content.get("review_on")
    return Decision(
        object_id=history.object_id,
        logbook=logbook,
        head=head,
        conflict=history.conflict,
        subject=content["subject"],
        item=content.get("item"),
        query_key=content.get("query_key", ""),
        choice=content["choice"],
        details={
            key: content[key]
            for key in ("refused", "reason", "consented_by", "rule", "note")
            if content.get(key)
        },
        decided_by=content["decided_by"],
        review_on=date.fromisoformat(review_on) if review_on else None,
        recommendation=content.get("recommendation"),
        made_at=head.made_at,
    )


def project_opinions(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the opinion of each history anew."""
    ids = [history.object_id for history in histories]
    CauseOpinion.objects.filter(object_id__in=ids).delete()
    CauseOpinion.objects.bulk_create(
        [_opinion(logbook, history) for history in histories], batch_size=ROWS_AT_ONCE
    )


def _opinion(logbook: Logbook, history: History) -> CauseOpinion:
    head = history.heads[-1]
    content = head.content
    return CauseOpinion(
        object_id=history.object_id,
        logbook=logbook,
        head=head,
        conflict=history.conflict,
        item=content["item"],
        cause=content["cause"],
        opinion_of=content["opinion_of"],
        rank=content["rank"],
        standing=content["standing"],
        made_at=head.made_at,
    )


def project_closing(logbook: Logbook, histories: Sequence[History]) -> None:
    """Set the survey's state and day of closing from its closing entry."""
    day = max(history.heads[-1].made_at for history in histories).date()
    Survey.objects.filter(logbook=logbook).exclude(state=SurveyState.SEALED).update(
        state=SurveyState.CLOSED, closed_on=day
    )


def clear_closing(logbook: Logbook) -> None:
    """Open the survey again before its entries are read anew."""
    Survey.objects.filter(logbook=logbook).exclude(state=SurveyState.SEALED).update(
        state=SurveyState.OPEN, closed_on=None
    )


PROJECTIONS = (
    Projection(
        "observation",
        {"observation": bodies.check_observation, "withdrawal": bodies.check_withdrawal},
        project_observations,
        lambda logbook: Observation.objects.filter(survey__logbook=logbook).delete() and None,
        replacing=frozenset({"withdrawal"}),
    ),
    Projection(
        "examination",
        {"examination": bodies.check_examination},
        project_examinations,
        lambda logbook: Examination.objects.filter(survey__logbook=logbook).delete() and None,
    ),
    Projection(
        "decision",
        {"decision": bodies.check_decision},
        project_decisions,
        lambda logbook: Decision.objects.filter(logbook=logbook).delete() and None,
    ),
    Projection(
        "opinion",
        {"loss-window-opinion": bodies.check_opinion},
        project_opinions,
        lambda logbook: CauseOpinion.objects.filter(logbook=logbook).delete() and None,
    ),
    Projection(
        "closing",
        {"survey-closed": bodies.check_closing},
        project_closing,
        clear_closing,
    ),
)
