"""How a layout is typed: size, grid, decks, openings, zones and obstructions, row by row."""

import re
from typing import Any

from django import forms

from gridmap.axis import regular_lines
from gridmap.errors import InvalidInput, PontataError
from gridmap.lengths import parse_length_in, snap_in
from gridmap.models import Layout
from survey.vocabulary.words import MODE_NAMES
from survey.walls.description import LayoutDescription, read_layout
from survey.walls.form_fields import BaseRows, DateField, LengthField, NamedForm, refuse, rows_of
from survey.walls.rings import (
    arch_ring,
    circle_ring,
    exact_text,
    points_text,
    recognised,
    rectangle_ring,
    typed_ring,
)

AXIS_NAMES = [("numbers", "Numbers: 01, 02, 03 …"), ("letters", "Letters: A, B, C …")]
SPACING = [("equal", "Equal cells"), ("lines", "Lines at typed places")]
SHAPES = [
    ("rectangle", "Rectangle"),
    ("circle", "Circle"),
    ("arch", "Arch"),
    ("points", "Points"),
]
_MOST_LINES_TEXT = 20_000  # characters


class GridForm(NamedForm):
    """Size and grid of a wall."""

    width = LengthField(
        label="Length of the painting", help_text="From its left end, as one faces it: 84 ft"
    )
    height = LengthField(label="Height of the painting", help_text="From its lower edge: 14 ft")
    column_kind = forms.ChoiceField(label="Columns", choices=SPACING, initial="equal")
    column_spacing = LengthField(label="Width of a cell", required=False, initial="2 ft")
    column_lines = forms.CharField(
        label="Lines across",
        required=False,
        max_length=_MOST_LINES_TEXT,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Distances from the left end, parted by commas: 2 ft, 4' 1 1/2\", 6 ft. "
        "Both ends are added.",
    )
    column_names = forms.ChoiceField(label="Columns named by", choices=AXIS_NAMES)
    column_from = forms.ChoiceField(
        label="Columns counted from", choices=[("left", "the left end"), ("right", "the right end")]
    )
    row_kind = forms.ChoiceField(label="Rows", choices=SPACING, initial="equal")
    row_spacing = LengthField(label="Height of a cell", required=False, initial="2 ft")
    row_lines = forms.CharField(
        label="Lines upwards",
        required=False,
        max_length=_MOST_LINES_TEXT,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Distances from the lower edge, parted by commas. Both ends are added.",
    )
    row_names = forms.ChoiceField(label="Rows named by", choices=AXIS_NAMES, initial="letters")
    row_from = forms.ChoiceField(
        label="Rows counted from", choices=[("top", "the top"), ("bottom", "the bottom")]
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for axis in ("column", "row"):
            spacing = f"{axis}_spacing"
            wanting = cleaned.get(spacing) is None and spacing not in self.errors
            if cleaned.get(f"{axis}_kind") == "equal" and wanting:
                self.add_error(spacing, "Say how large a cell is, such as 2 ft.")
        return cleaned

    def grid(self) -> dict[str, Any]:
        """Return the grid as the description of a wall writes it."""
        typed = self.cleaned_data
        return {
            "columns": self._axis("column", typed["width"]),
            "rows": self._axis("row", typed["height"]),
        }

    def _axis(self, axis: str, total_in: float) -> dict[str, Any]:
        typed = self.cleaned_data
        named = {"names": typed[f"{axis}_names"], "from": typed[f"{axis}_from"]}
        if typed[f"{axis}_kind"] == "equal":
            return {**named, "spacing": typed[f"{axis}_spacing"]}
        return {**named, "lines": lines_between(typed[f"{axis}_lines"], total_in)}


def lines_between(text: str, total_in: float) -> list[float | str]:
    """Return typed line positions with both ends of the wall, left to be read one by one."""
    typed: list[float | str] = [piece.strip() for piece in re.split(r"[,;\n]", text)]
    places = [piece for piece in typed if piece != ""]
    if places and _is_at(places[0], 0.0):
        places = places[1:]
    if places and _is_at(places[-1], total_in):
        places = places[:-1]
    return [0.0, *places, total_in]


def _is_at(text: float | str, place_in: float) -> bool:
    try:
        return snap_in(parse_length_in(text)) == place_in
    except InvalidInput:
        return False


class DeckForm(NamedForm):
    """One lift of the scaffold."""

    name = forms.CharField(label="Deck", max_length=60)
    level_above_floor = LengthField(label="Boards above the floor", minimum_in=0.0)


class ShapeForm(NamedForm):
    """A named shape on the wall: rectangle, circle, arch, or points one by one."""

    name = forms.CharField(label="Name", max_length=60)
    shape = forms.ChoiceField(label="Shape", choices=SHAPES, initial="rectangle")
    x = LengthField(label="From left end", required=False)
    y = LengthField(label="From lower edge", required=False)
    w = LengthField(label="Width", required=False)
    h = LengthField(label="Height", required=False)
    points = forms.CharField(
        label="Points",
        required=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 3, "placeholder": "2 ft, 1' 6\"\n4 ft, 1' 6\"\n…"}),
    )

    def has_changed(self) -> bool:
        """A row in which only a choice was turned says nothing yet."""
        return bool(set(self.changed_data) - {"shape", "mode"})

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        if self.errors:
            return typed
        if typed["shape"] == "points":
            self._take_points(typed)
            return typed
        wanted = ("x", "y", "w") if typed["shape"] == "circle" else ("x", "y", "w", "h")
        for name in wanted:
            if typed.get(name) is None:
                self.add_error(name, f"{self.fields[name].label} is empty; write it as 2' 6\".")
        if not self.errors:
            try:
                typed["ring"] = ring_of(typed)
            except InvalidInput as error:
                refuse(self, error, {"width": "w", "height": "h"})
        return typed

    def _take_points(self, typed: dict[str, Any]) -> None:
        try:
            typed["ring"] = typed_ring(typed["points"])
        except InvalidInput as error:
            self.add_error("points", error.message)


