"""How a piece of the wall is drawn to scale round given places: an SVG with grid and cell names.

Pure: gives text, knows no page. One unit of the drawing is one wall inch; y is turned down.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from gridmap.grid import Grid

LEAST_SIDE_IN = 12.0  # a smaller piece shows too little of what lies around
ROOM = 0.4  # of the larger side, on each side of what is drawn
POINT_SHARE = 0.014  # of the window's width: radius of a point
LETTER_SHARE = 0.04  # of the window's width: height of a letter
LEAST_NAMED_LETTERS = 1.8  # letter heights of a cell in view, for its name to stand in it
BAR_LENGTHS_IN = (0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 60.0, 120.0, 240.0)
BAR_SHARE = 0.3  # of the window's width at most

Bounds = tuple[float, float, float, float]
Position = Sequence[float]


@dataclass(frozen=True)
class PlaceInk:
    """A geometry in wall inches (GeoJSON), a style class, and words for who cannot see it."""

    geometry: Mapping[str, Any]
    style: str
    words: str = ""


def window_round(
    geometries: Iterable[Mapping[str, Any]], *, width_in: float, height_in: float
) -> Bounds:
    """Return the piece of the wall round geometries, with room about them, within the wall."""
    points = [point for geometry in geometries for point in _points(geometry["coordinates"])]
    if not points:
        return 0.0, 0.0, width_in, height_in
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    side = max(max(xs) - min(xs), max(ys) - min(ys))
    room = max(ROOM * side, (LEAST_SIDE_IN - side) / 2)
    left, right = _span(min(xs) - room, max(xs) + room, width_in)
    lower, upper = _span(min(ys) - room, max(ys) + room, height_in)
    return left, lower, right, upper


def plate_cut_svg(
    *,
    window_in: Bounds,
    width_in: float,
    height_in: float,
    grid: Grid,
    openings: Iterable[Mapping[str, Any]] = (),
    places: Sequence[PlaceInk] = (),
    title: str,
) -> str:
    """Return the piece as one SVG element; every text in it is escaped by the XML writer."""
    left, lower, right, upper = window_in
    root = ElementTree.Element(
        "svg",
        {
            "class": "plate-cut",
            "viewBox": f"{left:g} {height_in - upper:g} {right - left:g} {upper - lower:g}",
            "role": "img",
            "aria-label": title,
        },
    )
    cut = _Cut(root, window_in, height_in)
    cut.box((0.0, 0.0, width_in, height_in), "cut-ground")
    for opening in openings:
        cut.place(PlaceInk({"type": "Polygon", "coordinates": [opening["polygon"]]}, "cut-opening"))
    cut.grid(grid)
    for ink in places:
        cut.place(ink)
    cut.names(grid)
    cut.bar()
    return ElementTree.tostring(root, encoding="unicode")


def _span(least: float, most: float, limit: float) -> tuple[float, float]:
    return max(0.0, least), min(limit, most)


def _points(coordinates: Any) -> Iterable[Position]:
    if coordinates and isinstance(coordinates[0], int | float):
        yield coordinates
    else:
        for part in coordinates:
            yield from _points(part)


class _Cut:
    """Puts elements into the SVG, turning y down."""

    def __init__(self, root: ElementTree.Element, window_in: Bounds, height_in: float) -> None:
        self._root = root
        self._window_in = window_in
        self._height_in = height_in
        self._unit = window_in[2] - window_in[0]

    def _y(self, y_in: float) -> float:
        return self._height_in - y_in

    def _add(self, tag: str, attributes: Mapping[str, object]) -> ElementTree.Element:
        texts = {
            key: f"{value:.7g}" if isinstance(value, float) else str(value)
            for key, value in attributes.items()
        }
        return ElementTree.SubElement(self._root, tag, texts)

    def box(self, bounds_in: Bounds, style: str) -> None:
        x0, y0, x1, y1 = bounds_in
        self._add(
            "rect",
            {"x": x0, "y": self._y(y1), "width": x1 - x0, "height": y1 - y0, "class": style},
        )

    def grid(self, grid: Grid) -> None:
        """Draw the lines of the grid over the whole wall: the page may show more than asked."""
        width_in, height_in = grid.columns.lines_in[-1], grid.rows.lines_in[-1]
        lines = [
            f"M{x:g} {self._y(height_in):g}V{self._y(0.0):g}" for x in grid.columns.lines_in
        ] + [f"M0 {self._y(y):g}H{width_in:g}" for y in grid.rows.lines_in]
        self._add("path", {"d": " ".join(lines), "class": "cut-grid"})

    def names(self, grid: Grid) -> None:
        """Name the cells of which enough is in view."""
        left, lower, right, upper = self._window_in
        size = LETTER_SHARE * self._unit
        bar_right, bar_top = left + self._bar_length_in() + size, lower + 3.0 * size
        for label in grid.labels():
            x0, y0, x1, y1 = grid.bounds(label)
            x, y = max(x0, left), min(y1, upper)
            in_view = min(x1, right) - x, y - max(y0, lower)
            on_the_bar = x < bar_right and y < bar_top
            if min(in_view) >= min(LEAST_NAMED_LETTERS * size, x1 - x0, y1 - y0) and not on_the_bar:
                self._text(x, y, label)

    def _bar_length_in(self) -> float:
        fitting = [n for n in BAR_LENGTHS_IN if n <= BAR_SHARE * self._unit]
        return fitting[-1] if fitting else BAR_LENGTHS_IN[0]

    def _text(self, x_in: float, y_in: float, words: str) -> None:
        size = LETTER_SHARE * self._unit
        text = self._add(
            "text",
            {"x": x_in + 0.35 * size, "y": self._y(y_in) + 1.15 * size, "class": "cut-label"},
        )
        text.set("font-size", f"{size:.4g}")
        text.text = words

    def place(self, ink: PlaceInk) -> None:
        """Draw a geometry twice: a light stroke under a dark one, seen on any ground."""
        path = self._path(ink.geometry)
        if ink.style != "cut-opening":
            self._add("path", {"d": path, "class": f"cut-halo {ink.style}-halo"})
        drawn = self._add("path", {"d": path, "class": ink.style, "fill-rule": "evenodd"})
        if ink.words:
            ElementTree.SubElement(drawn, "title").text = ink.words

    def _path(self, geometry: Mapping[str, Any]) -> str:
        kind, coordinates = geometry["type"], geometry["coordinates"]
        if kind.startswith("Multi"):
            kind = kind.removeprefix("Multi")
        elif kind != "GeometryCollection":
            coordinates = [coordinates]
        if kind == "Point":
            return " ".join(self._dot(point) for point in coordinates)
        if kind == "LineString":
            return " ".join(self._run(line) for line in coordinates)
        return " ".join(f"{self._run(ring)}Z" for polygon in coordinates for ring in polygon)

    def _run(self, points: Sequence[Position]) -> str:
        return "M" + "L".join(f"{p[0]:g} {self._y(p[1]):g}" for p in points)

    def _dot(self, point: Position) -> str:
        radius = POINT_SHARE * self._unit
        x, y = point[0], self._y(point[1])
        return f"M{x - radius:g} {y:g}a{radius:g} {radius:g} 0 1 0 {2 * radius:g} 0" + (
            f"a{radius:g} {radius:g} 0 1 0 {-2 * radius:g} 0Z"
        )

    def bar(self) -> None:
        """Draw a bar of a round length in the lower left corner, with its length."""
        left, lower, _, _ = self._window_in
        length_in = self._bar_length_in()
        size = LETTER_SHARE * self._unit
        x, y = left + 0.5 * size, self._y(lower) - 0.6 * size
        self._add(
            "path",
            {"d": f"M{x:g} {y - 0.3 * size:g}V{y:g}H{x + length_in:g}v{-0.3 * size:g}",
             "class": "cut-bar"},
        )  # fmt: skip
        text = self._add("text", {"x": x, "y": y - 0.6 * size, "class": "cut-label"})
        text.set("font-size", f"{size:.4g}")
        text.text = f"{length_in:g} in" if length_in < 12 else f"{length_in / 12:g} ft"
