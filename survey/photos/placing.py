"""How is a photograph placed on the wall: points checked, one entry written, its copy asked for?

Points that a person marked place it; what they cannot place is refused before anything is kept.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from gridmap.errors import InvalidInput
from gridmap.lengths import format_feet_inches
from gridmap.lens import Lens
from gridmap.marked_points import shown_name
from gridmap.rectify import (
    Bounds,
    Fit,
    MarkedPoint,
    Sight,
    best_px_per_in,
    covered_bounds,
    fit_homography,
    rectified_size_px,
)
from survey.clock import moment
from survey.jobs.models import Job
from survey.ledger.drafts import ALREADY_THERE, Draft, Receipt, Writer
from survey.ledger.models import Entry
from survey.people.models import Account
from survey.photos.models import Photograph, Placement
from survey.photos.placement_kind import placement_id
from survey.photos.rectifying import ask_to_rectify, sight_of_content
from survey.record.models import Survey
from survey.record.services import append_to_survey

BESIDE_PAINTING_IN = 120.0  # marks off the original paint lie on the wall round it
WIDENING = 0.25  # of the points' box, by which a copy reaches beyond it
STEP_IN = 0.25  # a copy begins and ends on quarters of an inch
LARGEST_COVER_IN = 12_000.0  # 1,000 ft: no photograph of a wall shows more


@dataclass(frozen=True)
class Suggestion:
    """What a rectified copy would be: where, how fine, and how sure its places are."""

    covered_in: Bounds
    bounds_in: Bounds
    px_per_in: float
    error_in: float


@dataclass(frozen=True)
class Placed:
    """What became of a placement: its entry, and the work that draws the copy."""

    receipt: Receipt
    fit: Fit
    suggestion: Suggestion
    job: Job | None


def check_points(
    photograph: Photograph, points: Sequence[MarkedPoint], lens: Lens | None = None
) -> Fit:
    """Return the place that points give a photograph.

    Raises InvalidInput for points beside the picture or far from the wall, and for points that
    cannot place a picture.
    """
    if photograph.rectified:
        raise InvalidInput(
            f"{photograph.name} is square to the wall already; it needs no points.",
            field="photograph",
        )
    for point in points:
        _refuse_beside_picture(photograph, point)
        _refuse_far_from_wall(photograph.survey, point)
    fit = fit_homography(points, lens=lens)
    x0, y0, x1, y1 = covered_bounds(fit, photograph.width_px, photograph.height_px)
    if max(x1 - x0, y1 - y0) > LARGEST_COVER_IN:
        raise InvalidInput(
            f"Placed like this, {photograph.name} would show {format_feet_inches(x1 - x0)} by "
            f"{format_feet_inches(y1 - y0)} of wall. One of the points is far off.",
            field="points",
        )
    return fit


def suggestion(photograph: Photograph, fit: Fit) -> Suggestion:
    """Return where and how fine a rectified copy is best drawn.

    It holds the points and the cells that the photograph is said to show, as far as the picture
    reaches, and little beyond: the error grows away from the points.
    """
    survey = photograph.survey
    covered = covered_bounds(fit, photograph.width_px, photograph.height_px)
    xs, ys = zip(*(point.wall_in for point in fit.points), strict=True)
    box = (min(xs), min(ys), max(xs), max(ys))
    across, up = WIDENING * (box[2] - box[0]), WIDENING * (box[3] - box[1])
    wanted = (box[0] - across, box[1] - up, box[2] + across, box[3] + up)
    for label in photograph.cells:
        wanted = _around(wanted, survey.layout.grid.bounds(label))
    wall = (0.0, 0.0, survey.layout.width_in, survey.layout.height_in)
    bounds = _within(_within(wanted, covered), wall)
    if min(bounds[2] - bounds[0], bounds[3] - bounds[1]) < STEP_IN:
        raise InvalidInput(
            f"Placed like this, {photograph.name} shows nothing of the painting. Look at the "
            "places of the points on the wall.",
            field="points",
        )
    return Suggestion(covered, bounds, best_px_per_in(fit, bounds), fit.error_over(bounds))


def place_photograph(
    photograph: Photograph,
    points: Sequence[MarkedPoint],
    *,
    writer: Writer,
    kinds: Sequence[str] = (),
    px_per_in: float | None = None,
    lens: Lens | None = None,
    asked_by: Account | None = None,
) -> Placed:
    """Write where a photograph lies, and ask for its rectified copy.

    Placed again it is a correction of the first; the same points again change nothing.
    """
    with transaction.atomic():
        written = write_placement(
            photograph, points, writer=writer, kinds=kinds, px_per_in=px_per_in, lens=lens
        )
        job = ask_to_rectify(_head(photograph), photograph, asked_by=asked_by)
    return replace(written, job=job)


def write_placement(
    photograph: Photograph,
    points: Sequence[MarkedPoint],
    *,
    writer: Writer,
    kinds: Sequence[str] = (),
    px_per_in: float | None = None,
    lens: Lens | None = None,
) -> Placed:
    """Write where a photograph lies, and leave the drawing of its copy to the caller."""
    fit = check_points(photograph, points, lens)
    proposal = suggestion(photograph, fit)
    scale = proposal.px_per_in if px_per_in is None else float(px_per_in)
    rectified_size_px(proposal.bounds_in, scale)
    body = {
        "photograph": str(photograph.pk),
        "digest": photograph.blob_id,
        "points": _points_json(points, kinds),
        "homography": [list(row) for row in fit.homography],
        "fit": fit.to_json(),
        "error_in": proposal.error_in,
        "bounds_in": list(proposal.bounds_in),
        "px_per_in": scale,
        **({"lens": lens.to_json()} if lens else {}),
    }
    with transaction.atomic():
        receipt = _written(photograph, body, writer)
    return Placed(receipt, fit, proposal, None)


def sight_of(placement: Placement, photograph: Photograph) -> Sight:
    """Return the way from a placed photograph's pixels to the wall."""
    content = {"homography": placement.homography, "lens": placement.lens}
    return sight_of_content(content, photograph)


