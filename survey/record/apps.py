"""Names this room to Django and makes its kinds of entry known to the logbook's door."""

from django.apps import AppConfig


class RecordConfig(AppConfig):
    name = "survey.record"
    label = "record"

    def ready(self) -> None:
        from survey.ledger.kinds import register
        from survey.record.projection import PROJECTIONS

        for projection in PROJECTIONS:
            register(projection)
