"""What does the plate of one cell look like: picture, outlines, ticks, scale bar and list?

A plate is one flowable whose drawing is appended as a single run of operators.
"""

from collections.abc import Mapping, Sequence
from io import BytesIO

import numpy as np
import shapely
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from gridmap.lengths import format_feet_inches
from gridmap.marks import TERM_MARKS
from survey.report.content import CellPlate, Finding, PlateOutline, Size, TermEntry
from survey.report.layout.drawn_marks import cased_mark_operators
from survey.report.layout.hatches import area_operators, earlier_operators, line_operators
from survey.report.layout.ink import Frame, Press, fill, rectangle, rgb, segment, stroke
from survey.report.layout.labels import LabelBoard
from survey.report.layout.ledger_table import Column, GroupHead, LedgerTable, MarkOf, Row, lines_of
from survey.report.layout.pictures import Darkroom
from survey.report.layout.style import (
    GROUND,
    INK,
    LABEL,
    LIST,
    LIST_MUTED,
    LIST_STRONG,
    SMALL,
    TABLE_STRONG,
    Type,
)

LEFT_GUTTER_PT, BOTTOM_GUTTER_PT, CAPTION_PT = 27.0, 30.0, 21.0
HALF_PLATE_MAP_PT = 256.0  # side of the drawing when two plates share a page
LEAST_MAP_PT = 300.0  # of a plate that has a page of its own
LIST_GAP_PT = 14.0
TICK_STEPS_IN = (1, 3, 6, 12, 24, 60, 120, 240)
QUIET_SHARE = 0.3  # of the plate: a larger outline is hatched thinly, to show the picture
MARK_HALF_PT = 3.4
LONGEST_LABEL = 10  # characters of an item's name beside the outline; the list has it whole
CELL_NAME = Type(TABLE_STRONG.font, 13.0, 16.0)
LIST_COLUMNS = (
    Column("Item", 1.0, face=LIST_STRONG),
    Column("", 0.22),
    Column("Code", 0.66, face=LIST),
    Column("Term", 2.5, face=LIST),
    Column("Size ±", 1.45, align="right", face=LIST),
    Column("", 0.62, face=LIST_MUTED),
)
LIST_PAD_PT = 1.7
LONGEST_LIST_LINES = 12


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
        paths = self.frame.paths(shapes)
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


class HalfPlate(Flowable):  # type: ignore[misc]
    """A plate that shares its page: caption over drawing at the left, its list at the right."""

    def __init__(self, caption: "PlateCaption", drawing: PlateMap, items: LedgerTable) -> None:
        super().__init__()
        self.caption, self.drawing, self.items = caption, drawing, items
        self.spaceAfter = 14.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self.caption.wrap(available_width, available_height)
        list_width = available_width - self.drawing.width - LIST_GAP_PT
        _, list_height = self.items.wrap(list_width, available_height)
        self.height = self.caption.height + max(self.drawing.height, list_height)
        return self.width, self.height

    def draw(self) -> None:
        top = self.height - self.caption.height
        self.caption.drawOn(self.canv, 0, top)
        self.drawing.drawOn(self.canv, 0, top - self.drawing.height)
        x = self.drawing.width + LIST_GAP_PT
        self.items.drawOn(self.canv, x, top - self.items.height)


class PlateCaption(Flowable):  # type: ignore[misc]
    """Names the cell, where it lies, and which photograph is shown; notes its page and bookmark."""

    def __init__(self, press: Press, plate: CellPlate) -> None:
        super().__init__()
        self.press, self.plate = press, plate

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width, CAPTION_PT
        return self.width, self.height

    def draw(self) -> None:
        place = plate_place(self.plate.cell)
        self.press.pages[place] = self.canv.getPageNumber()
        self.canv.bookmarkHorizontal(place, 0, self.height)
        self.canv.addOutlineEntry(f"Cell {self.plate.cell}", place, level=1)
        name = self.press.typeface.printable(self.plate.cell)
        x = LEFT_GUTTER_PT
        beside = x + self.press.width_of(name, CELL_NAME) + 10
        self.canv._code.append(
            "q "
            + self.press.text(name, x, 7, CELL_NAME)
            + self.press.text(_where(self.plate), beside, 12, SMALL)
            + self.press.text(self._one_line(_photograph(self.plate), beside), beside, 3.6, SMALL)
            + "Q"
        )

    def _one_line(self, text: str, x: float) -> str:
        shown = self.press.typeface.printable(text)
        first, *rest = lines_of(shown, face=SMALL, width_pt=self.width - x - 6)
        return f"{first} …" if rest else first


def plate_place(cell: str) -> str:
    """Return the name under which a plate's page is kept."""
    return f"plate {cell}"


def plate_flowables(
    press: Press,
    plate: CellPlate,
    terms: Mapping[str, TermEntry],
    *,
    darkroom: Darkroom,
    page_pt: tuple[float, float],
) -> list[Flowable]:
    """Return a plate as half a page, or as a page of its own when its list is long."""
    width, height = page_pt
    caption = PlateCaption(press, plate)
    half_box = (LEFT_GUTTER_PT + HALF_PLATE_MAP_PT, BOTTOM_GUTTER_PT + HALF_PLATE_MAP_PT)
    drawing = PlateMap(press, plate, terms, darkroom=darkroom, box_pt=half_box)
    items = _item_list(press, plate, terms)
    _, list_height = items.wrap(width - drawing.width - LIST_GAP_PT, height)
    if list_height <= half_box[1]:
        return [HalfPlate(caption, drawing, items)]
    whole = WholePlate(caption, items, darkroom=darkroom, terms=terms, page_pt=page_pt)
    return [whole] if whole.rest is None else [whole, ListGoesOn(press, plate), whole.rest]


