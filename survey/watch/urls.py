"""Where the watch over a wall is read and written."""

from django.urls import path

from survey.watch import climate_views, other_views, overview_views

app_name = "watch"

_WALL = "walls/<slug:wall>/"

urlpatterns = [
    path(f"{_WALL}watch/", overview_views.overview, name="overview"),
    path(f"{_WALL}climate/", climate_views.climate, name="climate"),
    path(f"{_WALL}climate/applies/<slug:what>/", climate_views.applies, name="applies"),
    path(f"{_WALL}vibration/", other_views.vibration, name="vibration"),
    path(f"{_WALL}cracks/", other_views.cracks, name="cracks"),
    path(f"{_WALL}colour/", other_views.colour, name="colour"),
    path(f"{_WALL}dust/", other_views.dust, name="dust"),
]
