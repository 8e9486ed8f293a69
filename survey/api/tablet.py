"""What tablets say over HTTP: sign in, enrol, take a pack, push, pull, hand photographs over."""

import json
from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.auth import authenticate, login
from django.db import OperationalError
from django.http import HttpResponse
from django.utils.decorators import method_decorator
from django.views.decorators.csrf import csrf_protect, ensure_csrf_cookie
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import InvalidInput, NotFound, NotPermitted, PontataError
from survey.clock import moment
from survey.errors import error_body
from survey.people.models import Account
from survey.people.permissions import Action, require
from survey.people.selectors import open_wall, signed_in
from survey.photos.renditions import picture_of_wall
from survey.record.selectors import survey_of_wall
from survey.tablet.models import Tablet
from survey.tablet.photographs import LARGEST_PART_BYTES, WrongOffset, held_of, take_part
from survey.tablet.pictures import WIDTHS_PX
from survey.tablet.selectors import (
    CONTRACT,
    MOST_PULLED,
    choices_for,
    open_tablet,
    pack_bytes,
    pulled,
)
from survey.tablet.services import enrol, installation, take_push

MOST_ENTRIES = 200
MOST_BYTES = 1_000_000


def server_time() -> str | None:
    """Return the server's time, None where its clock stands still."""
    return None if settings.FIXED_CLOCK else moment().isoformat()


class TabletRefusal(PontataError):
    """A refusal that the tablet's page acts on: `reason` is a word of the contract."""

    def __init__(self, message: str, *, reason: str, status: int) -> None:
        super().__init__(message)
        self.reason = reason
        self.status = status


class TabletView(APIView):
    """A route of an enrolled tablet, open to those who may record on its wall."""

    def handle_exception(self, exc: Exception) -> Response:
        if isinstance(exc, TabletRefusal):
            return _refused(exc.message, exc.status, reason=exc.reason)
        if isinstance(exc, OperationalError):
            return _refused("The database is busy; nothing was stored. Send again.", 503)
        if isinstance(exc, WrongOffset):
            body = {**error_body(exc.message, exc.field), "held": exc.held}
            return Response(body, status=409)
        response = super().handle_exception(exc)
        if response.status_code == 401 and isinstance(response.data, dict):
            response.data["reason"] = "sign-in"
            response.data["message"] = "Sign in again. Nothing on this tablet is lost."
        return response

    def open(self, request: Request, tablet: UUID) -> tuple[Tablet, Account]:
        """Return the tablet and who carries it; refuses in the contract's words."""
        account = signed_in(request.user)
        try:
            found = open_tablet(tablet)
        except NotFound as error:
            raise TabletRefusal(error.message, reason="unknown-tablet", status=404) from error
        try:
            require(account, found.wall, Action.RECORD)
        except (NotFound, NotPermitted) as error:
            raise TabletRefusal(
                f"{account} may not record on the wall of this tablet. Let somebody sign in who "
                "may; nothing on this tablet is lost.",
                reason="no-part",
                status=403,
            ) from error
        return found, account


def _refused(message: str, status: int, *, reason: str | None = None) -> Response:
    body: dict[str, Any] = error_body(message)
    return Response({**body, "reason": reason} if reason else body, status=status)


@method_decorator(ensure_csrf_cookie, name="dispatch")
class Session(APIView):
    """Who is signed in, and signing in without leaving the page."""

    permission_classes = (AllowAny,)

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        return Response(_session(request.user))

    @extend_schema(request=OpenApiTypes.OBJECT, responses=OpenApiTypes.OBJECT)
    @method_decorator(csrf_protect)
    def post(self, request: Request) -> Response:
        data = request.data if isinstance(request.data, dict) else {}
        username, password = str(data.get("username", "")), str(data.get("password", ""))
        account = authenticate(request, username=username, password=password)
        if account is None:
            return _refused("Name or password is wrong. Nothing on this tablet is lost.", 403)
        login(request._request, account)
        return Response(_session(account))


def _session(user: Any) -> dict[str, Any]:
    known = isinstance(user, Account)
    return {
        "signed_in": known,
        "account": {"username": user.username, "name": str(user)} if known else None,
        "server_time": server_time(),
    }


class Tablets(TabletView):
    """Enrolling a tablet for a survey."""

    @extend_schema(request=OpenApiTypes.OBJECT, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request) -> Response:
        data = request.data if isinstance(request.data, dict) else {}
        wall = open_wall(request.user, str(data.get("wall", "")), Action.RECORD)
        survey = survey_of_wall(wall, str(data.get("survey", "")))
        tablet = enrol(
            survey=survey, name=str(data.get("name", "")), account=signed_in(request.user)
        )
        return Response(
            {
                "tablet": {
                    "id": str(tablet.pk),
                    "name": tablet.name,
                    "wall": wall.slug,
                    "survey": survey.code,
                },
                "epoch": str(installation().epoch),
                "next_device_seq": 1,
            }
        )


class TabletChoices(TabletView):
    """For which surveys the account may prepare a tablet."""

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        return Response({"walls": choices_for(signed_in(request.user))})


class TabletPack(TabletView):
    """What the tablet takes along."""

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, tablet: UUID) -> HttpResponse:
        found, account = self.open(request, tablet)
        return HttpResponse(
            pack_bytes(found, account),
            content_type="application/json",
            headers={"Cache-Control": "no-store"},
        )


