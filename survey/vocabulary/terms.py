"""What is a term, and when do terms together make a sound vocabulary?

No Django, no I/O: a vocabulary is read from and written to plain mappings.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from gridmap.errors import InvalidInput
from gridmap.symbols import Symbol, stand_apart, symbol_for
from survey.vocabulary.words import (
    GEOMETRY_NAMES,
    KINDS,
    LAYER_NAMES,
    MEASURE_TYPES,
    MODE_NAMES,
    RULES,
    code_of,
    plain_words,
)


@dataclass(frozen=True)
class Measure:
    """A size or property noted beside an outline; what the outline itself gives is not asked."""

    name: str
    unit: str = ""
    type: str = "text"  # number, text or choice
    choices: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        data: dict[str, Any] = {"name": self.name, "unit": self.unit, "type": self.type}
        return {**data, "choices": list(self.choices)} if self.choices else data


@dataclass(frozen=True)
class Confusion:
    """What a term is taken for by mistake, and how the two are told apart."""

    with_what: str
    told_by: str
    term: str = ""  # code, where what it is taken for is itself a term

    def to_json(self) -> dict[str, Any]:
        data = {"with": self.with_what, "told_by": self.told_by}
        return {**data, "term": self.term} if self.term else data


@dataclass(frozen=True)
class Term:
    """One recordable phenomenon; lists of other terms hold their codes.

    `modes`: any one of them shows the phenomenon, the first is the usual one. `near`: in reach on
    the deck without opening the whole list. `progresses_to`: the next stage only.
    """

    number: int
    code: str
    name: str
    layer: str
    kind: str
    geometry: tuple[str, ...]
    definition: str
    rule: str
    symbol: Symbol
    also: tuple[str, ...] = ()
    also_kind: str = ""
    measures: tuple[Measure, ...] = ()
    rule_note: str = ""
    modes: tuple[str, ...] = ("normal",)
    mode_note: str = ""
    confusions: tuple[Confusion, ...] = ()
    causes: tuple[str, ...] = ()
    urgency_hint: str = ""
    progresses_to: tuple[str, ...] = ()
    resolves_to: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    near: bool = False

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kind, and the second one where a term may be either."""
        return (self.kind, self.also_kind) if self.also_kind else (self.kind,)

    @property
    def provisional(self) -> bool:
        """Whether a later entry is expected to tell which term it is."""
        return bool(self.resolves_to)

    @property
    def rule_meaning(self) -> str:
        """The rule in words, for people."""
        meaning = RULES[self.rule]
        return f"{meaning}; {self.rule_note}" if self.rule_note else meaning

    def modes_needed(self, survey_modes: Iterable[str]) -> tuple[str, ...]:
        """Return which of a survey's modes must have looked at a place to tell of this term.

        Ultraviolet is needed where the survey lists it; otherwise any of the term's modes serves.
        Empty where the survey has no mode that shows the term.
        """
        listed = set(survey_modes)
        if "uv" in listed and "uv" in self.modes:
            return ("uv",)
        return tuple(mode for mode in self.modes if mode in listed)

    def to_json(self) -> dict[str, Any]:
        """Return the term as stored vocabularies and other programs read it."""
        return {
            "number": self.number,
            "code": self.code,
            "name": self.name,
            "also": list(self.also),
            "layer": self.layer,
            "kind": self.kind,
            "also_kind": self.also_kind,
            "geometry": list(self.geometry),
            "definition": self.definition,
            "measures": [measure.to_json() for measure in self.measures],
            "rule": self.rule,
            "rule_note": self.rule_note,
            "modes": list(self.modes),
            "mode_note": self.mode_note,
            "confusions": [confusion.to_json() for confusion in self.confusions],
            "causes": list(self.causes),
            "urgency_hint": self.urgency_hint,
            "progresses_to": list(self.progresses_to),
            "resolves_to": list(self.resolves_to),
            "synonyms": list(self.synonyms),
            "near": self.near,
            "letters": self.symbol.letters,
            "symbol": self.symbol.to_json(),
        }


@dataclass(frozen=True)
class EverydayWord:
    """A word of common speech that may mean several terms: where it leads, what it offers."""

    word: str
    offers: tuple[str, ...]
    leads_to: str = ""

    def to_json(self) -> dict[str, Any]:
        data: dict[str, Any] = {"word": self.word, "offers": list(self.offers)}
        return {**data, "leads_to": self.leads_to} if self.leads_to else data