def ring_of(typed: dict[str, Any]) -> list[list[float]]:
    """Return the ring of a typed rectangle, circle or arch."""
    x, y, w, h = (typed[name] or 0.0 for name in ("x", "y", "w", "h"))
    if typed["shape"] == "circle":
        return circle_ring(centre_x_in=x, centre_y_in=y, across_in=w)
    if typed["shape"] == "arch":
        return arch_ring(centre_x_in=x, lower_in=y, width_in=w, height_in=h)
    return rectangle_ring(left_in=x, lower_in=y, width_in=w, height_in=h)


class ObstructionForm(ShapeForm):
    """What stands before the wall for a time, and hides it or keeps the hand away."""

    cause = forms.CharField(label="Cause", max_length=200, required=False)
    mode = forms.ChoiceField(
        label="In",
        required=False,
        choices=[("", "every mode"), *MODE_NAMES.items()],
    )
    touch_only = forms.BooleanField(label="Seen but out of reach", required=False)
    first_day = DateField(label="From", required=False)
    last_day = DateField(label="To", required=False)

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        first, last = typed.get("first_day"), typed.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", f"{last} lies before {first}.")
        return typed


Decks = rows_of(DeckForm)
Shapes = rows_of(ShapeForm)
Obstructions = rows_of(ObstructionForm)
ROWS: dict[str, type[BaseRows]] = {
    "decks": Decks,
    "openings": Shapes,
    "zones": Shapes,
    "obstructions": Obstructions,
}


class LayoutForms:
    """The grid with its rows, taken as one: valid together, or shown again with what was typed."""

    def __init__(self, data: Any = None, *, initial: dict[str, Any] | None = None) -> None:
        initial = initial or {}
        self.grid = GridForm(data, initial=initial.get("grid"))
        self.rows = {
            prefix: rows(data, prefix=prefix, initial=initial.get(prefix))
            for prefix, rows in ROWS.items()
        }

    def is_valid(self) -> bool:
        """Check every part, so that each says what is wrong with it."""
        answers = [self.grid.is_valid(), *[rows.is_valid() for rows in self.rows.values()]]
        return all(answers)

    def description(self) -> LayoutDescription | None:
        """Return the layout, or None after putting the refusal beside its field."""
        typed = self.grid.cleaned_data
        try:
            return read_layout(
                {
                    "width": typed["width"],
                    "height": typed["height"],
                    "grid": self.grid.grid(),
                    "decks": [
                        {"name": row["name"], "level_above_floor": row["level_above_floor"]}
                        for _, row in self.rows["decks"].filled
                    ],
                    "openings": [_shape(row) for _, row in self.rows["openings"].filled],
                    "zones": [_shape(row) for _, row in self.rows["zones"].filled],
                    "obstructions": [
                        _obstruction(row) for _, row in self.rows["obstructions"].filled
                    ],
                }
            )
        except PontataError as error:
            self._place(error)
            return None

    def _place(self, error: PontataError) -> None:
        """Put a refusal of the whole description beside the row or field that it names."""
        where = error.field or ""
        row = re.match(r"(decks|openings|zones|obstructions)\[(\d+)\]", where)
        if row:
            rows = self.rows[row.group(1)]
            place = rows.filled[int(row.group(2))][0]
            name = "points" if where.endswith("polygon") else "name"
            form = rows.forms[place]
            if name == "points" and form.cleaned_data["shape"] != "points":
                name = "x"
            form.add_error(name, error.message)
            return
        axis = re.match(r"grid\.(column|row)s\.(spacing|lines)", where)
        if axis:
            self.grid.add_error(f"{axis.group(1)}_{axis.group(2)}", error.message)
            return
        refuse(self.grid, error)


