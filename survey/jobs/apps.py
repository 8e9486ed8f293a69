"""Names this room to Django."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "survey.jobs"
    label = "jobs"
