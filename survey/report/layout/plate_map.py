"""How is one cell drawn to scale: picture, outlines, labels, ticks and scale bar?

The drawing is one flowable that appends a single run of operators to the page.
"""

from collections.abc import Mapping, Sequence
from io import BytesIO

import numpy as np
import shapely
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from gridmap.lengths import format_feet_inches
from gridmap.marks import TERM_MARKS
from survey.report.content import CellPlate, PlateOutline, TermEntry
from survey.report.layout.drawn_marks import cased_mark_operators
from survey.report.layout.hatches import area_operators, earlier_operators, line_operators
from survey.report.layout.ink import Frame, Press, fill, rectangle, rgb, segment, stroke
from survey.report.layout.labels import LabelBoard
from survey.report.layout.pictures import Darkroom
from survey.report.layout.style import GROUND, INK, LABEL, SMALL

LEFT_GUTTER_PT, BOTTOM_GUTTER_PT = 27.0, 30.0
TICK_STEPS_IN = (1, 3, 6, 12, 24, 60, 120, 240)
QUIET_SHARE = 0.3  # of the plate: a larger outline is hatched thinly, to show the picture
MARK_HALF_PT = 3.4
LONGEST_LABEL = 10  # characters of an item's name beside the outline; the list has it whole


class PlateMap(Flowable):  # type: ignore[misc]
    """The drawing of one cell at the largest scale that fits a box [pt]."""

    def __init__(
        self,
        press: Press,
        plate: CellPlate,
        terms: Mapping[str, TermEntry],
        *,
        darkroom: Darkroom,
        box_pt: tuple[float, float],
    ) -> None:
        super().__init__()
        self.press, self.plate, self.terms, self.darkroom = press, plate, terms, darkroom
        x0, y0, x1, y1 = plate.bounds_in
        scale = min(
            (box_pt[0] - LEFT_GUTTER_PT) / (x1 - x0), (box_pt[1] - BOTTOM_GUTTER_PT) / (y1 - y0)
        )
        self.frame = Frame(x0, y0, scale, LEFT_GUTTER_PT, BOTTOM_GUTTER_PT)
        self.width = LEFT_GUTTER_PT + (x1 - x0) * scale
        self.height = BOTTOM_GUTTER_PT + (y1 - y0) * scale

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        """Picture first, then one run of operators for everything on and around it."""
        self._draw_picture()
        window = self.frame.box(self.plate.bounds_in)
        self.canv._code.append(
            f"q {window}W n {self._marks()}Q "
            f"q {stroke(INK, 0.9)}{window}S {self._ticks()}{self._scale_bar()}Q"
        )

    def _draw_picture(self) -> None:
        plate, canvas = self.plate, self.canv
        window = self.frame.box(plate.bounds_in)
        canvas._code.append(f"q {fill(GROUND)}{window}f Q")
        if plate.picture is None:
            return
        width_pt = self.width - LEFT_GUTTER_PT
        crop = self.darkroom.crop(plate.picture, plate.bounds_in, width_pt=width_pt)
        if crop is None:
            return
        x0, y0 = self.frame.at(crop.bounds_in[0], crop.bounds_in[1])
        x1, y1 = self.frame.at(crop.bounds_in[2], crop.bounds_in[3])
        canvas._code.append(f"q {window}W n")
        canvas.drawImage(ImageReader(BytesIO(crop.jpeg)), x0, y0, x1 - x0, y1 - y0)
        canvas._code.append("Q")

    def _marks(self) -> str:
        """Return outlines (large areas first, so that small ones stay on top) and their labels."""
        outlines = self.plate.outlines
        if not outlines:
            return ""
        shapes = np.array([outline.shape for outline in outlines], dtype=object)
        paths = self.frame.paths([outline.shape for outline in outlines])
        bounds = shapely.bounds(shapes)
        order = np.argsort(-shapely.area(shapes), kind="stable")
        out = [
            self._outline(outlines[i], paths[i], bounds[i]) for i in order if outlines[i].earlier
        ]
        out += [
            self._outline(outlines[i], paths[i], bounds[i])
            for i in order
            if not outlines[i].earlier
        ]
        out.append(self._labels(outlines, shapes, bounds))
        return "".join(out)

    def _outline(self, outline: PlateOutline, path: str, bounds_in: np.ndarray) -> str:
        if outline.earlier:
            return earlier_operators(path)
        symbol = self.terms[outline.term].symbol
        if outline.kind == "point":
            spots = shapely.get_coordinates(outline.shape)
            return "".join(self._point(symbol, x, y) for x, y in spots)
        if outline.kind == "line":
            return line_operators(symbol, path)
        # Hatch the part in this cell only: an outline may run along the whole wall.
        low, high = np.array(self.plate.bounds_in[:2]), np.array(self.plate.bounds_in[2:])
        x0, y0 = self.frame.at(*np.clip(bounds_in[:2], low, high))
        x1, y1 = self.frame.at(*np.clip(bounds_in[2:], low, high))
        share = (x1 - x0) * (y1 - y0) / (self.width * self.height)
        return area_operators(self.press, symbol, path, (x0, y0, x1, y1), quiet=share > QUIET_SHARE)

    def _point(self, symbol: object, x_in: float, y_in: float) -> str:
        mark = TERM_MARKS[getattr(symbol, "mark", "") or "disc"]
        x, y = self.frame.at(x_in, y_in)
        return cased_mark_operators(mark, x, y, MARK_HALF_PT, getattr(symbol, "hue", INK))

    def _labels(
        self, outlines: Sequence[PlateOutline], shapes: np.ndarray, bounds: np.ndarray
    ) -> str:
        """Return code letters and item in each outline large enough, else at a leader line."""
        anchors, breadths = _anchors_within(shapes, bounds, self.plate.bounds_in)
        left, bottom = self.frame.left_pt, self.frame.bottom_pt
        board = LabelBoard(left + 1, bottom + 1, self.width - 1, self.height - 1)
        leaders, labels = [], []
        for i in np.argsort(-breadths, kind="stable"):
            if outlines[i].earlier or np.isnan(anchors[i][0]):
                continue
            leader, label = self._label(
                board,
                outlines[i],
                self.frame.at(*anchors[i]),
                breadths[i] * self.frame.scale_pt_per_in,
            )
            leaders.append(leader)
            labels.append(label)
        return "".join(leaders) + "".join(labels)

    def _label(
        self, board: LabelBoard, outline: PlateOutline, at: tuple[float, float], breadth_pt: float
    ) -> tuple[str, str]:
        x, y = at
        shown = f"{self.terms[outline.term].symbol.letters} {_shortened(outline.item)}"
        width = 3.6 * len(shown) + 2
        height = LABEL.size_pt + 1
        large = outline.kind == "area" and breadth_pt > max(1.3 * height, 0.45 * width)
        if large and board.place_at(x, y, width=width, height=height):
            return "", self.press.haloed(shown, x, y - 2.2, LABEL, align="center")
        near = board.place_near(x, y, width=width, height=height)
        if near is None:
            letters = self.terms[outline.term].symbol.letters
            return "", self.press.haloed(letters, x, y - 2.2, LABEL, align="center")
        line = segment(x, y, *near)
        leader = f"q 1 G 1.7 w {line}{rgb(INK)} RG 0.5 w {line}Q "
        return leader, self.press.haloed(shown, near[0], near[1] - 2.2, LABEL, align="center")

    def _ticks(self) -> str:
        """Return feet-and-inches ticks along the lower and left edge, counted from the cell."""
        x0, y0, x1, y1 = self.plate.bounds_in
        minor, labelled = self._tick_steps()
        out = [stroke(INK, 0.5)]
        for across, length_in in ((True, x1 - x0), (False, y1 - y0)):
            for number in range(int(length_in / minor + 1e-9) + 1):
                out.append(self._tick(number * minor, across=across, labelled_in=labelled))
        return "".join(out)

    def _tick(self, at_in: float, *, across: bool, labelled_in: int) -> str:
        named = at_in % labelled_in == 0
        size = 5.0 if named else 2.5
        left, bottom, scale = self.frame.left_pt, self.frame.bottom_pt, self.frame.scale_pt_per_in
        shown = format_feet_inches(at_in) if named else ""
        if across:
            x = left + at_in * scale
            text = self.press.text(shown, x, bottom - 12, SMALL, align="center") if named else ""
            return segment(x, bottom, x, bottom - size) + text
        y = bottom + at_in * scale
        text = self.press.text(shown, left - 6.5, y - 2.2, SMALL, align="right") if named else ""
        return segment(left, y, left - size, y) + text

    def _tick_steps(self) -> tuple[int, int]:
        scale = self.frame.scale_pt_per_in
        minor = next((s for s in TICK_STEPS_IN if s * scale >= 4), TICK_STEPS_IN[-1])
        labelled = next((s for s in TICK_STEPS_IN if s >= minor and s * scale >= 32), minor)
        return minor, labelled

    def _scale_bar(self) -> str:
        _, length_in = self._tick_steps()
        scale = self.frame.scale_pt_per_in
        parts = 3 if length_in in (3, 6, 12) else 2
        left, y = self.frame.left_pt, self.frame.bottom_pt - 25
        step = length_in * scale / parts
        out = [stroke(INK, 0.6)]
        for part in range(parts):
            out.append(fill(INK if part % 2 == 0 else "#FFFFFF"))
            out.append(rectangle(left + part * step, y, step, 4) + "B ")
        shown = f"{format_feet_inches(length_in)} on the wall"
        return "".join(out) + self.press.text(shown, left + parts * step + 5, y - 0.6, SMALL)


def _anchors_within(
    shapes: np.ndarray, bounds: np.ndarray, window: tuple[float, float, float, float]
) -> tuple[np.ndarray, np.ndarray]:
    """Return a point in each shape's part within a window [in], and its mean breadth [in]."""
    x0, y0, x1, y1 = window
    crossing = (bounds[:, 0] < x0) | (bounds[:, 1] < y0) | (bounds[:, 2] > x1) | (bounds[:, 3] > y1)
    within = shapes.copy()
    if crossing.any():
        within[crossing] = shapely.intersection(shapes[crossing], shapely.box(x0, y0, x1, y1))
    spots = shapely.point_on_surface(within)
    anchors = np.full((len(spots), 2), np.nan)  # a shape that only its bounds bring here has none
    here = ~shapely.is_empty(spots)
    anchors[here] = shapely.get_coordinates(spots[here])
    perimeter = shapely.length(within)
    breadths = np.divide(
        2 * shapely.area(within), perimeter, out=np.zeros(len(within)), where=perimeter > 0
    )
    return anchors, breadths


def _shortened(item: str) -> str:
    return item if len(item) <= LONGEST_LABEL else f"{item[: LONGEST_LABEL - 1]}…"
