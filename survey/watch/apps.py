"""Names this room to Django and makes its kinds of entry known to the logbook's door."""

from django.apps import AppConfig


class WatchConfig(AppConfig):
    name = "survey.watch"
    label = "watch"

    def ready(self) -> None:
        from survey.ledger.kinds import register
        from survey.watch.applies_kind import PROJECTION as APPLIES
        from survey.watch.bodies import PROJECTIONS

        for projection in (*PROJECTIONS, APPLIES):
            register(projection)
