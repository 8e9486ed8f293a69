"""Placing photographs over HTTP: what marked points say, and the placement written."""

from typing import Any
from uuid import UUID

from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import InvalidInput, NotFound
from gridmap.lens import Lens
from gridmap.rectify import Fit, MarkedPoint
from survey.ledger.desk import writer_at_own_desk
from survey.ledger.drafts import STORED
from survey.people.permissions import Action
from survey.people.selectors import open_wall, signed_in
from survey.photos.models import Photograph
from survey.photos.placement_kind import read_lens, read_points
from survey.photos.placing import Suggestion, check_points, place_photograph, suggestion

_POINTS = (
    "points: a list of {name, kind: crossing, corner, mark or picture-edge, px: [x, y] of the "
    "upright picture from its upper left corner, wall_in: [x, y]}; lens, optional: {k1, k2}"
)


class PlacementCheck(APIView):
    """What marked points say of a photograph's place; nothing is kept."""

    @extend_schema(
        request=OpenApiTypes.OBJECT, responses=OpenApiTypes.OBJECT, description=f"{_POINTS}."
    )
    def post(self, request: Request, wall: str, photograph: UUID) -> Response:
        found = _photograph(request, wall, photograph)
        points, _, lens = _marked(request, found)
        fit = check_points(found, points, lens)
        return Response(told(fit, suggestion(found, fit)))


class PhotographPlacement(APIView):
    """The place of a photograph on the wall."""

    @extend_schema(
        request=OpenApiTypes.OBJECT,
        responses={201: OpenApiTypes.OBJECT},
        description=(
            f"{_POINTS}; px_per_in, optional: resolution of the rectified copy. Answers with the "
            "placement and the work that draws the copy. Sent again, it changes nothing."
        ),
    )
    def post(self, request: Request, wall: str, photograph: UUID) -> Response:
        found = _photograph(request, wall, photograph)
        points, kinds, lens = _marked(request, found)
        account = signed_in(request.user)
        placed = place_photograph(
            found,
            points,
            kinds=kinds,
            lens=lens,
            px_per_in=_px_per_in(request),
            writer=writer_at_own_desk(account),
            asked_by=account,
        )
        job = placed.job
        answer = {
            **told(placed.fit, placed.suggestion),
            "placement": str(placed.receipt.id),
            "status": placed.receipt.status,
            "job": job.pk if job else None,
            "job_url": reverse("jobs:job", args=[wall, job.pk]) if job else None,
            "job_state_url": reverse("jobs:state", args=[wall, job.pk]) if job else None,
        }
        return Response(answer, status=201 if placed.receipt.status == STORED else 200)


def told(fit: Fit, proposal: Suggestion) -> dict[str, Any]:
    """Return what the points say, and what a copy would be."""
    return {
        "fit": {**fit.to_json(), "homography": [list(row) for row in fit.homography]},
        "points": [
            {
                "name": point.name,
                "residual_in": list(residual),
                "leave_one_out_in": None if fit.leave_one_out is None else fit.leave_one_out[k],
            }
            for k, (point, residual) in enumerate(zip(fit.points, fit.residuals_in, strict=True))
        ],
        "statements": list(fit.statements),
        "covered_in": list(proposal.covered_in),
        "bounds_in": list(proposal.bounds_in),
        "px_per_in": proposal.px_per_in,
        "error_in": proposal.error_in,
    }


def _photograph(request: Request, wall: str, photograph: UUID) -> Photograph:
    found = open_wall(request.user, wall, Action.RECORD)
    rows = Photograph.objects.select_related("survey__wall", "survey__layout", "survey__logbook")
    row = rows.filter(pk=photograph, survey__wall=found).first()
    if row is None:
        raise NotFound(f"There is no such photograph on {found.name}.")
    return row


def _marked(
    request: Request, photograph: Photograph
) -> tuple[tuple[MarkedPoint, ...], tuple[str, ...], Lens | None]:
    if not isinstance(request.data, dict):
        raise InvalidInput("Send an object with points.", field="points")
    points, kinds = read_points(request.data.get("points"))
    return points, kinds, read_lens(request.data.get("lens"), photograph)


def _px_per_in(request: Request) -> float | None:
    value = request.data.get("px_per_in") if isinstance(request.data, dict) else None
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InvalidInput(
            f"px_per_in is {str(value)[:20]!r}; it must be a number of pixels per inch.",
            field="px_per_in",
        )
    return float(value)
