"""Names this room to Django and says what of the tablets' work must be read first."""

from django.apps import AppConfig


class TabletConfig(AppConfig):
    name = "survey.tablet"
    label = "tablet"

    def ready(self) -> None:
        from survey.record import notices
        from survey.tablet.desk_notices import (
            conflicts_standing,
            needs_of_tablets,
            set_aside_waiting,
            stops_standing,
        )
        from survey.walls import needs

        notices.register("stops", stops_standing, everywhere=True)
        notices.register("set aside", set_aside_waiting)
        notices.register("conflicts", conflicts_standing)
        needs.register("tablets", needs_of_tablets)
