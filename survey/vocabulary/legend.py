"""What does a legend say of each term, in words that people read? No Django, no I/O."""

from dataclasses import dataclass

from gridmap.swatches import svg_swatch
from survey.vocabulary.terms import Measure, Term, Vocabulary
from survey.vocabulary.words import GEOMETRY_NAMES, KINDS, LAYER_NAMES, MODE_NAMES


@dataclass(frozen=True)
class LegendRow:
    """A term with everything about it spelled out; `swatch` is SVG text of our own making."""

    term: Term
    swatch: str
    kind: str
    drawn_as: str
    seen_by: str
    measures: tuple[str, ...]
    next_stages: tuple[str, ...]
    may_turn_out: tuple[str, ...]


@dataclass(frozen=True)
class LegendLayer:
    """The terms of one layer."""

    code: str
    name: str
    rows: tuple[LegendRow, ...]


@dataclass(frozen=True)
class WordMeaning:
    """An everyday word with the names of the terms that it may mean."""

    word: str
    leads_to: str
    offers: tuple[str, ...]


def legend_of(vocabulary: Vocabulary) -> list[LegendLayer]:
    """Return the terms by layer, from the support outwards; empty layers are left out."""
    layers = [
        LegendLayer(
            layer,
            name,
            tuple(_row(term, vocabulary) for term in vocabulary.terms if term.layer == layer),
        )
        for layer, name in LAYER_NAMES.items()
    ]
    return [layer for layer in layers if layer.rows]


def word_meanings(vocabulary: Vocabulary) -> list[WordMeaning]:
    """Return the everyday words that may mean several terms."""
    return [
        WordMeaning(
            word.word,
            vocabulary.term(word.leads_to).name if word.leads_to else "",
            _names(word.offers, vocabulary),
        )
        for word in vocabulary.everyday_words
    ]


def measure_words(measure: Measure) -> str:
    """Return a measure with its unit or choices.

    >>> measure_words(Measure("width", "mm", "number"))
    'width (mm)'
    """
    notes = [", ".join(measure.choices)] if measure.choices else []
    notes += [measure.unit] if measure.unit else []
    return f"{measure.name} ({' '.join(notes)})" if notes else measure.name


def _row(term: Term, vocabulary: Vocabulary) -> LegendRow:
    return LegendRow(
        term=term,
        swatch=svg_swatch(term.symbol, term.geometry),
        kind=" or ".join(KINDS[kind] for kind in term.kinds),
        drawn_as=" or ".join(GEOMETRY_NAMES[shape] for shape in term.geometry),
        seen_by=" or ".join(MODE_NAMES[mode] for mode in term.modes),
        measures=tuple(measure_words(measure) for measure in term.measures),
        next_stages=_names(term.progresses_to, vocabulary),
        may_turn_out=_names(term.resolves_to, vocabulary),
    )


def _names(codes: tuple[str, ...], vocabulary: Vocabulary) -> tuple[str, ...]:
    return tuple(vocabulary.term(code).name for code in codes)
