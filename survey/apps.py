"""The umbrella application: the commands that run the whole house, and its start-up checks."""

from django.apps import AppConfig


class SurveyConfig(AppConfig):
    name = "survey"
    label = "survey"
