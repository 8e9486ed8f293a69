"""Where do the grid lines of one axis lie, and what are the strips between them called?

Lines are positions [wall in] on the lattice; this module must not know of cells.
"""

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, cast

from gridmap.errors import InvalidInput
from gridmap.lengths import (
    MAXIMUM_LENGTH_IN,
    format_feet_inches_plain,
    parse_length_in,
    quoted,
    snap_in,
)

MAXIMUM_CELLS = 10_000
MINIMUM_SPACING_IN = 1.0

Names = Literal["letters", "numbers"]
Start = Literal["left", "right", "top", "bottom"]

_STARTS: dict[str, tuple[str, str]] = {"columns": ("left", "right"), "rows": ("top", "bottom")}


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


def regular_lines(
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
            f"{field}: {spacing_in} in is below the limit of {MINIMUM_SPACING_IN:g} in.",
            field=field,
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


def axis_from_json(description: Any, name: str, total_in: float | None) -> Axis:
    field = f"grid.{name}"
    require_keys(description, field, ("names", "from"))
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
    return Axis(regular_lines(total_in, spacing_in, reads_from, name), names, reads_from)


def require_lines(axis: Axis, name: str) -> None:
    _require_choice(axis.names, ("letters", "numbers"), f"grid.{name}.names")
    _require_choice(axis.reads_from, _STARTS[name], f"grid.{name}.from")
    field = f"grid.{name}.lines"
    if len(axis.lines_in) < 2:
        raise InvalidInput(
            f"{field}: {len(axis.lines_in)} given; at least 2 are needed.", field=field
        )
    for before_in, line_in in zip(axis.lines_in, axis.lines_in[1:], strict=False):
        if not (math.isfinite(line_in) and math.isfinite(before_in) and before_in < line_in):
            raise InvalidInput(
                f"{field}: {line_in} in follows {before_in} in; each line must be above the one "
                f"before it by at least 1/256 in.",
                field=field,
            )


def require_keys(value: object, field: str, required: tuple[str, ...]) -> None:
    if not isinstance(value, Mapping):
        raise InvalidInput(
            f"{field}: {quoted(value)} is not an object with the keys {', '.join(required)}.",
            field=field,
        )
    for key in required:
        if key not in value:
            raise InvalidInput(f"{field}.{key} is missing.", field=f"{field}.{key}")


def _require_choice(value: object, choices: tuple[str, ...], field: str) -> None:
    if value not in choices:
        raise InvalidInput(
            f"{field}: {quoted(value)} is not one of {', '.join(choices)}.", field=field
        )


def _lines_from_json(lines: Any, axis_field: str, total_in: float | None) -> tuple[float, ...]:
    field = f"{axis_field}.lines"
    if not isinstance(lines, (list, tuple)):
        raise InvalidInput(f"{field}: {quoted(lines)} is not a list of lengths.", field=field)
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
                f"last {format_feet_inches_plain(ends_in[1], denominator=256)}, the wall's size.",
                field=field,
            )
    return positions_in


def _letters(place: int) -> str:
    """Return A, B … Z, AA, AB … for 0, 1 … 25, 26, 27 …"""
    name, rest = "", place + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def _bare(name: str) -> str:
    return name.lstrip("0") or "0"
