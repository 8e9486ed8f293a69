"""Names this room to Django."""

from django.apps import AppConfig


class GridmapConfig(AppConfig):
    name = "gridmap"
    label = "gridmap"
