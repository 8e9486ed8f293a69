"""Which room answers at which address."""

from django.urls import include, path

urlpatterns = [
    path("account/", include("survey.people.urls")),
]
