"""Which route of the API answers at which address below /api/v1/."""

from django.urls import path, register_converter
from drf_spectacular.views import SpectacularJSONAPIView

from survey.api.entries import SurveyEntries, WallEntries
from survey.api.shapes import BlobBytes, SurveyExaminations, SurveyShapes


class DigestConverter:
    """A SHA-256 in lower-case hexadecimal."""

    regex = "[0-9a-f]{64}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(DigestConverter, "digest")
app_name = "api"
_SURVEY = "walls/<slug:wall>/surveys/<str:code>/"

urlpatterns = [
    path("walls/<slug:wall>/entries/", WallEntries.as_view(), name="wall_entries"),
    path(f"{_SURVEY}entries/", SurveyEntries.as_view(), name="entries"),
    path(f"{_SURVEY}shapes/", SurveyShapes.as_view(), name="shapes"),
    path(f"{_SURVEY}examinations/", SurveyExaminations.as_view(), name="examinations"),
    path("blobs/<digest:digest>", BlobBytes.as_view(), name="blob"),
    path("schema/", SpectacularJSONAPIView.as_view(), name="schema"),
]
