"""Addresses of the pages about photographs."""

from django.urls import path

from survey.photos import historic_views, mosaic_views, pair_views, place_views, views

app_name = "photos"

_WALL = "walls/<slug:wall>/photographs/"
_ONE = f"{_WALL}<uuid:photograph>/"
_SURVEY = "walls/<slug:wall>/surveys/<str:code>/photographs/"
_MOSAICS = "walls/<slug:wall>/surveys/<str:code>/mosaics/"
_PAIRS = "walls/<slug:wall>/pairs/"

urlpatterns = [
    path(_WALL, views.overview, name="overview"),
    path(f"{_WALL}historical/", historic_views.historical_page, name="historical"),
    path(f"{_WALL}historical/new/", historic_views.new_historical, name="new_historical"),
    path(_SURVEY, views.survey_page, name="survey"),
    path(f"{_SURVEY}take-in/", views.take_in_page, name="take_in"),
    path(f"{_SURVEY}sort/", views.sort_page, name="sort"),
    path(f"{_SURVEY}sort/cells/", views.put_to_cell, name="put_to_cell"),
    path(f"{_SURVEY}shots/", views.shots_page, name="shots"),
    path(_MOSAICS, mosaic_views.mosaics_page, name="mosaics"),
    path(f"{_MOSAICS}lay/", mosaic_views.lay, name="lay_mosaic"),
    path(f"{_MOSAICS}import/", mosaic_views.import_mosaic, name="import_mosaic"),
    path(_PAIRS, pair_views.pairs_page, name="pairs"),
    path(f"{_PAIRS}<uuid:pair>/", pair_views.pair_page, name="pair"),
    path(f"{_PAIRS}<uuid:pair>/again/", pair_views.again, name="pair_again"),
    path(_ONE, views.photograph_page, name="photograph"),
    path(f"{_ONE}correct/", views.correction, name="correct"),
    path(f"{_ONE}presence/", historic_views.presence, name="presence"),
    path(
        f"{_ONE}presence/<uuid:statement>/",
        historic_views.presence_correction,
        name="presence_correction",
    ),
    path(f"{_ONE}place/", place_views.place_page, name="place"),
]
