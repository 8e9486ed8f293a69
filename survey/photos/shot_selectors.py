"""What does the shot list of a survey's wall say, set against the photographs that are there?"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from gridmap.models import Layout
from survey.photos.measured import kept_sharpness
from survey.photos.models import Photograph, Placement
from survey.photos.said import side_that_counts
from survey.photos.shots import Bounds, ShotPlan, ShotState, TakenFrame, plan_shots, state_of
from survey.record.models import Survey

CAMERA_PX = (6000, 4000)  # a camera of 24 megapixels
PX_PER_IN = 150.0  # 0.17 mm a pixel
OVERLAP = 0.3  # of a frame's side, for plates; 0.6 to 0.8 where a mosaic is computed from them


@dataclass(frozen=True)
class ShotRequest:
    """What a person asks for: camera, scale, overlap, light."""

    mode: str
    lamp_side: str = ""
    camera_px: tuple[int, int] = CAMERA_PX
    px_per_in: float = PX_PER_IN
    overlap: float = OVERLAP


def plan_of(survey: Survey, request: ShotRequest) -> ShotPlan:
    """Return the frames that cover the survey's wall; raises InvalidInput for odd numbers."""
    layout = survey.layout
    return plan_shots(
        grid=layout.grid,
        decks=[(str(deck["name"]), *deck["band"]) for deck in layout.deck_bands],
        strips=hidden_strips(layout, mode=request.mode, on=survey.starts_on),
        camera_px=request.camera_px,
        px_per_in=request.px_per_in,
        overlap=request.overlap,
    )


def shot_state(survey: Survey, request: ShotRequest) -> tuple[ShotPlan, ShotState]:
    """Return the list and what is missing of it in one light."""
    plan = plan_of(survey, request)
    frames = taken_frames(survey, mode=request.mode)
    return plan, state_of(plan, frames, grid=survey.layout.grid, lamp_side=request.lamp_side)


def taken_frames(survey: Survey, *, mode: str) -> list[TakenFrame]:
    """Return the survey's frames in one light as the shot list counts them.

    A picture of the whole wall is no frame of a set: it is far too coarse to stand for one.
    """
    rows = survey.photographs.filter(mode=mode, role="record", rectified=False, conflict=False)
    placed = {
        row.photograph_id: row for row in Placement.objects.filter(survey=survey, conflict=False)
    }
    return [_frame(row, placed.get(row.pk)) for row in rows.order_by("name", "pk")]


def hidden_strips(layout: Layout, *, mode: str, on: date) -> list[tuple[str, Bounds]]:
    """Return what is hidden by things that stand before the wall: taken when they are moved."""
    return [
        (str(part["name"]), _bounds(part["polygon"]))
        for part in layout.obstructions
        if not part.get("touch_only")
        and part.get("mode") in (None, mode)
        and (not part.get("from") or part["from"] <= on.isoformat())
        and (not part.get("to") or part["to"] >= on.isoformat())
    ]


def _frame(row: Photograph, placement: Placement | None) -> TakenFrame:
    bounds = placement.bounds_in if placement else row.bounds_in
    return TakenFrame(
        key=str(row.pk),
        name=row.name,
        cells=tuple(row.cells),
        lamp_side=side_that_counts(row.mode, row.lamp_side),
        bounds_in=tuple(bounds) if bounds else None,
        px_per_in=_scale(row, placement),
        focal_length=row.testimony.get("focal_length", ""),
        size_px=(row.width_px, row.height_px),
        sharpness=kept_sharpness(row.blob_id),
    )


def _scale(row: Photograph, placement: Placement | None) -> float | None:
    """Return how many of the photograph's own pixels lie on an inch of the wall."""
    if placement:
        x0, _, x1, _ = placement.bounds_in
        return row.width_px / (x1 - x0) if x1 > x0 else None
    return None


def _bounds(polygon: Any) -> Bounds:
    xs, ys = [x for x, _ in polygon], [y for _, y in polygon]
    return min(xs), min(ys), max(xs), max(ys)
