"""Names this room to Django."""

from django.apps import AppConfig


class TreatmentsConfig(AppConfig):
    name = "survey.treatments"
    label = "treatments"
