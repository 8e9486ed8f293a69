"""Names this room to Django, and makes its kinds of entry and its needs known."""

from django.apps import AppConfig


class TreatmentsConfig(AppConfig):
    name = "survey.treatments"
    label = "treatments"

    def ready(self) -> None:
        from survey.ledger.kinds import register
        from survey.treatments.needs import reviews_due
        from survey.treatments.projection import PROJECTION
        from survey.walls import needs

        register(PROJECTION)
        needs.register("reviews", reviews_due)
