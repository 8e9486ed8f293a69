"""How does a report's content become a file? `build_pdf` lays it out and makes it PDF/A-2b.

Reads no database and no clock: the same content gives the same bytes.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from io import BytesIO
from pathlib import Path
from threading import Lock

from reportlab import rl_config
from reportlab.platypus import CondPageBreak, Flowable, PageBreak

from gridmap.errors import PontataError
from survey.report.content import ReportContent
from survey.report.fonts import DEFAULT_FOLDER, REGULAR, Typeface, load_typeface
from survey.report.layout import back, front, matter, pairs, wall_maps
from survey.report.layout.ink import Press
from survey.report.layout.page import ReportCanvas, ReportPages
from survey.report.layout.setting import Section, SectionHeading, Setting
from survey.report.layout.style import LETTER, PageGeometry
from survey.report.pdfa import to_pdfa
from survey.report.wording import KIND_TITLES

Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]
SECTION_ROOM_PT = 180.0  # a section that shares a page starts only with this much room
_REPORTLAB_SETTINGS = Lock()  # reportlab keeps its settings in one module for the whole process


class ReportCancelled(PontataError):
    """Somebody stopped the making of a report; nothing was kept."""


def build_pdf(
    content: ReportContent,
    *,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    geometry: PageGeometry = LETTER,
    fonts: Path = DEFAULT_FOLDER,
) -> bytes:
    """Return the report as PDF/A-2b.

    `progress(done, total)` counts parts laid out; `cancelled()` is asked after each of them.
    Raises ReportCancelled, FontMissing, and InvalidInput for a photograph that cannot be read.
    """
    typeface = load_typeface(fonts)
    with _binary_streams():
        laid_out = _lay_out(content, geometry, typeface, progress, cancelled)
    document = content.document
    title = f"{content.work.title}: {KIND_TITLES[document.kind]} {document.number}"
    return to_pdfa(
        laid_out,
        title=typeface.printable(f"{title}, version {document.version}"),
        author=typeface.printable(", ".join(author.name for author in content.authors)),
        subject=f"Survey {document.survey_code}, {document.state}",
        produced_at=document.produced_at,
    )


def _lay_out(
    content: ReportContent,
    geometry: PageGeometry,
    typeface: Typeface,
    progress: Progress | None,
    cancelled: Cancelled | None,
) -> bytes:
    target = BytesIO()
    press = Press(None, typeface)
    story = report_flowables(Setting(press, content, geometry))
    step = _stepper(len(story), progress, cancelled)

    def canvas_for(*args: object, **options: object) -> ReportCanvas:
        # A fixed date of making, and no mention of a typeface that is not embedded.
        options.update(invariant=1, initialFontName=REGULAR)
        press.canvas = ReportCanvas(*args, **options)
        press.canvas.press = press
        return press.canvas

    ReportPages(target, content, geometry, step=step).build(story, canvasmaker=canvas_for)
    return target.getvalue()


def report_flowables(setting: Setting) -> list[Flowable]:
    """Return the whole report as flowables, in reading order."""
    sections = report_sections(setting)
    story = [*front.cover(setting), *front.contents(setting, sections), PageBreak()]
    for number, section in enumerate(sections, start=1):
        if section.starts_page and number > 1:
            story.append(PageBreak())
        else:
            story.append(CondPageBreak(SECTION_ROOM_PT))
        story.append(SectionHeading(setting, number, section.title, section.place))
        story += section.flowables()
    return story


def report_sections(setting: Setting) -> list[Section]:
    """Return the sections that every report has, empty ones included: an empty one says so."""
    parts = (
        ("In short", front.in_short, True),
        ("Instruction, parties and authors", front.parties, False),
        ("How the survey was made", front.method, True),
        ("Coverage and limits", wall_maps.coverage, True),
        ("Vocabulary used", wall_maps.vocabulary, False),
        ("Key elevation", wall_maps.key_elevation, True),
        ("Schedule of recorded condition", matter.schedule, True),
        ("Change since the survey before", matter.change, True),
        ("Cells not comparable or not seen", matter.gaps, False),
        ("Queries and decisions", matter.queries, False),
        ("Treatments", matter.treatments, False),
        ("Cautions", back.cautions, True),
        ("Signatures", back.signatures, False),
        ("Plates", back.plates, True),
        ("Details before and after", pairs.detail_pairs, True),
        ("Images", back.images, True),
        ("Versions and custody", back.versions, False),
    )
    return [
        Section(title, f"section {number}", partial(made, setting), starts_page)
        for number, (title, made, starts_page) in enumerate(parts, start=1)
    ]


def _stepper(
    total: int, progress: Progress | None, cancelled: Cancelled | None
) -> Callable[[Flowable], None]:
    done = 0

    def step(_flowable: Flowable) -> None:
        nonlocal done
        # A table that splits counts once more; the total is a promise to whoever waits.
        done = min(done + 1, total)
        if cancelled is not None and cancelled():
            raise ReportCancelled("The report was cancelled; nothing was kept.")
        if progress is not None:
            progress(done, total)

    return step


@contextmanager
def _binary_streams() -> Iterator[None]:
    """Keep streams binary (a fifth smaller and faster than in letters) while one report is made."""
    with _REPORTLAB_SETTINGS:
        before = rl_config.useA85
        rl_config.useA85 = 0
        try:
            yield
        finally:
            rl_config.useA85 = before
