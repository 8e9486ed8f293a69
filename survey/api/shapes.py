"""What a survey shows, over HTTP: outlines kept ready to send, examinations, and bytes."""

from django.http import FileResponse, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gridmap.errors import NotFound
from survey.ledger.blobs import blob_path
from survey.ledger.models import Blob
from survey.people.permissions import Action, may
from survey.people.selectors import open_wall
from survey.photos.selectors import walls_that_show
from survey.record.selectors import shapes_text, survey_of_wall

PICTURE_TYPES = frozenset({"image/jpeg", "image/png", "image/webp", "image/heic", "image/heif"})


class SurveyShapes(APIView):
    """Every outline that stands in a survey."""

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, wall: str, code: str) -> HttpResponse:
        found = open_wall(request.user, wall, Action.SEE_RECORD)
        return HttpResponse(
            shapes_text(survey_of_wall(found, code)), content_type="application/json"
        )


class SurveyExaminations(APIView):
    """How each cell was examined in a survey."""

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, wall: str, code: str) -> Response:
        found = open_wall(request.user, wall, Action.SEE_RECORD)
        rows = survey_of_wall(found, code).examinations.select_related("head")
        return Response({"examinations": [row.to_json() for row in rows]})


class BlobBytes(APIView):
    """The bytes of a photograph, to those who may see the record of a wall that holds it."""

    @extend_schema(responses={(200, "application/octet-stream"): OpenApiTypes.BINARY})
    def get(self, request: Request, digest: str) -> FileResponse:
        walls = walls_that_show(digest)
        if not any(may(request.user, wall, Action.SEE_RECORD) for wall in walls):
            raise NotFound("There is no such photograph, or you have no part in its wall.")
        blob = Blob.objects.get(pk=digest)
        try:
            file = open(blob_path(digest), "rb")  # noqa: SIM115  FileResponse closes it
        except FileNotFoundError as error:
            raise NotFound(f"The store has lost the bytes of {digest[:12]}….") from error
        # The type is what a tablet said; no browser may take the bytes for a page or a program.
        shown = blob.mime if blob.mime in PICTURE_TYPES else "application/octet-stream"
        response = FileResponse(file, content_type=shown)
        response["Cache-Control"] = "private, max-age=31536000, immutable"
        return response
