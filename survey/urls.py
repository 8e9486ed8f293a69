"""Which room answers at which address."""

from django.urls import include, path

urlpatterns = [
    path("account/", include("survey.people.urls")),
    path("", include("survey.walls.urls")),
    path("", include("survey.vocabulary.urls")),
    path("", include("survey.record.urls")),
    path("", include("survey.treatments.urls")),
    path("", include("survey.photos.urls")),
    path("", include("survey.watch.urls")),
    path("", include("survey.compare.urls")),
    path("", include("survey.report.urls")),
    path("", include("survey.jobs.urls")),
    path("", include("survey.tablet.urls")),
    path("", include("survey.tablet.desk_urls")),
    path("api/v1/", include("survey.api.urls")),
]

handler404 = "survey.errors.nothing_here"
