"""Where treatments and decisions about items are read and written."""

from django.urls import path

from survey.treatments import views

app_name = "treatments"

_WALL = "walls/<slug:wall>/"
_ONE = f"{_WALL}treatments/<uuid:treatment>/"

urlpatterns = [
    path(f"{_WALL}treatments/", views.treatment_list, name="list"),
    path(f"{_WALL}treatments/new/", views.new_treatment, name="new"),
    path(_ONE, views.treatment_detail, name="detail"),
    path(f"{_ONE}correct/", views.correction, name="correct"),
    path(f"{_ONE}withdraw/", views.withdrawal, name="withdraw"),
    path(f"{_ONE}pictures/<slug:digest>/", views.picture, name="picture"),
    path(f"{_WALL}decisions/", views.decision_list, name="decisions"),
    path(f"{_WALL}surveys/<str:code>/items/<uuid:item>/decide/", views.decision, name="decide"),
]
