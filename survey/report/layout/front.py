"""What does a reader meet first: cover, contents, what matters, how it was looked at, the wall?"""

from collections.abc import Sequence
from datetime import date
from io import BytesIO

from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, PageBreak, Spacer

from gridmap.lengths import format_feet_inches_with_metric
from survey.report import wording
from survey.report.content import (
    BasePicture,
    ReportState,
)
from survey.report.layout.elevation import (
    Strip,
    pieces_of,
)
from survey.report.layout.ink import rectangle, stroke
from survey.report.layout.ledger_table import Column, PageOf
from survey.report.layout.setting import Section, Setting
from survey.report.layout.style import (
    INK,
    LEAD,
    SECTION,
    SUBTITLE,
    TABLE_MUTED,
    TABLE_STRONG,
    TITLE,
)

COVER_PICTURE_MOST_PT = 230.0


def day(when: date | None, missing: str = wording.NOT_RECORDED) -> str:
    """Return a date as printed."""
    return when.isoformat() if when else missing


def days(start: date, end: date | None) -> str:
    """Return a span of dates as printed."""
    return f"{start.isoformat()} to {end.isoformat()}" if end else f"from {start.isoformat()}"


def cover(setting: Setting) -> list[Flowable]:
    """Return the first page: which paper, of which painting, in which state."""
    work, document = setting.content.work, setting.content.document
    byline = ", ".join(text for text in (work.artist, work.made, work.technique) if text)
    pictured = _whole_picture(setting)
    return [
        Spacer(1, 34),
        setting.paragraph(wording.KIND_TITLES[document.kind], SECTION),
        setting.paragraph(work.title, TITLE),
        setting.paragraph(byline or "artist and date not recorded", SUBTITLE),
        Spacer(1, 6),
        pictured or _bare_strip(setting),
        Spacer(1, 12),
        setting.facts(_paper_facts(setting), keeps_empty=True),
        *_standing_notes(setting),
        *setting.topic("The painting", setting.facts(_work_facts(setting), keeps_empty=True)),
        PageBreak(),
    ]


def _standing_notes(setting: Setting) -> list[Flowable]:
    return [setting.note(text) for text in setting.content.document.standing_notes]


def _paper_facts(setting: Setting) -> list[tuple[str, str]]:
    document, survey = setting.content.document, setting.content.survey
    issued = document.state is ReportState.ISSUED
    state = f"issued {day(document.issued_on)}" if issued else "draft, not issued"
    dates = days(survey.starts_on, survey.ends_on)
    against = f", against {document.against_code}" if document.against_code else ""
    return [
        ("Report", f"{document.number}, version {document.version}, {state}"),
        ("Supersedes", document.supersedes or "no earlier version"),
        ("Survey", f"{survey.code} ({survey.kind}), {dates}{against}"),
        ("For", setting.content.instruction.reader),
    ]


def _work_facts(setting: Setting) -> list[tuple[str, str]]:
    work = setting.content.work
    size = (
        f"{format_feet_inches_with_metric(work.width_in)} long, "
        f"{format_feet_inches_with_metric(work.height_in)} high"
    )
    base = work.base_above_floor_in
    return [
        ("Artist", work.artist),
        ("Made", ", ".join(text for text in (work.made, work.technique) if text)),
        ("Place", work.place),
        ("Size", size),
        (
            "Lower edge",
            f"{format_feet_inches_with_metric(base)} above the floor" if base is not None else "",
        ),
        ("Owner", work.owner),
        ("Inventory no.", work.inventory_number),
    ]


def _above_floor(base_in: float) -> str:
    return f"{format_feet_inches_with_metric(base_in)} above the floor"


def _whole_picture(setting: Setting) -> Flowable | None:
    """Return the photograph that shows most of the wall, if a plate uses it."""
    pictures = [plate.picture for plate in setting.content.plates if plate.picture]
    if not pictures:
        return None
    widest = max(pictures, key=lambda p: p.bounds_in[2] - p.bounds_in[0])
    return CoverPicture(setting, widest)


def _bare_strip(setting: Setting) -> Flowable:
    wall = setting.content.wall
    width = setting.geometry.text_width_pt
    return Strip(setting.press, wall, pieces_of(wall, 1)[0], width_pt=width, most_height_pt=220)


class CoverPicture(Flowable):  # type: ignore[misc]
    """The whole painting as it was photographed, with its date."""

    def __init__(self, setting: Setting, picture: BasePicture) -> None:
        super().__init__()
        self.setting, self.picture = setting, picture
        x0, y0, x1, y1 = picture.bounds_in
        width = setting.geometry.text_width_pt
        scale = min(width / (x1 - x0), COVER_PICTURE_MOST_PT / (y1 - y0))
        self.width, self.height = (x1 - x0) * scale, (y1 - y0) * scale

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        bounds = self.picture.bounds_in
        crop = self.setting.darkroom.crop(self.picture, bounds, width_pt=self.width)
        if crop is None:
            return
        image = ImageReader(BytesIO(crop.jpeg))
        self.canv.drawImage(image, 0, 0, self.width, self.height)
        self.canv._code.append(f"q {stroke(INK, 0.8)}{rectangle(0, 0, self.width, self.height)}S Q")


