"""How is a table of any length set: wrapped cells, repeated heads, numbers to the right?

Texts are plain and go to the page letter by letter, so nothing that a person typed can act as
markup. Rows are measured once; splitting over pages costs no second measuring.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable

from survey.report.content import Finding
from survey.report.layout.drawn_marks import mark_operators
from survey.report.layout.ink import Press, rectangle, segment, stroke
from survey.report.layout.ink import fill as fill_colour
from survey.report.layout.style import (
    GROUND,
    INK,
    LIGHT_RULE,
    RULE,
    TABLE,
    TABLE_HEAD,
    TABLE_STRONG,
    Type,
)

GAP_PT = 8.0  # between columns
PAD_PT = 2.6  # above and below a row's text
MARK_PT = 3.0  # half the side of a mark in a table
TALL_ROW_PT = 60.0
LONGEST_ROW_LINES = 40  # a longer cell goes on in the next row


@dataclass(frozen=True)
class Column:
    """A column: its head (the unit belongs there), share of the width, side and face."""

    head: str
    share: float
    align: str = "left"
    face: Type = TABLE


@dataclass(frozen=True)
class PageOf:
    """Stands for the number of the page on which a place lies, known only at the end."""

    place: str


@dataclass(frozen=True)
class Swatch:
    """Stands for a small drawing in a cell; `draw(x, y, width, height)` returns operators."""

    width_pt: float
    height_pt: float
    draw: Callable[[float, float, float, float], str]


@dataclass(frozen=True)
class MarkOf:
    """Stands for a finding's mark alone; its word stands in the key of the same table."""

    finding: Finding


@dataclass(frozen=True)
class GroupHead:
    """A row that names the rows after it, across all columns."""

    title: str


Cell = str | Finding | MarkOf | PageOf | Swatch | None
Row = Sequence[Cell] | GroupHead


def lines_of(text: str, *, face: Type, width_pt: float) -> list[str]:
    """Return text broken into lines that fit a width [pt]; words that do not fit are cut."""
    if "\n" not in text and _width(text, face.font, face.size_pt) <= width_pt:
        return [text]
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            joined = f"{line} {word}" if line else word
            if _width(joined, face.font, face.size_pt) <= width_pt:
                line = joined
                continue
            if line:
                lines.append(line)
            *cut, line = _cut_to_width(word, face, width_pt)
            lines += cut
        lines.append(line)
    return lines


def _cut_to_width(word: str, face: Type, width_pt: float) -> list[str]:
    """Cut a word wherever it reaches the width; at least one character a piece."""
    pieces, piece = [], ""
    if _width(word, face.font, face.size_pt) <= width_pt:
        return [word]
    for character in word:
        if piece and _width(piece + character, face.font, face.size_pt) > width_pt:
            pieces.append(piece)
            piece = ""
        piece += character
    return [*pieces, piece]


@lru_cache(maxsize=20_000)
def _width(text: str, font: str, size_pt: float) -> float:
    return pdfmetrics.stringWidth(text, font, size_pt)


SetCell = list[str] | Finding | MarkOf | PageOf | Swatch | None


@dataclass(frozen=True)
class _SetRow:
    cells: tuple[SetCell, ...]
    height_pt: float
    title: str | None = None
    goes_on: bool = False


