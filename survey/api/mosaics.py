"""The tiles of mosaics over HTTP, and a whole mosaic in a small size."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from gridmap.errors import NotFound
from survey.people.permissions import Action, may
from survey.photos.models import Mosaic
from survey.photos.pyramids import tile_bytes

# A version's picture never changes, so a tile is asked for once; private: it is no one else's.
KEPT = "private, max-age=31536000, immutable"


class MosaicTile(APIView):
    """One tile of a mosaic: level 0 is the whole wall in one, columns and rows from upper left."""

    @extend_schema(responses={(200, "image/jpeg"): OpenApiTypes.BINARY})
    def get(self, request: Request, mosaic: UUID, z: int, x: int, y: int) -> HttpResponse:
        found = Mosaic.objects.select_related("survey__wall").filter(pk=mosaic).first()
        if found is None or not may(request.user, found.survey.wall, Action.SEE_RECORD):
            raise NotFound("There is no such mosaic, or you have no part in its wall.")
        return HttpResponse(
            tile_bytes(found.pyramid_id, z, x, y),
            content_type="image/jpeg",
            headers={"Cache-Control": KEPT},
        )
