"""Which pictures of a place on the wall may be laid beside another survey's, and how are they read?

A placed photograph's copy, a photograph that is square to the wall from the beginning, or a part
of a mosaic. Every choice has a key, by which a page names it. Reads only.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gridmap.errors import InvalidInput, NotFound
from gridmap.resample import resample
from survey.photos.models import Mosaic, Photograph, Placement, RectifiedCopy
from survey.photos.pyramids import read_region
from survey.photos.rectifying import copy_of, read_copy
from survey.photos.renditions import upright_pixels
from survey.record.models import Survey

Bounds = tuple[float, float, float, float]
Picture = NDArray[np.uint8]

COPY, WHOLE, MOSAIC = "copy", "photograph", "mosaic"
LEAST_SHARE = 0.5  # of the cell that a picture must show
LONGEST_SIDE_PX, SHORTEST_SIDE_PX = 2400, 600  # at which pictures are laid on each other
UNPLACED_ERROR_PX = 1.0  # of a photograph whose place was known beforehand


@dataclass(frozen=True)
class PictureChoice:
    """A picture of a place: what it is, when and in which light it was taken, and its error."""

    kind: str
    id: str
    entry: str
    digest: str
    survey: str
    mode: str
    lamp_side: str
    name: str
    operator: str
    taken_on: date
    taken_on_certain: bool
    error_in: float
    px_per_in: float
    bounds_in: Bounds
    share: float

    @property
    def key(self) -> str:
        """Return the name under which a page chooses it."""
        return f"{self.kind}:{self.id}"

    def to_json(self) -> dict[str, Any]:
        """Return what a pair keeps of its picture."""
        return {
            **vars(self),
            "taken_on": self.taken_on.isoformat(),
            "bounds_in": list(self.bounds_in),
        }


def read_choice(value: Mapping[str, Any]) -> PictureChoice:
    """Return a choice from what a pair kept of it."""
    fields = {
        **value,
        "taken_on": date.fromisoformat(value["taken_on"]),
        "bounds_in": tuple(value["bounds_in"]),
    }
    return PictureChoice(**fields)


def choices_of(survey: Survey, mode: str, cell: str) -> list[PictureChoice]:
    """Return the survey's pictures of a cell in a light, the finest and newest first."""
    place = survey.layout.grid.bounds(cell)
    found = [*_copies(survey, mode), *_whole(survey, mode), *_mosaics(survey, mode, cell)]
    choices = []
    for choice in found:
        share = _share(choice.bounds_in, place)
        if share >= LEAST_SHARE:
            choices.append(PictureChoice(**{**vars(choice), "share": share}))
    return sorted(choices, key=_rank)


def cells_shown(survey: Survey, mode: str) -> dict[str, float]:
    """Return the cells that a survey's pictures show in a light, and how finely at best [px/in]."""
    grid = survey.layout.grid
    found = [*_copies(survey, mode), *_whole(survey, mode)]
    pictures = [(choice.bounds_in, choice.px_per_in, ()) for choice in found]
    mosaics = survey.mosaics.filter(mode=mode, conflict=False)
    pictures += [(_bounds(row.bounds_in), row.px_per_in, tuple(row.missing)) for row in mosaics]
    shown = {}
    for cell in grid.labels():
        place = grid.bounds(cell)
        scales = [
            px_per_in
            for reach_in, px_per_in, missing in pictures
            if cell not in missing and _share(reach_in, place) >= LEAST_SHARE
        ]
        if scales:
            shown[cell] = max(scales)
    return shown


def read_pixels(
    choice: PictureChoice, bounds_in: Bounds, size_px: tuple[int, int]
) -> tuple[Picture, Picture]:
    """Return a part of the wall from a picture, its first row at the top, and where it shows it."""
    if choice.kind == MOSAIC:
        mosaic = Mosaic.objects.select_related("pyramid", "survey__layout").get(pk=choice.id)
        pixels = read_region(mosaic, bounds_in, size_px[0])
        return pixels, _mosaic_reach(mosaic, bounds_in, pixels)
    pixels, valid, reach_in = _whole_picture(choice)
    return _part(pixels, reach_in, bounds_in, size_px), _part(valid, reach_in, bounds_in, size_px)


def _copies(survey: Survey, mode: str) -> list[PictureChoice]:
    photographs = {
        row.pk: row
        for row in survey.photographs.filter(mode=mode, conflict=False).exclude(role="historic")
    }
    rows = survey.placements.filter(conflict=False, photograph_id__in=photographs)
    return [
        _choice(
            photographs[row.photograph_id],
            kind=COPY,
            entry=str(row.head_id),
            error_in=row.error_in,
            px_per_in=row.px_per_in,
            bounds_in=_bounds(row.bounds_in),
        )
        for row in rows
    ]


def _whole(survey: Survey, mode: str) -> list[PictureChoice]:
    rows = survey.photographs.filter(mode=mode, conflict=False, rectified=True)
    choices = []
    for row in rows.exclude(bounds_in=None).exclude(role="historic"):
        bounds_in = _bounds(row.bounds_in)
        scale = row.width_px / (bounds_in[2] - bounds_in[0])
        choices.append(
            _choice(
                row,
                kind=WHOLE,
                entry=str(row.head_id),
                error_in=UNPLACED_ERROR_PX / scale,
                px_per_in=scale,
                bounds_in=bounds_in,
            )
        )
    return choices


