"""What does a rectified copy show of the wall, how bright is it there, and how is it laid on cells?

Copies are read at the resolution that is needed and drawn place for place. Where no photograph
reaches, a ruled grey stands, which nobody takes for paint.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gridmap.errors import NotFound
from gridmap.grid import Grid
from gridmap.mosaic import (
    Candidate,
    Link,
    Plan,
    Seam,
    compare_brightness,
    seams,
)
from gridmap.rectify import Sight, reach
from gridmap.resample import resample
from gridmap.tiles import Bounds
from survey.ledger.blobs import read_blob
from survey.photos.models import Photograph, Placement, RectifiedCopy
from survey.photos.rectifying import sight_of_content
from survey.photos.said import RAKING
from survey.record.models import Survey

Pixels = NDArray[np.uint8]

SHARE_PX_PER_IN = 2.0  # at which it is counted how much of a cell a photograph shows
SAMPLES_PER_IN = 4  # at which pictures are compared; copies begin on quarters of an inch
BESIDE_IN = 1.0  # on each side of a line, where two pictures meet without a common place
BESIDE_WEIGHT = 0.1  # of such a comparison: paint differs from inch to inch
BLANK, RULE, RULE_EVERY_PX = 214, 168, 24  # grey values and spacing where there is no picture


@dataclass(frozen=True)
class Piece:
    """A placed photograph and its rectified copy."""

    photograph: Photograph
    placement: Placement
    copy: RectifiedCopy
    sight: Sight

    @property
    def key(self) -> str:
        return str(self.photograph.pk)

    @property
    def bounds_in(self) -> Bounds:
        x0, y0, x1, y1 = self.copy.bounds_in
        return x0, y0, x1, y1

    @property
    def scale_px_per_in(self) -> tuple[float, float]:
        """Pixels of the copy to the inch, across and up."""
        x0, y0, x1, y1 = self.bounds_in
        return self.copy.width_px / (x1 - x0), self.copy.height_px / (y1 - y0)

    def reached(self, bounds_in: Bounds, size_px: tuple[int, int]) -> NDArray[np.bool_]:
        """Return where, of a part of the wall drawn in so many pixels, the copy shows it."""
        seen = reach(
            self.sight,
            photograph_px=(self.photograph.width_px, self.photograph.height_px),
            bounds_in=bounds_in,
            copy_px=size_px,
        )
        (x0, y0, x1, y1), (left, low, right, high) = bounds_in, self.bounds_in
        x = x0 + (np.arange(size_px[0]) + 0.5) * (x1 - x0) / size_px[0]
        y = y1 - (np.arange(size_px[1]) + 0.5) * (y1 - y0) / size_px[1]
        inside = ((y > low) & (y < high))[:, None] & ((x > left) & (x < right))[None, :]
        return np.asarray((seen > 0) & inside)

    def pixels(self, bounds_in: Bounds, size_px: tuple[int, int]) -> Pixels:
        """Return a part of the wall as RGB rows from the top, drawn from the copy."""
        x0, y0, x1, y1 = bounds_in
        across, up = self.scale_px_per_in
        step = ((x1 - x0) * across / size_px[0], (y1 - y0) * up / size_px[1])
        shrunk = _shrinking(min(step))
        corner = ((x0 - self.bounds_in[0]) * across, (self.bounds_in[3] - y1) * up)
        return resample(
            _read(self.copy, shrunk),
            corner_px=(corner[0] / shrunk, corner[1] / shrunk),
            step_px=(step[0] / shrunk, step[1] / shrunk),
            size_px=size_px,
        )


@dataclass(frozen=True)
class Sample:
    """A small picture of a copy on the wall's own lattice, for comparing brightness."""

    pixels: Pixels
    valid: NDArray[np.bool_]
    left: int  # of its first column and row, counted in samples from the wall's lower left
    top: int

    def cut(self, left: int, right: int, low: int, high: int) -> tuple[Pixels, NDArray[np.bool_]]:
        """Return the part between samples of the wall; it must lie within."""
        rows = slice(self.top - high, self.top - low)
        columns = slice(left - self.left, right - self.left)
        return self.pixels[rows, columns], self.valid[rows, columns]

    @property
    def extent(self) -> tuple[int, int, int, int]:
        """Left, right, low and high in samples of the wall."""
        height, width = self.valid.shape
        return self.left, self.left + width, self.top - height, self.top


