"""Where the terms of a wall are read."""

from django.urls import path

from survey.vocabulary import views

app_name = "vocabulary"

urlpatterns = [
    path("walls/<slug:wall>/terms/", views.terms, name="terms"),
]
