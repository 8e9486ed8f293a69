"""Addresses of the pages about photographs."""

from django.urls import path

from survey.photos import place_views

app_name = "photos"

urlpatterns = [
    path(
        "walls/<slug:wall>/photographs/<uuid:photograph>/place/",
        place_views.place_page,
        name="place",
    ),
]
