"""How do shapes, hatches and letters become PDF operators?

Plates carry thousands of marks, so they are written as operators straight into the page, with one
form per hatch that each outline clips; paragraphs stay with platypus. Points are 1/72 in.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from shapely.geometry.base import BaseGeometry

from survey.report.fonts import Typeface
from survey.report.layout.style import Type

# A hatch form is drawn in the smallest of these sizes that covers the outline.
HATCH_SIZES_PT = (24, 72, 216, 648, 1944)

LAST = "last page"  # the place whose page number is the number of pages


@lru_cache(maxsize=256)
def rgb(colour: str) -> str:
    """Return "#rrggbb" as three PDF operands between 0 and 1."""
    return " ".join(f"{int(colour[i : i + 2], 16) / 255:.3f}" for i in (1, 3, 5))


def fill(colour: str) -> str:
    """Set the fill colour."""
    return f"{rgb(colour)} rg "


def stroke(colour: str, width_pt: float, dash: str = "[] 0") -> str:
    """Set stroke colour, line width and dash."""
    return f"{rgb(colour)} RG {width_pt:g} w {dash} d "


def rectangle(x: float, y: float, width: float, height: float) -> str:
    """Add a rectangle to the path [pt]."""
    return f"{x:.2f} {y:.2f} {width:.2f} {height:.2f} re "


def segment(x0: float, y0: float, x1: float, y1: float) -> str:
    """Stroke one straight line [pt]."""
    return f"{x0:.2f} {y0:.2f} m {x1:.2f} {y1:.2f} l S "


def circle(x: float, y: float, radius: float) -> str:
    """Add a circle to the path [pt] by four curves."""
    k = 0.5523 * radius
    return (
        f"{x + radius:.2f} {y:.2f} m "
        f"{x + radius:.2f} {y + k:.2f} {x + k:.2f} {y + radius:.2f} {x:.2f} {y + radius:.2f} c "
        f"{x - k:.2f} {y + radius:.2f} {x - radius:.2f} {y + k:.2f} {x - radius:.2f} {y:.2f} c "
        f"{x - radius:.2f} {y - k:.2f} {x - k:.2f} {y - radius:.2f} {x:.2f} {y - radius:.2f} c "
        f"{x + k:.2f} {y - radius:.2f} {x + radius:.2f} {y - k:.2f} {x + radius:.2f} {y:.2f} c h "
    )


@dataclass(frozen=True)
class Frame:
    """Where wall inches fall on the page: x_pt = left_pt + (x_in - x0_in) * scale."""

    x0_in: float
    y0_in: float
    scale_pt_per_in: float
    left_pt: float = 0.0
    bottom_pt: float = 0.0

    def at(self, x_in: float, y_in: float) -> tuple[float, float]:
        """Return the page position [pt] of a wall position [in]."""
        return (
            self.left_pt + (x_in - self.x0_in) * self.scale_pt_per_in,
            self.bottom_pt + (y_in - self.y0_in) * self.scale_pt_per_in,
        )

    def box(self, bounds_in: tuple[float, float, float, float]) -> str:
        """Add a wall rectangle to the path."""
        x0, y0 = self.at(bounds_in[0], bounds_in[1])
        x1, y1 = self.at(bounds_in[2], bounds_in[3])
        return rectangle(x0, y0, x1 - x0, y1 - y0)

    def paths(self, shapes: Sequence[BaseGeometry]) -> list[str]:
        """Return one path per shape: rings closed, lines open, points left out (an empty path)."""
        parts, of_shape = shapely.get_parts(np.asarray(shapes, dtype=object), return_index=True)
        # Collections nest one level in what validity repair leaves behind.
        parts, of_part = shapely.get_parts(parts, return_index=True)
        of_shape = of_shape[of_part]
        kinds = shapely.get_type_id(parts)
        areal = kinds == shapely.GeometryType.POLYGON
        rings, of_ring = shapely.get_rings(parts[areal], return_index=True)
        lines = (kinds == shapely.GeometryType.LINESTRING) | (
            kinds == shapely.GeometryType.LINEARRING
        )
        curves = np.concatenate([rings, parts[lines]])
        owners = np.concatenate([of_shape[areal][of_ring], of_shape[lines]])
        found = [""] * len(shapes)
        for number, (owner, text) in enumerate(zip(owners, self._curves(curves), strict=True)):
            found[owner] += text + ("h " if number < len(rings) else "")
        return found

    def _curves(self, curves: np.ndarray) -> list[str]:
        if not len(curves):
            return []
        counts = shapely.get_num_coordinates(curves)
        at = (shapely.get_coordinates(curves) - (self.x0_in, self.y0_in)) * self.scale_pt_per_in
        flat = np.add(at, (self.left_pt, self.bottom_pt)).ravel().tolist()
        texts, start = [], 0
        for count in counts.tolist():
            end = start + 2 * count
            texts.append(_curve_template(count) % tuple(flat[start:end]))
            start = end
        return texts


@lru_cache(maxsize=1024)
def _curve_template(count: int) -> str:
    return "%.2f %.2f m " + "%.2f %.2f l " * (count - 1)


@dataclass
class Press:
    """What the drawings of one document share: its canvas, letters already set, hatches in use."""

    canvas: Canvas
    typeface: Typeface
    _set: dict[tuple[str, str], list[tuple[str, str]]] = field(default_factory=dict)
    forms: dict[str, tuple[str, tuple[float, float, float, float]]] = field(default_factory=dict)
    promised: dict[str, tuple[str, Type]] = field(default_factory=dict)
    pages: dict[str, int] = field(default_factory=dict)  # page number by place
    _plain_names: dict[str, str] = field(default_factory=dict)  # a PDF name holds no spaces

    def text(self, shown: str, x: float, y: float, face: Type, *, align: str = "left") -> str:
        """Return operators that set one line of text at a baseline [pt], in the face's colour."""
        return fill(face.colour) + self.letters(shown, x, y, face, align=align)

    def letters(self, shown: str, x: float, y: float, face: Type, *, align: str = "left") -> str:
        """Return operators that set one line of text in the colours already chosen."""
        if align != "left":
            width = pdfmetrics.stringWidth(self.typeface.printable(shown), face.font, face.size_pt)
            x -= width if align == "right" else width / 2
        runs = self._runs(shown, face.font)
        body = " ".join(f"{name} {face.size_pt:g} Tf ({codes}) Tj" for name, codes in runs)
        return f"BT 1 0 0 1 {x:.2f} {y:.2f} Tm {body} ET "

    def width_of(self, shown: str, face: Type) -> float:
        """Return the width [pt] of one line of text."""
        return float(pdfmetrics.stringWidth(shown, face.font, face.size_pt))

    def haloed(self, shown: str, x: float, y: float, face: Type, *, align: str = "left") -> str:
        """Return text with a white rim, so that it is read on any picture."""
        letters = self.letters(shown, x, y, face, align=align)
        return f"q 1 G 1 j 2 w 1 Tr {letters}0 Tr {fill(face.colour)}{letters}Q "

    def page_of(self, place: str, right_x: float, baseline: float, face: Type) -> str:
        """Print a place's page number, right-aligned and linked; it is filled in at the end."""
        area = (right_x - 24, baseline - 2.5, right_x + 2, baseline + face.size_pt)
        self.canvas.linkRect("", place, area, relative=1, thickness=0)
        return self._promise(place, right_x, baseline, face)

    def page_count_at(self, left_x: float, baseline: float, face: Type) -> str:
        """Print the number of pages, which is known at the end only, left-aligned."""
        return self._promise(LAST, left_x, baseline, face)

    def _promise(self, place: str, x: float, baseline: float, face: Type) -> str:
        name = f"page {place} {face.font} {face.size_pt:g}"
        self.promised.setdefault(name, (place, face))
        return f"q 1 0 0 1 {x:.2f} {baseline:.2f} cm {self.use(name)}Q "

    def use(self, name: str) -> str:
        """Return the operator that paints a form, which may be defined later."""
        plain = self._plain_names.setdefault(name, f"f{len(self._plain_names)}")
        self.canvas._formsinuse.append(plain)
        return f"/{self.canvas._doc.getXObjectName(plain)} Do "

    def use_once_drawn(
        self, name: str, operators: str, bounds_pt: tuple[float, float, float, float]
    ) -> str:
        """Return the operator that paints a form, keeping its drawing for the document's end."""
        self.forms.setdefault(name, (operators, bounds_pt))
        return self.use(name)

    def define_forms(self, page_count: int) -> None:
        """Write down every form that was used; call once, after the last page."""
        self.pages[LAST] = page_count
        for name, (place, face) in self.promised.items():
            number = str(self.pages.get(place, "–"))
            align = "left" if place == LAST else "right"
            operators = self.text(number, 0, 0, face, align=align)
            self.forms[name] = (operators, (-40.0, -5.0, 40.0, 15.0))
        for name, (operators, bounds) in self.forms.items():
            self.canvas.beginForm(self._plain_names[name], *bounds)
            self.canvas._code.append(operators)
            self.canvas.endForm()

    def _runs(self, shown: str, font_name: str) -> list[tuple[str, str]]:
        key = (shown, font_name)
        if key not in self._set:
            font: Any = pdfmetrics.getFont(font_name)
            document = self.canvas._doc
            self._set[key] = [
                (font.getSubsetInternalName(subset, document), self.canvas._escape(codes))
                for subset, codes in font.splitString(self.typeface.printable(shown), document)
            ]
        return self._set[key]
