"""How do plain texts, facts and tables become flowables in the house's style?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph

from survey.report.content import ReportContent
from survey.report.layout.elevation import ElevationItems
from survey.report.layout.ink import Press
from survey.report.layout.ledger_table import Column, LedgerTable, PageOf, Row
from survey.report.layout.pictures import Darkroom
from survey.report.layout.plates import plate_place
from survey.report.layout.style import (
    BODY,
    BULLET,
    NOTE,
    SECTION,
    TABLE,
    TABLE_MUTED,
    TOPIC,
    PageGeometry,
)

FACT_COLUMNS = (Column("", 1.0, face=TABLE_MUTED), Column("", 3.6, face=TABLE))
LONGEST_TOPIC = 160  # characters; the table below a longer heading has it whole
LEAST_START_PT = 96.0  # a headed part does not start with less room than this


@dataclass
class Setting:
    """What every section needs to set its part of one report."""

    press: Press
    content: ReportContent
    geometry: PageGeometry
    darkroom: Darkroom = field(default_factory=Darkroom)

    def __post_init__(self) -> None:
        self.items = ElevationItems.from_outlines(
            [outline for plate in self.content.plates for outline in plate.outlines]
        )
        self._plated = {plate.cell for plate in self.content.plates}

    def paragraph(self, text: str, style: ParagraphStyle = BODY) -> Paragraph:
        """Return plain text as a paragraph; nothing in it acts as markup."""
        shown = escape(self.press.typeface.printable(text)).replace("\n", "<br/>")
        return Paragraph(shown, style)

    def note(self, text: str) -> Paragraph:
        return self.paragraph(text, NOTE)

    def bullets(self, texts: Sequence[str]) -> list[Flowable]:
        shown = [escape(self.press.typeface.printable(text)) for text in texts]
        return [Paragraph(text, BULLET, bulletText="–") for text in shown]

    def table(self, columns: Sequence[Column], rows: Sequence[Row]) -> LedgerTable:
        return LedgerTable(self.press, columns, rows)

    def facts(self, pairs: Sequence[tuple[str, str]], *, keeps_empty: bool = False) -> LedgerTable:
        """Return labelled facts; empty ones are left out, or said to be not recorded."""
        rows = [(label, value or "not recorded") for label, value in pairs if value or keeps_empty]
        return LedgerTable(self.press, FACT_COLUMNS, rows)

    def topic(self, title: str, *flowables: Flowable) -> list[Flowable]:
        """Return flowables under a small heading that stays with the first of them."""
        first, *rest = flowables
        line = " ".join(title.split())
        shown = line if len(line) <= LONGEST_TOPIC else f"{line[: LONGEST_TOPIC - 1]}…"
        return [Headed(self.paragraph(shown, TOPIC), first), *rest]

    def plate_page(self, cells: Sequence[str]) -> PageOf | str:
        """Return the page of the first cell that has a plate."""
        plated = next((cell for cell in cells if cell in self._plated), None)
        return PageOf(plate_place(plated)) if plated else "–"

    def term_name(self, code: str) -> str:
        """Return a term's trade name, or its code where the vocabulary does not hold it."""
        return self.content.terms[code].name if code in self.content.terms else code


@dataclass(frozen=True)
class Section:
    """A numbered part of the report."""

    title: str
    place: str
    flowables: Callable[[], list[Flowable]]
    starts_page: bool = True


class Headed(Flowable):  # type: ignore[misc]
    """A heading and what follows it, which split only behind the first lines of what follows."""

    def __init__(self, heading: Paragraph, body: Flowable) -> None:
        super().__init__()
        self.heading, self.body = heading, body
        self.spaceAfter = body.getSpaceAfter()
        self.spaceBefore = heading.getSpaceBefore()

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        _, self.heading_height = self.heading.wrap(available_width, available_height)
        self.heading_height += self.heading.getSpaceAfter()
        self.width, body_height = self.body.wrap(
            available_width, available_height - self.heading_height
        )
        self.body_height = body_height
        self.height = self.heading_height + body_height
        return available_width, self.height

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        self.wrap(available_width, available_height)
        if available_height < LEAST_START_PT:
            return []
        parts = self.body.split(available_width, available_height - self.heading_height)
        if not parts:
            return []
        return [Headed(self.heading, parts[0]), *parts[1:]]

    def draw(self) -> None:
        self.heading.drawOn(self.canv, 0, self.height - self.heading.height)
        self.body.drawOn(self.canv, 0, 0)


class SectionHeading(Paragraph):  # type: ignore[misc]
    """A section's heading, which notes its page, its bookmark and its place in the outline."""

    def __init__(self, setting: Setting, number: int, title: str, place: str) -> None:
        super().__init__(f"{number}&nbsp;&nbsp;{escape(title)}", SECTION)
        self._press, self._place, self._title = setting.press, place, f"{number}  {title}"

    def draw(self) -> None:
        self._press.pages[self._place] = self.canv.getPageNumber()
        self.canv.bookmarkHorizontal(self._place, 0, self.height + 6)
        self.canv.addOutlineEntry(self._title, self._place, level=0)
        super().draw()
