"""Names this room to Django."""

from django.apps import AppConfig


class VocabularyConfig(AppConfig):
    name = "survey.vocabulary"
    label = "vocabulary"
