"""Which rectified picture serves each cell of a mosaic, and how bright must each be made?

One picture per cell, one gain for each of its channels, seams on the cell lines and nowhere else:
no place of the wall is mixed from two photographs, so every outline rests on one. This module
plans and computes; it draws nothing and opens no file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gridmap.grid import Grid

Bounds = tuple[float, float, float, float]
Box = tuple[int, int, int, int]
Array = NDArray[np.float64]
Rgb = tuple[float, float, float]

WHOLE_SHARE = 0.999  # of a cell: what is missing is less than a line's width
LEAST_SHARE = 0.5  # a picture that shows less of a cell does not stand for it
DARKEST, BRIGHTEST = 12, 243  # values of 255 in which a difference of exposure can be read
LEAST_SAMPLES = 60  # places that two pictures share, below which they are not compared
SAMPLES_OF_FULL_WEIGHT = 4_000
LARGEST_GAIN = 3.0
DOUBTFUL = 0.03  # of a logarithm: 3 %; a link farther off counts less (Huber's weight)
ROUNDS = 12  # of weighing links anew
SOLVED = 1e-10  # of the squared first remainder


@dataclass(frozen=True)
class Candidate:
    """A rectified picture: how much of each cell it shows, and how sure its places are.

    `named` are the cells that a slate or a person says it was taken for.
    """

    key: str
    shares: Mapping[str, float]
    error_in: float
    px_per_in: float
    named: frozenset[str] = frozenset()
    taken: str = ""  # when, as a text that sorts


@dataclass(frozen=True)
class Choice:
    """The picture of one cell, and how much of the cell it shows."""

    cell: str
    key: str
    share: float


@dataclass(frozen=True)
class Plan:
    """Which picture stands in each cell, and which cells have none."""

    choices: tuple[Choice, ...]
    missing: tuple[str, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """The pictures that are used, each once, in the order of their cells."""
        return tuple(dict.fromkeys(choice.key for choice in self.choices))


@dataclass(frozen=True)
class Seam:
    """Two cells that meet, and their pictures: left and right at an upright line, else lower and
    upper."""

    cells: tuple[str, str]
    keys: tuple[str, str]
    upright: bool


@dataclass(frozen=True)
class Link:
    """How much darker one picture is than another where both show the same places.

    `log_ratio` is log(first / second) for each channel; both numbers are places in a list.
    """

    first: int
    second: int
    log_ratio: Rgb
    weight: float


def choose_pictures(grid: Grid, candidates: Sequence[Candidate]) -> Plan:
    """Return one picture for each cell.

    A picture that shows the whole cell comes before one that does not; then one that was taken
    for the cell, then the surer place, the finer picture, and the later one.
    """
    choices, missing = [], []
    for cell in grid.labels():
        shown = [one for one in candidates if one.shares.get(cell, 0.0) >= LEAST_SHARE]
        if not shown:
            missing.append(cell)
            continue
        latest_first = sorted(shown, key=lambda one: (one.taken, one.key), reverse=True)
        best = min(latest_first, key=lambda one: _rank(one, cell))
        choices.append(Choice(cell, best.key, min(1.0, best.shares[cell])))
    return Plan(tuple(choices), tuple(missing))


def _rank(one: Candidate, cell: str) -> tuple[float, bool, float, float]:
    """Return what tells the better of two pictures for a cell: the smaller comes first."""
    share = min(one.shares[cell], WHOLE_SHARE)
    return -share, cell not in one.named, one.error_in, -one.px_per_in


def cell_box_px(grid: Grid, cell: str, *, px_per_in: float) -> Box:
    """Return left, top, right and bottom of a cell in pixels of a mosaic of the whole grid.

    Each cell line falls on one whole pixel for both its neighbours, so that no pixel belongs to
    two cells and none to nobody.
    """
    left_in, _, _, top_in = grid.extent_in
    x0, y0, x1, y1 = grid.bounds(cell)
    return (
        _line_px(x0 - left_in, px_per_in),
        _line_px(top_in - y1, px_per_in),
        _line_px(x1 - left_in, px_per_in),
        _line_px(top_in - y0, px_per_in),
    )


def mosaic_size_px(grid: Grid, px_per_in: float) -> tuple[int, int]:
    """Return width and height of a mosaic of the whole grid."""
    x0, y0, x1, y1 = grid.extent_in
    return _line_px(x1 - x0, px_per_in), _line_px(y1 - y0, px_per_in)


def seams(grid: Grid, plan: Plan) -> tuple[Seam, ...]:
    """Return every cell line at which two different pictures meet."""
    of_cell = {choice.cell: choice.key for choice in plan.choices}
    columns, rows = grid.shape
    found = []
    for column in range(columns):
        for row in range(rows):
            here = grid.label(column, row)
            for upright, place in ((True, (column + 1, row)), (False, (column, row + 1))):
                if here not in of_cell or place[0] >= columns or place[1] >= rows:
                    continue
                there = grid.label(*place)
                if there in of_cell and of_cell[there] != of_cell[here]:
                    found.append(Seam((here, there), (of_cell[here], of_cell[there]), upright))
    return tuple(found)


def compare_brightness(
    first: NDArray[np.uint8], second: NDArray[np.uint8]
) -> tuple[Rgb, float] | None:
    """Return log(first / second) by channel and a weight, from the same places of two pictures.

    Both are [n, 3]. The median does not heed what changed between the photographs, nor marks of
    light. None where too few places are neither too dark nor too bright in both.
    """
    usable = np.all(
        (first >= DARKEST) & (first <= BRIGHTEST) & (second >= DARKEST) & (second <= BRIGHTEST),
        axis=1,
    )
    count = int(usable.sum())
    if count < LEAST_SAMPLES:
        return None
    logs = np.log(first[usable].astype(float)) - np.log(second[usable].astype(float))
    red, green, blue = np.median(logs, axis=0)
    return (float(red), float(green), float(blue)), min(1.0, count / SAMPLES_OF_FULL_WEIGHT)


def even_gains(count: int, links: Sequence[Link]) -> Array:
    """Return the gain of each of `count` pictures by channel [count, 3], 1 where nothing is known.

    The gains make linked pictures alike as well as all links together allow, in the sense of least
    squares of logarithms; a link that the others contradict loses its weight. The mean logarithm
    of pictures that hang together stays 0: the mosaic is neither brightened nor darkened.
    """
    gains = np.zeros((count, 3))
    if not links:
        return np.ones((count, 3))
    ends = np.array([(link.first, link.second) for link in links])
    wanted = -np.array([link.log_ratio for link in links])
    weight = np.array([link.weight for link in links])
    trust = np.ones((len(links), 3))
    for _ in range(ROUNDS):
        for channel in range(3):
            gains[:, channel] = _solve(
                ends, weight * trust[:, channel], wanted[:, channel], count=count
            )
        away = np.abs(gains[ends[:, 0]] - gains[ends[:, 1]] - wanted)
        trust = np.minimum(1.0, DOUBTFUL / np.maximum(away, 1e-12))
    limit = np.log(LARGEST_GAIN)
    return np.exp(np.clip(gains, -limit, limit))


def _solve(ends: NDArray[np.int64], weight: Array, wanted: Array, *, count: int) -> Array:
    """Return x that makes x[first] - x[second] as near to `wanted` as all links allow.

    Conjugate gradients on the normal equations: begun at 0 they stay where the mean of pictures
    that hang together is 0.
    """

    def applied(x: Array) -> Array:
        return _gathered(ends, weight * (x[ends[:, 0]] - x[ends[:, 1]]), count)

    x = np.zeros(count)
    rest = _gathered(ends, weight * wanted, count)
    step, size = rest.copy(), float(rest @ rest)
    enough = SOLVED**2 * size
    for _ in range(2 * count + 10):
        if size <= enough or size == 0.0:
            break
        moved = applied(step)
        length = size / float(step @ moved)
        x += length * step
        rest -= length * moved
        before, size = size, float(rest @ rest)
        step = rest + size / before * step
    return x


def _gathered(ends: NDArray[np.int64], values: Array, count: int) -> Array:
    first = np.bincount(ends[:, 0], values, minlength=count)
    return np.asarray(first - np.bincount(ends[:, 1], values, minlength=count))


def _line_px(distance_in: float, px_per_in: float) -> int:
    return round(distance_in * px_per_in)
