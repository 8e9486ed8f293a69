"""Is every way in which a term is drawn shown in its swatch?"""

import xml.etree.ElementTree as ElementTree

import pytest

from gridmap.swatches import WIDTH_PX, svg_swatch
from survey.vocabulary.builtin import built_in_vocabulary

TERMS = built_in_vocabulary().terms


@pytest.mark.parametrize("term", TERMS, ids=lambda term: term.code)
def test_a_swatch_has_a_box_for_each_geometry(term):
    svg = ElementTree.fromstring(svg_swatch(term.symbol, term.geometry))

    assert int(svg.get("width")) == WIDTH_PX * len(term.geometry)
    assert len(svg) == len(term.geometry)


def test_a_line_is_dashed_as_its_symbol_says():
    term = next(term for term in TERMS if term.code == "plaster-crack")

    svg = ElementTree.fromstring(svg_swatch(term.symbol, ["line"]))

    assert svg.find(".//path").get("stroke-dasharray").split() == ["14", "4"]


def test_an_unbroken_line_has_no_dash():
    term = next(term for term in TERMS if term.code == "hairline-crack")

    svg = ElementTree.fromstring(svg_swatch(term.symbol, ["line"]))

    assert svg.find(".//path").get("stroke-dasharray") is None
