"""What a layout comes to, and what on a wall needs a person: reads for the pages of this room."""

from dataclasses import dataclass
from typing import Any

import shapely

from gridmap.axis import Axis
from gridmap.lengths import format_area, format_feet_inches
from gridmap.models import Layout, Wall
from gridmap.strip import AreaInk
from survey.walls.description import LayoutDescription
from survey.walls.services import layout_of

HALF_LETTER_OF_WIDTH = 0.0032  # of the wall's width: half of a letter as the strip prints it


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


def zone_inks(layout: Layout) -> list[AreaInk]:
    """Return the zones of a layout as the strip draws them, each with its name inside."""
    inks = []
    for zone in layout.zones:
        place = shapely.make_valid(shapely.Polygon(zone["polygon"])).representative_point()
        half_in = HALF_LETTER_OF_WIDTH * layout.width_in * len(zone["name"])
        inks.append(
            AreaInk(
                rings=[zone["polygon"]],
                style="strip-zone",
                words=f"Zone: {zone['name']}",
                text=zone["name"],
                text_at_in=(_within(place.x, half_in, layout.width_in - half_in), place.y),
            )
        )
    return inks


def _within(value: float, least: float, most: float) -> float:
    return max(least, min(value, most)) if least <= most else value


def layout_facts(layout: Layout) -> dict[str, Any]:
    """Return a layout with its counts and zones for a page."""
    return {"layout": layout, "summary": grid_summary(layout), "zones": zone_inks(layout)}


def layout_as_typed(described: LayoutDescription, *, base_above_floor_in: float) -> Layout:
    """Return the layout that a description would become, without keeping it."""
    return layout_of(Wall(base_above_floor_in=base_above_floor_in), described, version=0)
