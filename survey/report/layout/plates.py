"""What does the plate of one cell look like: caption, drawing, and the list of its items?"""

from collections.abc import Mapping

from reportlab.platypus import Flowable

from gridmap.lengths import format_feet_inches
from survey.report.content import CellPlate, Finding, Size, TermEntry
from survey.report.layout.ink import Press
from survey.report.layout.ledger_table import Column, GroupHead, LedgerTable, MarkOf, Row, lines_of
from survey.report.layout.pictures import Darkroom
from survey.report.layout.plate_map import BOTTOM_GUTTER_PT, LEFT_GUTTER_PT, PlateMap
from survey.report.layout.style import (
    LIST,
    LIST_MUTED,
    LIST_STRONG,
    SMALL,
    TABLE_STRONG,
    Type,
)

CAPTION_PT = 21.0
HALF_PLATE_MAP_PT = 256.0  # side of the drawing when two plates share a page
LEAST_MAP_PT = 300.0  # of a plate that has a page of its own
LIST_GAP_PT = 14.0
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
    if plate.picture.error_in is not None:
        name, error_in = plate.picture.name, plate.picture.error_in
        title = f"{name[:1].upper()}{name[1:]}"
        return f"{title}, {taken}, {plate.picture.mode}; places ± {error_in:.2f} in"
    return f"Photograph {plate.picture.name}, {taken}, {plate.picture.mode}; not enhanced"
