"""Does a word of the trade or of everyday speech lead to the term that is meant?"""

import json
from pathlib import Path

import pytest

from gridmap.errors import InvalidInput
from survey.vocabulary.builtin import built_in_vocabulary
from survey.vocabulary.lookup import find_term, offers, search, slips_between

VOCABULARY = built_in_vocabulary()
VECTORS = json.loads(
    (Path(__file__).parents[2] / "vectors" / "terms.json").read_text(encoding="utf-8")
)


@pytest.mark.parametrize(("typed", "expected"), VECTORS["searches"])
def test_what_is_typed_brings_the_nearest_terms_first(typed, expected):
    found = [match.term.code for match in search(typed, VOCABULARY)]

    assert found[: len(expected)] == expected
    assert bool(found) == bool(expected)


@pytest.mark.parametrize(("one", "other", "slips"), VECTORS["slips"])
def test_slips_of_typing_are_counted(one, other, slips):
    assert slips_between(one, other) == slips


@pytest.mark.parametrize("term", VOCABULARY.terms, ids=lambda term: term.code)
def test_code_name_and_synonyms_find_their_term(term):
    ambiguous = {word.word for word in VOCABULARY.everyday_words}
    words = {term.code, term.name, term.name.upper(), *term.also, *term.synonyms} - ambiguous

    assert {find_term(word, VOCABULARY).code for word in words} == {term.code}


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("bloom", "whitish-bloom-kind-not-told"),
        ("losses", "loss-depth-not-told"),
        ("cleaning done", "cleaned-area"),
        ("Cleaned area (cleaning done)", "cleaned-area"),
        ("paint losses", "paint-loss"),
        ("day joins", "day-join"),
        ("  paint_loss ", "paint-loss"),
    ],
)
def test_everyday_words_lead_to_one_term(text, code):
    assert find_term(text, VOCABULARY).code == code


def test_bloom_offers_whitening_and_efflorescence():
    assert [term.name for term in offers("bloom", VOCABULARY)] == ["whitening", "efflorescence"]


def test_losses_offers_paint_loss_and_plaster_loss():
    assert [term.name for term in offers("losses", VOCABULARY)] == ["paint loss", "plaster loss"]


def test_a_plain_synonym_offers_nothing_more():
    assert offers("giornata", VOCABULARY) == ()


@pytest.mark.parametrize("word", ["lacuna", "Lacunae"])
def test_lacuna_is_refused_with_both_losses_named(word):
    with pytest.raises(InvalidInput, match=r"plaster loss.*paint loss"):
        find_term(word, VOCABULARY)


def test_cracks_is_refused_with_the_three_kinds_named():
    with pytest.raises(InvalidInput, match=r"hairline crack.*plaster crack.*through crack"):
        find_term("cracks", VOCABULARY)


def test_a_slip_of_typing_is_refused_with_the_nearest_term_named():
    with pytest.raises(InvalidInput, match="Near to it: “flaking”") as refused:
        find_term("flakng", VOCABULARY)

    assert refused.value.field == "term"


@pytest.mark.parametrize("text", ["", "   ", "(lacuna)", "!!"])
def test_nothing_is_not_a_term(text):
    with pytest.raises(InvalidInput, match="Name a term"):
        find_term(text, VOCABULARY)


def test_a_very_long_text_is_refused_without_being_printed_whole():
    with pytest.raises(InvalidInput) as refused:
        find_term("qx " * 400, VOCABULARY)

    assert len(refused.value.message) < 200


def test_a_search_gives_no_more_than_asked_for():
    assert len(search("c", VOCABULARY, at_most=5)) == 5
