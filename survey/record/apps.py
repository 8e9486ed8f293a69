"""Names this room to Django and makes its kinds of entry known to the logbook's door."""

from django.apps import AppConfig


class RecordConfig(AppConfig):
    name = "survey.record"
    label = "record"

    def ready(self) -> None:
        from survey.ledger.kinds import register
        from survey.record.projection import PROJECTIONS
        from survey.record.sessions import PROJECTION as SESSION

        for projection in (*PROJECTIONS, SESSION):
            register(projection)
