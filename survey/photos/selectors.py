"""Which photographs lie under a survey's outlines, and which walls a stored picture belongs to."""

from django.db.models import Q

from gridmap.models import Wall
from survey.photos.models import Photograph, PicturePair, RectifiedCopy
from survey.record.models import Survey


def base_pictures(survey: Survey) -> list[Photograph]:
    """Return the rectified photographs of a survey, by mode."""
    return list(survey.photographs.filter(rectified=True, conflict=False).order_by("mode"))


def walls_that_show(digest: str) -> list[Wall]:
    """Return the walls whose record holds a stored picture: a photograph or what was made of one.

    The same bytes may stand in the records of several walls.
    """
    copies = RectifiedCopy.objects.filter(blob_id=digest).values("photograph_id")
    photographs = Photograph.objects.filter(
        Q(blob_id=digest) | Q(raw_blob_id=digest) | Q(pk__in=copies)
    )
    pairs = PicturePair.objects.filter(
        Q(before_blob_id=digest) | Q(after_blob_id=digest) | Q(difference_blob_id=digest)
    )
    ids = {*photographs.values_list("survey__wall_id", flat=True)}
    return list(Wall.objects.filter(pk__in=ids | {*pairs.values_list("wall_id", flat=True)}))
