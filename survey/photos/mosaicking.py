"""How are rectified copies laid together to a picture of the whole wall, as work that can be
cancelled and repeated?

One picture per cell, one gain each, seams on the cell lines. Whatever ends the work before its end
leaves nothing behind; the same copies laid together once more make no second version.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from django.conf import settings
from django.urls import reverse
from numpy.typing import NDArray

from gridmap.errors import InvalidInput
from gridmap.grid import Grid
from gridmap.mosaic import (
    LARGEST_GAIN,
    Plan,
    cell_box_px,
    choose_pictures,
    even_gains,
    mosaic_size_px,
)
from gridmap.tiles import Bounds
from survey.jobs.models import Job, JobState
from survey.jobs.services import Progress, start_job
from survey.ledger.drafts import Writer
from survey.people.models import Account
from survey.photos.laying import (
    Piece,
    blank,
    brightness_links,
    candidate_of,
    draw_cell,
    pieces_of,
    sample_of,
)
from survey.photos.models import Mosaic
from survey.photos.mosaic_kind import LARGEST_MOSAIC_PX, PHOTOGRAPHS, too_many_pixels
from survey.photos.mosaics import (
    MosaicStatement,
    inputs_digest,
    keep_version,
    version_made_from,
    work_folder,
)
from survey.photos.said import RAKING
from survey.photos.tile_writing import Made, refuse_full_disk, write_bare_pyramid
from survey.record.models import Mode, Survey

KIND = "mosaic"
USUAL_PX = 1_000_000_000  # without a wish, a mosaic is not made larger
LEAST_PX_PER_IN, MOST_PX_PER_IN = 1.0, 600.0
TILE_STEPS = 100  # of the work, for the tiles
BYTES_PER_PX = 4.0  # the bare pixels, and their tiles at all levels

Tell = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Light:
    """Rectified copies in one light that can be laid together."""

    mode: str
    lamp_side: str
    pictures: int
    cells: int  # that they show
    px_per_in: float  # proposed

    @property
    def label(self) -> str:
        side = f", lamp {self.lamp_side}" if self.lamp_side else ""
        return f"{Mode(self.mode).label}{side}"


def lights_to_lay(survey: Survey) -> list[Light]:
    """Return in which lights a survey has copies, and of how many cells."""
    pairs = survey.photographs.filter(role="record", conflict=False, rectified=False)
    found = []
    lights = {
        (mode, _laid_side(mode, side)) for mode, side in pairs.values_list("mode", "lamp_side")
    }
    for mode, lamp_side in sorted(lights):
        pieces = pieces_of(survey, mode, lamp_side)
        if pieces:
            plan = _plan(survey.layout.grid, pieces)
            scale = proposed_px_per_in(survey.layout.grid, pieces)
            found.append(Light(mode, lamp_side, len(pieces), len(plan.choices), scale))
    return found


def _laid_side(mode: str, lamp_side: str) -> str:
    """Return under which side of the lamp frames are laid: an even lamp needs naming only where
    light rakes.
    """
    return "" if mode != RAKING and lamp_side == "even" else lamp_side


def proposed_px_per_in(grid: Grid, pieces: list[Piece]) -> float:
    """Return the resolution of most copies, or what keeps the mosaic below its usual size."""
    own = float(np.median([piece.copy.px_per_in for piece in pieces]))
    x0, y0, x1, y1 = grid.extent_in
    most = (USUAL_PX / ((x1 - x0) * (y1 - y0))) ** 0.5
    return max(LEAST_PX_PER_IN, float(np.floor(min(own, most))))


def ask_for_mosaic(
    survey: Survey,
    mode: str,
    lamp_side: str = "",
    *,
    asked_by: Account | None,
    px_per_in: float | None = None,
) -> Job:
    """Start laying a survey's copies in one light together; the same work waits once.

    Raises InvalidInput where there is no copy, and for a resolution beyond what can be made.
    """
    lamp_side = _laid_side(mode, lamp_side)
    pieces = _needed_pieces(survey, mode, lamp_side)
    grid = survey.layout.grid
    scale = px_per_in or proposed_px_per_in(grid, pieces)
    refuse_resolution(grid, scale)
    arguments = {
        "survey": str(survey.pk),
        "mode": mode,
        "lamp_side": lamp_side,
        "px_per_in": scale,
    }
    waiting = Job.objects.filter(
        wall=survey.wall,
        kind=KIND,
        arguments=arguments,
        state__in=(JobState.WAITING, JobState.RUNNING),
    )
    side = f", lamp {lamp_side}" if lamp_side else ""
    return waiting.first() or start_job(
        wall=survey.wall,
        kind=KIND,
        title=f"Lay a mosaic of survey {survey.code}, {Mode(mode).label.lower()}{side}"[:200],
        arguments=arguments,
        asked_by=asked_by,
    )


def run(job: Job, progress: Progress) -> dict[str, Any]:
    """Lay a mosaic (the runner of this kind of work)."""
    asked = job.arguments
    survey = Survey.objects.select_related("wall", "layout", "logbook").get(pk=asked["survey"])
    name = str(job.asked_by) if job.asked_by else "Pontata"
    mosaic = lay_mosaic(
        survey,
        asked["mode"],
        asked["lamp_side"],
        px_per_in=asked["px_per_in"],
        writer=Writer(name=name, device="desk"),
        tell=progress.tell,
    )
    return {
        "mosaic": str(mosaic.pk),
        "version": mosaic.version,
        "url": reverse("photos:mosaics", args=[survey.wall.slug, survey.code]),
    }


def lay_mosaic(
    survey: Survey,
    mode: str,
    lamp_side: str,
    *,
    px_per_in: float,
    writer: Writer,
    tell: Tell = lambda done, total, message: None,
) -> Mosaic:
    """Return the mosaic of these copies at a resolution; it is made where it is not there.

    `tell` may raise to stop the work; nothing is kept then.
    """
    grid = survey.layout.grid
    lamp_side = _laid_side(mode, lamp_side)
    pieces = _needed_pieces(survey, mode, lamp_side)
    refuse_resolution(grid, px_per_in)
    inputs = inputs_digest(
        {
            "copies": [[str(p.placement.head_id), p.copy.blob_id] for p in pieces],
            "layout": survey.layout.version,
            "px_per_in": px_per_in,
            "mode": mode,
            "lamp_side": lamp_side,
        }
    )
    there = version_made_from(survey, mode, lamp_side, inputs)
    if there is not None:
        return there
    laid = _Laying(grid, pieces, px_per_in, tell)
    statement = laid.statement(mode, lamp_side, operator=writer.name)
    return keep_version(survey, statement, laid.write, inputs=inputs, writer=writer)


def refuse_resolution(grid: Grid, px_per_in: float) -> None:
    """Refuse a mosaic that would be too large for a mosaic or for the disk."""
    if not LEAST_PX_PER_IN <= px_per_in <= MOST_PX_PER_IN:
        raise InvalidInput(
            f"The resolution is {px_per_in:g} px/in; it lies from {LEAST_PX_PER_IN:g} to "
            f"{MOST_PX_PER_IN:g} px/in.",
            field="px_per_in",
        )
    width_px, height_px = mosaic_size_px(grid, px_per_in)
    if width_px * height_px > LARGEST_MOSAIC_PX:
        raise too_many_pixels(width_px, height_px)
    settings.DATA_FOLDER.mkdir(parents=True, exist_ok=True)
    refuse_full_disk(settings.DATA_FOLDER, width_px * height_px * BYTES_PER_PX)


class _Laying:
    """One mosaic in the making: its plan, its gains, then its pixels."""

    def __init__(self, grid: Grid, pieces: list[Piece], px_per_in: float, tell: Tell) -> None:
        self.grid, self.tell = grid, tell
        self.plan = _plan(grid, pieces)
        self.pieces = {piece.key: piece for piece in pieces if piece.key in self.plan.keys}
        if not self.pieces:
            raise InvalidInput(
                "No rectified copy shows half of any cell, so there is nothing to lay. Place "
                "photographs that show whole cells.",
                field="mode",
            )
        width_px, height_px = mosaic_size_px(grid, px_per_in)
        x0, _, x1, _ = grid.extent_in
        self.size_px = (width_px, height_px)
        self.px_per_in = width_px / (x1 - x0)  # as the whole pixels have it
        self.total = len(self.pieces) + len(self.plan.choices) + TILE_STEPS
        self.gains = self._gains()

    def statement(self, mode: str, lamp_side: str, *, operator: str) -> MosaicStatement:
        """Return what is said of the mosaic."""
        days = [
            piece.photograph.taken_at.date()
            for piece in self.pieces.values()
            if piece.photograph.taken_at
        ]
        pieces = [
            {
                "cell": choice.cell,
                "photograph": choice.key,
                "placement": str(self.pieces[choice.key].placement.head_id),
                "gain": [round(float(one), 5) for one in self.gains[choice.key]],
                "error_in": self.pieces[choice.key].placement.error_in,
                **({"share": round(choice.share, 4)} if choice.share < 1 else {}),
            }
            for choice in self.plan.choices
        ]
        return MosaicStatement(
            mode=mode,
            lamp_side=lamp_side,
            bounds_in=self.grid.extent_in,
            error_in=max(piece.placement.error_in for piece in self.pieces.values()),
            source=PHOTOGRAPHS,
            taken_on=max(days, default=None),
            operator=operator,
            note=self._note(days),
            pieces=tuple(pieces),
            missing=self.plan.missing,
        )

    def write(self, path: Path) -> Made:
        """Draw the cells one by one, then their tiles."""
        width_px, height_px = self.size_px
        with work_folder() as folder:
            raw = folder / "pixels"
            with raw.open("wb") as file:
                file.truncate(width_px * height_px * 3)
            for number, cell in enumerate(self.grid.labels()):
                self._draw(raw, number, cell)
            return write_bare_pyramid(raw, self.size_px, path, tell=self._tell_tiles)

    def _gains(self) -> dict[str, NDArray[np.float64]]:
        samples = {}
        for number, (key, piece) in enumerate(self.pieces.items()):
            self.tell(number, self.total, f"Reading how bright {piece.photograph.name} is")
            samples[key] = sample_of(piece)
        links = brightness_links(self.grid, self.plan, samples)
        gains = even_gains(len(self.plan.keys), links)
        return dict(zip(self.plan.keys, gains, strict=True))

    def _draw(self, raw: Path, number: int, cell: str) -> None:
        drawn = len(self.pieces) + number * len(self.plan.choices) // self.grid.cell_count
        self.tell(drawn, self.total, f"Laying cell {cell}")
        left, top, right, bottom = cell_box_px(self.grid, cell, px_per_in=self.px_per_in)
        bottom = min(bottom, self.size_px[1])
        size = (right - left, bottom - top)
        if min(size) < 1:
            return
        choice = next((one for one in self.plan.choices if one.cell == cell), None)
        if choice is None:
            pixels = blank(size)
        else:
            piece = self.pieces[choice.key]
            pixels = draw_cell(
                piece, self._bounds_in(left, top, size), size, list(self.gains[piece.key])
            )
        row_bytes = self.size_px[0] * 3
        rows = np.memmap(
            raw, np.uint8, "r+", offset=top * row_bytes, shape=(size[1], self.size_px[0], 3)
        )
        rows[:, left:right] = pixels

    def _bounds_in(self, left: int, top: int, size: tuple[int, int]) -> Bounds:
        """Return what the pixels of a box cover of the wall."""
        x0, _, _, y1 = self.grid.extent_in
        scale = self.px_per_in
        return (
            x0 + left / scale,
            y1 - (top + size[1]) / scale,
            x0 + (left + size[0]) / scale,
            y1 - top / scale,
        )

    def _tell_tiles(self, done: int, total: int) -> None:
        before = self.total - TILE_STEPS
        self.tell(
            before + min(TILE_STEPS - 1, TILE_STEPS * done // total), self.total, "Making tiles"
        )

    def _note(self, days: list[date]) -> str:
        said = []
        if days and min(days) != max(days):
            said.append(f"Taken from {min(days)} to {max(days)}.")
        extreme = np.array([self.gains[key] for key in self.plan.keys])
        if (np.maximum(extreme, 1 / extreme) >= LARGEST_GAIN * 0.999).any():
            said.append(
                f"Some pictures differ from their neighbours by more than {LARGEST_GAIN:g} times "
                "in brightness and were evened only so far."
            )
        partly = [choice.cell for choice in self.plan.choices if choice.share < 0.999]
        if partly:
            said.append(f"Not shown to their edges: {', '.join(partly[:40])}.")
        return " ".join(said)


def _plan(grid: Grid, pieces: list[Piece]) -> Plan:
    return choose_pictures(grid, [candidate_of(piece, grid) for piece in pieces])


def _needed_pieces(survey: Survey, mode: str, lamp_side: str) -> list[Piece]:
    if mode not in Mode.values:
        raise InvalidInput(f"mode is {mode!r}; it must be one of: {', '.join(Mode.values)}.")
    pieces = pieces_of(survey, mode, lamp_side)
    if not pieces:
        side = f" with the lamp {lamp_side}" if lamp_side else ""
        raise InvalidInput(
            f"Survey {survey.code} has no photograph {Mode(mode).label.lower()}{side} that is "
            "placed on the wall and drawn square. Place photographs first.",
            field="mode",
        )
    return pieces
