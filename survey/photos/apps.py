"""Names this room to Django."""

from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "survey.photos"
    label = "photos"
