"""Do the built-in terms say what the trade says, and is an unsound vocabulary refused in words?"""

from dataclasses import replace

import pytest

from gridmap.errors import InvalidInput
from survey.vocabulary.builtin import built_in_vocabulary
from survey.vocabulary.terms import EverydayWord, Vocabulary
from survey.vocabulary.words import code_of

BUILT_IN = built_in_vocabulary()
BY_NUMBER = {term.number: term for term in BUILT_IN.terms}

# Rules, modes and progressions by the trade's numbers: common practice, no source.
RULES = {
    "N": {4, 8, 9, 10, 11, 12, 13, 14, 22, 23, 24, 25, 26, 27, 28, 31, 32, 38, 56, 60, 62, 65},
    "G": {1, 6, 58},
    "V": {2, 3, 33, 37, 40, 59, 64},
    "F": {5, 7, 15, 16, 17, 18, 19, 20, 21, 29, 30, 34, 35, 52, 66},
    "R": {42, 43, 44, 45, 47, 49, 50, 51, 57, 61, 63},
    "A": {36, 39, 41, 46},
}
RAKING = {2, 17, 20, 22, 24, 62}
PERCUSSION = {8, 9}
ULTRAVIOLET_WHERE_LISTED = {43, 45, 63}
READING = {3, 31}
PROGRESSIONS = {
    22: {25},
    24: {25},
    62: {25},
    23: {25},
    8: {9},
    9: {11},
    25: {11},
    12: {11},
    6: {58},
    58: {1},
}
RESOLUTIONS = {64: {33, 37, 40, 45, 59}, 65: {11, 25}}


def numbers(codes):
    return {BUILT_IN.term(code).number for code in codes}


def changed(code, **changes):
    """The built-in terms with one of them changed."""
    return tuple(replace(t, **changes) if t.code == code else t for t in BUILT_IN.terms)


def test_there_are_62_terms_and_none_is_an_object_or_a_strip_not_seen():
    # 48 hidden strip, 53 sensor, 54 reference spot and 55 registration mark are no conditions.
    assert set(BY_NUMBER) == set(range(1, 67)) - {48, 53, 54, 55}


@pytest.mark.parametrize("rule", RULES)
def test_each_term_has_the_trades_rule(rule):
    assert {term.number for term in BUILT_IN.terms if term.rule == rule} == RULES[rule]


def test_raking_light_shows_what_stands_off_the_plane():
    assert {n for n, term in BY_NUMBER.items() if term.modes == ("raking",)} == RAKING


def test_hollows_are_heard_and_not_seen():
    assert {n for n, term in BY_NUMBER.items() if term.modes == ("percussion",)} == PERCUSSION


def test_damp_and_fading_need_a_reading():
    assert {n for n, term in BY_NUMBER.items() if term.modes == ("reading",)} == READING


def test_all_other_terms_are_seen_in_normal_light_first():
    others = set(BY_NUMBER) - RAKING - PERCUSSION - READING

    assert {n for n, term in BY_NUMBER.items() if term.modes[0] == "normal"} == others


def test_progressions_name_the_next_stage():
    found = {n: numbers(t.progresses_to) for n, t in BY_NUMBER.items() if t.progresses_to}

    assert found == PROGRESSIONS


def test_a_hollow_may_end_as_plaster_loss_by_way_of_moving():
    assert BUILT_IN.stages_after("detachment") == ("moving-detachment", "plaster-loss")


def test_a_stage_reached_by_two_ways_is_named_once():
    stages = BUILT_IN.stages_after("flaking")

    assert stages == ("paint-loss", "plaster-loss")


def test_provisional_terms_name_what_they_may_turn_out_to_be():
    found = {n: numbers(t.resolves_to) for n, t in BY_NUMBER.items() if t.provisional}

    assert found == RESOLUTIONS


def test_about_ten_terms_are_in_reach_on_the_deck():
    assert 8 <= sum(term.near for term in BUILT_IN.terms) <= 12


@pytest.mark.parametrize("term", BUILT_IN.terms, ids=lambda term: term.code)
def test_a_definition_is_a_full_sentence_and_blames_nothing(term):
    assert len(term.definition.split()) >= 8
    assert term.definition[0].isupper()
    assert term.definition.endswith(".")
    assert "damage caused by" not in term.definition


def test_no_two_terms_share_a_definition():
    assert len({term.definition for term in BUILT_IN.terms}) == 62


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Plaster loss (lacuna)", "plaster-loss"),
        ("Day join (giornata)", "day-join"),
        ("Moving detachment", "moving-detachment"),
        ("Blocked opening / ghost", "blocked-opening-ghost"),
        ("Artist's later addition", "artists-later-addition"),
    ],
)
def test_a_code_is_the_trade_name_before_any_bracket(name, code):
    assert code_of(name) == code


def test_ultraviolet_is_needed_where_the_survey_lists_it():
    assert {n for n, term in BY_NUMBER.items() if "uv" in term.modes} == ULTRAVIOLET_WHERE_LISTED
    for number in ULTRAVIOLET_WHERE_LISTED:
        assert BY_NUMBER[number].modes_needed(["normal", "uv"]) == ("uv",)
        assert BY_NUMBER[number].modes_needed(["normal", "raking"]) == ("normal",)