@dataclass(frozen=True)
class Vocabulary:
    """A version of the terms of one wall, checked as a whole."""

    version: int
    terms: tuple[Term, ...]
    everyday_words: tuple[EverydayWord, ...] = ()

    def __post_init__(self) -> None:
        check_vocabulary(self)

    @cached_property
    def by_code(self) -> dict[str, Term]:
        return {term.code: term for term in self.terms}

    def term(self, code: str) -> Term:
        """Return the term of a code; raises InvalidInput where the vocabulary has none."""
        try:
            return self.by_code[code]
        except KeyError:
            raise InvalidInput(
                f"Term {code!r} is not in version {self.version} of the vocabulary.", field="term"
            ) from None

    def stages_after(self, code: str) -> tuple[str, ...]:
        """Return the codes of all later stages that a term may progress to, nearest first."""
        found: list[str] = []
        waiting = list(self.term(code).progresses_to)
        while waiting:
            stage = waiting.pop(0)
            if stage not in found:
                found.append(stage)
                waiting.extend(self.term(stage).progresses_to)
        return tuple(found)

    def to_json(self) -> dict[str, Any]:
        return {
            "version": self.version,
            "everyday_words": [word.to_json() for word in self.everyday_words],
            "terms": [term.to_json() for term in self.terms],
        }

    def for_browser(self) -> list[dict[str, Any]]:
        """Return the terms with their symbols drawn out, and `everyday`: words that may mean each.

        A word's place is 0 for the term that it leads to, 1 for the first one that it offers.
        """
        return [
            {
                **term.to_json(),
                "symbol": term.symbol.for_browser(),
                "everyday": self._everyday_places(term.code),
            }
            for term in self.terms
        ]

    def _everyday_places(self, code: str) -> list[dict[str, Any]]:
        places = []
        for everyday in self.everyday_words:
            if code == everyday.leads_to:
                places.append({"word": everyday.word, "place": 0})
            elif code in everyday.offers:
                places.append({"word": everyday.word, "place": everyday.offers.index(code) + 1})
        return places

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Vocabulary":
        """Return the vocabulary that `to_json` wrote, or one whose terms have no symbols yet."""
        return cls(
            version=int(data["version"]),
            terms=terms_from_json(data["terms"]),
            everyday_words=tuple(
                EverydayWord(word["word"], tuple(word["offers"]), word.get("leads_to", ""))
                for word in data.get("everyday_words", ())
            ),
        )


def terms_from_json(items: Iterable[Mapping[str, Any]]) -> tuple[Term, ...]:
    """Return terms in the order given; a term without a symbol gets the next free one.

    Symbols are given first to terms in reach on the deck, then to those that have area, so that
    what is drawn most gets the plainest hatches.
    """
    listed = list(items)
    symbols = {
        item["code"]: Symbol.from_json(item["symbol"]) for item in listed if item.get("symbol")
    }
    without = [item for item in listed if item["code"] not in symbols]
    for item in sorted(without, key=_symbol_order):
        symbols[item["code"]] = symbol_for(
            item["code"],
            layer=item["layer"],
            kind=item["kind"],
            geometry=item["geometry"],
            letters=item.get("letters", ""),
            taken=symbols.values(),
        )
    return tuple(_term_from_json(item, symbols[item["code"]]) for item in listed)


def _symbol_order(item: Mapping[str, Any]) -> tuple[bool, bool, int]:
    return not item.get("near", False), "area" not in item["geometry"], int(item["number"])


def _term_from_json(item: Mapping[str, Any], symbol: Symbol) -> Term:
    return Term(
        number=int(item["number"]),
        code=item["code"],
        name=item["name"],
        layer=item["layer"],
        kind=item["kind"],
        geometry=tuple(item["geometry"]),
        definition=item["definition"],
        rule=item["rule"],
        symbol=symbol,
        also=tuple(item.get("also", ())),
        also_kind=item.get("also_kind", ""),
        measures=tuple(
            Measure(
                m["name"], m.get("unit", ""), m.get("type", "text"), tuple(m.get("choices", ()))
            )
            for m in item.get("measures", ())
        ),
        rule_note=item.get("rule_note", ""),
        modes=tuple(item.get("modes", ("normal",))),
        mode_note=item.get("mode_note", ""),
        confusions=tuple(
            Confusion(c["with"], c["told_by"], c.get("term", ""))
            for c in item.get("confusions", ())
        ),
        causes=tuple(item.get("causes", ())),
        urgency_hint=item.get("urgency_hint", ""),
        progresses_to=tuple(item.get("progresses_to", ())),
        resolves_to=tuple(item.get("resolves_to", ())),
        synonyms=tuple(item.get("synonyms", ())),
        near=bool(item.get("near", False)),
    )


