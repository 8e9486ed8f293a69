"""Which photographs lie under a survey's outlines."""

from survey.photos.models import Photograph
from survey.record.models import Survey


def base_pictures(survey: Survey) -> list[Photograph]:
    """Return the rectified photographs of a survey, by mode."""
    return list(survey.photographs.filter(rectified=True, conflict=False).order_by("mode"))
