"""How are two surveys' pictures of one place laid on each other and searched, as work that can be
cancelled and repeated?

The pair is derived and no evidence: the same two pictures make the same pair. Pictures in different
light are told so and shown, never compared. Hints enter no record by themselves.
"""

from dataclasses import dataclass
from hashlib import sha256
from typing import Any
from uuid import uuid5

import cv2
import numpy as np
from django.db import transaction
from numpy.typing import NDArray

from gridmap.align import NotComparable, Registration, apply, register
from gridmap.change import Hint, difference_picture, find_changes
from gridmap.errors import InvalidInput, NotFound
from gridmap.lengths import snap_in
from gridmap.models import Wall
from survey.jobs.models import Job
from survey.jobs.services import Progress, start_job
from survey.ledger.blobs import keep_blob
from survey.people.models import Account
from survey.photos.models import PairState, PicturePair
from survey.photos.pair_pictures import (
    Bounds,
    PictureChoice,
    choices_of,
    drawn_size,
    read_choice,
    read_pixels,
)
from survey.photos.said import RAKING, side_that_counts
from survey.record.models import Mode, Survey

KIND = "compare-pictures"
STEPS = 5
JPEG_QUALITY = 90
KEY_LENGTH = 12
Picture = NDArray[np.uint8]


@dataclass(frozen=True)
class Laid:
    """Two pictures of equal scale and crop, and what was found between them."""

    before: Picture
    after: Picture
    difference: Picture | None = None
    registration: Registration | None = None
    hints: tuple[Hint, ...] = ()
    reason: str = ""


def ask_for_pair(
    *,
    wall: Wall,
    before_survey: Survey,
    after_survey: Survey,
    mode: str,
    cell: str,
    before: str = "",
    after: str = "",
    asked_by: Account | None,
) -> PicturePair:
    """Return the pair of two surveys' pictures of a cell; the work on it starts where it is new.

    `before` and `after` are keys of choices; without one the best picture is taken. Raises
    InvalidInput where a survey has no picture of the place, or the surveys are in wrong order.
    """
    if before_survey.pk == after_survey.pk or before_survey.starts_on > after_survey.starts_on:
        raise InvalidInput(
            f"Survey {before_survey.code} is not earlier than {after_survey.code}; choose the "
            "earlier one first.",
            field="before_survey",
        )
    if mode not in Mode.values:
        raise InvalidInput(f"mode must be one of: {', '.join(Mode.values)}.", field="mode")
    grid = after_survey.layout.grid
    cell = grid.label(*grid.position(cell))
    first = _chosen(before_survey, mode, cell, key=before, field="before")
    second = _chosen(after_survey, mode, cell, key=after, field="after")
    return _pair(
        wall, (before_survey, after_survey), (first, second), mode=mode, cell=cell, by=asked_by
    )


def ask_again(pair: PicturePair, *, asked_by: Account | None) -> PicturePair:
    """Start the work on a pair once more that failed or was cancelled; else change nothing."""
    with transaction.atomic():
        pair = PicturePair.objects.select_for_update(of=("self",)).get(pk=pair.pk)
        job = pair.job
        if pair.state == PairState.WAITING and (job is None or job.ended):
            pair.job = _start(pair, asked_by)
            pair.save(update_fields=["job"])
    return pair


def run(job: Job, progress: Progress) -> dict[str, Any]:
    """Lay a pair's pictures on each other (the runner of this kind of work)."""
    pair = PicturePair.objects.select_related("wall").filter(pk=job.arguments["pair"]).first()
    if pair is None:
        raise NotFound("This pair of pictures is no longer there. Ask for it again.")
    if pair.state == PairState.WAITING:
        laid = lay(pair, tell=progress.tell)
        progress.tell(STEPS - 1, STEPS, "Keeping the pictures")
        _keep(pair, laid)
    pair.refresh_from_db()
    return {"pair": str(pair.pk), "state": pair.state, "hints": len(pair.hints)}


def lay(pair: PicturePair, *, tell: Any) -> Laid:
    """Read, register and search a pair's pictures; `tell` may raise to stop the work."""
    choices = (read_choice(pair.before), read_choice(pair.after))
    bounds_in = _bounds(pair)
    size_px = drawn_size(choices, bounds_in)
    tell(0, STEPS, "Reading the earlier picture")
    before, valid_before = read_pixels(choices[0], bounds_in, size_px)
    tell(1, STEPS, "Reading the later picture")
    after, valid_after = read_pixels(choices[1], bounds_in, size_px)
    told = _other_light(*choices)
    if told:
        return Laid(before, after, reason=told)
    tell(2, STEPS, "Laying them on each other")
    try:
        found = register(before, after, valid_before=valid_before, valid_after=valid_after)
    except NotComparable as refused:
        return Laid(before, after, reason=refused.message)
    seen, reach = apply(found, after, valid_after=valid_after)
    tell(3, STEPS, "Looking for what changed")
    valid = np.asarray(cv2.bitwise_and(reach, valid_before), np.uint8)
    scale = size_px[0] / (bounds_in[2] - bounds_in[0])
    hints = find_changes(
        before,
        seen,
        valid=valid,
        px_per_in=scale,
        registration_error_px=found.error_px,
        own_px_per_in=min(choice.px_per_in for choice in choices),
    )
    difference = difference_picture(before, seen, valid=valid, px_per_in=scale)
    return Laid(before, seen, difference, found, tuple(hints))


