"""Where background work is watched and stopped."""

from django.urls import path

from survey.jobs import views

app_name = "jobs"

urlpatterns = [
    path("walls/<slug:wall>/jobs/", views.jobs_page, name="list"),
    path("walls/<slug:wall>/jobs/<int:number>/", views.job_page, name="job"),
    path("walls/<slug:wall>/jobs/<int:number>/state/", views.job_state, name="state"),
    path("walls/<slug:wall>/jobs/<int:number>/cancel/", views.cancel, name="cancel"),
    path("walls/<slug:wall>/jobs/<int:number>/again/", views.again, name="again"),
]
