"""What the marking page needs to start: photograph, grid, and where it lies so far."""

from typing import Any

from django.urls import reverse

from survey.jobs.models import Job
from survey.photos.models import Photograph, Placement, RectifiedCopy
from survey.photos.rectifying import KIND

WIDEST_SHOWN_PX = 8192


def place_boot(photograph: Photograph) -> dict[str, Any]:
    """Return the page's data block for one photograph."""
    survey = photograph.survey
    wall, layout = survey.wall, survey.layout
    placement = Placement.objects.filter(photograph_id=photograph.pk).select_related("head").first()
    arguments = [wall.slug, photograph.pk]
    return {
        "wall": {"width_in": layout.width_in, "height_in": layout.height_in},
        "grid": layout.grid.to_json(),
        "photograph": {
            "id": str(photograph.pk),
            "name": photograph.name,
            "width_px": photograph.width_px,
            "height_px": photograph.height_px,
            "cells": photograph.cells,
            "rectified": photograph.rectified,
            "is_historic": photograph.role == "historic",
            "url": _picture_address(photograph),
        },
        "placement": _placement(placement) if placement else None,
        "copy": _copy(placement) if placement else None,
        "job": _work(placement, photograph) if placement else None,
        "urls": {
            "check": reverse("api:placement_check", args=arguments),
            "place": reverse("api:placement", args=arguments),
        },
    }


def _picture_address(photograph: Photograph) -> str:
    width_px = min(photograph.width_px, WIDEST_SHOWN_PX)
    return f"{reverse('api:rendition', args=[photograph.pk])}?width={width_px}"


def _placement(placement: Placement) -> dict[str, Any]:
    entry = placement.head
    return {
        "entry": str(entry.pk),
        "conflict": placement.conflict,
        "placed_by": entry.observed_by,
        "placed_at": entry.made_at.isoformat(),
        "points": placement.points,
        "homography": placement.homography,
        "lens": placement.lens or None,
        "fit": placement.fit,
        "error_in": placement.error_in,
        "bounds_in": placement.bounds_in,
        "px_per_in": placement.px_per_in,
    }


def _copy(placement: Placement) -> dict[str, Any] | None:
    copy = RectifiedCopy.objects.filter(placement_entry=placement.head).first()
    if copy is None:
        return None
    return {
        "url": reverse("api:blob", args=[copy.blob_id]),
        "digest": copy.blob_id,
        "bounds_in": copy.bounds_in,
        "px_per_in": copy.px_per_in,
        "width_px": copy.width_px,
        "height_px": copy.height_px,
    }


def _work(placement: Placement, photograph: Photograph) -> dict[str, Any] | None:
    """Return the latest work that draws this placement's copy."""
    wall = photograph.survey.wall
    jobs = Job.objects.filter(wall=wall, kind=KIND, arguments__placement=str(placement.head_id))
    job = jobs.order_by("-pk").first()
    if job is None:
        return None
    return {
        "state_url": reverse("jobs:state", args=[wall.slug, job.pk]),
        "url": reverse("jobs:job", args=[wall.slug, job.pk]),
        "ended": job.ended,
        "label": job.get_state_display(),
        "message": job.message,
    }
