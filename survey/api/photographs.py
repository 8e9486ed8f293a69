"""Photographs over HTTP: one file in, the same picture out for looking, without its metadata."""

from datetime import datetime, timezone
from pathlib import Path
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.parsers import BaseParser
from rest_framework.request import Request, is_form_media_type
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import InvalidInput, NotFound
from survey.ledger.desk import writer_at_own_desk
from survey.ledger.drafts import STORED, Writer
from survey.people.permissions import Action, may
from survey.people.selectors import open_wall
from survey.photos.file_formats import is_raw_name
from survey.photos.looking import LARGEST_FILE_BYTES
from survey.photos.models import Photograph
from survey.photos.renditions import rendition
from survey.photos.said import LAMP_SIDES
from survey.photos.taking_in import Statement, Taken, arriving_file, take_in, take_in_raw
from survey.record.models import Survey
from survey.record.selectors import survey_of_wall

READ_AT_ONCE_BYTES = 1024 * 1024
USUAL_WIDTH_PX = 1024
MOST_CELLS_SENT = 40


class Unread(BaseParser):
    """Leaves the body where it is: the view reads it piece by piece into a file."""

    media_type = "*/*"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        if is_form_media_type(media_type or ""):
            raise InvalidInput(
                "The body must be the file itself, as application/octet-stream, and no form.",
                field="data",
            )
        return stream


_QUERY = [
    OpenApiParameter("name", str, required=True, description="The file's name with its ending"),
    OpenApiParameter("mode", str, description="Light in which it was taken; not for raw files"),
    OpenApiParameter("lamp_side", str, description="left, right, top, below, even"),
    OpenApiParameter("lamp", str, description="The lamp, in words"),
    OpenApiParameter("angle_deg", float, description="Of the lamp to the wall, 0 to 90"),
    OpenApiParameter("scale_bar", bool, description="1: a scale bar is in the frame"),
    OpenApiParameter("colour_target", bool, description="1: a colour target is in the frame"),
    OpenApiParameter("cell", str, description="Labels of the cells shown, by commas"),
    OpenApiParameter("role", str, description="record (as when absent) or note"),
    OpenApiParameter("note", str),
    OpenApiParameter("operator", str, description="Who took it, where that is not the sender"),
    OpenApiParameter("clock_zone", str, description="Zone of the camera's clock, such as +01:00"),
    OpenApiParameter("raw_for", UUID, description="For a raw file: the photograph it belongs to"),
]


class SurveyPhotographs(APIView):
    """Taking in one file of a survey's photographs."""

    parser_classes = (Unread,)

    @extend_schema(
        parameters=_QUERY,
        request={"application/octet-stream": OpenApiTypes.BINARY},
        responses={201: OpenApiTypes.OBJECT},
        description=(
            "The body is the file as it is: JPEG, PNG, TIFF or HEIC, or a camera's raw file after "
            "its rendering of the same name. Sent again, it changes nothing."
        ),
    )
    def post(self, request: Request, wall: str, code: str) -> Response:
        survey = survey_of_wall(open_wall(request.user, wall, Action.RECORD), code)
        writer = writer_at_own_desk(request.user)
        name = request.query_params.get("name", "")
        with arriving_file() as path:
            _receive(request, path)
            taken = _taken(request, survey, path, name, writer)
        return Response(told(taken), status=201 if taken.status == STORED else 200)


