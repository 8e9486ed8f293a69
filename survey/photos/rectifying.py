"""How is a placed photograph drawn square to the wall, as work that can be cancelled and repeated?

The copy is derived and no evidence: a JPEG made of the pixels alone, without metadata. One belongs
to each entry of a placement; a corrected placement gets a copy of its own.
"""

from typing import Any
from uuid import UUID

import cv2
import numpy as np
from django.db import transaction
from numpy.typing import NDArray

from gridmap.errors import InvalidInput, NotFound
from gridmap.lens import Lens
from gridmap.rectify import Rectified, Sight, reach, rectify
from survey.jobs.models import Job, JobState
from survey.jobs.services import Progress, start_job
from survey.ledger.blobs import keep_blob, read_blob
from survey.ledger.models import Entry
from survey.people.models import Account
from survey.photos.models import Photograph, RectifiedCopy
from survey.photos.renditions import upright_pixels

KIND = "rectify"
JPEG_QUALITY = 92
UNSEEN = 128  # grey value where the photograph does not reach
STEPS = 4


def ask_to_rectify(entry: Entry, photograph: Photograph, *, asked_by: Account | None) -> Job | None:
    """Start drawing the copy of a placement; None where it is there, the same work once."""
    if RectifiedCopy.objects.filter(placement_entry=entry).exists():
        return None
    waiting = Job.objects.filter(
        wall=photograph.survey.wall,
        kind=KIND,
        arguments__placement=str(entry.pk),
        state__in=(JobState.WAITING, JobState.RUNNING),
    )
    return waiting.first() or start_job(
        wall=photograph.survey.wall,
        kind=KIND,
        title=f"Draw {photograph.name} square to the wall"[:200],
        arguments={"placement": str(entry.pk)},
        asked_by=asked_by,
    )


def run(job: Job, progress: Progress) -> dict[str, Any]:
    """Draw a placement's copy (the runner of this kind of work)."""
    entry = Entry.objects.get(pk=UUID(job.arguments["placement"]))
    copy = copy_of(entry, tell=progress.tell)
    return {
        "photograph": str(copy.photograph_id),
        "digest": copy.blob_id,
        "width_px": copy.width_px,
        "height_px": copy.height_px,
    }


def _silent(done: int, total: int, message: str = "") -> None:
    """Tell nobody."""


def copy_of(entry: Entry, *, tell: Any = _silent) -> RectifiedCopy:
    """Return the rectified copy of a placement's entry; it is drawn where it is missing.

    `tell` may raise to stop the work; nothing is kept then.
    """
    there = RectifiedCopy.objects.filter(placement_entry=entry).first()
    if there is not None:
        return there
    content = entry.content
    photograph = _photograph(content["photograph"])
    tell(0, STEPS, f"Reading {photograph.name}")
    pixels = _checked_pixels(photograph)
    tell(1, STEPS, "Drawing it square to the wall")
    drawn = rectify(
        pixels,
        sight_of_content(content, photograph),
        bounds_in=tuple(content["bounds_in"]),
        px_per_in=content["px_per_in"],
    )
    del pixels
    tell(2, STEPS, "Writing the picture")
    data = _jpeg(drawn)
    tell(3, STEPS, "Keeping the picture")
    height, width = drawn.pixels.shape[:2]
    with transaction.atomic():
        copy, _ = RectifiedCopy.objects.get_or_create(
            placement_entry=entry,
            defaults={
                "photograph_id": photograph.pk,
                "blob": keep_blob(data, mime="image/jpeg", wall=photograph.survey.wall),
                "bounds_in": content["bounds_in"],
                "px_per_in": content["px_per_in"],
                "width_px": width,
                "height_px": height,
            },
        )
    return copy


def read_copy(copy: RectifiedCopy) -> Rectified:
    """Return a rectified copy's pixels (RGB, its first row at the top) and where they are valid."""
    data = np.frombuffer(read_blob(copy.blob_id), np.uint8)
    read = cv2.imdecode(data, cv2.IMREAD_COLOR)
    if read is None:
        raise NotFound("The rectified copy cannot be opened; place the photograph again.")
    pixels = cv2.cvtColor(read, cv2.COLOR_BGR2RGB)
    photograph = _photograph(copy.photograph_id)
    valid = reach(
        sight_of_content(copy.placement_entry.content, photograph),
        photograph_px=(photograph.width_px, photograph.height_px),
        bounds_in=tuple(copy.bounds_in),
        copy_px=(copy.width_px, copy.height_px),
    )
    return Rectified(np.asarray(pixels, np.uint8), valid)


def sight_of_content(content: dict[str, Any], photograph: Photograph) -> Sight:
    """Return the way from pixels to the wall as a placement's entry has it."""
    rows = tuple((float(a), float(b), float(c)) for a, b, c in content["homography"])
    terms, size = content.get("lens"), (photograph.width_px, photograph.height_px)
    return Sight(rows, Lens(*size, terms["k1"], terms.get("k2", 0.0)) if terms else None)


def _photograph(photograph_id: Any) -> Photograph:
    found = Photograph.objects.select_related("survey__wall").filter(pk=photograph_id).first()
    if found is None:
        raise NotFound("The placed photograph is no longer in the record.")
    return found


def _checked_pixels(photograph: Photograph) -> NDArray[np.uint8]:
    pixels = upright_pixels(photograph.blob_id, name=photograph.name)
    if pixels.shape[1::-1] != (photograph.width_px, photograph.height_px):
        raise InvalidInput(
            f"{photograph.name} is {pixels.shape[1]:,} by {pixels.shape[0]:,} px as it opens, but "
            f"{photograph.width_px:,} by {photograph.height_px:,} px on record; its points do not "
            "fit. Take it in again.",
            field="photograph",
        )
    return pixels


def _jpeg(drawn: Rectified) -> bytes:
    pixels = drawn.pixels
    pixels[drawn.valid == 0] = UNSEEN
    cv2.cvtColor(pixels, cv2.COLOR_RGB2BGR, dst=pixels)  # in place: a copy may have 300 MB
    done, data = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])
    if not done:
        raise InvalidInput("The rectified picture could not be written.", field="photograph")
    return bytes(data)
