"""How does a notice become a sheet to hand over? Lays out what it is given; reads no database.

The same notice, number and moment give the same bytes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from survey.report.fonts import REGULAR, Typeface, load_typeface
from survey.report.layout.style import (
    BODY,
    BULLET,
    LEAD,
    LETTER,
    LIGHT_RULE,
    MUTED,
    NOTE,
    SECTION,
    TOPIC,
)
from survey.report.pdfa import to_pdfa

LABEL_WIDTH_PT = 118.0
WHEN_WIDTH_PT = 118.0
STEP_WIDTH_PT = 110.0


@dataclass(frozen=True)
class NoticeSheet:
    """A notice as it is printed: who to, by whom, when, and what it says."""

    number: int
    to: str
    by: str
    made_at: datetime
    title: str
    lead: str
    work: str
    facts: Sequence[tuple[str, str]]
    cells: Sequence[str]
    cells_words: str
    missing: Sequence[str]
    log: Sequence[tuple[str, str, str]]
    cautions: Sequence[str]


def build_notice(sheet: NoticeSheet) -> bytes:
    """Return the notice as PDF/A-2b."""
    typeface = load_typeface()
    target = BytesIO()
    document = SimpleDocTemplate(
        target,
        pagesize=(LETTER.width_pt, LETTER.height_pt),
        leftMargin=LETTER.left_pt,
        rightMargin=LETTER.right_pt,
        topMargin=LETTER.top_pt,
        bottomMargin=LETTER.bottom_pt,
        invariant=1,
    )
    furnish = partial(_furnish, sheet=sheet, typeface=typeface)
    document.build(
        _flowables(sheet, typeface),
        onFirstPage=furnish,
        onLaterPages=furnish,
        canvasmaker=partial(Canvas, invariant=1, initialFontName=REGULAR),
    )
    return to_pdfa(
        target.getvalue(),
        title=typeface.printable(f"{sheet.title}, N-{sheet.number}"),
        author=typeface.printable(sheet.by),
        subject=typeface.printable(sheet.work),
        produced_at=sheet.made_at,
    )


def _furnish(canvas: Any, _document: object, *, sheet: NoticeSheet, typeface: Typeface) -> None:
    canvas.saveState()
    canvas.setFont(REGULAR, 7.6)
    canvas.setFillColor(HexColor(MUTED))
    y_pt = LETTER.bottom_pt - 24
    canvas.drawString(
        LETTER.left_pt, y_pt, f"Notice N-{sheet.number}, page {canvas.getPageNumber()}"
    )
    canvas.drawRightString(
        LETTER.width_pt - LETTER.right_pt, y_pt, typeface.printable(sheet.work)[:110]
    )
    canvas.restoreState()


def _flowables(sheet: NoticeSheet, typeface: Typeface) -> list[Flowable]:
    def text(words: str, style: Any = BODY) -> Paragraph:
        return Paragraph(escape(typeface.printable(words)), style)

    made = sheet.made_at
    out: list[Flowable] = [
        text(f"N-{sheet.number}  {sheet.title}", SECTION),
        text(sheet.lead, LEAD),
        _table(
            [
                (text("To", NOTE), text(sheet.to)),
                (text("From", NOTE), text(sheet.by)),
                (text("Made", NOTE), text(f"{made.day} {made:%b %Y, %H:%M} UTC")),
                (text("Work", NOTE), text(sheet.work)),
                *((text(label, NOTE), text(value)) for label, value in sheet.facts),
            ],
            (LABEL_WIDTH_PT, LETTER.text_width_pt - LABEL_WIDTH_PT),
        ),
    ]
    if sheet.cells_words:
        cells = ", ".join(sheet.cells) or "No cell is due by the record."
        out += [text("Cells due for a look", TOPIC), text(cells), text(sheet.cells_words, NOTE)]
    if sheet.missing:
        out.append(text("Missing until it is closed", TOPIC))
        out += [
            Paragraph(escape(typeface.printable(one)), BULLET, bulletText="–")
            for one in sheet.missing
        ]
    if sheet.log:
        left = LETTER.text_width_pt - WHEN_WIDTH_PT - STEP_WIDTH_PT
        rows = [
            (text(when, NOTE), text(step, NOTE), text(words)) for when, step, words in sheet.log
        ]
        out += [text("Log", TOPIC), _table(rows, (WHEN_WIDTH_PT, STEP_WIDTH_PT, left))]
    out += [Spacer(1, 10), *(text(one, NOTE) for one in sheet.cautions)]
    out += [Spacer(1, 18), text("Handed over by, received by, date and time:", NOTE), _lines()]
    return out


def _table(rows: Sequence[Sequence[Flowable]], widths_pt: Sequence[float]) -> Table:
    made = Table([list(row) for row in rows], colWidths=list(widths_pt), hAlign="LEFT")
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, -1), 0.5, HexColor(LIGHT_RULE)),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ]
        )
    )
    return made


def _lines() -> Table:
    width = (LETTER.text_width_pt - 24) / 2
    made = Table([["", "", ""]], colWidths=[width, 24, width], rowHeights=[30], hAlign="LEFT")
    rule = ("LINEBELOW", (0, 0), (0, 0), 0.7, HexColor(MUTED))
    other = ("LINEBELOW", (2, 0), (2, 0), 0.7, HexColor(MUTED))
    made.setStyle(TableStyle([rule, other]))
    return made
