"""How the whole wall is drawn as a strip to scale: an SVG of its grid, decks, openings and marks.

Pure: gives text, knows no page. One unit of the drawing is one wall inch; y is turned down.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from gridmap.grid import Grid
from gridmap.marks import Mark, svg_path

MARGIN_IN = 0.022  # of the wall's width, on each side, for labels
LABEL_EVERY_PX = 26.0  # at the width the strip usually has on a page
USUAL_WIDTH_PX = 1120.0
HATCH_STEP_SHARE = 0.055  # of the wall's height, between two hatch lines

Ring = Sequence[Sequence[float]]


@dataclass(frozen=True)
class CellInk:
    """What stands in one cell: a style class, a mark, words, a link, a short text."""

    style: str = ""
    mark: Mark | None = None
    words: str = ""
    link: str = ""
    text: str = ""


@dataclass(frozen=True)
class AreaInk:
    """A polygon drawn over the cells: a style class, words, a link, a short text at a place."""

    rings: Sequence[Ring]
    style: str
    words: str = ""
    link: str = ""
    text: str = ""
    text_at_in: tuple[float, float] = (0.0, 0.0)


def strip_svg(
    *,
    width_in: float,
    height_in: float,
    grid: Grid,
    openings: Iterable[Mapping[str, object]] = (),
    decks: Iterable[Mapping[str, object]] = (),
    obstructions: Iterable[Mapping[str, object]] = (),
    cells: Mapping[str, CellInk] | None = None,
    areas: Iterable[AreaInk] = (),
    chosen: str = "",
    title: str = "The whole wall as a strip",
) -> str:
    """Return the strip as one SVG element.

    Decks carry `name` and `band` [y0, y1]; openings and obstructions `name` and `polygon`.
    """
    margin = width_in * MARGIN_IN
    root = ElementTree.Element(
        "svg",
        {
            "class": "wall-strip",
            "viewBox": f"{-margin:g} {-margin:g} {width_in + 2 * margin:g} "
            f"{height_in + 2 * margin:g}",
            "role": "group",
            "aria-label": title,
        },
    )
    drawing = _Drawing(root, height_in, margin)
    drawing.rectangle((0.0, 0.0, width_in, height_in), "strip-ground")
    for part in obstructions:
        drawing.hatched(part)
    for label, ink in (cells or {}).items():
        drawing.cell(grid.bounds(label), label, ink)
    for area in areas:
        drawing.area(area)
    drawing.grid(grid, width_in)
    for part in openings:
        drawing.rings([part["polygon"]], "strip-opening", str(part["name"]))  # type: ignore[list-item]
    for deck in decks:
        drawing.deck(deck, width_in)
    if chosen:
        drawing.rectangle(grid.bounds(chosen), "strip-chosen")
    return ElementTree.tostring(root, encoding="unicode")


class _Drawing:
    """Puts elements into the SVG, turning y down."""

    def __init__(self, root: ElementTree.Element, height_in: float, margin: float) -> None:
        self._root = root
        self._height_in = height_in
        self._margin = margin

    def _y(self, y_in: float) -> float:
        return self._height_in - y_in

    def _add(
        self, parent: ElementTree.Element, tag: str, attributes: Mapping[str, object]
    ) -> ElementTree.Element:
        texts = {
            key: f"{value:.6g}" if isinstance(value, float) else str(value)
            for key, value in attributes.items()
        }
        return ElementTree.SubElement(parent, tag, texts)

    def rectangle(self, bounds_in: tuple[float, float, float, float], style: str) -> None:
        x0, y0, x1, y1 = bounds_in
        size = {"x": x0, "y": self._y(y1), "width": x1 - x0, "height": y1 - y0}
        self._add(self._root, "rect", {**size, "class": style})

    def cell(self, bounds_in: tuple[float, float, float, float], label: str, ink: CellInk) -> None:
        parent = self._root
        if ink.link:
            parent = self._add(
                self._root, "a", {"href": ink.link, "aria-label": ink.words or label}
            )
        x0, y0, x1, y1 = bounds_in
        size = {"x": x0, "y": self._y(y1), "width": x1 - x0, "height": y1 - y0}
        box = self._add(parent, "rect", {**size, "class": f"strip-cell {ink.style}".strip()})
        if ink.words:
            ElementTree.SubElement(box, "title").text = ink.words
        middle = (x0 + x1) / 2, self._y((y0 + y1) / 2)
        half = 0.28 * min(x1 - x0, y1 - y0)
        if ink.mark is not None:
            self._mark(parent, ink, middle, half)
        if ink.text:
            text = self._add(
                parent, "text", {"x": middle[0], "y": middle[1], "class": "strip-text"}
            )
            text.set("font-size", f"{half * 1.5:g}")
            text.text = ink.text

    def _mark(
        self, parent: ElementTree.Element, ink: CellInk, middle: tuple[float, float], half: float
    ) -> None:
        mark = ink.mark
        assert mark is not None
        group = self._add(
            parent,
            "g",
            {"transform": f"translate({middle[0]:g} {middle[1]:g})", "class": "strip-mark"},
        )
        if mark.fill:
            self._add(group, "path", {"d": svg_path(mark.fill, size=half), "class": "mark-fill"})
        if mark.stroke:
            stroke = self._add(
                group, "path", {"d": svg_path(mark.stroke, size=half), "class": "mark-stroke"}
            )
            stroke.set("stroke-width", f"{mark.stroke_width * half:g}")

    def area(self, ink: AreaInk) -> None:
        parent = self._root
        if ink.link:
            parent = self._add(parent, "a", {"href": ink.link, "aria-label": ink.words})
        self.rings(ink.rings, ink.style, ink.words, parent)
        if ink.text:
            x_in, y_in = ink.text_at_in
            place = {"x": x_in, "y": self._y(y_in), "font-size": self._margin * 0.55}
            text = self._add(parent, "text", {**place, "class": f"strip-text {ink.style}-text"})
            text.text = ink.text

    def rings(
        self,
        rings: Sequence[Ring],
        style: str,
        words: str,
        parent: ElementTree.Element | None = None,
    ) -> None:
        path = " ".join(
            "M" + " L".join(f"{x:g} {self._y(y):g}" for x, y in ring) + " Z" for ring in rings
        )
        holder = self._root if parent is None else parent
        shape = self._add(holder, "path", {"d": path, "class": style, "fill-rule": "evenodd"})
        if words:
            ElementTree.SubElement(shape, "title").text = words

    def hatched(self, part: Mapping[str, object]) -> None:
        """Hatch the bounding box of an obstruction; lines keep one spacing over the whole wall."""
        ring: Ring = part["polygon"]  # type: ignore[assignment]
        self.rings([ring], "strip-hidden", f"{part['name']}: {part.get('cause') or 'hidden'}")
        xs, ys = [p[0] for p in ring], [p[1] for p in ring]
        x0, x1, y0, y1 = min(xs), max(xs), min(ys), max(ys)
        step = self._height_in * HATCH_STEP_SHARE
        lines = []
        place = x0 - (x0 - y0) % step - (y1 - y0)
        while place < x1:
            left, right = max(place, x0), min(place + (y1 - y0), x1)
            if left < right:
                bottom, top = y0 + (left - place), y0 + (right - place)
                lines.append(f"M{left:g} {self._y(bottom):g} L{right:g} {self._y(top):g}")
            place += step
        self._add(self._root, "path", {"d": " ".join(lines), "class": "strip-hatch"})

    def grid(self, grid: Grid, width_in: float) -> None:
        lines = [f"M{x:g} 0 V{self._height_in:g}" for x in grid.columns.lines_in] + [
            f"M0 {self._y(y):g} H{width_in:g}" for y in grid.rows.lines_in
        ]
        self._add(self._root, "path", {"d": " ".join(lines), "class": "strip-grid"})
        size = self._margin * 0.5
        every = max(1, round(LABEL_EVERY_PX / (USUAL_WIDTH_PX / max(len(grid.columns), 1))))
        for place, name in enumerate(grid.columns.strip_names):
            if place % every == 0:
                x = (grid.columns.lines_in[place] + grid.columns.lines_in[place + 1]) / 2
                self._label(x, -self._margin * 0.45, size, name)
        for place, name in enumerate(grid.rows.strip_names):
            y = (grid.rows.lines_in[place] + grid.rows.lines_in[place + 1]) / 2
            self._label(-self._margin * 0.5, self._y(y), size, name)

    def _label(self, x: float, y: float, size: float, name: str) -> None:
        text = self._add(self._root, "text", {"x": x, "y": y, "class": "strip-label"})
        text.set("font-size", f"{size:g}")
        text.text = name

    def deck(self, deck: Mapping[str, object], width_in: float) -> None:
        start: float = deck["band"][0]  # type: ignore[index]
        y = self._y(start)
        self._add(self._root, "path", {"d": f"M0 {y:g} H{width_in:g}", "class": "strip-deck"})
        text = self._add(
            self._root,
            "text",
            {
                "x": width_in + self._margin * 0.15,
                "y": y - self._margin * 0.3,
                "class": "strip-deck-name",
            },
        )
        text.set("font-size", f"{self._margin * 0.5:g}")
        text.text = str(deck["name"])
