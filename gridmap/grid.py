"""Which cell of the wall is a point in, and what is the cell called?

A grid is two sorted lists of line positions [wall in] and a naming rule for each; cells are only
an index into the wall. This module must not know of outlines or of what was seen.
"""

import math
import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, cast

from gridmap.errors import InvalidInput
from gridmap.lengths import (
    MAXIMUM_LENGTH_IN,
    format_feet_inches,
    format_feet_inches_plain,
    parse_length_in,
    snap_in,
)

MAXIMUM_CELLS = 10_000
MINIMUM_SPACING_IN = 1.0
MAXIMUM_LABEL_LENGTH = 20  # characters

Names = Literal["letters", "numbers"]
Start = Literal["left", "right", "top", "bottom"]

_STARTS: dict[str, tuple[str, str]] = {"columns": ("left", "right"), "rows": ("top", "bottom")}
_LABEL = re.compile(r"([A-Z]+|[0-9]+)[.\-]?([A-Z]+|[0-9]+)")


@dataclass(frozen=True)
class Axis:
    """Lines [wall in] in rising order, how the strips between them are named, and from where.

    Columns read from "left" or "right", rows from "top" or "bottom".
    """

    lines_in: tuple[float, ...]
    names: Names
    reads_from: Start

    def __len__(self) -> int:
        return len(self.lines_in) - 1

    @cached_property
    def strip_names(self) -> tuple[str, ...]:
        """The names of the strips in wall order (left to right, bottom to top)."""
        count = len(self)
        if self.names == "letters":
            names = tuple(_letters(place) for place in range(count))
        else:
            names = tuple(str(place + 1).zfill(len(str(count))) for place in range(count))
        return names[::-1] if self.reads_backwards else names

    @property
    def reads_backwards(self) -> bool:
        """Whether reading runs against wall order."""
        return self.reads_from in ("right", "top")

    @cached_property
    def first_and_last(self) -> tuple[str, str]:
        """The names at both ends, in reading order."""
        ends = self.strip_names[0], self.strip_names[-1]
        return (ends[1], ends[0]) if self.reads_backwards else ends

    @cached_property
    def _places(self) -> dict[str, int]:
        return {_bare(name): place for place, name in enumerate(self.strip_names)}

    def place_of(self, name: str) -> int | None:
        """Return the wall-order place of a strip by name, with or without leading zeros."""
        return self._places.get(_bare(name))

    def place_at(self, position_in: float) -> int | None:
        """Return the strip that holds a position: its lower line belongs to it, its upper line
        to the next strip; the very last line belongs to the last strip."""
        if not self.lines_in[0] <= position_in <= self.lines_in[-1]:
            return None
        return min(bisect_right(self.lines_in, position_in), len(self)) - 1


