"""Which picture of the wall lies under a survey's outlines, and which others can be chosen?

The survey's own come first, then those of the surveys before; of one survey the picture that shows
most of the wall, and of equal ones the newest version of a mosaic. One that leaves most of the wall
grey stands behind all others.
"""

from typing import Any

from django.urls import reverse

from survey.photos.models import Mosaic, Photograph
from survey.photos.mosaics import mosaics_of
from survey.photos.pyramids import frame_of
from survey.record.models import Survey

LEAST_SHOWN_PCT = 50  # of the wall, to be shown before an earlier survey's picture of all of it
BasePicture = Mosaic | Photograph


def base_pictures(survey: Survey) -> list[BasePicture]:
    """Return the survey's own pictures of the wall, the best of them first.

    A photograph of which a mosaic was made is not named a second time. A historical picture is
    never among them: nothing is drawn or measured on it.
    """
    mosaics = [row for row in mosaics_of(survey) if not row.conflict]
    made_of = {(row.head.content.get("original") or {}).get("photograph") for row in mosaics}
    whole = survey.photographs.filter(rectified=True, conflict=False).exclude(role="historic")
    photographs = [row for row in whole if str(row.pk) not in made_of]
    found: list[BasePicture] = [*mosaics, *photographs]
    return sorted(found, key=lambda row: (-shown_pct(row, survey), -getattr(row, "version", 0)))


def pictures_under(survey: Survey) -> list[dict[str, Any]]:
    """Return what the survey page needs to show each picture; the first of a mode is shown."""
    earlier = survey.wall.surveys.filter(starts_on__lte=survey.starts_on).exclude(pk=survey.pk)
    found = [
        (row, one)
        for one in (survey, *earlier.order_by("-starts_on", "-code"))
        for row in base_pictures(one)
    ]
    found.sort(key=lambda pair: shown_pct(*pair) < LEAST_SHOWN_PCT)
    return [
        _of_mosaic(row, one) if isinstance(row, Mosaic) else _of_photograph(row, one)
        for row, one in found
    ]


def shown_pct(row: BasePicture, survey: Survey) -> int:
    """Return how much of the wall a picture shows, in whole per cent."""
    layout = survey.layout
    x0, y0, x1, y1 = row.bounds_in or (0.0, 0.0, 0.0, 0.0)
    across = min(x1, layout.width_in) - max(x0, 0.0)
    up = min(y1, layout.height_in) - max(y0, 0.0)
    shown_sq_in = max(0.0, across) * max(0.0, up)
    for cell in getattr(row, "missing", ()):
        left, low, right, high = layout.grid.bounds(cell)
        shown_sq_in -= (right - left) * (high - low)
    return round(100 * shown_sq_in / (layout.width_in * layout.height_in))


def _of_mosaic(mosaic: Mosaic, survey: Survey) -> dict[str, Any]:
    first = reverse("api:mosaic_tile", args=[mosaic.pk, 0, 0, 0])
    return {
        "kind": "tiles",
        "id": str(mosaic.pk),
        "mode": mosaic.mode,
        "lamp_side": mosaic.lamp_side,
        "url": first.removesuffix("0/0/0.jpg") + "{z}/{x}/{y}.jpg",
        "digest": mosaic.pyramid_id,
        "bounds_in": list(frame_of(mosaic).bounds_in),
        "width_px": mosaic.width_px,
        "height_px": mosaic.height_px,
        "px_per_in": mosaic.px_per_in,
        "tile_px": mosaic.tile_px,
        "levels": mosaic.levels,
        "error_in": mosaic.error_in,
        "version": mosaic.version,
        "shown_pct": shown_pct(mosaic, survey),
        "survey": survey.code,
        "taken_on": (mosaic.taken_on or survey.starts_on).isoformat(),
    }


def _of_photograph(photograph: Photograph, survey: Survey) -> dict[str, Any]:
    day = photograph.taken_at.date() if photograph.taken_at else survey.starts_on
    return {
        "kind": "image",
        "mode": photograph.mode,
        "lamp_side": photograph.lamp_side,
        "url": reverse("api:blob", args=[photograph.blob_id]),
        "digest": photograph.blob_id,
        "bounds_in": photograph.bounds_in,
        "width_px": photograph.width_px,
        "height_px": photograph.height_px,
        "survey": survey.code,
        "taken_on": day.isoformat(),
    }
