"""Where the desk looks after tablets and what they brought: below a wall, and below a survey."""

from django.urls import path

from survey.tablet import desk_views

app_name = "tablets"

_TABLETS = "walls/<slug:wall>/tablets/"
_SURVEY = "walls/<slug:wall>/surveys/<str:code>/"

urlpatterns = [
    path(_TABLETS, desk_views.tablets_page, name="list"),
    path(f"{_TABLETS}work-file/", desk_views.work_file_page, name="work_file"),
    path(f"{_TABLETS}<uuid:tablet>/retire/", desk_views.retirement, name="retire"),
    path(f"{_SURVEY}deck-log/", desk_views.deck_log_page, name="deck_log"),
    path(f"{_SURVEY}conflicts/", desk_views.conflicts_page, name="conflicts"),
    path(f"{_SURVEY}conflicts/<uuid:item>/", desk_views.conflict_decision, name="decide_conflict"),
    path(f"{_SURVEY}set-aside/", desk_views.set_aside_page, name="set_aside"),
    path(f"{_SURVEY}set-aside/<int:number>/", desk_views.settlement, name="settle"),
    path(f"{_SURVEY}set-aside/<int:number>/bytes/", desk_views.raw_bytes, name="raw"),
]
