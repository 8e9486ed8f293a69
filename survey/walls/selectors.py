"""What a layout comes to, and what on a wall needs a person: reads for the pages of this room."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from shapely.geometry.base import BaseGeometry

from gridmap.axis import Axis
from gridmap.lengths import format_area, format_feet_inches
from gridmap.models import Layout
from survey.walls.description import LayoutDescription
from survey.walls.drawing import Strip, strip_of

Mark = tuple[BaseGeometry, Mapping[str, str]]


@dataclass(frozen=True)
class GridSummary:
    """How many cells a grid has, how large the wall is, and which cells are part cells."""

    columns: int
    rows: int
    cells: int
    area_sq_in: float
    part_cells: tuple[str, ...]

    @property
    def text(self) -> str:
        """The summary in one sentence."""
        return (
            f"{self.columns} {_plural('column', self.columns)}, "
            f"{self.rows} {_plural('row', self.rows)}, {self.cells:,} "
            f"{_plural('cell', self.cells)}, {format_area(self.area_sq_in)}"
        )


def grid_summary(layout: Layout | LayoutDescription) -> GridSummary:
    """Return how a layout's grid comes out."""
    columns, rows = layout.grid.shape
    return GridSummary(
        columns=columns,
        rows=rows,
        cells=layout.grid.cell_count,
        area_sq_in=layout.width_in * layout.height_in,
        part_cells=(
            *_part_cells(layout.grid.columns, "column", "wide"),
            *_part_cells(layout.grid.rows, "row", "high"),
        ),
    )


def _part_cells(axis: Axis, word: str, size: str) -> tuple[str, ...]:
    """Say where the strip at an end is narrower than all the others, which are alike."""
    if len(axis) < 2:
        return ()
    widths = [b - a for a, b in zip(axis.lines_in, axis.lines_in[1:], strict=False)]
    if axis.reads_backwards:
        widths.reverse()
    *whole, last = widths
    alike = max(whole) - min(whole) <= 2 / 256  # two snapped lines
    if alike and last < min(whole) - 2 / 256:
        name = axis.first_and_last[1]
        return (f"last {word} {name} {format_feet_inches(last)} {size}",)
    return ()


def _plural(word: str, count: int) -> str:
    return word if count == 1 else f"{word}s"


def strip_of_layout(layout: Layout, *, marks: Iterable[Mark] = ()) -> Strip:
    """Return the drawing of a kept layout."""
    return strip_of(
        width_in=layout.width_in,
        height_in=layout.height_in,
        grid=layout.grid,
        base_above_floor_in=layout.wall.base_above_floor_in,
        openings=layout.openings,
        zones=layout.zones,
        decks=layout.decks,
        obstructions=layout.obstructions,
        marks=marks,
    )


def strip_of_description(layout: LayoutDescription, *, base_above_floor_in: float) -> Strip:
    """Return the drawing of a layout that is only described yet."""
    return strip_of(
        width_in=layout.width_in,
        height_in=layout.height_in,
        grid=layout.grid,
        base_above_floor_in=base_above_floor_in,
        openings=layout.openings,
        zones=layout.zones,
        decks=layout.decks,
        obstructions=layout.obstructions,
    )


def layout_facts(layout: Layout) -> dict[str, Any]:
    """Return a layout's sizes, counts and drawing for a page."""
    return {
        "layout": layout,
        "summary": grid_summary(layout),
        "strip": strip_of_layout(layout),
    }
