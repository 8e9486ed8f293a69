"""Which cell of the wall is a point in, and what is the cell called?

A grid is two sorted lists of line positions [wall in] and a naming rule for each; cells are only
an index into the wall. This module must not know of outlines or of what was seen.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from gridmap.axis import (
    MAXIMUM_CELLS,
    Axis,
    Names,
    Start,
    axis_from_json,
    regular_lines,
    require_keys,
    require_lines,
)
from gridmap.errors import InvalidInput
from gridmap.lengths import format_feet_inches, quoted

MAXIMUM_LABEL_LENGTH = 20  # characters

_LABEL = re.compile(r"([A-Z]+|[0-9]+)[.\-]?([A-Z]+|[0-9]+)")


@dataclass(frozen=True)
class Grid:
    """Columns and rows of cells; a label names the row first, then the column (C17)."""

    columns: Axis
    rows: Axis

    def __post_init__(self) -> None:
        require_lines(self.columns, "columns")
        require_lines(self.rows, "rows")
        if self.cell_count > MAXIMUM_CELLS:
            raise InvalidInput(
                f"grid: {len(self.columns):,} columns by {len(self.rows):,} rows are "
                f"{self.cell_count:,} cells; the limit is {MAXIMUM_CELLS:,}. Use wider cells.",
                field="grid",
            )

    @classmethod
    def regular(
        cls,
        *,
        width_in: float,
        height_in: float,
        column_spacing_in: float,
        row_spacing_in: float,
        column_names: Names = "numbers",
        columns_from: Start = "left",
        row_names: Names = "letters",
        rows_from: Start = "top",
    ) -> "Grid":
        """Return a grid of equal cells counted from its origin; what is left over at the far
        end is a part cell."""
        return cls(
            columns=Axis(
                regular_lines(width_in, column_spacing_in, columns_from, "columns"),
                column_names,
                columns_from,
            ),
            rows=Axis(
                regular_lines(height_in, row_spacing_in, rows_from, "rows"), row_names, rows_from
            ),
        )

    @classmethod
    def from_json(
        cls,
        description: Mapping[str, Any],
        width_in: float | None = None,
        height_in: float | None = None,
    ) -> "Grid":
        """Return the grid of a JSON description with "spacing" or "lines" for each axis.

        With width and height [in] given, lines must run from 0 to them; spacing needs them.
        Raises InvalidInput naming the key, the value and the limit.
        """
        require_keys(description, "grid", ("columns", "rows"))
        return cls(
            columns=axis_from_json(description["columns"], "columns", width_in),
            rows=axis_from_json(description["rows"], "rows", height_in),
        )

    def to_json(self) -> dict[str, dict[str, Any]]:
        """Return the description that `from_json` reads back to an equal grid."""
        return {
            name: {
                "lines": list(axis.lines_in),
                "names": axis.names,
                "from": axis.reads_from,
            }
            for name, axis in (("columns", self.columns), ("rows", self.rows))
        }

    @property
    def shape(self) -> tuple[int, int]:
        """How many columns and rows."""
        return len(self.columns), len(self.rows)

    @property
    def cell_count(self) -> int:
        return len(self.columns) * len(self.rows)

    @property
    def extent_in(self) -> tuple[float, float, float, float]:
        """The rectangle that the cells cover, x0, y0, x1, y1 [wall in]."""
        columns, rows = self.columns.lines_in, self.rows.lines_in
        return columns[0], rows[0], columns[-1], rows[-1]

    def labels(self) -> list[str]:
        """Return every label in reading order: row by row, each from the column origin."""
        column_order = _reading_order(self.columns)
        return [
            self.label(column, row) for row in _reading_order(self.rows) for column in column_order
        ]

    def label(self, column: int, row: int) -> str:
        """Return the label of a cell counted from 0 in wall order (left to right, bottom up)."""
        if not (0 <= column < len(self.columns) and 0 <= row < len(self.rows)):
            raise IndexError(f"no column {column} and row {row} in a grid of {self.shape}")
        return f"{self.rows.strip_names[row]}{self._joint}{self.columns.strip_names[column]}"

    def position(self, label: str) -> tuple[int, int]:
        """Return column and row, from 0 in wall order, of a label.

        Case, spaces and leading zeros do not matter: c7 is C07. Raises InvalidInput with the
        range of labels.
        """
        found = self._position(label)
        if found is None:
            raise InvalidInput(
                f"cell: {quoted(label)} is no cell here. {self._range()}", field="cell"
            )
        return found

    def cell_at(self, x_in: float, y_in: float) -> str | None:
        """Return the label of the cell at a point [wall in], None beyond the grid.

        A cell holds its left and lower line; the grid's right and top line belong to the last
        column and row, so that every point of the wall is in exactly one cell.
        """
        column, row = self.columns.place_at(x_in), self.rows.place_at(y_in)
        return None if column is None or row is None else self.label(column, row)

    def bounds(self, label: str) -> tuple[float, float, float, float]:
        """Return x0, y0, x1, y1 [wall in] of a cell."""
        column, row = self.position(label)
        columns, rows = self.columns.lines_in, self.rows.lines_in
        return columns[column], rows[row], columns[column + 1], rows[row + 1]

    def to_local(self, x_in: float, y_in: float) -> tuple[str, float, float]:
        """Return the cell of a point and the point's place [in] from that cell's lower left."""
        label = self.cell_at(x_in, y_in)
        if label is None:
            x0, y0, x1, y1 = self.extent_in
            raise InvalidInput(
                f"point: {x_in} in, {y_in} in lies beyond the grid, which runs from "
                f"{x0:g} to {x1:g} in across and from {y0:g} to {y1:g} in up.",
                field="point",
            )
        x0, y0, _, _ = self.bounds(label)
        return label, x_in - x0, y_in - y0

    def from_local(self, label: str, dx_in: float, dy_in: float) -> tuple[float, float]:
        """Return the wall point [in] of a place counted from a cell's lower left corner.

        The place may lie beyond the cell: an outline may cross cell lines.
        """
        x0, y0, _, _ = self.bounds(label)
        return x0 + dx_in, y0 + dy_in

    def place_text(self, x_in: float, y_in: float) -> str:
        """Return where a point [wall in] is, for people: C17, 1′ 3 ½″ across, 4″ up."""
        label, dx_in, dy_in = self.to_local(x_in, y_in)
        return f"{label}, {format_feet_inches(dx_in)} across, {format_feet_inches(dy_in)} up"

    @property
    def _joint(self) -> str:
        if self.rows.names != self.columns.names:
            return ""
        return "." if self.rows.names == "numbers" else "-"

    def _position(self, label: object) -> tuple[int, int] | None:
        if not isinstance(label, str) or len(label) > MAXIMUM_LABEL_LENGTH:
            return None
        parts = _LABEL.fullmatch("".join(label.split()).upper())
        if parts is None or (self._joint and self._joint not in label):
            return None
        row, column = self.rows.place_of(parts.group(1)), self.columns.place_of(parts.group(2))
        return None if row is None or column is None else (column, row)

    def _range(self) -> str:
        first_row, last_row = self.rows.first_and_last
        first_column, last_column = self.columns.first_and_last
        example = f"{first_row}{self._joint}{first_column}"
        return (
            f"Rows run from {first_row} to {last_row} and columns from {first_column} to "
            f"{last_column}; write the row first, such as {example}."
        )


def _reading_order(axis: Axis) -> Sequence[int]:
    return range(len(axis))[::-1] if axis.reads_backwards else range(len(axis))
