"""Where the record of a wall is read and written."""

from django.urls import path

from survey.record import views

app_name = "record"
_SURVEY = "walls/<slug:wall>/surveys/<str:code>/"

urlpatterns = [
    path("walls/<slug:wall>/", views.wall_page, name="wall"),
    path("walls/<slug:wall>/surveys/", views.surveys_page, name="surveys"),
    path("walls/<slug:wall>/surveys/new/", views.new_survey, name="new_survey"),
    path(_SURVEY, views.survey_page, name="survey"),
    path(f"{_SURVEY}close/", views.close_page, name="close"),
    path("walls/<slug:wall>/items/<uuid:item>/", views.item_page, name="item"),
]
