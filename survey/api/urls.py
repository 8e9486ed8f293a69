"""Which route of the API answers at which address below /api/v1/."""

from django.urls import path, register_converter
from drf_spectacular.views import SpectacularJSONAPIView

from survey.api.entries import SurveyEntries, WallEntries
from survey.api.mosaics import MosaicTile
from survey.api.pairs import HintAcceptance, HintDismissal
from survey.api.photographs import PhotographRendition, SurveyPhotographs
from survey.api.placements import PhotographPlacement, PlacementCheck
from survey.api.readings import InstrumentReadings
from survey.api.shapes import BlobBytes, SurveyExaminations, SurveyShapes
from survey.api.tablet import (
    Session,
    TabletBlob,
    TabletChoices,
    TabletPack,
    TabletPicture,
    TabletPull,
    TabletPush,
    Tablets,
)


class DigestConverter:
    """A SHA-256 in lower-case hexadecimal."""

    regex = "[0-9a-f]{64}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(DigestConverter, "digest")
app_name = "api"
_TABLET = "tablets/<uuid:tablet>/"
_SURVEY = "walls/<slug:wall>/surveys/<str:code>/"
_HINT = "walls/<slug:wall>/pairs/<uuid:pair>/hints/<str:key>/"
_PLACEMENT = "walls/<slug:wall>/photographs/<uuid:photograph>/placement/"

urlpatterns = [
    path("walls/<slug:wall>/entries/", WallEntries.as_view(), name="wall_entries"),
    path(f"{_SURVEY}entries/", SurveyEntries.as_view(), name="entries"),
    path(f"{_SURVEY}shapes/", SurveyShapes.as_view(), name="shapes"),
    path(f"{_SURVEY}examinations/", SurveyExaminations.as_view(), name="examinations"),
    path(f"{_SURVEY}photographs/", SurveyPhotographs.as_view(), name="photographs"),
    path(
        "photographs/<uuid:photograph>/rendition/",
        PhotographRendition.as_view(),
        name="rendition",
    ),
    path(_PLACEMENT, PhotographPlacement.as_view(), name="placement"),
    path(f"{_PLACEMENT}check/", PlacementCheck.as_view(), name="placement_check"),
    path(f"{_HINT}acceptance/", HintAcceptance.as_view(), name="hint_acceptance"),
    path(f"{_HINT}dismissal/", HintDismissal.as_view(), name="hint_dismissal"),
    path(
        "mosaics/<uuid:mosaic>/<int:z>/<int:x>/<int:y>.jpg",
        MosaicTile.as_view(),
        name="mosaic_tile",
    ),
    path("blobs/<digest:digest>", BlobBytes.as_view(), name="blob"),
    path(
        "instruments/<uuid:instrument>/readings/",
        InstrumentReadings.as_view(),
        name="instrument_readings",
    ),
    path("session/", Session.as_view(), name="session"),
    path("tablets/", Tablets.as_view(), name="tablets"),
    path("tablets/choices/", TabletChoices.as_view(), name="tablet_choices"),
    path(f"{_TABLET}pack/", TabletPack.as_view(), name="tablet_pack"),
    path(f"{_TABLET}pictures/<digest:digest>", TabletPicture.as_view(), name="tablet_picture"),
    path(f"{_TABLET}push/", TabletPush.as_view(), name="tablet_push"),
    path(f"{_TABLET}pull/", TabletPull.as_view(), name="tablet_pull"),
    path(f"{_TABLET}blobs/<digest:digest>", TabletBlob.as_view(), name="tablet_blob"),
    path("schema/", SpectacularJSONAPIView.as_view(), name="schema"),
]
