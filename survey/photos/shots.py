"""Which frames must be taken to cover the wall, and which of them are missing or differ?

Pure. Lengths in wall inches: x to the right, y up from the painting's lower edge. A frame of w × h
pixels at n px/in covers w/n by h/n; neighbours share a stated part of it. Rows are counted for
each deck by itself, because no frame is taken across its boards; what the boards hide is a list
apart, for when they are lifted.
"""

import math
import statistics
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from gridmap.errors import InvalidInput
from gridmap.grid import Grid

Bounds = tuple[float, float, float, float]
MM_PER_IN = 25.4
MOST_SHOTS = 50_000
LARGEST_SIDE_PX = 100_000
# How far a frame may be from the others before somebody should look. Common practice, no source.
SCALE_TOLERANCE = 0.15  # [-] of the scale asked for
SHARPNESS_SHARE = 0.6  # [-] of the middle sharpness of the set


@dataclass(frozen=True)
class Shot:
    """One frame to take: deck, row from the top, column from the left, and what it covers."""

    deck: str
    row: int
    column: int
    bounds_in: Bounds
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Band:
    """The frames of one deck, or of one strip that is taken apart."""

    name: str
    bounds_in: Bounds
    rows: int
    columns: int
    shots: tuple[Shot, ...]


@dataclass(frozen=True)
class ShotPlan:
    """Every frame that covers the wall, by deck; strips behind boards are not among `total`."""

    frame_in: tuple[float, float]
    step_in: tuple[float, float]
    px_per_in: float
    decks: tuple[Band, ...]
    strips: tuple[Band, ...]

    @property
    def total(self) -> int:
        return sum(len(deck.shots) for deck in self.decks)

    @property
    def strip_total(self) -> int:
        return sum(len(strip.shots) for strip in self.strips)

    @property
    def mm_per_px(self) -> float:
        return MM_PER_IN / self.px_per_in


@dataclass(frozen=True)
class TakenFrame:
    """A photograph that counts for the list. `px_per_in` is known once it lies on the wall."""

    key: str
    name: str
    cells: tuple[str, ...]
    lamp_side: str = ""
    bounds_in: Bounds | None = None
    px_per_in: float | None = None
    focal_length: str = ""
    size_px: tuple[int, int] = (0, 0)
    sharpness: float | None = None


@dataclass(frozen=True)
class Differing:
    """A frame that differs from the list or from the others, and how."""

    key: str
    name: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class ShotState:
    """What has been taken: cells without a frame by deck, shots without all of their cells."""

    missing_cells: tuple[tuple[str, tuple[str, ...]], ...]
    missing_shots: tuple[Shot, ...]
    taken_shots: int
    differing: tuple[Differing, ...]


def plan_shots(
    *,
    grid: Grid,
    decks: Sequence[tuple[str, float, float]],
    strips: Sequence[tuple[str, Bounds]] = (),
    camera_px: tuple[int, int],
    px_per_in: float,
    overlap: float,
) -> ShotPlan:
    """Return the frames that cover the wall from each deck (name, y0, y1 of its band).

    Raises InvalidInput for numbers that make no list.
    """
    _check(camera_px, px_per_in, overlap)
    frame_in = camera_px[0] / px_per_in, camera_px[1] / px_per_in
    step_in = frame_in[0] * (1 - overlap), frame_in[1] * (1 - overlap)
    x0, y0, x1, y1 = grid.extent_in
    bands = [(name, (x0, low, x1, high)) for name, low, high in decks if high > low]
    bands = bands or [("the floor", (x0, y0, x1, y1))]
    counted = sum(
        _count(b[2] - b[0], frame_in[0], step_in[0]) * _count(b[3] - b[1], frame_in[1], step_in[1])
        for _, b in (*bands, *strips)
    )
    if counted > MOST_SHOTS:
        raise InvalidInput(
            f"{counted:,} frames; the limit of a list is {MOST_SHOTS:,}. Ask for fewer pixels per "
            "inch.",
            field="px_per_in",
        )
    return ShotPlan(
        frame_in=frame_in,
        step_in=step_in,
        px_per_in=px_per_in,
        decks=tuple(
            _band(*band, frame_in, step_in, lambda b: _cells_of(b, grid)) for band in bands
        ),
        strips=tuple(
            _band(*strip, frame_in, step_in, lambda b: _touched(b, grid)) for strip in strips
        ),
    )


def state_of(
    plan: ShotPlan, frames: Sequence[TakenFrame], *, grid: Grid, lamp_side: str = ""
) -> ShotState:
    """Return what is missing of a plan and which frames differ.

    A cell counts as taken where a frame of the lamp side asked for names it, or lies over the
    whole of it. Without a side asked for, the side of most frames is.
    """
    side = lamp_side or _usual(frame.lamp_side for frame in frames)
    taken: set[str] = set()
    for frame in frames:
        if frame.lamp_side == side:
            taken |= _covered(frame, grid)
    by_deck: list[tuple[str, tuple[str, ...]]] = []
    listed: set[str] = set()
    for deck in plan.decks:
        own = [label for label in _cells_of(deck.bounds_in, grid) if label not in listed]
        listed.update(own)
        by_deck.append((deck.name, tuple(label for label in own if label not in taken)))
    shots = [shot for deck in plan.decks for shot in deck.shots]
    missing = tuple(shot for shot in shots if not set(shot.cells) <= taken)
    differing = tuple(
        Differing(frame.key, frame.name, words)
        for frame in frames
        if (words := _differences(frame, frames, plan=plan, side=side))
    )
    return ShotState(tuple(by_deck), missing, len(shots) - len(missing), differing)