def _shape(row: dict[str, Any]) -> dict[str, Any]:
    return {"name": row["name"], "polygon": row["ring"]}


def _obstruction(row: dict[str, Any]) -> dict[str, Any]:
    first, last = row.get("first_day"), row.get("last_day")
    return {
        **_shape(row),
        "cause": row["cause"],
        "mode": row["mode"] or None,
        "touch_only": row["touch_only"],
        "from": first.isoformat() if first else None,
        "to": last.isoformat() if last else None,
    }


def typed_layout(layout: Layout) -> dict[str, Any]:
    """Return a kept layout as a person would type it, to be changed into a new version."""
    return {
        "grid": {
            "width": exact_text(layout.width_in),
            "height": exact_text(layout.height_in),
            **_typed_axis("column", layout.grid_json["columns"]),
            **_typed_axis("row", layout.grid_json["rows"]),
        },
        "decks": [
            {
                "name": deck["name"],
                "level_above_floor": exact_text(deck["level_above_floor_in"]),
            }
            for deck in layout.decks
        ],
        "openings": [_typed_shape(part) for part in layout.openings],
        "zones": [_typed_shape(part) for part in layout.zones],
        "obstructions": [
            {
                **_typed_shape(part),
                "cause": part.get("cause", ""),
                "mode": part.get("mode") or "",
                "touch_only": part.get("touch_only", False),
                "first_day": part.get("from"),
                "last_day": part.get("to"),
            }
            for part in layout.obstructions
        ],
    }


def _typed_axis(name: str, axis: dict[str, Any]) -> dict[str, Any]:
    lines = axis["lines"]
    typed = {f"{name}_names": axis["names"], f"{name}_from": axis["from"]}
    spacing_in = _equal_spacing_in(lines, axis["from"])
    if spacing_in is not None:
        return {**typed, f"{name}_kind": "equal", f"{name}_spacing": exact_text(spacing_in)}
    return {
        **typed,
        f"{name}_kind": "lines",
        f"{name}_spacing": "",
        f"{name}_lines": ", ".join(exact_text(line) for line in lines[1:-1]),
    }


def _equal_spacing_in(lines: list[float], reads_from: str) -> float | None:
    """Return the spacing that gives these lines from their origin, or None."""
    first = lines[1] - lines[0] if reads_from in ("left", "bottom") else lines[-1] - lines[-2]
    if first < 1.0:
        return None
    same = regular_lines(lines[-1], first, reads_from, "columns") == tuple(lines)
    return first if same else None


def _typed_shape(part: dict[str, Any]) -> dict[str, Any]:
    shape, sizes = recognised(part["polygon"])
    if shape == "points":
        return {"name": part["name"], "shape": shape, "points": points_text(part["polygon"])}
    x = sizes["left_in"] if shape == "rectangle" else sizes["centre_x_in"]
    y = sizes["centre_y_in"] if shape == "circle" else sizes["lower_in"]
    w = sizes["across_in"] if shape == "circle" else sizes["width_in"]
    h = sizes.get("height_in")
    return {
        "name": part["name"],
        "shape": shape,
        "x": exact_text(x),
        "y": exact_text(y),
        "w": exact_text(w),
        "h": "" if h is None else exact_text(h),
    }
