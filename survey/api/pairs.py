"""Answers to the hints of a pair over HTTP: accepted with a term, or dismissed with a reason."""

from typing import Any
from uuid import UUID

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import InvalidInput
from survey.ledger.desk import writer_at_own_desk
from survey.ledger.drafts import Writer
from survey.people.permissions import Action
from survey.people.selectors import open_wall, signed_in
from survey.photos.hints import accept_hint, dismiss_hint
from survey.photos.models import PicturePair
from survey.photos.pair_boot import hints_boot
from survey.photos.pair_selectors import pair_of_wall


class HintAcceptance(APIView):
    """A hint taken as an observation of the later survey."""

    @extend_schema(
        request=OpenApiTypes.OBJECT,
        responses={201: OpenApiTypes.OBJECT},
        description=(
            "term: code of the term; item, optional: label of the item; note, optional. Begins an "
            "observation with the hint's outline, and answers with the hints as they then stand."
        ),
    )
    def post(self, request: Request, wall: str, pair: UUID, key: str) -> Response:
        found, writer = _opened(request, wall, pair)
        term = _text(request, "term")
        if not term:
            raise InvalidInput("Choose the term of what the hint shows.", field="term")
        receipt = accept_hint(
            found,
            key,
            term=term,
            item=_text(request, "item"),
            note=_text(request, "note"),
            writer=writer,
        )
        return Response({"entry": str(receipt.id), "hints": hints_boot(found)}, status=201)


class HintDismissal(APIView):
    """A hint that a person says is no change of the wall."""

    @extend_schema(
        request=OpenApiTypes.OBJECT,
        responses={201: OpenApiTypes.OBJECT},
        description="reason: why the hint is dismissed. Answers with the hints as they then stand.",
    )
    def post(self, request: Request, wall: str, pair: UUID, key: str) -> Response:
        found, writer = _opened(request, wall, pair)
        receipt = dismiss_hint(found, key, reason=_text(request, "reason"), writer=writer)
        return Response({"entry": str(receipt.id), "hints": hints_boot(found)}, status=201)


def _opened(request: Request, wall: str, pair: UUID) -> tuple[PicturePair, Writer]:
    account = signed_in(request.user)
    found = pair_of_wall(open_wall(request.user, wall, Action.RECORD), pair)
    return found, writer_at_own_desk(account)


def _text(request: Request, field: str) -> str:
    """Return a text of the request; empty where nothing was sent."""
    if not isinstance(request.data, dict):
        raise InvalidInput("Send an object with term, or with reason.", field=field)
    value: Any = request.data.get(field, "")
    if not isinstance(value, str):
        raise InvalidInput(f"{field} must be a text.", field=field)
    return value
