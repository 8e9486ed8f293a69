"""Does the legend spell out what a person needs to choose a term?"""

from survey.vocabulary.builtin import built_in_vocabulary
from survey.vocabulary.legend import legend_of, measure_words, word_meanings
from survey.vocabulary.terms import Measure

VOCABULARY = built_in_vocabulary()
ROWS = {row.term.code: row for layer in legend_of(VOCABULARY) for row in layer.rows}


def test_layers_go_from_the_support_outwards_and_hold_every_term_once():
    layers = legend_of(VOCABULARY)

    assert [layer.name for layer in layers] == [
        "Support",
        "Plaster",
        "Paint",
        "Surface",
        "Any layer",
    ]
    assert sum(len(layer.rows) for layer in layers) == len(ROWS) == 62


def test_a_row_names_modes_stages_and_kinds_in_words():
    assert ROWS["flaking"].seen_by == "raking light"
    assert ROWS["flaking"].next_stages == ("paint loss",)
    assert ROWS["adhesive-residue"].kind == "earlier intervention or treatment"
    assert ROWS["loss-depth-not-told"].may_turn_out == ("plaster loss", "paint loss")


def test_measures_show_unit_and_choices():
    assert measure_words(Measure("depth", "mm", "number")) == "depth (mm)"
    assert measure_words(Measure("width class", "mm", "choice", ("≤ 0.3", "≤ 1"))) == (
        "width class (≤ 0.3, ≤ 1 mm)"
    )
    assert measure_words(Measure("colour")) == "colour"


def test_everyday_words_name_where_they_lead():
    meanings = {meaning.word: meaning for meaning in word_meanings(VOCABULARY)}

    assert meanings["bloom"].leads_to == "whitish bloom, kind not told"
    assert meanings["bloom"].offers == ("whitening", "efflorescence")
    assert meanings["cracks"].leads_to == ""
