"""Can anything that a person types break a report, act as markup in it, or vanish from it?"""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from survey.report import content as c
from survey.report.build import build_pdf
from survey.report.fonts import load_typeface
from survey.report.layout.ledger_table import lines_of
from survey.report.layout.style import TABLE
from tests.survey.report.harvest_pairs import pair
from tests.survey.report.harvest_report import bare_report, document, grid, outlines_of, terms
from tests.survey.report.reading import pages_of, plain, text_of

HOSTILE = (
    "<b>bold</b>", "a < b & c > d", "&nbsp;", "<font size=90>", "<br/><para>", "{{ x }}", "%s %d",
    "(unbalanced \\ \\051", "W" * 400, "שלום עולם", "مرحبا", "🔥🖼️", "e\u0301", "\u202eevil",
    "nul\x00bell\x07", "tab\tline\nline\r\nend", "Żółć ½ ′″", "–—…",
)  # fmt: skip


def hostile_report(text: str) -> c.ReportContent:
    """A report in which one text stands wherever a person can write."""
    cell = grid().labels()[0]
    first, second = outlines_of(cell, count=2, seed=1)
    outlines = (replace(first, item=text, note=text), replace(second, note=text))
    row = c.ScheduleRow(text, (text,), first.term, first.size, 1, 3, text, first.finding, text)
    window = c.LossWindow(text, text, (text,), text, text, (text,), text)
    one = pair()
    side = replace(one.before, survey=text, name=text, light=text, operator=text, digest=text)
    detail = replace(
        one, cell=text, before=side, after=side, items=(c.PlacedItem(text, (396.0, 108.0), text),)
    )
    change = c.ChangeRow(
        text, (text,), first.term, c.Finding.NEW, loss_window=window, explanation=text
    )
    return bare_report(
        terms={code: replace(term, definition=text) for code, term in terms().items()},
        work=c.WorkOfArt(text, 1008.0, 168.0, text, text, text, text, text, text),
        document=replace(document(), number=text, survey_code=text, standing_notes=(text,)),
        instruction=c.Instruction(text, None, text, text),
        parties=(c.Party(text, text, text),),
        authors=(c.Author(text, text, text, text),),
        summary=(text,),
        further_limits=(text,),
        plates=(c.CellPlate(cell, grid().bounds(cell), outlines),),
        pairs=(detail,),
        pairs_asked=(c.PairRow(text, text, text, text, text, text),),
        schedule=(row,),
        comparison=c.ComparisonSummary(text, text, 1, 1, 1, 0.05, assumptions=(text,), changes=(change,)),
        not_seen=(c.CellNote(text, text, text),),
        queries=(c.Query(text, (text,), text, "N", (text,), text, text),),
        decisions=(c.Decision(text, (text,), text, text, text, None, text, (c.RefusedOption(text, text),)),),
        treatments=(c.Treatment((text,), first.term, text, text, text, text, text, ((text, text),), (text,), text, text),),
        signatures=(c.SignatureField(text, text, text, text, True, text),),
        images=(c.ImageRow(text, text, None, text, text, text, text),),
        versions=(c.VersionRow(1, c.ReportState.DRAFT, None, text),),
    )  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE, ids=ascii)
def test_a_report_is_built_whatever_people_wrote(text: str) -> None:
    assert len(pages_of(build_pdf(hostile_report(text)))) >= 10


@pytest.mark.parametrize("text", ["<b>bold</b>", "a < b & c > d", "&nbsp;", "<br/><para>", "%s %d"])
def test_markup_is_printed_as_it_was_typed(text: str) -> None:
    assert text_of(build_pdf(hostile_report(text))).count(plain(text)) >= 30


def test_a_character_without_a_glyph_is_spelled_out_and_not_dropped() -> None:
    assert "‹U+05E9›" in text_of(build_pdf(bare_report(summary=("ש",))))


def test_direction_marks_are_left_out() -> None:
    assert load_typeface().printable("a\u202eb\u200bc") == "abc"


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=60), st.sampled_from((1, 3, 30)))
def test_any_text_in_any_place_builds(text: str, times: int) -> None:
    assert build_pdf(hostile_report(text * times)).startswith(b"%PDF-1.7")


@pytest.mark.parametrize(
    "text", ["word " * 1200, "x" * 6000, "line\n" * 150], ids=["words", "one word", "lines"]
)
def test_a_text_longer_than_a_page_runs_over_pages(text: str) -> None:
    pdf = build_pdf(hostile_report(text))

    assert len(pages_of(pdf)) > 20


@given(st.text(max_size=200), st.floats(10, 300))
def test_lines_fit_their_width_and_lose_no_letter(text: str, width_pt: float) -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    shown = load_typeface().printable(text)

    lines = lines_of(shown, face=TABLE, width_pt=width_pt)

    assert "".join("".join(lines).split()) == "".join(shown.split())
    for line in lines:
        assert len(line) <= 1 or stringWidth(line, TABLE.font, TABLE.size_pt) <= width_pt + 1e-6


@given(st.text())
def test_every_printable_character_has_a_glyph_in_each_face(text: str) -> None:
    typeface = load_typeface()

    for character in typeface.printable(text):
        assert character == "\n" or ord(character) in typeface.characters
