"""What closes the report: cautions, signatures, plates, images, versions and custody?"""

from collections.abc import Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer

from survey.report import wording
from survey.report.layout.front import day
from survey.report.layout.ink import Press, rectangle, segment, stroke
from survey.report.layout.ledger_table import Cell, Column, Row
from survey.report.layout.plates import plate_flowables
from survey.report.layout.setting import Setting
from survey.report.layout.style import (
    INK,
    RULE,
    SIGNATORY,
    SMALL,
    STATEMENT,
    TABLE,
    TABLE_STRONG,
    Type,
)

DIGEST = Type(TABLE.font, 6.6, 8.6)
SIGNATURE_LINE_PT = 34.0
RESERVATION_LINES = 3
PLATES_IN_A_ROW = 7


def cautions(setting: Setting) -> list[Flowable]:
    """Return the safety text, headed by what governs."""
    return [
        setting.paragraph(wording.CAUTION_HEAD),
        *setting.bullets((*wording.CAUTIONS, *setting.content.further_cautions)),
    ]


def signatures(setting: Setting) -> list[Flowable]:
    """Return lines to sign on, with room for reservations where somebody may lodge them."""
    fields = setting.content.signatures
    if not fields:
        return [setting.paragraph(wording.NO_SIGNATURES)]
    document = setting.content.document
    note = (
        f"Each signature is for report {document.number}, version {document.version}, as printed. "
        "A person may sign, refuse to sign, or lodge reservations by cell; an empty line says that "
        "nothing was signed."
    )
    out: list[Flowable] = [setting.note(note)]
    for one in fields:
        head = ", ".join(
            text for text in (one.name or "name not recorded", one.organisation) if text
        )
        attended = f"Attended: {one.attended}." if one.attended else ""
        said = " ".join(text for text in (one.statement, attended) if text)
        parts: list[Flowable] = [setting.paragraph(f"{one.role}: {head}", SIGNATORY)]
        parts += [setting.paragraph(said, STATEMENT)] if said else []
        lines = SignatureLines(setting.press, takes_reservations=one.takes_reservations)
        out.append(KeepTogether([*parts, lines]))
    return out


class SignatureLines(Flowable):  # type: ignore[misc]
    """Lines for signature, name and date, and for reservations where they may be lodged."""

    def __init__(self, press: Press, *, takes_reservations: bool) -> None:
        super().__init__()
        self.press, self.takes_reservations = press, takes_reservations
        self.spaceAfter = 12.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        reserved = RESERVATION_LINES * 17 + 30 if self.takes_reservations else 0
        self.height = SIGNATURE_LINE_PT + 12 + reserved
        return self.width, self.height

    def draw(self) -> None:
        y = self.height - SIGNATURE_LINE_PT
        out = ["q ", stroke(INK, 0.7), self._lines(y)]
        if self.takes_reservations:
            out.append(self._reservations(y - 24))
        self.canv._code.append("".join(out) + "Q")

    def _lines(self, y: float) -> str:
        places = ((0.0, 0.46, "Signature"), (0.5, 0.24, "Name in capitals"), (0.78, 0.22, "Date"))
        return "".join(
            segment(start * self.width, y, (start + share) * self.width, y)
            + self.press.text(label, start * self.width, y - 9, SMALL)
            for start, share, label in places
        )

    def _reservations(self, y: float) -> str:
        out = [rectangle(0, y - 5, 7, 7) + "S "]
        out.append(self.press.text("I refuse to sign.", 11, y - 4, TABLE))
        out.append(rectangle(110, y - 5, 7, 7) + "S ")
        out.append(
            self.press.text("I sign with these reservations (cell and matter):", 121, y - 4, TABLE)
        )
        out.append(stroke(RULE, 0.5))
        for number in range(1, RESERVATION_LINES + 1):
            out.append(segment(0, y - 5 - 17 * number, self.width, y - 5 - 17 * number))
        return "".join(out)