def check_vocabulary(vocabulary: Vocabulary) -> None:
    """Raise InvalidInput that names the first thing wrong with a vocabulary."""
    _check_codes(vocabulary.terms)
    for term in vocabulary.terms:
        _check_choices(term)
    codes = {term.code for term in vocabulary.terms}
    for term in vocabulary.terms:
        _check_references(term, codes)
    _check_words(vocabulary)
    _check_symbols(vocabulary.terms)


def _check_codes(terms: Iterable[Term]) -> None:
    seen: dict[str, Term] = {}
    for term in terms:
        if term.code != code_of(term.name):
            raise InvalidInput(
                f"Code {term.code!r} should be {code_of(term.name)!r}, after the name "
                f"{term.name!r}.",
                field="code",
            )
        if term.code in seen:
            raise InvalidInput(f"Two terms have the code {term.code!r}.", field="code")
        seen[term.code] = term


def _check_choices(term: Term) -> None:
    allowed: tuple[tuple[str, tuple[str, ...], Iterable[str]], ...] = (
        ("layer", (term.layer,), LAYER_NAMES),
        ("kind", term.kinds, KINDS),
        ("geometry", term.geometry, GEOMETRY_NAMES),
        ("modes", term.modes, MODE_NAMES),
        ("rule", (term.rule,), RULES),
        ("measures", tuple(measure.type for measure in term.measures), MEASURE_TYPES),
    )
    for name, values, known in allowed:
        strange = [value for value in values if value not in known]
        if strange or (name != "measures" and not values):
            raise InvalidInput(
                f"Term {term.code!r}: {name} is {', '.join(strange) or 'empty'}; "
                f"it must be of {', '.join(known)}.",
                field=name,
            )
    if not term.definition.strip():
        raise InvalidInput(f"Term {term.code!r} has no definition.", field="definition")


def _check_references(term: Term, codes: set[str]) -> None:
    named = (
        ("progresses_to", term.progresses_to),
        ("resolves_to", term.resolves_to),
        ("confusions", tuple(c.term for c in term.confusions if c.term)),
    )
    for name, others in named:
        for other in others:
            if other not in codes or other == term.code:
                raise InvalidInput(
                    f"Term {term.code!r} names {other!r} in {name}, which is "
                    f"{'itself' if other == term.code else 'no term of this vocabulary'}.",
                    field=name,
                )


def _check_words(vocabulary: Vocabulary) -> None:
    """A word may lead to one term; only listed everyday words may mean several."""
    everyday = {plain_words(word.word): word for word in vocabulary.everyday_words}
    codes = {term.code for term in vocabulary.terms}
    for word in vocabulary.everyday_words:
        for code in (*word.offers, *([word.leads_to] if word.leads_to else [])):
            if code not in codes:
                raise InvalidInput(
                    f"Everyday word {word.word!r} names {code!r}, which is no term of this "
                    "vocabulary.",
                    field="everyday_words",
                )
    owners: dict[str, Term] = {}
    for term in vocabulary.terms:
        for text in {plain_words(text) for text in (term.name, *term.also, *term.synonyms)}:
            other = owners.setdefault(text, term)
            if other is not term and text not in everyday:
                raise InvalidInput(
                    f"The word {text!r} stands for both {other.name!r} and {term.name!r}. "
                    "Take it from one of them, or list it as an everyday word.",
                    field="synonyms",
                )


def _check_symbols(terms: tuple[Term, ...]) -> None:
    for i, term in enumerate(terms):
        for other in terms[:i]:
            same_letters = term.symbol.letters == other.symbol.letters
            if same_letters or not stand_apart(term.symbol.choice, other.symbol.choice):
                raise InvalidInput(
                    f"The symbols of {term.name!r} and {other.name!r} look alike.", field="symbol"
                )