def _written(photograph: Photograph, body: dict[str, Any], writer: Writer) -> Receipt:
    """Append the placement unless the record says the very same already."""
    survey, object_id = photograph.survey, placement_id(photograph.pk)
    heads = list(survey.logbook.entries.filter(object_id=object_id, child_links=None))
    if len(heads) == 1 and _same(heads[0].content, body):
        return Receipt(heads[0].pk, ALREADY_THERE)
    draft = Draft(
        kind="placement",
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=writer.name,
        parents=tuple(head.pk for head in heads),
    )
    return append_to_survey(survey, [draft], writer=writer)[0]


def _head(photograph: Photograph) -> Entry:
    return Placement.objects.select_related("head").get(pk=placement_id(photograph.pk)).head


def _same(content: Mapping[str, Any], body: Mapping[str, Any]) -> bool:
    """Say whether a person's part of two placements is the same; the rest follows from it."""
    said = ("points", "lens", "px_per_in", "digest", "bounds_in")
    return all(content.get(key) == body.get(key) for key in said)


def _points_json(points: Sequence[MarkedPoint], kinds: Sequence[str]) -> list[dict[str, Any]]:
    return [
        {
            "name": point.name,
            "kind": kinds[place] if place < len(kinds) else "mark",
            "px": list(point.px),
            "wall_in": list(point.wall_in),
        }
        for place, point in enumerate(points)
    ]


def _refuse_beside_picture(photograph: Photograph, point: MarkedPoint) -> None:
    (x, y), (width, height) = point.px, (photograph.width_px, photograph.height_px)
    if not (0 <= x <= width and 0 <= y <= height):
        raise InvalidInput(
            f"Point {shown_name(point)} lies at {x:g}, {y:g} px, beside {photograph.name}, "
            f"which is {width:,} by {height:,} px. Mark it on the picture.",
            field="points",
        )


def _refuse_far_from_wall(survey: Survey, point: MarkedPoint) -> None:
    (x, y), layout = point.wall_in, survey.layout
    beside = BESIDE_PAINTING_IN
    if not (-beside <= x <= layout.width_in + beside and -beside <= y <= layout.height_in + beside):
        raise InvalidInput(
            f"Point {shown_name(point)}: {x:g} in across and {y:g} in up is more than "
            f"{format_feet_inches(beside)} beside the painting. Look at its place on the wall.",
            field="points",
        )


def _around(first: Bounds, second: Bounds) -> Bounds:
    return (
        min(first[0], second[0]),
        min(first[1], second[1]),
        max(first[2], second[2]),
        max(first[3], second[3]),
    )


def _within(first: Bounds, second: Bounds) -> Bounds:
    """Return what two boxes share, drawn in to whole steps."""
    x0, y0 = (math.ceil(max(first[k], second[k]) / STEP_IN) * STEP_IN for k in (0, 1))
    x1, y1 = (math.floor(min(first[k], second[k]) / STEP_IN) * STEP_IN for k in (2, 3))
    return x0, y0, x1, y1
