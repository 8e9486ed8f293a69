"""Names this room to Django and makes its kinds of entry known to the logbook's door."""

from django.apps import AppConfig


class TreatmentsConfig(AppConfig):
    name = "survey.treatments"
    label = "treatments"

    def ready(self) -> None:
        from survey.ledger.kinds import register
        from survey.treatments.projection import PROJECTION

        register(PROJECTION)
