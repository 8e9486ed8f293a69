"""Names this room to Django and says what a wall's set-up still needs."""

from django.apps import AppConfig


class WallsConfig(AppConfig):
    name = "survey.walls"
    label = "walls"

    def ready(self) -> None:
        from survey.walls.needs import of_set_up, register

        register("set-up", of_set_up)
