"""Addresses of the deck page and what makes it an installable application."""

from django.urls import path

from survey.tablet import views

app_name = "tablet"

urlpatterns = [
    path("deck/", views.deck_page, name="deck"),
    path("deck/manifest.webmanifest", views.manifest, name="manifest"),
    path("deck/worker.js", views.worker, name="worker"),
]
