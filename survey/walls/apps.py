"""Names this room to Django."""

from django.apps import AppConfig


class WallsConfig(AppConfig):
    name = "survey.walls"
    label = "walls"
