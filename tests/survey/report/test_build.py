"""Does a built report say what its content says, and do its pages agree with each other?"""

import re
from dataclasses import replace
from datetime import date
from io import BytesIO

import pikepdf
import pytest
from pypdf import PdfReader

from survey.report import content as c
from survey.report.build import ReportCancelled, build_pdf
from survey.report.layout.style import A4
from tests.survey.report.harvest_report import CELLS, bare_report, document, harvest_report
from tests.survey.report.reading import (
    bare_pdf,
    harvest_pdf,
    outline_of,
    pages_of,
    plain,
    text_of,
)

SECTIONS = (
    "In short", "Instruction, parties and authors", "How the survey was made",
    "Coverage and limits", "Vocabulary used", "Key elevation", "Schedule of recorded condition",
    "Change since the survey before", "Cells not comparable or not seen", "Queries and decisions",
    "Treatments", "Cautions", "Signatures", "Plates", "Details before and after",
    "Images", "Versions and custody",
)  # fmt: skip


@pytest.mark.parametrize(
    "said",
    [
        "The Harvest Train",
        "Orla Benning",
        "MST 1936.1",
        "84′ 0″",
        "PR-0002, version 1, draft, not issued",
        "Marrowby Mutual Fire Office",
        "dry, 61 to 70 °F outdoors",
        "boards of deck 2",
        "L0, paint loss, C17: grown",
        "bag 14 below columns 16 to 18",
        "a facing would put more stress on the flakes",
        "a loss cannot heal",
        "rolled swab, three passes",
        "lamp stood on the other side",
        "Rook & Alder Builders",
        "Invented demo data.",
        "draft handed to the owner as a file",
        "This list is not a safety plan.",
    ],
)
def test_what_the_content_holds_is_printed(said: str) -> None:
    assert plain(said) in text_of(harvest_pdf())


def test_every_section_stands_in_the_outline_even_when_empty() -> None:
    for pdf in (harvest_pdf(), bare_pdf()):
        titles = [title.split(None, 1)[1] for title, _ in outline_of(pdf) if title[0].isdigit()]

        assert tuple(titles) == SECTIONS


def test_each_page_says_its_number_and_the_true_number_of_pages() -> None:
    for pdf in (harvest_pdf(), bare_pdf()):
        pages = pages_of(pdf)

        for number, text in enumerate(pages, start=1):
            assert re.search(rf"\bPage {number} of {len(pages)}\b", text), f"page {number}"


def test_contents_name_the_pages_on_which_the_sections_begin() -> None:
    contents = pages_of(harvest_pdf())[1]

    for title, page in outline_of(harvest_pdf()):
        if title[0].isdigit():
            number, name = title.split(None, 1)
            assert f"{number} {name} {page}" in contents


def test_every_plate_has_a_bookmark_on_its_page_and_its_page_in_the_index() -> None:
    marks = dict(outline_of(harvest_pdf()))
    index = pages_of(harvest_pdf())[marks["14 Plates"] - 1]

    for cell in CELLS:
        page = marks[f"Cell {cell}"]
        assert f"{cell} " in pages_of(harvest_pdf())[page - 1]
        assert f"{cell} {page}" in index


def test_schedule_names_the_page_of_each_plate() -> None:
    marks = dict(outline_of(harvest_pdf()))
    schedule = " ".join(pages_of(harvest_pdf())[marks["7 Schedule of recorded condition"] - 1 :])

    row = re.search(r"L0 C17 paint loss 12\.9 0\.19 .*? grown (\d+)", schedule)

    assert row is not None and int(row.group(1)) == marks["Cell C17"]


def test_links_in_the_contents_lead_to_the_pages_that_they_name() -> None:
    wanted = [page for title, page in outline_of(harvest_pdf()) if title[0].isdigit()]

    with pikepdf.open(BytesIO(harvest_pdf())) as pdf:
        numbers = {page.obj.objgen: number for number, page in enumerate(pdf.pages, start=1)}
        links = [numbers[link.Dest[0].objgen] for link in pdf.pages[1].obj.Annots]

    assert links == wanted