class PhotographRendition(APIView):
    """A photograph for looking, in sRGB, upright and without metadata."""

    @extend_schema(
        parameters=[OpenApiParameter("width", int, description="Width in pixels, 64 to 8192")],
        responses={(200, "image/jpeg"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, photograph: UUID) -> HttpResponse:
        found = Photograph.objects.select_related("survey__wall").filter(pk=photograph).first()
        if found is None or not may(request.user, found.survey.wall, Action.SEE_RECORD):
            raise NotFound("There is no such photograph, or you have no part in its wall.")
        width_px = min(_width(request), found.width_px)
        return HttpResponse(
            rendition(found.blob_id, width_px=width_px, name=found.name),
            content_type="image/jpeg",
            headers={"Cache-Control": "private, max-age=31536000, immutable"},
        )


def told(taken: Taken) -> dict[str, Any]:
    """Return what became of a file."""
    photograph = taken.photograph
    return {
        "photograph": str(photograph.pk),
        "status": taken.status,
        "name": photograph.name,
        "digest": photograph.blob_id,
        "mime": photograph.head.content.get("mime", ""),
        "width_px": photograph.width_px,
        "height_px": photograph.height_px,
        "mode": photograph.mode,
        "lamp_side": photograph.lamp_side,
        "cells": photograph.cells,
        "taken_at": photograph.taken_at.isoformat() if photograph.taken_at else None,
        "raw": photograph.head.content.get("raw"),
        "testimony": photograph.testimony,
        "remarks": list(taken.remarks),
    }


def _receive(request: Request, path: Path) -> None:
    """Write the body into a file, and no more of it than a photograph may have."""
    stream, size_bytes = request.data, 0
    with path.open("wb") as file:
        while hasattr(stream, "read") and (piece := stream.read(READ_AT_ONCE_BYTES)):
            size_bytes += len(piece)
            if size_bytes > LARGEST_FILE_BYTES:
                raise InvalidInput(
                    f"The file has more than {LARGEST_FILE_BYTES / 1024**2:,.0f} MB, the limit "
                    "for one photograph. Nothing was kept.",
                    field="data",
                )
            file.write(piece)


def _taken(request: Request, survey: Survey, path: Path, name: str, writer: Writer) -> Taken:
    if is_raw_name(name):
        beside = request.query_params.get("raw_for")
        return take_in_raw(survey, path, name, writer=writer, beside=_uuid(beside))
    return take_in(survey, path, name, statement=_statement(request), writer=writer)


def _statement(request: Request) -> Statement:
    query = request.query_params
    role = query.get("role", "record")
    if role not in {"record", "note"}:
        raise InvalidInput(f"role is {role!r}; it must be record or note.", field="role")
    cells = [label.strip() for label in query.get("cell", "").split(",") if label.strip()]
    if len(cells) > MOST_CELLS_SENT:
        raise InvalidInput(
            f"cell names {len(cells)} cells; the limit is {MOST_CELLS_SENT}.", field="cell"
        )
    return Statement(
        mode=query.get("mode", ""),
        lamp_side=_side(query.get("lamp_side", "")),
        lamp=query.get("lamp", ""),
        angle_deg=_angle(query.get("angle_deg", "")),
        scale_bar=_flag(query.get("scale_bar", ""), "scale_bar"),
        colour_target=_flag(query.get("colour_target", ""), "colour_target"),
        cells=tuple(cells),
        role=role,
        note=query.get("note", ""),
        operator=query.get("operator", ""),
        clock_zone=_zone(query.get("clock_zone", "")),
    )


def _side(text: str) -> str:
    if text not in LAMP_SIDES:
        raise InvalidInput(
            f"lamp_side is {text[:20]!r}; it must be one of: "
            f"{', '.join(filter(None, LAMP_SIDES))}.",
            field="lamp_side",
        )
    return text


def _angle(text: str) -> float | None:
    if not text.strip():
        return None
    try:
        return float(text)
    except ValueError as error:
        raise InvalidInput(
            f"angle_deg is {text[:20]!r}; it must be a number from 0 to 90 degrees.",
            field="angle_deg",
        ) from error


def _flag(text: str, field: str) -> bool:
    if text.lower() not in {"", "0", "1", "false", "true"}:
        raise InvalidInput(f"{field} is {text[:20]!r}; it must be 1 or 0.", field=field)
    return text.lower() in {"1", "true"}


def _zone(text: str) -> timezone | None:
    """Read a zone such as +01:00; a plus sign that became a space on its way is taken for one."""
    if not text.strip():
        return None
    try:
        shift = datetime.strptime(text.strip().replace("Z", "+00:00"), "%z").utcoffset()
    except ValueError:
        try:
            shift = datetime.strptime(f"+{text.strip()}", "%z").utcoffset()
        except ValueError as error:
            raise InvalidInput(
                f"clock_zone is {text[:20]!r}; it must be such as +01:00.", field="clock_zone"
            ) from error
    return None if shift is None else timezone(shift)


def _uuid(text: str | None) -> UUID | None:
    if not text:
        return None
    try:
        return UUID(text)
    except ValueError as error:
        raise InvalidInput(
            f"raw_for is {text[:60]!r}; it must be the id of a photograph.", field="raw_for"
        ) from error


def _width(request: Request) -> int:
    text = request.query_params.get("width", str(USUAL_WIDTH_PX))
    if not (text.isascii() and text.isdigit()) or len(text) > 6:
        raise InvalidInput(f"width is {text[:20]!r}; it must be in whole pixels.", field="width")
    return int(text)
