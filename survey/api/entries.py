"""The logbooks over HTTP: a batch of drafts in, receipts out; entries after a place."""

import json
from collections.abc import Callable, Sequence
from typing import Any
from uuid import UUID

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.ledger.blobs import has_arrived
from survey.ledger.desk import writer_at_own_desk
from survey.ledger.drafts import Draft, Receipt, Writer, read_draft
from survey.ledger.models import Entry, Logbook
from survey.ledger.selectors import entries_after, head_seq
from survey.ledger.services import append, open_logbook
from survey.people.permissions import Action, require
from survey.people.selectors import open_wall
from survey.record.models import Examination, Observation
from survey.record.selectors import survey_of_wall
from survey.record.services import append_to_survey

MOST_ENTRIES = 1_000
MOST_SENT = 5_000
ACTION_OF_KIND = {
    "decision": Action.DECIDE,
    "loss-window-opinion": Action.DECIDE,
    "treatment": Action.TREAT,
    "treatment-withdrawn": Action.TREAT,
    "survey-closed": Action.CLOSE_SURVEY,
}
Store = Callable[[Sequence[Draft], Writer], list[Receipt]]


class SurveyEntries(APIView):
    """The logbook of one survey."""

    @extend_schema(
        request=OpenApiTypes.OBJECT,
        responses=OpenApiTypes.OBJECT,
        description="Write a batch of entries: all are stored, or none.",
    )
    def post(self, request: Request, wall: str, code: str) -> Response:
        found = open_wall(request.user, wall, Action.SEE_RECORD)
        survey = survey_of_wall(found, code)
        drafts = _drafts(request)
        for action in {ACTION_OF_KIND.get(draft.kind, Action.RECORD) for draft in drafts}:
            require(request.user, found, action)
        _refuse_foreign_photographs(drafts, found)
        writer = writer_at_own_desk(request.user)
        return Response({"receipts": _receipts(append_to_survey(survey, drafts, writer=writer))})

    @extend_schema(
        parameters=[OpenApiParameter("after", int, description="Place in the logbook")],
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request, wall: str, code: str) -> Response:
        found = open_wall(request.user, wall, Action.SEE_RECORD)
        return Response(_sent(survey_of_wall(found, code).logbook, request))


class WallEntries(APIView):
    """The standing logbook of a wall: treatments and decisions between surveys."""

    @extend_schema(request=OpenApiTypes.OBJECT, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, wall: str) -> Response:
        found = open_wall(request.user, wall, Action.SEE_RECORD)
        drafts = _drafts(request)
        for action in {ACTION_OF_KIND.get(draft.kind, Action.RECORD) for draft in drafts}:
            require(request.user, found, action)
        receipts = append(
            drafts, logbook=open_logbook(found), writer=writer_at_own_desk(request.user)
        )
        return Response({"receipts": _receipts(receipts)})

    @extend_schema(
        parameters=[OpenApiParameter("after", int, description="Place in the logbook")],
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request, wall: str) -> Response:
        found = open_wall(request.user, wall, Action.SEE_RECORD)
        return Response(_sent(open_logbook(found), request))


def _drafts(request: Request) -> list[Draft]:
    data = request.data
    values = data.get("entries") if isinstance(data, dict) else None
    if not isinstance(values, list) or not values:
        raise InvalidInput("entries must be a list of at least one entry.", field="entries")
    if len(values) > MOST_ENTRIES:
        raise InvalidInput(
            f"entries holds {len(values):,} entries; send at most {MOST_ENTRIES:,} at once.",
            field="entries",
        )
    person = str(request.user)
    return [
        read_draft(value, where=f"entries[{place}]", observer=person, recorder=person)
        for place, value in enumerate(values)
    ]


def _refuse_foreign_photographs(drafts: Sequence[Draft], wall: Wall) -> None:
    """Refuse to name bytes that this wall does not hold: a digest alone must open nothing."""
    for draft in drafts:
        digest = str(draft.body.get("digest", ""))
        if draft.kind != "photograph":
            continue
        if not has_arrived(digest, wall):
            raise InvalidInput(
                f"This wall holds no photograph with digest {digest[:12]}…; put the picture in "
                "on a page first.",
                field="digest",
            )


def _receipts(receipts: Sequence[Receipt]) -> list[dict[str, Any]]:
    """Return receipts, each with the outline or examination that its entry now shows."""
    ids = [receipt.id for receipt in receipts if receipt.id is not None]
    objects = dict(Entry.objects.filter(pk__in=ids).values_list("pk", "object_id"))
    outlines: dict[UUID, str] = dict(
        Observation.objects.filter(pk__in=objects.values()).values_list("pk", "shape_json")
    )
    examinations = {
        row.object_id: row
        for row in Examination.objects.filter(pk__in=objects.values()).select_related("head")
    }
    told = []
    for receipt in receipts:
        line = receipt.to_json()
        object_id = objects.get(receipt.id) if receipt.id else None
        if object_id in outlines:
            line["outline"] = json.loads(outlines[object_id])
        elif object_id in examinations:
            line["examination"] = examinations[object_id].to_json()
        told.append(line)
    return told


def _sent(logbook: Logbook, request: Request) -> dict[str, Any]:
    text = request.query_params.get("after", "0")
    if not (text.isascii() and text.isdigit()) or len(text) > 15:
        raise InvalidInput(f"after is {text!r}; it must be a whole number from 0.", field="after")
    rows = entries_after(logbook, int(text))[:MOST_SENT]
    return {
        "entries": [
            {
                **row.statement,
                "seq": row.seq,
                "digest": row.digest,
                "carried_by": row.carried_by,
                "device": row.device,
                "received_at": row.received_at.isoformat(),
            }
            for row in rows
        ],
        "head": head_seq(logbook),
    }
