"""Where walls are listed and set up."""

from django.urls import path

from survey.walls import telephone_views, views

app_name = "walls"

_SET_UP = "walls/<slug:wall>/set-up/"

urlpatterns = [
    path("", views.start, name="start"),
    path("walls/new/", views.new_wall, name="new"),
    path("walls/new/preview/", views.preview, name="preview"),
    path(_SET_UP, views.set_up, name="setup"),
    path(f"{_SET_UP}identity/", views.identity, name="identity"),
    path(f"{_SET_UP}layout/", views.layout, name="layout"),
    path(f"{_SET_UP}layout/<int:version>/", views.layout_version, name="layout_version"),
    path(f"{_SET_UP}phases/new/", views.phase, name="new_phase"),
    path(f"{_SET_UP}phases/<int:number>/", views.phase, name="phase"),
    path(f"{_SET_UP}phases/<int:number>/remove/", views.phase_removal, name="phase_removal"),
    path(f"{_SET_UP}telephones/new/", telephone_views.telephone, name="new_telephone"),
    path(f"{_SET_UP}telephones/<int:number>/", telephone_views.telephone, name="telephone"),
    path(
        f"{_SET_UP}telephones/<int:number>/remove/",
        telephone_views.telephone_removal,
        name="telephone_removal",
    ),
    path(f"{_SET_UP}people/add/", views.member_addition, name="member_addition"),
    path(f"{_SET_UP}people/new/", views.account_creation, name="account_creation"),
    path(f"{_SET_UP}people/<int:account>/", views.member_change, name="member_change"),
]
