"""Can a report be read in black and white, and by eyes that tell few colours apart?"""

from itertools import combinations

import pytest

from gridmap.symbols import stand_apart
from survey.report.content import used_terms
from survey.report.layout import style
from survey.vocabulary.builtin import built_in_vocabulary
from tests.survey.report.harvest_report import harvest_report


def luminance(colour: str) -> float:
    """Relative luminance. source: WCAG 2.1, "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio. source: WCAG 2.1, "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula_gives_its_known_ends() -> None:
    # source: WCAG 2.1: black on white is 21, equal colours 1.
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


@pytest.mark.parametrize("ground", [style.PANEL, style.GROUND])
@pytest.mark.parametrize("ink", [style.INK, style.MUTED, style.ACCENT, style.ALARM])
def test_text_stands_out_from_paper(ink: str, ground: str) -> None:
    # source: WCAG 2.1, 1.4.3: at least 4.5 for text.
    assert contrast(ink, ground) >= 4.5


def test_text_stands_out_from_the_draft_mark_behind_it() -> None:
    from survey.report.layout.page import DRAFT_GROUND

    assert contrast(style.INK, DRAFT_GROUND.colour) >= 4.5
    assert contrast(style.MUTED, DRAFT_GROUND.colour) >= 4.5


def test_lines_that_carry_meaning_stand_out_from_paper() -> None:
    # source: WCAG 2.1, 1.4.11: at least 3 for graphical objects.
    for colour in (style.RULE, style.INK, *{t.symbol.hue for t in built_in_vocabulary().terms}):
        assert contrast(colour, style.PANEL) >= 3


def test_each_hue_stands_out_from_the_white_rim_that_it_lies_on() -> None:
    for term in used_terms(harvest_report()):
        assert contrast(term.symbol.hue, "#FFFFFF") >= 3


def test_terms_in_one_report_differ_without_colour_and_by_letters() -> None:
    symbols = [term.symbol for term in used_terms(harvest_report())]

    assert len({symbol.letters for symbol in symbols}) == len(symbols)
    for one, other in combinations(symbols, 2):
        assert stand_apart(one.choice, other.choice)
