"""Which walls does a stored picture belong to?"""

from django.db.models import Q

from gridmap.models import Wall
from survey.photos.models import Mosaic, Photograph, PicturePair, RectifiedCopy
from survey.photos.mosaic_kind import IMPORTED


def walls_that_show(digest: str) -> list[Wall]:
    """Return the walls whose record holds a stored picture: a photograph, what was made of one,
    or the file that a mosaic was imported from.

    The same bytes may stand in the records of several walls.
    """
    copies = RectifiedCopy.objects.filter(blob_id=digest).values("photograph_id")
    photographs = Photograph.objects.filter(
        Q(blob_id=digest) | Q(raw_blob_id=digest) | Q(pk__in=copies)
    )
    pairs = PicturePair.objects.filter(
        Q(before_blob_id=digest) | Q(after_blob_id=digest) | Q(difference_blob_id=digest)
    )
    ids = {
        *photographs.values_list("survey__wall_id", flat=True),
        *pairs.values_list("wall_id", flat=True),
        *_walls_of_imports(digest),
    }
    return list(Wall.objects.filter(pk__in=ids))


def _walls_of_imports(digest: str) -> set[int]:
    """Return the walls of mosaics that came as this file; there are few mosaics."""
    imported = Mosaic.objects.filter(
        source=IMPORTED, survey__wall__blob_arrivals__blob=digest
    ).select_related("head", "survey")
    return {
        mosaic.survey.wall_id
        for mosaic in imported
        if (mosaic.head.content.get("original") or {}).get("digest") == digest
    }