def _check(camera_px: tuple[int, int], px_per_in: float, overlap: float) -> None:
    if not all(1 <= side <= LARGEST_SIDE_PX for side in camera_px):
        raise InvalidInput(
            f"The camera's picture is {camera_px[0]:,} by {camera_px[1]:,} pixels; each side must "
            f"be 1 to {LARGEST_SIDE_PX:,}.",
            field="camera",
        )
    if not (math.isfinite(px_per_in) and 1 <= px_per_in <= 5_000):
        raise InvalidInput(
            f"{px_per_in:g} pixels per inch; it must be 1 to 5,000.", field="px_per_in"
        )
    if not 0 <= overlap <= 0.9:
        raise InvalidInput(
            f"The overlap is {overlap:.0%}; it must be 0 to 90 % of a frame.", field="overlap"
        )


def _count(length_in: float, frame_in: float, step_in: float) -> int:
    """Return how many frames cover a length; a hair's breadth does not ask for another."""
    return max(1, math.ceil((length_in - frame_in) / step_in - 1e-9) + 1)


def _places(start_in: float, end_in: float, frame_in: float, step_in: float) -> list[float]:
    """Return where frames begin, spread evenly; a single one is centred."""
    count = _count(end_in - start_in, frame_in, step_in)
    if count == 1:
        return [(start_in + end_in - frame_in) / 2]
    return [start_in + i * (end_in - start_in - frame_in) / (count - 1) for i in range(count)]


def _band(
    name: str,
    bounds_in: Bounds,
    frame_in: tuple[float, float],
    step_in: tuple[float, float],
    cells_of: Callable[[Bounds], tuple[str, ...]],
) -> Band:
    x0, y0, x1, y1 = bounds_in
    across = _places(x0, x1, frame_in[0], step_in[0])
    down = _places(y0, y1, frame_in[1], step_in[1])[::-1]
    shots = tuple(
        Shot(
            deck=name,
            row=row,
            column=column,
            bounds_in=(x, y, x + frame_in[0], y + frame_in[1]),
            cells=cells_of((x, max(y, y0), x + frame_in[0], min(y + frame_in[1], y1))),
        )
        for row, y in enumerate(down, start=1)
        for column, x in enumerate(across, start=1)
    )
    return Band(name, bounds_in, len(down), len(across), shots)


def _cells_of(bounds_in: Bounds, grid: Grid) -> tuple[str, ...]:
    """Return the cells whose middle lies within bounds; at least the one under their own middle."""
    x0, y0, x1, y1 = bounds_in
    columns, rows = grid.columns, grid.rows
    found = tuple(
        grid.label(column, row)
        for row in range(len(rows))[::-1]
        if y0 <= _middle(rows.lines_in, row) < y1
        for column in range(len(columns))
        if x0 <= _middle(columns.lines_in, column) < x1
    )
    middle = grid.cell_at((x0 + x1) / 2, (y0 + y1) / 2)
    return found or ((middle,) if middle else ())


def _touched(bounds_in: Bounds, grid: Grid) -> tuple[str, ...]:
    """Return every cell that bounds reach into."""
    x0, y0, x1, y1 = bounds_in
    columns, rows = grid.columns.lines_in, grid.rows.lines_in
    return tuple(
        grid.label(column, row)
        for row in range(len(rows) - 1)[::-1]
        if rows[row] < y1 and rows[row + 1] > y0
        for column in range(len(columns) - 1)
        if columns[column] < x1 and columns[column + 1] > x0
    )


def _middle(lines_in: Sequence[float], place: int) -> float:
    return (lines_in[place] + lines_in[place + 1]) / 2


def _covered(frame: TakenFrame, grid: Grid) -> set[str]:
    covered = set(frame.cells)
    if frame.bounds_in:
        x0, y0, x1, y1 = frame.bounds_in
        for label in _cells_of(frame.bounds_in, grid):
            cx0, cy0, cx1, cy1 = grid.bounds(label)
            if x0 <= cx0 and y0 <= cy0 and x1 >= cx1 and y1 >= cy1:
                covered.add(label)
    return covered


def _usual(values: Iterable[str]) -> str:
    counted = Counter(values)
    return max(sorted(counted), key=lambda value: counted[value]) if counted else ""


def _differences(
    frame: TakenFrame, frames: Collection[TakenFrame], *, plan: ShotPlan, side: str
) -> tuple[str, ...]:
    """Return in words how a frame differs in lamp side, scale or sharpness."""
    words = []
    if frame.lamp_side != side:
        words.append(f"lamp {frame.lamp_side or 'side not stated'}, the others {side or 'none'}")
    if frame.px_per_in and abs(frame.px_per_in / plan.px_per_in - 1) > SCALE_TOLERANCE:
        words.append(f"{frame.px_per_in:.0f} px/in, asked for {plan.px_per_in:.0f}")
    lens = _usual(other.focal_length for other in frames)
    if frame.focal_length and frame.focal_length != lens:
        words.append(f"focal length {frame.focal_length}, most have {lens or 'none stated'}")
    longest = Counter(max(other.size_px) for other in frames if any(other.size_px))
    if any(frame.size_px) and max(frame.size_px) != longest.most_common(1)[0][0]:
        usual_px = longest.most_common(1)[0][0]
        words.append(f"{max(frame.size_px):,} px long, most have {usual_px:,} px")
    sharp = [other.sharpness for other in frames if other.sharpness is not None]
    if frame.sharpness is not None and len(sharp) >= 3:
        share = frame.sharpness / max(statistics.median(sharp), 1e-9)
        if share < SHARPNESS_SHARE:
            words.append(f"less sharp: {share:.0%} of the middle of this set; look at it")
    return tuple(words)