def _chosen(survey: Survey, mode: str, cell: str, *, key: str, field: str) -> PictureChoice:
    choices = choices_of(survey, mode, cell)
    if not choices:
        raise InvalidInput(
            f"Survey {survey.code} has no picture of {cell} on the wall in "
            f"{Mode(mode).label.lower()}. Place a photograph of the cell first.",
            field=field,
        )
    if not key:
        return choices[0]
    found = next((choice for choice in choices if choice.key == key), None)
    if found is None:
        raise InvalidInput(
            f"The chosen picture of survey {survey.code} does not show {cell} any more. "
            "Choose again.",
            field=field,
        )
    return found


@transaction.atomic
def _pair(
    wall: Wall,
    surveys: tuple[Survey, Survey],
    choices: tuple[PictureChoice, PictureChoice],
    *,
    mode: str,
    cell: str,
    by: Account | None,
) -> PicturePair:
    before, after = choices
    inputs = f"pair:{before.key}:{before.entry}:{after.key}:{after.entry}:{mode}:{cell}"
    pair, new = PicturePair.objects.get_or_create(
        id=uuid5(surveys[1].id, inputs),
        defaults={
            "wall": wall,
            "before_survey": surveys[0],
            "after_survey": surveys[1],
            "mode": mode,
            "cell": cell,
            "bounds_in": list(surveys[1].layout.grid.bounds(cell)),
            "before": before.to_json(),
            "after": after.to_json(),
        },
    )
    if not new:
        return ask_again(pair, asked_by=by)
    pair.job = _start(pair, by)
    pair.save(update_fields=["job"])
    return pair


def _start(pair: PicturePair, asked_by: Account | None) -> Job:
    return start_job(
        wall=pair.wall,
        kind=KIND,
        title=f"Compare pictures of {pair.cell}: {pair.before_survey.code} and "
        f"{pair.after_survey.code}",
        arguments={"pair": str(pair.pk)},
        asked_by=asked_by,
    )


def _other_light(before: PictureChoice, after: PictureChoice) -> str:
    """Say why two pictures are in different light; empty where they are not."""
    if before.mode != after.mode:
        return (
            f"The pictures are in different light ({Mode(before.mode).label.lower()} and "
            f"{Mode(after.mode).label.lower()}): they are shown, not compared."
        )
    if before.mode == RAKING and not (_side(before) or _side(after)):
        return (
            "The lamp's side is not stated of either picture in raking light, and light and shade "
            "of the relief change places with it. State it on the page of each photograph. They "
            "are shown, not compared."
        )
    if _side(before) != _side(after):
        return (
            f"The lamp stood {_side_words(before)} in the earlier picture and {_side_words(after)} "
            "in the later one: light and shade of the relief change places. They are shown, not "
            "compared."
        )
    return ""


def _side(choice: PictureChoice) -> str:
    return side_that_counts(choice.mode, choice.lamp_side)


def _side_words(choice: PictureChoice) -> str:
    return f"at “{choice.lamp_side}”" if choice.lamp_side else "at no stated side"


def _keep(pair: PicturePair, laid: Laid) -> None:
    """Write what was found into the pair, with its pictures."""
    bounds_in, registration = _bounds(pair), laid.registration
    scale = laid.before.shape[1] / (bounds_in[2] - bounds_in[0])
    with transaction.atomic():
        kept = {
            "state": PairState.COMPARED if registration else PairState.REFUSED,
            "reason": laid.reason,
            "px_per_in": scale,
            "quality": _quality(pair, registration, scale) if registration else {},
            "hints": _hints(laid.hints, bounds_in, scale),
            "before_blob": keep_blob(_jpeg(laid.before), mime="image/jpeg", wall=pair.wall),
            "after_blob": keep_blob(_jpeg(laid.after), mime="image/jpeg", wall=pair.wall),
        }
        if laid.difference is not None:
            data = _jpeg(laid.difference)
            kept["difference_blob"] = keep_blob(data, mime="image/jpeg", wall=pair.wall)
        PicturePair.objects.filter(pk=pair.pk).update(**kept)


def _quality(pair: PicturePair, found: Registration, px_per_in: float) -> dict[str, Any]:
    return {
        "error_px": round(found.error_px, 4),
        "error_in": round(found.error_px / px_per_in, 6),
        "place_error_in": pair.before["error_in"],
        "windows": found.windows,
        "agreeing": found.agreeing,
        "coverage": round(found.coverage, 4),
        "likeness": round(found.likeness, 3),
        "words": found.words,
    }


def _hints(hints: tuple[Hint, ...], bounds_in: Bounds, px_per_in: float) -> list[dict[str, Any]]:
    """Return hints on the wall; a key follows from the ring, so that an answer keeps its place."""
    found = []
    for hint in hints:
        ring = [
            [snap_in(bounds_in[0] + x / px_per_in), snap_in(bounds_in[3] - y / px_per_in)]
            for x, y in hint.ring_px
        ]
        found.append(
            {
                "key": sha256(repr(ring).encode()).hexdigest()[:KEY_LENGTH],
                "ring": ring,
                "area_sq_in": hint.area_px / px_per_in**2,
                "longest_in": hint.longest_px / px_per_in,
                "strength": round(hint.strength, 3),
                "mean_delta_e": round(hint.mean_delta_e, 2),
                "below_error": hint.below_error,
            }
        )
    return found


def _bounds(pair: PicturePair) -> Bounds:
    x0, y0, x1, y1 = pair.bounds_in
    return float(x0), float(y0), float(x1), float(y1)


def _jpeg(pixels: Picture) -> bytes:
    quality = [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    done, data = cv2.imencode(".jpg", cv2.cvtColor(pixels, cv2.COLOR_RGB2BGR), quality)
    if not done:
        raise InvalidInput("The picture of the pair could not be written.", field="pair")
    return bytes(data)
