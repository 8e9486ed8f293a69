"""Names this room to Django."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "survey.people"
    label = "people"
