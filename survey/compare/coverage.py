"""How much of the wall was seen, within touch, hidden, compared?

Areas in square inches, openings subtracted and said. No finding is made here.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gridmap.grid import Grid
from gridmap.measure import Shapes, cell_boxes, cell_label
from survey.compare.model import CellState, Comparison, Part
from survey.compare.regions import Regions, areas_of, union_of

SQ_IN_PER_SQ_FT = 144.0
SLIVER_SQ_IN = 1e-6  # what overlay arithmetic leaves along a shared edge


@dataclass(frozen=True)
class Obstruction:
    """What hides a part of the wall, or only keeps hands from it (`touch_only`)."""

    name: str
    shape: BaseGeometry
    cause: str = ""
    mode: str | None = None
    touch_only: bool = False


@dataclass(frozen=True)
class CoverageSummary:
    """What can be seen and touched of the painted field [sq in]; seen + hidden = wall."""

    wall_sq_in: float
    openings_sq_in: float
    seen_sq_in: float
    touched_sq_in: float
    hidden_sq_in: float

    @property
    def seen_share(self) -> float:
        return self.seen_sq_in / self.wall_sq_in if self.wall_sq_in else 0.0

    @property
    def touched_share(self) -> float:
        return self.touched_sq_in / self.wall_sq_in if self.wall_sq_in else 0.0

    @property
    def text(self) -> str:
        """The summary in one sentence, in square feet."""
        seen, wall, touched = (
            area / SQ_IN_PER_SQ_FT
            for area in (self.seen_sq_in, self.wall_sq_in, self.touched_sq_in)
        )
        openings = self.openings_sq_in / SQ_IN_PER_SQ_FT
        without = f", {openings:,.0f} sq ft of openings not counted" if openings else ""
        return (
            f"{seen:,.0f} of {wall:,.0f} sq ft seen, {touched:,.0f} within touch "
            f"({self.touched_share:.1%}){without}; hatched parts not seen."
        )


def reachable(
    *,
    width_in: float,
    height_in: float,
    openings: Sequence[Part] = (),
    obstructions: Sequence[Obstruction] = (),
    mode: str = "normal",
) -> CoverageSummary:
    """Return what a layout's obstructions leave to be seen and touched in one mode.

    Out of reach is not out of sight: a `touch_only` obstruction hides nothing.
    """
    here = [item for item in obstructions if item.mode in (None, mode)]
    wall = shapely.box(0.0, 0.0, width_in, height_in)
    seen = wall - union_of(item.shape for item in here if not item.touch_only)
    touched = wall - union_of(item.shape for item in here)
    return summary(
        width_in=width_in, height_in=height_in, openings=openings, seen=seen, touched=touched
    )


def summary(
    *,
    width_in: float,
    height_in: float,
    openings: Sequence[Part] = (),
    seen: BaseGeometry,
    touched: BaseGeometry,
) -> CoverageSummary:
    """Return the areas of what a survey saw and touched; what it touched it saw."""
    whole = shapely.box(0.0, 0.0, width_in, height_in)
    wall = areas_of(whole - union_of(part.shape for part in openings))
    seen_here = areas_of(union_of([seen, touched]) & wall)
    return CoverageSummary(
        wall_sq_in=wall.area,
        openings_sq_in=whole.area - wall.area,
        seen_sq_in=seen_here.area,
        touched_sq_in=areas_of(touched & wall).area,
        hidden_sq_in=areas_of(wall - seen_here).area,
    )


def share_by_cell(part: BaseGeometry, grid: Grid) -> dict[str, float]:
    """Return which share of each cell a part of the wall covers, where it covers any."""
    boxes = cell_boxes(grid)
    shares = shapely.area(shapely.intersection(boxes, part)) / shapely.area(boxes)
    return {cell_label(cell, grid): float(shares[cell]) for cell in np.flatnonzero(shares > 0)}


def cell_states(regions: Regions, grid: Grid) -> tuple[CellState, ...]:
    """Return of each cell, in reading order, whether it was compared, and how much of it.

    *Not examined*: the later survey saw nothing of it. *Not comparable*: seen, but nowhere in
    a mode in which the earlier survey saw it too. Cells that are all opening are left out.
    """
    boxes = cell_boxes(grid)
    wall, compared, seen = (
        _area_in_each(boxes, region)
        for region in (regions.wall, regions.seen_twice, regions.seen_after)
    )
    states: dict[str, CellState] = {}
    for cell in range(len(boxes)):
        if wall[cell] <= SLIVER_SQ_IN:
            continue
        label = cell_label(cell, grid)
        states[label] = _state(label, float(wall[cell]), float(compared[cell]), float(seen[cell]))
    return tuple(states[label] for label in grid.labels() if label in states)


def _area_in_each(boxes: Shapes, region: BaseGeometry) -> NDArray[np.float64]:
    """Return the area of a region in each cell; cells wholly in it are not overlaid."""
    shapely.prepare(region)
    areas: NDArray[np.float64] = np.asarray(shapely.area(boxes))
    cut = ~shapely.covers(region, boxes)
    areas[cut] = shapely.area(shapely.intersection(boxes[cut], region))
    return areas


def _state(label: str, wall: float, compared: float, seen: float) -> CellState:
    if seen <= SLIVER_SQ_IN:
        return CellState(label, "not examined", wall, 0.0, "not seen by the later survey")
    if compared <= SLIVER_SQ_IN:
        return CellState(label, "not comparable", wall, 0.0, "never seen in the same mode twice")
    return CellState(label, "compared", wall, compared)


@dataclass(frozen=True)
class HandOver:
    """What a phase hand-over record may say and no more: cells add up to `cells`."""

    cells: int
    compared: int
    compared_in_part: int
    not_comparable: tuple[str, ...]
    not_examined: tuple[str, ...]
    new_items: int
    grown_items: int
    contradictory_items: int

    @property
    def text(self) -> str:
        """The count in one sentence."""
        return (
            f"{self.cells} cells: {self.compared} compared like for like, "
            f"{len(self.not_comparable)} not comparable, {len(self.not_examined)} not examined; "
            f"{self.new_items} new, {self.grown_items} grown, "
            f"{self.contradictory_items} contradictory."
        )


def hand_over(comparison: Comparison) -> HandOver:
    """Return the phase hand-over count of a comparison."""
    by_state: dict[str, list[CellState]] = {}
    for cell in comparison.cell_states:
        by_state.setdefault(cell.state, []).append(cell)
    compared = by_state.get("compared", [])
    findings = [item.finding for item in comparison.items]
    return HandOver(
        cells=len(comparison.cell_states),
        compared=len(compared),
        compared_in_part=sum(
            cell.wall_sq_in - cell.compared_sq_in > SLIVER_SQ_IN for cell in compared
        ),
        not_comparable=_labels(by_state.get("not comparable", [])),
        not_examined=_labels(by_state.get("not examined", [])),
        new_items=findings.count("new"),
        grown_items=findings.count("grown"),
        contradictory_items=len({query.object_ids or query.item for query in comparison.queries}),
    )


def _labels(cells: Iterable[CellState]) -> tuple[str, ...]:
    return tuple(cell.cell for cell in cells)