class LedgerTable(Flowable):  # type: ignore[misc]
    """A ruled table that splits over pages, repeats its head and marks continued rows."""

    def __init__(
        self,
        press: Press,
        columns: Sequence[Column],
        rows: Sequence[Row],
        *,
        set_rows: Sequence[_SetRow] | None = None,
        width_pt: float | None = None,
        space_after_pt: float = 8.0,
        pad_pt: float = PAD_PT,
        longest_row_lines: int = LONGEST_ROW_LINES,
    ) -> None:
        super().__init__()
        self.press, self.columns, self.rows = press, tuple(columns), rows
        self.spaceAfter, self.pad_pt = space_after_pt, pad_pt
        self.longest_row_lines = longest_row_lines
        self._given_width_pt = width_pt
        self._set: tuple[_SetRow, ...] | None = tuple(set_rows) if set_rows is not None else None
        self._set_width_pt = width_pt
        self.head_pt = 0.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        width = self._given_width_pt or available_width
        if self._set is None or self._set_width_pt != width:
            self._set_width_pt = width
            self._set = tuple(self._measured(width))
        self._head_lines = [
            lines_of(c.head, face=TABLE_HEAD, width_pt=w)
            for c, (_, w) in zip(self.columns, self._places(width), strict=True)
        ]
        has_head = any(c.head for c in self.columns)
        most = max(map(len, self._head_lines), default=0)
        self.head_pt = most * TABLE_HEAD.leading_pt + 5 if has_head else 0.0
        self.width = width
        self.height = self.head_pt + sum(row.height_pt for row in self._set)
        return self.width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        self.wrap(available_width, available_height)
        rows = self._set or ()
        height, fitting = self.head_pt, 0
        while fitting < len(rows) and height + rows[fitting].height_pt <= available_height:
            height += rows[fitting].height_pt
            fitting += 1
        if len(rows) > 3 and 0 < len(rows) - fitting < 2 and fitting > 2:
            fitting -= 1  # and no single row alone at the top
        while 0 < fitting < len(rows) and rows[fitting - 1].title is not None:
            fitting -= 1  # no group head alone at the foot of a page
        if fitting == 0 or (fitting == 1 and self._would_leave_one(rows)):
            return []
        if fitting == len(rows):
            return [self]
        return [self._part(rows[:fitting]), self._part(rows[fitting:])]

    @staticmethod
    def _would_leave_one(rows: Sequence[_SetRow]) -> bool:
        """Say whether one row alone under the head would be a widow: more rows, and small ones."""
        return len(rows) > 4 and rows[1].title is None and rows[1].height_pt < TALL_ROW_PT

    def draw(self) -> None:
        self.canv._code.append("q " + self.operators() + "Q")

    def operators(self) -> str:
        """Return the table's operators, its lower left corner at the origin."""
        places = self._places(self.width)
        out = [self._head_operators(places)] if self.head_pt else []
        top = self.height - self.head_pt
        for row in self._set or ():
            out.append(self._row_operators(row, places, top))
            top -= row.height_pt
        return "".join(out)

    def _part(self, rows: Sequence[_SetRow]) -> "LedgerTable":
        return LedgerTable(
            self.press,
            self.columns,
            (),
            set_rows=rows,
            width_pt=self._set_width_pt,
            space_after_pt=self.spaceAfter,
            pad_pt=self.pad_pt,
        )

    def _places(self, width: float) -> list[tuple[float, float]]:
        """Return x and width [pt] of each column."""
        shares = sum(column.share for column in self.columns)
        free = width - GAP_PT * (len(self.columns) - 1)
        places, x = [], 0.0
        for column in self.columns:
            places.append((x, free * column.share / shares))
            x += places[-1][1] + GAP_PT
        return places

    def _measured(self, width: float) -> list[_SetRow]:
        places = self._places(width)
        measured: list[_SetRow] = []
        for row in self.rows:
            if isinstance(row, GroupHead):
                title = self.press.typeface.printable(row.title).replace("\n", " ")
                measured.append(_SetRow((), TABLE_STRONG.leading_pt + 2 * self.pad_pt + 3, title))
                continue
            cells = tuple(self._cell(c, i, places[i][1]) for i, c in enumerate(row))
            measured += self._rows_of(cells)
        return measured

    def _cell(self, cell: Cell, index: int, width: float) -> SetCell:
        face = self.columns[index].face
        if cell is None or cell == "":
            return []
        if isinstance(cell, str) and not isinstance(cell, Finding):
            return lines_of(self.press.typeface.printable(cell), face=face, width_pt=width)
        return cell

    def _rows_of(self, cells: tuple[SetCell, ...]) -> list[_SetRow]:
        """Return one row, or several where a cell is longer than a page can hold."""
        most = max((len(c) for c in cells if isinstance(c, list)), default=1)
        if most <= self.longest_row_lines:
            return [_SetRow(cells, self._height(cells))]
        rows = []
        for start in range(0, most, self.longest_row_lines):
            part = tuple(
                c[start : start + self.longest_row_lines]
                if isinstance(c, list)
                else (c if start == 0 else None)
                for c in cells
            )
            last = start + self.longest_row_lines >= most
            rows.append(_SetRow(part, self._height(part), goes_on=not last))
        return rows

    def _height(self, cells: Sequence[object]) -> float:
        tallest = min(column.face.leading_pt for column in self.columns)
        for index, cell in enumerate(cells):
            leading = self.columns[index].face.leading_pt
            if isinstance(cell, list):
                tallest = max(tallest, len(cell) * leading)
            elif isinstance(cell, Swatch):
                tallest = max(tallest, cell.height_pt)
            elif isinstance(cell, Finding):
                places = self._places(self._set_width_pt or 0.0)
                tallest = max(tallest, len(self._finding_lines(cell, places[index][1])) * leading)
        return tallest + 2 * self.pad_pt

    def _finding_lines(self, finding: Finding, width: float) -> list[str]:
        return lines_of(str(finding), face=TABLE, width_pt=width - 3.4 * MARK_PT)

    def _head_operators(self, places: list[tuple[float, float]]) -> str:
        out = []
        for column, lines, (x, width) in zip(self.columns, self._head_lines, places, strict=True):
            baseline = self.height - self.head_pt + 5 + TABLE_HEAD.leading_pt * (len(lines) - 1)
            out.append(self._lines(lines, x, width, baseline, column.align, TABLE_HEAD))
        y = self.height - self.head_pt
        out.append(stroke(RULE, 0.9) + segment(0, y, self.width, y))
        return "".join(out)

    def _row_operators(self, row: _SetRow, places: list[tuple[float, float]], top: float) -> str:
        y = top - row.height_pt
        if row.title is not None:
            band = fill_colour(GROUND) + rectangle(0, y + 1, self.width, row.height_pt - 3) + "f "
            return band + self.press.text(row.title, 3, y + self.pad_pt + 3, TABLE_STRONG)
        out = []
        for index, cell in enumerate(row.cells):
            out.append(self._cell_operators(cell, self.columns[index], places[index], top))
        if not row.goes_on:
            out.append(stroke(LIGHT_RULE, 0.4) + segment(0, y, self.width, y))
        return "".join(out)

    def _cell_operators(
        self, cell: object, column: Column, place: tuple[float, float], top: float
    ) -> str:
        x, width = place
        baseline = top - self.pad_pt - 0.78 * column.face.leading_pt
        if isinstance(cell, list):
            return self._lines(cell, x, width, baseline, column.align, column.face)
        if isinstance(cell, Finding):
            mark = mark_operators(cell, x + MARK_PT, baseline + 2.6, MARK_PT, INK)
            lines = self._finding_lines(cell, width)
            return mark + self._lines(
                lines, x + 3.4 * MARK_PT, width, baseline, "left", column.face
            )
        if isinstance(cell, MarkOf):
            return mark_operators(cell.finding, x + MARK_PT, baseline + 2.6, MARK_PT, INK)
        if isinstance(cell, Swatch):
            return cell.draw(x, top - self.pad_pt - cell.height_pt, cell.width_pt, cell.height_pt)
        if isinstance(cell, PageOf):
            return self.press.page_of(cell.place, x + width, baseline, column.face)
        return ""

    def _lines(
        self, lines: list[str], x: float, width: float, baseline: float, align: str, face: Type
    ) -> str:
        at = x + (width if align == "right" else width / 2 if align == "center" else 0.0)
        return "".join(
            self.press.text(line, at, baseline - i * face.leading_pt, face, align=align)
            for i, line in enumerate(lines)
            if line
        )
