"""Where surveys are compared."""

from django.urls import path

from survey.compare import views

app_name = "compare"
_PAIR = "walls/<slug:wall>/compare/<str:before>/<str:after>/"

urlpatterns = [
    path("walls/<slug:wall>/compare/", views.choose, name="choose"),
    path(_PAIR, views.result, name="result"),
    path(f"{_PAIR}decide/", views.decide, name="decide"),
]
