"""Names this room to Django."""

from django.apps import AppConfig


class CompareConfig(AppConfig):
    name = "survey.compare"
    label = "compare"
