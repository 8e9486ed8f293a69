"""Names this room to Django and makes its kind of entry known to the logbook's door."""

from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "survey.photos"
    label = "photos"

    def ready(self) -> None:
        from survey.jobs import services as jobs
        from survey.ledger.kinds import register
        from survey.photos import mosaic_import, mosaicking, pairing, rectifying, sort_job
        from survey.photos.base_pictures import pictures_under
        from survey.photos.hint_kind import HINT_ANSWERS
        from survey.photos.looking import checked_mime
        from survey.photos.mosaic_kind import MOSAICS
        from survey.photos.placement_kind import PLACEMENTS
        from survey.photos.presence_kind import PRESENCES
        from survey.photos.projection import PROJECTION
        from survey.record import base_pictures, picture_check

        register(PROJECTION)
        register(PLACEMENTS)
        register(PRESENCES)
        register(MOSAICS)
        register(HINT_ANSWERS)
        jobs.register(rectifying.KIND, rectifying.run)
        jobs.register(sort_job.KIND, sort_job.run)
        jobs.register(pairing.KIND, pairing.run)
        jobs.register(mosaicking.KIND, mosaicking.run)
        jobs.register(mosaic_import.KIND, mosaic_import.run)
        picture_check.register(checked_mime)
        base_pictures.register(pictures_under)
