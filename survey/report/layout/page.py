"""What stands on every page: running head, page x of y, standing notes, and the mark of a draft?"""

from collections.abc import Callable
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, PageTemplate
from reportlab.platypus.frames import Frame as TextFrame

from survey.report.content import ReportContent, ReportState
from survey.report.fonts import STRONG
from survey.report.layout.ink import Press, rectangle, rgb, segment, stroke
from survey.report.layout.ledger_table import lines_of
from survey.report.layout.style import ALARM, RULE, RUNNING, PageGeometry, Type
from survey.report.wording import KIND_TITLES

DRAFT_BOX = Type(STRONG, 8.6, 10.0, ALARM)
FOOT_LINES = 3
DRAFT_WORDS = "DRAFT – not issued"
DRAFT_GROUND = Type(STRONG, 150.0, 150.0, "#FAF5ED")  # behind everything, too pale to disturb


class ReportCanvas(Canvas):  # type: ignore[misc]
    """A canvas that fills in the promised page numbers and hatches before it is saved."""

    press: Press

    def save(self) -> None:
        if self._code:
            self.showPage()
        self.press.define_forms(self.getPageNumber() - 1)
        super().save()


class ReportPages(BaseDocTemplate):  # type: ignore[misc]
    """Lays flowables on the pages of one report; asks `step` after each of them."""

    def __init__(
        self,
        target: BytesIO,
        content: ReportContent,
        geometry: PageGeometry,
        *,
        step: Callable[[Flowable], None],
    ) -> None:
        super().__init__(
            target,
            pagesize=(geometry.width_pt, geometry.height_pt),
            leftMargin=geometry.left_pt,
            rightMargin=geometry.right_pt,
            topMargin=geometry.top_pt,
            bottomMargin=geometry.bottom_pt,
            allowSplitting=1,
        )
        self.content, self.geometry, self.step = content, geometry, step
        frame = TextFrame(
            geometry.left_pt,
            geometry.bottom_pt,
            geometry.text_width_pt,
            geometry.text_height_pt,
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        self.addPageTemplates(PageTemplate(id="page", frames=[frame], onPage=self._furnish))

    def afterFlowable(self, flowable: Flowable) -> None:  # platypus names it
        self.step(flowable)

    def _furnish(self, canvas: ReportCanvas, _document: object) -> None:
        press, geometry = canvas.press, self.geometry
        out = ["q "]
        if self.content.document.state is ReportState.DRAFT:
            out.append(_draft_ground(press, geometry))
        if canvas.getPageNumber() > 1:
            out.append(self._running_head(press))
        elif self.content.document.state is ReportState.DRAFT:
            out.append(_draft_box(press, geometry))
        out += [self._foot(press, canvas.getPageNumber()), "Q"]
        canvas._code.append("".join(out))

    def _running_head(self, press: Press) -> str:
        g, document = self.geometry, self.content.document
        y = g.height_pt - g.top_pt + 20
        right = g.width_pt - g.right_pt
        out = [stroke(RULE, 0.5) + segment(g.left_pt, y - 5, right, y - 5)]
        if document.state is ReportState.DRAFT:
            out.append(_draft_box(press, g))
            right -= press.width_of(DRAFT_WORDS, DRAFT_BOX) + 22
        title = f"{KIND_TITLES[document.kind]} {document.number}, version {document.version}"
        surveys = document.survey_code + (
            f" against {document.against_code}" if document.against_code else ""
        )
        shown = f"{self.content.work.title}  ·  {title}  ·  survey {surveys}"
        first = lines_of(press.typeface.printable(shown), face=RUNNING, width_pt=right - g.left_pt)
        text = first[0] if len(first) == 1 else f"{first[0].rstrip(' ·')} …"
        out.append(press.text(text, g.left_pt, y, RUNNING))
        return "".join(out)

    def _foot(self, press: Press, page: int) -> str:
        g = self.geometry
        y, right = g.bottom_pt - 24, g.width_pt - g.right_pt
        out = [stroke(RULE, 0.5) + segment(g.left_pt, y + 12, right, y + 12)]
        prefix = f"Page {page} of "
        out.append(press.text(prefix, g.left_pt, y, RUNNING))
        out.append(press.page_count_at(g.left_pt + press.width_of(prefix, RUNNING), y, RUNNING))
        notes = "  ·  ".join(self.content.document.standing_notes)
        width = g.text_width_pt - 90
        lines = lines_of(press.typeface.printable(notes), face=RUNNING, width_pt=width)
        if len(lines) > FOOT_LINES:  # the cover has them whole
            lines = [*lines[: FOOT_LINES - 1], f"{lines[FOOT_LINES - 1]} …"]
        for number, line in enumerate(lines):
            out.append(press.text(line, right, y - number * 9.4, RUNNING, align="right"))
        return "".join(out)


def _draft_box(press: Press, g: PageGeometry) -> str:
    width = press.width_of(DRAFT_WORDS, DRAFT_BOX) + 12
    x, y = g.width_pt - g.right_pt - width, g.height_pt - g.top_pt + 17
    box = f"1 g {rgb(ALARM)} RG 1 w {rectangle(x, y, width, 14)}B "
    return box + press.text(DRAFT_WORDS, x + 6, y + 4, DRAFT_BOX)


def _draft_ground(press: Press, g: PageGeometry) -> str:
    half = press.width_of("DRAFT", DRAFT_GROUND) / 2
    word = press.text("DRAFT", -half, -50, DRAFT_GROUND)
    return f"q 0.6 0.8 -0.8 0.6 {g.width_pt / 2:.1f} {g.height_pt / 2:.1f} cm {word}Q "
