"""Names this room to Django and makes its kind of entry known to the logbook's door."""

from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "survey.photos"
    label = "photos"

    def ready(self) -> None:
        from survey.jobs import services as jobs
        from survey.ledger.kinds import register
        from survey.photos import sort_job
        from survey.photos.projection import PROJECTION

        register(PROJECTION)
        jobs.register(sort_job.KIND, sort_job.run)
