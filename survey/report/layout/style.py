"""Which sizes, colours and text styles does a report use? Data with units, nothing else."""

from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import inch, mm

from survey.report.fonts import ITALIC, REGULAR, STRONG

# The paper theme of the program, darkened nowhere: contrast on white at least 4.5 for text.
GROUND, PANEL = "#FAF7F1", "#FFFFFF"
INK, MUTED, RULE = "#211C17", "#5E554A", "#8C8172"
ACCENT, OK, WARN, ALARM, INFO = "#9A3B20", "#2B6657", "#8A5A00", "#A11D1D", "#33566F"
LIGHT_RULE = "#D9D1C4"  # between table rows only, where it carries no meaning


@dataclass(frozen=True)
class PageGeometry:
    """A sheet and its margins, all in points (1/72 in)."""

    name: str
    width_pt: float
    height_pt: float
    left_pt: float = 0.62 * inch
    right_pt: float = 0.62 * inch
    top_pt: float = 0.86 * inch
    bottom_pt: float = 0.78 * inch

    @property
    def text_width_pt(self) -> float:
        return self.width_pt - self.left_pt - self.right_pt

    @property
    def text_height_pt(self) -> float:
        return self.height_pt - self.top_pt - self.bottom_pt


LETTER = PageGeometry("letter", 8.5 * inch, 11 * inch)
A4 = PageGeometry("a4", 210 * mm, 297 * mm)


@dataclass(frozen=True)
class Type:
    """A face in a size with its leading, in points."""

    font: str
    size_pt: float
    leading_pt: float
    colour: str = INK


TABLE = Type(REGULAR, 8.0, 10.0)
TABLE_STRONG = Type(STRONG, 8.0, 10.0)
TABLE_MUTED = Type(REGULAR, 8.0, 10.0, MUTED)
TABLE_HEAD = Type(STRONG, 7.2, 8.8, MUTED)
LIST = Type(REGULAR, 7.4, 9.0)
LIST_STRONG = Type(STRONG, 7.4, 9.0)
LIST_MUTED = Type(REGULAR, 7.4, 9.0, MUTED)
SMALL = Type(REGULAR, 6.8, 8.4, MUTED)
LABEL = Type(STRONG, 6.4, 7.6)
RUNNING = Type(REGULAR, 7.6, 9.4, MUTED)


def _style(name: str, face: Type, **more: object) -> ParagraphStyle:
    return ParagraphStyle(
        name,
        fontName=face.font,
        fontSize=face.size_pt,
        leading=face.leading_pt,
        textColor=HexColor(face.colour),
        splitLongWords=1,
        allowWidows=0,
        allowOrphans=0,
        **more,
    )


BODY = _style("body", Type(REGULAR, 9.6, 13.2), spaceAfter=6)
LEAD = _style("lead", Type(REGULAR, 11.2, 15.2), spaceAfter=6)
BULLET = _style(
    "bullet",
    Type(REGULAR, 9.6, 13.2),
    leftIndent=13,
    bulletIndent=1,
    bulletFontName=REGULAR,
    bulletFontSize=9.6,
    spaceAfter=3,
)
NOTE = _style("note", Type(ITALIC, 8.4, 11.2, MUTED), spaceAfter=4)
TITLE = _style("title", Type(STRONG, 27, 31), spaceAfter=2)
SUBTITLE = _style("subtitle", Type(REGULAR, 13, 17, MUTED), spaceAfter=6)
SECTION = _style("section", Type(STRONG, 16, 20, ACCENT), spaceBefore=18, spaceAfter=7)
TOPIC = _style("topic", Type(STRONG, 10.6, 14), spaceBefore=9, spaceAfter=4)
SIGNATORY = _style("signatory", Type(STRONG, 8.6, 11), spaceBefore=4)
STATEMENT = _style("statement", Type(REGULAR, 8.6, 11))