def _choice(photograph: Photograph, **more: Any) -> PictureChoice:
    taken_at = photograph.taken_at
    return PictureChoice(
        id=str(photograph.pk),
        digest=photograph.blob_id,
        survey=photograph.survey.code,
        mode=photograph.mode,
        lamp_side=photograph.lamp_side,
        name=photograph.name,
        operator=photograph.operator,
        taken_on=taken_at.date() if taken_at else photograph.survey.starts_on,
        taken_on_certain=taken_at is not None,
        share=0.0,
        **more,
    )


def _mosaics(survey: Survey, mode: str, cell: str) -> list[PictureChoice]:
    rows = survey.mosaics.filter(mode=mode, conflict=False).select_related("head")
    return [
        PictureChoice(
            kind=MOSAIC,
            id=str(row.pk),
            entry=str(row.head_id),
            digest=row.pyramid_id,
            survey=survey.code,
            mode=row.mode,
            lamp_side=row.lamp_side,
            name=f"Mosaic {row.version}",
            operator=str(row.head.content.get("operator", "")),
            taken_on=row.taken_on or survey.starts_on,
            taken_on_certain=row.taken_on is not None,
            error_in=row.error_in,
            px_per_in=row.px_per_in,
            bounds_in=_bounds(row.bounds_in),
            share=0.0,
        )
        for row in rows
        if cell not in row.missing
    ]


def _rank(choice: PictureChoice) -> tuple[Any, ...]:
    """Sort the most of the place first, then the finest, then the newest."""
    return (-round(choice.share, 1), -choice.px_per_in, -choice.taken_on.toordinal(), choice.key)


def _bounds(value: Any) -> Bounds:
    x0, y0, x1, y1 = value
    return float(x0), float(y0), float(x1), float(y1)


def _share(shown: Bounds, place: Bounds) -> float:
    across = min(shown[2], place[2]) - max(shown[0], place[0])
    up = min(shown[3], place[3]) - max(shown[1], place[1])
    area = (place[2] - place[0]) * (place[3] - place[1])
    return max(across, 0.0) * max(up, 0.0) / area


def _whole_picture(choice: PictureChoice) -> tuple[Picture, Picture, Bounds]:
    """Return all pixels of a picture, where they show the wall, and the place they cover."""
    if choice.kind == COPY:
        placement = Placement.objects.filter(photograph_id=choice.id, conflict=False).first()
        if placement is None or str(placement.head_id) != choice.entry:
            raise NotFound(
                f"{choice.name} was placed anew since it was chosen. Choose the pictures again."
            )
        copy = RectifiedCopy.objects.filter(placement_entry=placement.head_id).first()
        drawn = read_copy(copy or copy_of(placement.head))
        return drawn.pixels, drawn.valid, choice.bounds_in
    pixels = upright_pixels(choice.digest, name=choice.name)
    return pixels, np.full(pixels.shape[:2], 255, np.uint8), choice.bounds_in


def _part(
    pixels: Picture, reach_in: Bounds, bounds_in: Bounds, size_px: tuple[int, int]
) -> Picture:
    """Return a part of a picture that is square to the wall; nothing is shown beyond it."""
    height, width = pixels.shape[:2]
    across = width / (reach_in[2] - reach_in[0])
    up = height / (reach_in[3] - reach_in[1])
    drawn = resample(
        pixels,
        corner_px=((bounds_in[0] - reach_in[0]) * across, (reach_in[3] - bounds_in[3]) * up),
        step_px=(
            (bounds_in[2] - bounds_in[0]) * across / size_px[0],
            (bounds_in[3] - bounds_in[1]) * up / size_px[1],
        ),
        size_px=size_px,
    )
    drawn[_beyond(reach_in, bounds_in, size_px)] = 0
    return drawn


def _beyond(reach_in: Bounds, bounds_in: Bounds, size_px: tuple[int, int]) -> NDArray[np.bool_]:
    """Return the pixels whose middle lies beside what a picture shows."""
    width, height = size_px
    x = bounds_in[0] + (np.arange(width) + 0.5) * (bounds_in[2] - bounds_in[0]) / width
    y = bounds_in[3] - (np.arange(height) + 0.5) * (bounds_in[3] - bounds_in[1]) / height
    across = (x < reach_in[0]) | (x > reach_in[2])
    up = (y < reach_in[1]) | (y > reach_in[3])
    return np.asarray(across[None, :] | up[:, None])


def _mosaic_reach(mosaic: Mosaic, bounds_in: Bounds, pixels: Picture) -> Picture:
    """Return where a part of a mosaic shows the wall: not beside it, not in a missing cell."""
    size_px = (pixels.shape[1], pixels.shape[0])
    valid = np.full(pixels.shape[:2], 255, np.uint8)
    valid[_beyond(_bounds(mosaic.bounds_in), bounds_in, size_px)] = 0
    grid = mosaic.survey.layout.grid
    for cell in mosaic.missing:
        valid[~_beyond(grid.bounds(cell), bounds_in, size_px)] = 0
    return valid


def drawn_size(choices: tuple[PictureChoice, PictureChoice], bounds_in: Bounds) -> tuple[int, int]:
    """Return the size [px] at which two pictures are laid on each other: the coarser one's.

    It is at least what the registration needs, and no more than a page can show.
    """
    width_in, height_in = bounds_in[2] - bounds_in[0], bounds_in[3] - bounds_in[1]
    px_per_in = min(choice.px_per_in for choice in choices)
    px_per_in = min(px_per_in, LONGEST_SIDE_PX / max(width_in, height_in))
    px_per_in = max(px_per_in, SHORTEST_SIDE_PX / min(width_in, height_in))
    size = (math.ceil(width_in * px_per_in), math.ceil(height_in * px_per_in))
    if max(size) > 2 * LONGEST_SIDE_PX:
        raise InvalidInput("This cell is too narrow to be compared.", field="cell")
    return size