def contents(setting: Setting, sections: Sequence[Section]) -> list[Flowable]:
    """Return the list of sections with their pages, in reading order."""
    rows: list[tuple[str, str, PageOf]] = []
    for number, section in enumerate(sections, start=1):
        rows.append((str(number), section.title, PageOf(section.place)))
    columns = (
        Column("", 0.3, align="right", face=TABLE_MUTED),
        Column("Contents", 8, face=TABLE_STRONG),
        Column("Page", 0.6, align="right"),
    )
    return [setting.table(columns, rows)]


def in_short(setting: Setting) -> list[Flowable]:
    """Return what matters first: sentences, urgent items, counts of findings."""
    content = setting.content
    out: list[Flowable] = [setting.paragraph(text, LEAD) for text in content.summary]
    urgent = [row for row in content.schedule if (row.urgency or 0) >= 2]
    urgent.sort(key=lambda row: -(row.urgency or 0))
    columns = (
        Column("Item", 0.8, face=TABLE_STRONG),
        Column("Cells", 1.0),
        Column("Term", 2.4),
        Column("Urgency", 1.6),
        Column("Finding", 2.0),
        Column("Plate, page", 0.8, align="right"),
    )
    rows = [
        (
            row.item,
            ", ".join(row.cells),
            setting.term_name(row.term),
            wording.URGENCY_WORDS[row.urgency or 0],
            row.finding,
            setting.plate_page(row.cells),
        )
        for row in urgent
    ]
    found: Flowable = (
        setting.table(columns, rows)
        if rows
        else setting.paragraph("No item is marked urgent (2 or 3).")
    )
    out += setting.topic("Items that need a person within seven days", found)
    if content.comparison and content.comparison.counts:
        out += setting.topic("Findings", _finding_counts(setting))
    return out


def _finding_counts(setting: Setting) -> Flowable:
    comparison = setting.content.comparison
    assert comparison is not None
    columns = (
        Column("Finding", 1.8),
        Column("Items", 0.6, align="right"),
        Column("What it means", 5.4, face=TABLE_MUTED),
    )
    rows = [
        (count.finding, f"{count.count:,}", wording.FINDING_MEANINGS[count.finding])
        for count in comparison.counts
    ]
    return setting.table(columns, rows)


def parties(setting: Setting) -> list[Flowable]:
    """Return who asked, who is concerned, who wrote."""
    content, instruction = setting.content, setting.content.instruction
    out: list[Flowable] = [
        setting.facts(
            [
                ("Instructed by", instruction.instructed_by),
                ("On", day(instruction.instructed_on, "")),
                ("Purpose", instruction.purpose),
                ("Reader", instruction.reader),
            ],
            keeps_empty=True,
        )
    ]
    party_columns = (
        Column("Part", 1.2, face=TABLE_MUTED),
        Column("Name", 2),
        Column("Person", 1.6),
    )
    party_rows = [(party.role, party.name, party.person) for party in content.parties]
    out += setting.topic("Parties", _or_say(setting, party_columns, party_rows, wording.NO_PARTIES))
    author_columns = (
        Column("Name", 1.2, face=TABLE_STRONG),
        Column("Role", 1.4),
        Column("Qualification", 2.0),
        Column("Independence", 2.4),
    )
    author_rows = [(a.name, a.role, a.qualification, a.independence) for a in content.authors]
    out += setting.topic(
        "Authors", _or_say(setting, author_columns, author_rows, wording.NO_AUTHORS)
    )
    return out


def _or_say(
    setting: Setting, columns: Sequence[Column], rows: Sequence[Sequence[object]], sentence: str
) -> Flowable:
    if not rows:
        return setting.paragraph(sentence)
    return setting.table(columns, rows)  # type: ignore[arg-type]


def method(setting: Setting) -> list[Flowable]:
    """Return when, how and in which light the survey was made, and what it looked for."""
    survey = setting.content.survey
    out: list[Flowable] = [
        setting.facts(
            [
                ("Survey", f"{survey.code} ({survey.kind}), {survey.state}"),
                ("Dates", days(survey.starts_on, survey.ends_on)),
                ("Examined by", ", ".join(survey.searched_by)),
                ("Weather", survey.weather),
                ("Light", survey.light),
                ("Access", survey.access),
            ],
            keeps_empty=True,
        )
    ]
    out += [setting.paragraph(text) for text in survey.method]
    columns = (
        Column("Mode", 1.2, face=TABLE_STRONG),
        Column("Light", 2.2),
        Column("Instruments and calibration", 2.2),
        Column("Looked for", 3.2),
    )
    rows = [
        (
            mode.name,
            mode.light,
            "\n".join(text for text in (mode.instruments, mode.calibration) if text),
            ", ".join(mode.searched_for) or "no search list recorded",
        )
        for mode in survey.modes
    ]
    out += setting.topic("Modes", _or_say(setting, columns, rows, wording.NO_MODES))
    return [*out, setting.note(wording.SEARCH_NOTE)] if rows else out