def test_coverage_prints_areas_and_shares_with_openings_subtracted() -> None:
    # source: plain arithmetic on the scenario: 84 × 14 ft less a circle 3 ft across and a segmental
    # arch 6 ft wide, 1 ft 6 in high; deck 2's boards hide 84 sq ft, row A's top 126 sq ft.
    import math

    radius = (3.0**2 + 1.5**2) / (2 * 1.5)
    half_angle = math.asin(3.0 / radius)
    arch = radius**2 * (half_angle - math.sin(2 * half_angle) / 2)
    painted = 84 * 14 - math.pi * 1.5**2 - arch
    coverage = next(t for t in pages_of(harvest_pdf())[2:] if "Coverage and limits" in t)

    row = re.search(r"normal light ([\d,.]+) ([\d,.]+) ([\d.]+) ([\d,.]+) ([\d.]+)", coverage)

    assert row is not None
    printed = [float(text.replace(",", "")) for text in row.groups()]
    assert printed[0] == pytest.approx(painted, abs=0.15)  # the arcs are drawn as chords
    assert printed[1] == pytest.approx(painted - 84, abs=0.15)
    assert printed[2] == pytest.approx(100 * (painted - 84) / painted, abs=0.06)
    assert printed[3] == pytest.approx(painted - 84 - 126, abs=0.15)
    assert printed[4] == pytest.approx(100 * (painted - 210) / painted, abs=0.06)
    assert "Openings (clock, doorway head)" in coverage


def test_legend_prints_the_terms_used_and_no_others() -> None:
    start = dict(outline_of(harvest_pdf()))["5 Vocabulary used"]
    page = pages_of(harvest_pdf())[start - 1]

    assert "hairline crack" in page
    assert "Narrow" not in page and "scorch" not in page.lower()
    for term in c.used_terms(harvest_report()):
        assert plain(term.definition) in page


@pytest.mark.parametrize(
    "sentence",
    [
        "No treatments are recorded.",
        "No items are recorded in this survey.",
        "No cell has anything to show.",
        "No parties are recorded.",
        "No examination is recorded: no statement is made about any part of the wall.",
        "No examination is recorded, so no cell counts as seen.",
        "This report stands alone: it was not held against an earlier survey.",
        "No photographs are recorded.",
    ],
)
def test_an_empty_section_says_so_in_one_sentence(sentence: str) -> None:
    assert sentence in text_of(bare_pdf())


def test_no_treatment_between_two_surveys_is_said_as_such() -> None:
    pdf = build_pdf(bare_report(comparison=c.ComparisonSummary("B1", "P1", 1.0, 1.0, 0, 0.05)))

    assert "No treatments are recorded between the two surveys." in text_of(pdf)


def test_a_draft_is_marked_on_every_page_and_an_issued_report_on_none() -> None:
    issued = replace(document(), state=c.ReportState.ISSUED, issued_on=date(2026, 6, 26))

    issued_pages = pages_of(build_pdf(bare_report(document=issued)))

    assert all("DRAFT" in text for text in pages_of(bare_pdf()))
    assert not any("DRAFT" in text for text in issued_pages)
    assert "issued 2026-06-26" in issued_pages[0]


def test_fonts_are_embedded_and_none_is_a_standard_one() -> None:
    with pikepdf.open(BytesIO(harvest_pdf())) as pdf:
        fonts = {
            str(font.BaseFont): "/FontFile2" in font.FontDescriptor
            for page in pdf.pages
            for font in page.Resources.Font.values()
        }

    assert {name.split("+")[1].split("-")[0] for name in fonts} == {"SourceSans3"}
    assert all(fonts.values())


def test_the_same_content_gives_the_same_bytes() -> None:
    assert build_pdf(bare_report()) == build_pdf(bare_report())


def test_letter_is_the_size_and_a4_an_option() -> None:
    letter = PdfReader(BytesIO(bare_pdf())).pages[0].mediabox
    a4 = PdfReader(BytesIO(build_pdf(bare_report(), geometry=A4))).pages[0].mediabox

    assert (letter.width, letter.height) == (612, 792)  # source: 8.5 × 11 in at 72 pt
    assert (float(a4.width) * 25.4 / 72, float(a4.height) * 25.4 / 72) == pytest.approx(
        (210, 297), abs=0.01
    )


def test_progress_rises_to_its_total() -> None:
    steps: list[tuple[int, int]] = []

    build_pdf(bare_report(), progress=lambda done, total: steps.append((done, total)))

    assert steps == sorted(steps)
    assert steps[-1][0] == steps[-1][1]
    assert len({total for _, total in steps}) == 1


def test_a_cancelled_report_stops_at_once_and_leaves_nothing() -> None:
    asked: list[int] = []

    def cancelled() -> bool:
        asked.append(1)
        return len(asked) == 3

    with pytest.raises(ReportCancelled, match="cancelled; nothing was kept"):
        build_pdf(harvest_report(), cancelled=cancelled)
    assert len(asked) == 3


def test_document_information_names_work_number_and_moment() -> None:
    information = PdfReader(BytesIO(harvest_pdf())).metadata

    assert information is not None
    assert information.title == "The Harvest Train: Phase hand-over record PR-0002, version 1"
    assert information.author == "Ines Fallow, Tomas Sedge"
    assert information.creation_date is not None
    assert information.creation_date.isoformat() == "2026-11-18T09:00:00+00:00"