def pieces_of(survey: Survey, mode: str, lamp_side: str) -> list[Piece]:
    """Return the survey's drawn copies in one light, leaving out what contradicts itself.

    Outside raking light, frames of an even lamp and of no stated side are of one light.
    """
    sides = {"", "even"} if mode != RAKING and lamp_side in {"", "even"} else {lamp_side}
    photographs = {
        row.pk: row
        for row in survey.photographs.filter(
            mode=mode, lamp_side__in=sides, role="record", conflict=False, rectified=False
        )
    }
    rows = Placement.objects.filter(
        survey=survey, conflict=False, photograph_id__in=photographs
    ).select_related("head")
    placements = {row.head_id: row for row in rows}
    copies = RectifiedCopy.objects.filter(placement_entry__in=placements)
    found = []
    for copy in copies:
        placement = placements[copy.placement_entry_id]
        photograph = photographs[placement.photograph_id]
        sight = sight_of_content(
            {"homography": placement.homography, "lens": placement.lens}, photograph
        )
        found.append(Piece(photograph, placement, copy, sight))
    return sorted(found, key=lambda piece: piece.key)


def candidate_of(piece: Piece, grid: Grid) -> Candidate:
    """Return how much of each cell a piece shows, and what else speaks for it."""
    shares = {}
    for cell in _cells_within(piece.bounds_in, grid):
        bounds = grid.bounds(cell)
        size = tuple(
            max(1, round((bounds[axis + 2] - bounds[axis]) * SHARE_PX_PER_IN)) for axis in (0, 1)
        )
        share = float(piece.reached(bounds, (size[0], size[1])).mean())
        if share > 0:
            shares[cell] = share
    taken_at = piece.photograph.taken_at
    return Candidate(
        key=piece.key,
        shares=shares,
        error_in=piece.placement.error_in,
        px_per_in=piece.copy.px_per_in,
        named=frozenset(piece.photograph.cells),
        taken=taken_at.isoformat() if taken_at else "",
    )


def sample_of(piece: Piece) -> Sample:
    """Return a copy's small picture."""
    x0, y0, x1, y1 = (place * SAMPLES_PER_IN for place in piece.bounds_in)
    left, low = int(np.ceil(x0)), int(np.ceil(y0))
    right, high = max(left + 1, int(np.floor(x1))), max(low + 1, int(np.floor(y1)))
    bounds = (
        left / SAMPLES_PER_IN,
        low / SAMPLES_PER_IN,
        right / SAMPLES_PER_IN,
        high / SAMPLES_PER_IN,
    )
    size = (right - left, high - low)
    return Sample(piece.pixels(bounds, size), piece.reached(bounds, size), left, high)


def brightness_links(grid: Grid, plan: Plan, samples: dict[str, Sample]) -> list[Link]:
    """Return what the pictures that meet say of each other's brightness.

    Two pictures are compared where both show the wall; where they only touch, along their line.
    """
    place = {key: number for number, key in enumerate(plan.keys)}
    links, compared = [], set()
    for seam in seams(grid, plan):
        pair = tuple(sorted(seam.keys))
        if pair in compared:
            continue
        found = _overlap(samples[seam.keys[0]], samples[seam.keys[1]])
        if found is not None:
            compared.add(pair)
        else:
            found = _beside(grid, seam, samples)
        if found is not None:
            first, second = (place[key] for key in seam.keys)
            links.append(Link(first, second, *found))
    return links