class TabletPicture(TabletView):
    """A base picture in a size that the pack names."""

    @extend_schema(
        parameters=[OpenApiParameter("width", int, description="Width in pixels")],
        responses={(200, "image/jpeg"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, tablet: UUID, digest: str) -> HttpResponse:
        found, _ = self.open(request, tablet)
        width = min(max(_number(request, "width", default=WIDTHS_PX[0]), 256), WIDTHS_PX[-1])
        return HttpResponse(
            picture_of_wall(found.wall, digest, width_px=width),
            content_type="image/jpeg",
            headers={"Cache-Control": "private, max-age=31536000, immutable"},
        )


class _PushBody(BaseParser):
    """JSON as lenient as Python reads it: NaN in one entry must not hold up all the others."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        try:
            return json.loads(stream.read())
        except (ValueError, RecursionError) as error:
            raise ParseError(f"This push is no JSON: {error}.") from error


class TabletPush(TabletView):
    """Entries of a tablet in the order of its own numbers."""

    parser_classes = (_PushBody,)

    @extend_schema(request=OpenApiTypes.OBJECT, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, tablet: UUID) -> Response:
        found, account = self.open(request, tablet)
        # The length that the sender states: checking its token has read the body already.
        if int(request.META.get("CONTENT_LENGTH") or 0) > MOST_BYTES:
            return _refused("A batch holds at most 1 MB; send fewer entries at once.", 413)
        push = _push(request.data)
        values = push["entries"]
        if len(values) > MOST_ENTRIES:
            return _refused(
                f"A batch holds at most {MOST_ENTRIES} entries, and this one {len(values):,}.", 413
            )
        receipts = take_push(
            found,
            values,
            account=account,
            unsent=_count(push.get("unsent")),
            photographs_unsent=_count(push.get("photographs_unsent")),
        )
        lines = [
            {**receipt.to_json(), "device_seq": value.get("device_seq")}
            if isinstance(value, dict)
            else receipt.to_json()
            for receipt, value in zip(receipts, values, strict=True)
        ]
        # As it stands after the push: somebody may have closed the survey in between.
        held = open_tablet(tablet)
        return Response(_said(held, receipts=lines, received_to=held.received_to))


class TabletPull(TabletView):
    """The survey's entries behind a place."""

    @extend_schema(
        parameters=[
            OpenApiParameter("after", int, description="Place in the logbook"),
            OpenApiParameter("limit", int, description="At most so many entries"),
        ],
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request, tablet: UUID) -> Response:
        found, _ = self.open(request, tablet)
        after = _number(request, "after", default=0)
        limit = max(1, _number(request, "limit", default=MOST_PULLED))
        return Response(_said(found, **pulled(found, after=after, limit=limit)))


class _RawBody(BaseParser):
    """The bytes of a part, as they come."""

    media_type = "*/*"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        return stream.read()


class TabletBlob(TabletView):
    """A photograph in parts."""

    parser_classes = (_RawBody,)

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, tablet: UUID, digest: str) -> Response:
        found, _ = self.open(request, tablet)
        return Response(asdict(held_of(found, digest)))

    @extend_schema(
        request={"application/octet-stream": OpenApiTypes.BINARY},
        parameters=[
            OpenApiParameter("offset", int, description="Where this part begins, in bytes"),
            OpenApiParameter("total", int, description="Size of the whole, in bytes"),
        ],
        responses=OpenApiTypes.OBJECT,
    )
    def put(self, request: Request, tablet: UUID, digest: str) -> Response:
        found, _ = self.open(request, tablet)
        data = request.data
        if not isinstance(data, bytes):
            raise InvalidInput("This part is empty.", field="data")
        if len(data) > LARGEST_PART_BYTES:
            return _refused("A part holds at most 8 MB.", 413)
        held = take_part(
            found,
            digest,
            offset=_number(request, "offset", default=0),
            total=_number(request, "total", default=len(data)),
            data=data,
            mime=request.headers.get("X-Photograph-Type", ""),
        )
        return Response(asdict(held))


def _said(tablet: Tablet, **more: Any) -> dict[str, Any]:
    """Return an answer with what every answer to a tablet says."""
    return {
        "contract": CONTRACT,
        "epoch": str(installation().epoch),
        "server_time": server_time(),
        "survey_state": tablet.survey.state,
        "retired": tablet.retired_at is not None,
        **more,
    }


def _push(data: Any) -> dict[str, Any]:
    """Return a push as it came; refuses what is no push at all."""
    if not isinstance(data, dict):
        raise InvalidInput("A push is an object with contract and entries.", field=None)
    if data.get("contract") != CONTRACT:
        raise InvalidInput(
            f"contract is {data.get('contract')!r}; this server speaks {CONTRACT}.",
            field="contract",
        )
    if not isinstance(data.get("entries"), list):
        raise InvalidInput("entries must be a list.", field="entries")
    return data


def _count(value: Any) -> int | None:
    whole = isinstance(value, int) and not isinstance(value, bool)
    return value if whole and 0 <= value < 2**31 else None


def _number(request: Request, name: str, *, default: int) -> int:
    text = request.query_params.get(name, str(default))
    if not (text.isascii() and text.isdigit()) or len(text) > 15:
        raise InvalidInput(f"{name} is {text!r}; it must be a whole number from 0.", field=name)
    return int(text)