def plates(setting: Setting) -> list[Flowable]:
    """Return every plate; small ones share a page."""
    content, geometry = setting.content, setting.geometry
    if not content.plates:
        return [setting.paragraph(wording.NO_PLATES)]
    out: list[Flowable] = [
        setting.note(
            "Each plate shows one cell at the largest scale that fits. Ticks count feet and inches "
            "from the cell’s lower left corner. Code letters and item stand in the outline or at a "
            "leader line. A dashed outline without hatch is that of the survey before."
        ),
        _plate_index(setting),
    ]
    page = (geometry.text_width_pt, geometry.text_height_pt)
    for plate in content.plates:
        out += plate_flowables(
            setting.press, plate, content.terms, darkroom=setting.darkroom, page_pt=page
        )
    return out


def _plate_index(setting: Setting) -> Flowable:
    """Return which cell's plate stands on which page."""
    plates, each = setting.content.plates, PLATES_IN_A_ROW
    rows: list[Row] = []
    for start in range(0, len(plates), each):
        row: list[Cell] = []
        for plate in plates[start : start + each]:
            row += [plate.cell, setting.plate_page((plate.cell,))]
        row += [""] * (2 * each - len(row))
        rows.append(row)
    columns = [
        column
        for _ in range(each)
        for column in (Column("Plate", 1.0, face=TABLE_STRONG), Column("Page", 0.7, align="right"))
    ]
    return setting.table(columns, rows)


def images(setting: Setting) -> list[Flowable]:
    """Return the photographs that the report rests on, with their digests."""
    rows = setting.content.images
    if not rows:
        return [setting.paragraph(wording.NO_IMAGES)]
    columns = (
        Column("Image", 1.45, face=TABLE_STRONG),
        Column("Survey", 0.5),
        Column("Taken, UTC", 1.25),
        Column("Operator", 0.9),
        Column("Mode", 0.95),
        Column("Place", 0.6),
        Column("SHA-256 of the file", 4.55, face=DIGEST),
    )
    set_rows = [
        (
            row.name,
            row.survey,
            row.taken_at.strftime("%Y-%m-%d %H:%M") if row.taken_at else wording.NOT_RECORDED,
            row.operator or wording.NOT_RECORDED,
            row.mode,
            row.place,
            row.digest or wording.NOT_RECORDED,
        )
        for row in rows
    ]
    note = "The digest tells whether a file is the one that this report rests on."
    return [setting.note(note), setting.table(columns, set_rows)]


def versions(setting: Setting) -> list[Flowable]:
    """Return the versions of this report, what changed, and who held the data."""
    content, document = setting.content, setting.content.document
    columns = (
        Column("Version", 0.6, align="right", face=TABLE_STRONG),
        Column("State", 0.8),
        Column("Date", 0.9),
        Column("What changed", 6),
    )
    rows = [
        (str(v.version), str(v.state), day(v.on, "no date"), v.changed) for v in content.versions
    ]
    out = _table_or_sentence(setting, columns, rows, wording.NO_VERSIONS)
    custody_columns = (Column("When, UTC", 1.2), Column("Who", 2), Column("What", 5))
    custody = [(c.when.strftime("%Y-%m-%d %H:%M"), c.who, c.what) for c in content.custody]
    out += setting.topic(
        "Who held or handed out the data",
        *_table_or_sentence(setting, custody_columns, custody, wording.NO_CUSTODY),
    )
    out += setting.topic(
        "Made with",
        setting.facts(
            [
                ("Program", document.software),
                ("Produced", f"{document.produced_at.strftime('%Y-%m-%d %H:%M')} UTC"),
                ("Layout version", _plain(document.layout_version)),
                ("Vocabulary version", _plain(document.vocabulary_version)),
                ("File", "PDF/A-2b, ISO 19005-2"),
            ]
        ),
    )
    return [*out, Spacer(1, 4)]


def _plain(number: int | None) -> str:
    return "" if number is None else str(number)


def _table_or_sentence(
    setting: Setting, columns: Sequence[Column], rows: Sequence[tuple[str, ...]], sentence: str
) -> list[Flowable]:
    return [setting.table(columns, rows) if rows else setting.paragraph(sentence)]
