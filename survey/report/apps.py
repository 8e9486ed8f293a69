"""Names this room to Django."""

from django.apps import AppConfig


class ReportConfig(AppConfig):
    name = "survey.report"
    label = "report"
