"""Where the desk looks after tablets and what they brought: below a wall, and below a survey."""

from django.urls import path

from survey.tablet import desk_views

app_name = "tablets"

_SURVEY = "walls/<slug:wall>/surveys/<str:code>/"

urlpatterns = [
    path("walls/<slug:wall>/tablets/", desk_views.tablets_page, name="list"),
    path(f"{_SURVEY}deck-log/", desk_views.deck_log_page, name="deck_log"),
    path(f"{_SURVEY}conflicts/", desk_views.conflicts_page, name="conflicts"),
    path(f"{_SURVEY}conflicts/<uuid:item>/", desk_views.conflict_decision, name="decide_conflict"),
]