def draw_cell(
    piece: Piece, bounds_in: Bounds, size_px: tuple[int, int], gain: Sequence[float]
) -> Pixels:
    """Return a part of the wall from one copy, evened by its gain, ruled where it shows nothing."""
    pixels = piece.pixels(bounds_in, size_px)
    table = np.clip(np.arange(256)[:, None] * np.asarray(gain)[None, :], 0, 255)
    pixels = np.asarray(cv2.LUT(pixels, np.rint(table).astype(np.uint8)[:, None, :]), np.uint8)
    seen = piece.reached(bounds_in, size_px)
    if not seen.all():
        pixels[~seen] = blank(size_px)[~seen]
    return pixels


def blank(size_px: tuple[int, int]) -> Pixels:
    """Return what stands where there is no picture: grey with slanting lines."""
    x, y = np.arange(size_px[0])[None, :], np.arange(size_px[1])[:, None]
    ruled = np.where((x + y) % RULE_EVERY_PX < 2, RULE, BLANK).astype(np.uint8)
    return np.repeat(ruled[..., None], 3, axis=2)


def _shrinking(step: float) -> int:
    """Return by how much a JPEG may be read smaller and still be as fine as is drawn."""
    return next(times for times in (8, 4, 2, 1) if step >= times or times == 1)


def _read(copy: RectifiedCopy, shrunk: int) -> Pixels:
    flags = {
        1: cv2.IMREAD_COLOR,
        2: cv2.IMREAD_REDUCED_COLOR_2,
        4: cv2.IMREAD_REDUCED_COLOR_4,
        8: cv2.IMREAD_REDUCED_COLOR_8,
    }
    read = cv2.imdecode(np.frombuffer(read_blob(copy.blob_id), np.uint8), flags[shrunk])
    if read is None:
        raise NotFound("A rectified copy cannot be opened; place its photograph again.")
    cv2.cvtColor(read, cv2.COLOR_BGR2RGB, dst=read)
    return np.asarray(read, np.uint8)


def _cells_within(bounds_in: Bounds, grid: Grid) -> list[str]:
    x0, y0, x1, y1 = bounds_in
    columns, rows = grid.columns.lines_in, grid.rows.lines_in
    return [
        grid.label(column, row)
        for row in range(len(rows) - 1)
        if rows[row] < y1 and rows[row + 1] > y0
        for column in range(len(columns) - 1)
        if columns[column] < x1 and columns[column + 1] > x0
    ]


def _overlap(first: Sample, second: Sample) -> tuple[tuple[float, float, float], float] | None:
    one, other = first.extent, second.extent
    left, right = max(one[0], other[0]), min(one[1], other[1])
    low, high = max(one[2], other[2]), min(one[3], other[3])
    if left >= right or low >= high:
        return None
    here, here_valid = first.cut(left, right, low, high)
    there, there_valid = second.cut(left, right, low, high)
    both = here_valid & there_valid
    return compare_brightness(here[both], there[both])


def _beside(
    grid: Grid, seam: Seam, samples: dict[str, Sample]
) -> tuple[tuple[float, float, float], float] | None:
    """Compare two pictures along the line at which they meet, mirrored about it."""
    x0, y0, x1, y1 = grid.bounds(seam.cells[0])
    line_in = x1 if seam.upright else y1
    along = (y0, y1) if seam.upright else (x0, x1)
    line = round(line_in * SAMPLES_PER_IN)
    start, end = (round(place * SAMPLES_PER_IN) for place in along)
    deep = round(BESIDE_IN * SAMPLES_PER_IN)
    bands = []
    for number, key in enumerate(seam.keys):
        across = (line - deep, line) if number == 0 else (line, line + deep)
        box = (*across, start, end) if seam.upright else (start, end, *across)
        whole = samples[key].extent
        if box[0] < whole[0] or box[1] > whole[1] or box[2] < whole[2] or box[3] > whole[3]:
            return None
        bands.append(samples[key].cut(*box))
    axis = 1 if seam.upright else 0
    (here, here_valid), (there, there_valid) = bands
    there, there_valid = np.flip(there, axis), np.flip(there_valid, axis)
    both = here_valid & there_valid
    found = compare_brightness(here[both], there[both])
    return None if found is None else (found[0], found[1] * BESIDE_WEIGHT)