class WholePlate(Flowable):  # type: ignore[misc]
    """A plate with a page of its own, its list in two columns below, continued where it must."""

    def __init__(
        self,
        caption: PlateCaption,
        items: LedgerTable,
        *,
        darkroom: Darkroom,
        terms: Mapping[str, TermEntry],
        page_pt: tuple[float, float],
    ) -> None:
        super().__init__()
        self.caption = caption
        width, height = page_pt
        press = caption.press
        column = (width - LIST_GAP_PT) / 2
        room = height - CAPTION_PT - LEAST_MAP_PT - BOTTOM_GUTTER_PT - 10
        items.wrap(column, height)
        self.columns, self.rest = _in_two_columns(items, room, column)
        self.list_height = max(table.height for table in self.columns)
        map_height = height - CAPTION_PT - self.list_height - 10
        self.drawing = PlateMap(
            press, caption.plate, terms, darkroom=darkroom, box_pt=(width, map_height)
        )

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self.caption.wrap(available_width, available_height)
        self.height = CAPTION_PT + self.drawing.height + 10 + self.list_height
        return self.width, self.height

    def draw(self) -> None:
        top = self.height - CAPTION_PT
        self.caption.drawOn(self.canv, 0, top)
        self.drawing.drawOn(self.canv, 0, top - self.drawing.height)
        x = 0.0
        for table in self.columns:
            table.drawOn(self.canv, x, self.list_height - table.height)
            x += table.width + LIST_GAP_PT


class ListGoesOn(Flowable):  # type: ignore[misc]
    """Says whose list goes on, where a plate's page could not hold all of it."""

    def __init__(self, press: Press, plate: CellPlate) -> None:
        super().__init__()
        self.press, self.plate = press, plate
        self.width, self.height = 0.0, 16.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        shown = f"{self.plate.cell}, list continued"
        self.canv._code.append("q " + self.press.text(shown, 0, 5, TABLE_STRONG) + "Q")


def _in_two_columns(
    whole: LedgerTable, room_pt: float, column_pt: float
) -> tuple[list[LedgerTable], LedgerTable | None]:
    """Split a measured list into two even columns no taller than the room, and what is left."""
    even = min(room_pt, whole.head_pt + (whole.height - whole.head_pt) / 2 + 16)
    parts: list[LedgerTable] = []
    left: LedgerTable | None = whole
    for limit in (even, room_pt):
        if left is None:
            break
        pieces = left.split(column_pt, limit) or left.split(column_pt, room_pt)
        parts.append(pieces[0])
        left = pieces[1] if len(pieces) > 1 else None
    for part in parts:
        part.wrap(column_pt, room_pt)
    return parts, left


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


def size_texts(size: Size | None) -> tuple[str, str]:
    """Return a size with its error, and its unit, as printed."""
    if size is None:
        return "–", ""
    if size.unit == "count":
        return f"{size.value:.0f}", "no."
    digits = 1 if size.value >= 1000 else 2
    error = f" ± {size.error:.{digits}f}" if size.error is not None else ""
    return f"{size.value:,.{digits}f}{error}", size.unit


def _item_list(press: Press, plate: CellPlate, terms: Mapping[str, TermEntry]) -> LedgerTable:
    """Return the plate's items, and below them the words of the marks that stand beside them."""
    rows: list[Row] = []
    shown = [outline for outline in plate.outlines if not outline.earlier]
    for outline in shown:
        term = terms[outline.term]
        name = f"{term.name}\n{outline.note}" if outline.note else term.name
        mark = MarkOf(outline.finding) if outline.finding else None
        size, unit = size_texts(outline.size)
        rows.append((outline.item, mark, term.symbol.letters, name, size, unit))
    found = {outline.finding for outline in shown}
    rows += [GroupHead("Marks of findings")] if found - {None} else []
    rows += [("", MarkOf(f), "", str(f), "", "") for f in Finding if f in found]
    return LedgerTable(
        press, LIST_COLUMNS, rows, pad_pt=LIST_PAD_PT, longest_row_lines=LONGEST_LIST_LINES
    )


def _where(plate: CellPlate) -> str:
    x0, y0, x1, y1 = (format_feet_inches(value) for value in plate.bounds_in)
    return f"{x0} to {x1} from the left end, {y0} to {y1} above the painting’s lower edge"


def _photograph(plate: CellPlate) -> str:
    if plate.picture is None:
        return "No photograph is recorded for this cell."
    taken = f"taken {plate.picture.taken_on}" if plate.picture.taken_on else "date not recorded"
    return f"Photograph {plate.picture.name}, {taken}, {plate.picture.mode}; not enhanced"


def _shortened(item: str) -> str:
    return item if len(item) <= LONGEST_LABEL else f"{item[: LONGEST_LABEL - 1]}…"
