"""Where the pages of this room are."""

from django.urls import URLPattern

app_name = "walls"
urlpatterns: list[URLPattern] = []