def test_a_survey_without_a_terms_modes_cannot_tell_of_it():
    assert BUILT_IN.term("detachment").modes_needed(["normal", "raking"]) == ()


def test_what_may_be_either_kind_says_both():
    assert BUILT_IN.term("nail-or-fixing-hole").kinds == ("A", "I")
    assert BUILT_IN.term("adhesive-residue").kinds == ("I", "T")


def test_a_rule_is_spelled_out_with_its_note():
    meaning = BUILT_IN.term("old-fill-patch").rule_meaning

    assert meaning == "changes only by a logged act; where it comes loose, N"


def test_a_vocabulary_survives_its_json():
    assert Vocabulary.from_json(BUILT_IN.to_json()) == BUILT_IN


def test_the_browser_is_told_where_everyday_words_lead():
    everyday = {term["code"]: term["everyday"] for term in BUILT_IN.for_browser()}

    assert {"word": "bloom", "place": 0} in everyday["whitish-bloom-kind-not-told"]
    assert {"word": "bloom", "place": 1} in everyday["whitening"]
    assert {"word": "bloom", "place": 2} in everyday["efflorescence"]
    assert everyday["flaking"] == []


def test_the_browser_gets_marks_and_tiles_drawn_out():
    symbols = {term["code"]: term["symbol"] for term in BUILT_IN.for_browser()}

    assert symbols["sample-site"]["mark"]["stroke"].startswith("M")
    assert symbols["flaking"]["mark"] is None
    assert symbols["flaking"]["tile"]["rows"] == (4.0,)  # the middle of a spacing of 8


def test_an_unknown_code_is_refused_with_the_version_named():
    with pytest.raises(InvalidInput, match="'verdict' is not in version 1"):
        BUILT_IN.term("verdict")


def test_two_terms_of_one_code_are_refused():
    with pytest.raises(InvalidInput, match="Two terms have the code 'flaking'"):
        Vocabulary(2, (*BUILT_IN.terms, BUILT_IN.term("flaking")))


def test_a_code_that_does_not_follow_the_name_is_refused():
    with pytest.raises(InvalidInput, match="should be 'paint-flakes'"):
        Vocabulary(2, changed("flaking", name="paint flakes"))


def test_a_synonym_shared_by_two_terms_is_refused_with_both_named():
    terms = changed("powdering", synonyms=("lifting paint",))

    with pytest.raises(InvalidInput, match=r"'flaking'.*'powdering'|'powdering'.*'flaking'"):
        Vocabulary(2, terms, BUILT_IN.everyday_words)


def test_a_shared_word_may_be_listed_as_an_everyday_word():
    terms = changed("powdering", synonyms=("lifting paint",))
    words = (*BUILT_IN.everyday_words, EverydayWord("lifting paint", ("flaking", "powdering")))

    assert Vocabulary(2, terms, words).term("powdering").synonyms == ("lifting paint",)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"progresses_to": ("collapse",)}, "'collapse' in progresses_to"),
        ({"progresses_to": ("flaking",)}, "which is itself"),
        ({"resolves_to": ("collapse",)}, "'collapse' in resolves_to"),
        ({"layer": "varnish"}, "layer is varnish"),
        ({"kind": "Z"}, "kind is Z"),
        ({"rule": "X"}, "rule is X"),
        ({"geometry": ()}, "geometry is empty"),
        ({"geometry": ("volume",)}, "geometry is volume"),
        ({"modes": ("dark",)}, "modes is dark"),
        ({"definition": "  "}, "no definition"),
    ],
)
def test_what_is_wrong_with_a_term_is_said(changes, message):
    with pytest.raises(InvalidInput, match=message):
        Vocabulary(2, changed("flaking", **changes), BUILT_IN.everyday_words)


def test_symbols_that_look_alike_are_refused_with_both_named():
    look = replace(BUILT_IN.term("flaking").symbol, letters="Zz")

    with pytest.raises(InvalidInput, match="'powdering' and 'flaking' look alike"):
        Vocabulary(2, changed("powdering", symbol=look), BUILT_IN.everyday_words)


def test_an_everyday_word_for_a_term_that_is_not_there_is_refused():
    words = (EverydayWord("veil", ("gauze",)),)

    with pytest.raises(InvalidInput, match="'veil' names 'gauze'"):
        Vocabulary(2, BUILT_IN.terms, words)


def test_symbols_of_old_terms_stay_when_a_term_is_added():
    data = BUILT_IN.to_json()
    new = {
        "number": 67,
        "code": "limewash-run",
        "name": "limewash run",
        "layer": "surface",
        "kind": "D",
        "geometry": ["area"],
        "definition": "Run of thin limewash that dried upon the paint below it.",
        "rule": "N",
        "near": True,
    }

    grown = Vocabulary.from_json({**data, "version": 2, "terms": [*data["terms"], new]})

    assert [t.symbol for t in grown.terms[:-1]] == [t.symbol for t in BUILT_IN.terms]
