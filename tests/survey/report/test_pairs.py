"""Are details before and after printed at one scale, untouched, with what they rest on?"""

import re
from dataclasses import replace
from io import BytesIO

import pikepdf
import pytest
from pypdf import PdfReader

from gridmap.errors import InvalidInput
from survey.report import content as c
from survey.report.build import build_pdf
from tests.survey.report.harvest_pairs import C17, PX_PER_IN, REFUSED, pair, pairs, pairs_asked
from tests.survey.report.harvest_report import bare_report, harvest_report
from tests.survey.report.reading import harvest_pdf, outline_of, pages_of, plain, text_of

SECTION = "15 Details before and after"


def section_of(report: c.ReportContent) -> str:
    """Return the section's text, of however many pages it is."""
    pdf = build_pdf(report)
    starts = dict(outline_of(pdf))
    pages = pages_of(pdf)[starts[SECTION] - 1 : starts["16 Images"] - 1]
    return " ".join(pages)


def placed_pictures(pdf: bytes, page_number: int) -> list[tuple[float, float, float, float]]:
    """Return the left, low, width and height [pt] of every picture painted on a page."""
    found: list[tuple[float, float, float, float]] = []
    matrices = [pikepdf.Matrix()]
    with pikepdf.open(BytesIO(pdf)) as document:
        page = document.pages[page_number - 1]
        pictures = {name for name, x in page.Resources.XObject.items() if x.Subtype == "/Image"}
        for operands, operator in pikepdf.parse_content_stream(page):
            if str(operator) == "q":
                matrices.append(matrices[-1])
            elif str(operator) == "Q":
                matrices.pop()
            elif str(operator) == "cm":
                matrices[-1] = pikepdf.Matrix(*map(float, operands)) @ matrices[-1]
            elif str(operator) == "Do" and str(operands[0]) in pictures:
                m = matrices[-1]
                found.append((m.e, m.f, m.a, m.d))
    return found


@pytest.mark.parametrize(
    "said",
    [
        "Before: survey B1, 2026-03-04",
        "After: survey P1, 2026-06-16",
        "Raking light, lamp at the left, one lamp at 8°",
        "Equal scale, 40 px/in.",
        "laid on the earlier one to ± 0.0012 in",
        "a place on them is sure to ± 0.03 in",
        "Not enhanced.",
        "L44: paint loss, 0.41 ± 0.05 sq in.",
        "P1-C17-normal.jpg, taken by Priya Lund",
        "1 accepted, 2 dismissed",
    ],
)
def test_a_pair_says_what_it_rests_on(said: str) -> None:
    assert said in text_of(harvest_pdf())


def test_before_and_after_stand_side_by_side_at_one_scale() -> None:
    pdf = build_pdf(bare_report(pairs=(pair(),)))

    before, after = placed_pictures(pdf, dict(outline_of(pdf))[SECTION])

    assert before[1:] == pytest.approx(after[1:], abs=0.01)
    assert after[0] > before[0] + before[2]
    assert before[2] == pytest.approx(before[3], rel=0.01)  # a square cell stays square


def test_the_pictures_are_those_of_the_pair_but_for_their_size() -> None:
    pdf = build_pdf(bare_report(pairs=(pair(bounds_in=(396.5, 103.0, 398.5, 105.0)),)))

    page = PdfReader(BytesIO(pdf)).pages[dict(outline_of(pdf))[SECTION] - 1]
    shown = [image.image for image in page.images if image.image is not None]

    # source: two inches of the wall at the picture's own 40 px/in, which paper can show whole
    assert [image.size for image in shown] == 2 * [(2 * PX_PER_IN, 2 * PX_PER_IN)]


def test_nothing_is_drawn_on_the_pictures() -> None:
    pdf = build_pdf(bare_report(pairs=(pair(),)))
    number = dict(outline_of(pdf))[SECTION]
    boxes = placed_pictures(pdf, number)
    wedges = []
    with pikepdf.open(BytesIO(pdf)) as document:
        points: list[tuple[float, float]] = []
        matrices = [pikepdf.Matrix()]
        for operands, operator in pikepdf.parse_content_stream(document.pages[number - 1]):
            name = str(operator)
            if name == "q":
                matrices.append(matrices[-1])
            elif name == "Q":
                matrices.pop()
            elif name == "cm":
                matrices[-1] = pikepdf.Matrix(*map(float, operands)) @ matrices[-1]
            elif name in ("m", "l"):
                points.append(matrices[-1].transform(tuple(map(float, operands))))
            elif name == "f":
                wedges += points if len(points) == 3 else []
                points = []
            elif name in ("S", "n", "B"):
                points = []

    assert len(wedges) == 4 * 3  # above and beside either picture
    for x, y in wedges:
        assert not any(
            left < x < left + width and low < y < low + high for left, low, width, high in boxes
        )


def test_a_refused_pair_is_named_with_its_reason_and_not_printed() -> None:
    text = section_of(bare_report(pairs_asked=(pairs_asked()[2],)))

    assert plain(f"not comparable, not printed: {REFUSED}") in text
    assert "Before: survey" not in text
    assert "No detail is printed" in text


def test_that_faint_losses_are_missed_stands_beside_the_hints() -> None:
    text = section_of(bare_report(pairs_asked=pairs_asked()))

    assert "About a third of faint losses are missed" in text
    assert "a pair without hints does not show that nothing changed" in text


def test_a_report_without_pairs_says_so() -> None:
    text = section_of(bare_report())

    assert "No pictures of two surveys were laid beside each other." in text


def test_a_day_that_is_only_the_surveys_is_said_to_be_so() -> None:
    one = pair()
    unsure = replace(one, before=replace(one.before, taken_on_certain=False, operator=""))

    text = section_of(bare_report(pairs=(unsure,)))

    assert "Before: survey B1, 2026-03-04, day of the survey" in text
    assert "operator not recorded" in text


def test_an_unreadable_picture_of_a_pair_is_refused_by_name() -> None:
    one = pair()
    broken = replace(one, after=replace(one.after, source=b"no picture"))

    with pytest.raises(InvalidInput, match=re.escape("“P1-C17-normal.jpg” cannot be read")):
        build_pdf(bare_report(pairs=(broken,)))


def test_every_detail_stands_in_the_outline() -> None:
    titles = [title for title, _ in outline_of(harvest_pdf())]

    assert titles.count("Cell C17, before and after") == len(pairs())


def test_what_is_kept_of_a_pair_holds_digests_and_no_pictures() -> None:
    kept = c.to_plain(harvest_report())["pairs"][0]

    assert kept["before"]["digest"] == "ab" * 32
    assert "source" not in kept["before"] and "source" not in kept["after"]
    assert kept["whole_in"] == list(C17)
