"""Where the watch over a wall is read and written."""

from django.urls import path

from survey.watch import overview_views

app_name = "watch"

_WALL = "walls/<slug:wall>/"

urlpatterns = [
    path(f"{_WALL}watch/", overview_views.overview, name="overview"),
]