@dataclass(frozen=True)
class Grid:
    """Columns and rows of cells; a label names the row first, then the column (C17)."""

    columns: Axis
    rows: Axis

    def __post_init__(self) -> None:
        _require_lines(self.columns, "columns")
        _require_lines(self.rows, "rows")
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
                _regular_lines(width_in, column_spacing_in, columns_from, "columns"),
                column_names,
                columns_from,
            ),
            rows=Axis(
                _regular_lines(height_in, row_spacing_in, rows_from, "rows"), row_names, rows_from
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
        _require_keys(description, "grid", required=("columns", "rows"), allowed=("columns", "rows"))
        return cls(
            columns=_axis_from_json(description["columns"], "columns", width_in),
            rows=_axis_from_json(description["rows"], "rows", height_in),
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
            raise InvalidInput(f"cell: {_quoted(label)} is no cell here. {self._range()}", field="cell")
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


def _letters(place: int) -> str:
    """Return A, B … Z, AA, AB … for 0, 1 … 25, 26, 27 …"""
    name, rest = "", place + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def _bare(name: str) -> str:
    return name.lstrip("0") or "0"


def _reading_order(axis: Axis) -> Sequence[int]:
    return range(len(axis))[::-1] if axis.reads_backwards else range(len(axis))


def _regular_lines(
    total_in: float, spacing_in: float, reads_from: str, axis: str
) -> tuple[float, ...]:
    field = f"grid.{axis}.spacing"
    if not (math.isfinite(total_in) and 0 < total_in <= MAXIMUM_LENGTH_IN):
        raise InvalidInput(
            f"{field}: the wall must be longer than 0 and at most {MAXIMUM_LENGTH_IN:,.0f} in "
            f"along its {axis}, not {total_in} in.",
            field=field,
        )
    if not (math.isfinite(spacing_in) and spacing_in >= MINIMUM_SPACING_IN):
        raise InvalidInput(
            f"{field}: {spacing_in} in is below the limit of {MINIMUM_SPACING_IN:g} in.", field=field
        )
    if total_in / spacing_in > MAXIMUM_CELLS:
        raise InvalidInput(
            f"{field}: {spacing_in} in gives {math.ceil(total_in / spacing_in):,} {axis}; "
            f"the limit is {MAXIMUM_CELLS:,} cells. Use wider cells.",
            field=field,
        )
    end_in = snap_in(total_in)
    from_origin = [0.0]
    while (line_in := snap_in(len(from_origin) * spacing_in)) < end_in:
        from_origin.append(line_in)
    from_origin.append(end_in)
    if reads_from in ("right", "top"):
        return tuple(end_in - line_in for line_in in reversed(from_origin))
    return tuple(from_origin)


def _require_lines(axis: Axis, name: str) -> None:
    _require_choice(axis.names, ("letters", "numbers"), f"grid.{name}.names")
    _require_choice(axis.reads_from, _STARTS[name], f"grid.{name}.from")
    field = f"grid.{name}.lines"
    if len(axis.lines_in) < 2:
        raise InvalidInput(f"{field}: {len(axis.lines_in)} given; at least 2 are needed.", field=field)
    for before_in, line_in in zip(axis.lines_in, axis.lines_in[1:], strict=False):
        if not (math.isfinite(line_in) and math.isfinite(before_in) and before_in < line_in):
            raise InvalidInput(
                f"{field}: {line_in} in follows {before_in} in; each line must be above the one "
                f"before it by at least 1/256 in.",
                field=field,
            )


def _require_choice(value: object, choices: tuple[str, ...], field: str) -> None:
    if value not in choices:
        raise InvalidInput(
            f"{field}: {_quoted(value)} is not one of {', '.join(choices)}.", field=field
        )


def _require_keys(
    value: object, field: str, *, required: tuple[str, ...], allowed: tuple[str, ...]
) -> None:
    if not isinstance(value, Mapping):
        raise InvalidInput(
            f"{field}: {_quoted(value)} is not an object with the keys {', '.join(required)}.",
            field=field,
        )
    for key in required:
        if key not in value:
            raise InvalidInput(f"{field}.{key} is missing.", field=f"{field}.{key}")
    for key in value:
        if key not in allowed:
            raise InvalidInput(
                f"{field}: the key {_quoted(key)} is not known. Known keys: {', '.join(allowed)}.",
                field=field,
            )


def _axis_from_json(description: Any, name: str, total_in: float | None) -> Axis:
    field = f"grid.{name}"
    _require_keys(
        description, field, required=("names", "from"), allowed=("names", "from", "lines", "spacing")
    )
    if ("lines" in description) == ("spacing" in description):
        raise InvalidInput(f'{field}: give either "spacing" or "lines".', field=field)
    _require_choice(description["names"], ("letters", "numbers"), f"{field}.names")
    _require_choice(description["from"], _STARTS[name], f"{field}.from")
    names, reads_from = cast(Names, description["names"]), cast(Start, description["from"])
    if "lines" in description:
        return Axis(_lines_from_json(description["lines"], field, total_in), names, reads_from)
    if total_in is None:
        raise InvalidInput(f"{field}.spacing needs the wall's width and height.", field=field)
    spacing_in = parse_length_in(
        description["spacing"], field=f"{field}.spacing", minimum_in=MINIMUM_SPACING_IN
    )
    return Axis(_regular_lines(total_in, spacing_in, reads_from, name), names, reads_from)


def _lines_from_json(lines: Any, axis_field: str, total_in: float | None) -> tuple[float, ...]:
    field = f"{axis_field}.lines"
    if not isinstance(lines, (list, tuple)):
        raise InvalidInput(f"{field}: {_quoted(lines)} is not a list of lengths.", field=field)
    if len(lines) > MAXIMUM_CELLS + 1:
        raise InvalidInput(
            f"{field}: {len(lines):,} lines given; the limit is {MAXIMUM_CELLS + 1:,}.", field=field
        )
    positions_in = tuple(
        snap_in(parse_length_in(line, field=f"{field}[{place}]", minimum_in=0.0))
        for place, line in enumerate(lines)
    )
    if total_in is not None and positions_in:
        ends_in = (0.0, snap_in(total_in))
        if (positions_in[0], positions_in[-1]) != ends_in:
            raise InvalidInput(
                f"{field}: runs from {format_feet_inches_plain(positions_in[0])} to "
                f"{format_feet_inches_plain(positions_in[-1])}; the first line must be 0 and the "
                f"last {format_feet_inches_plain(ends_in[1], denominator=256)}, the wall's own size.",
                field=field,
            )
    return positions_in


def _quoted(value: object) -> str:
    text = value if isinstance(value, str) else repr(value)
    return f"“{text[:40]}{'…' if len(text) > 40 else ''}”"
