"""Which term does a person mean by a word? No Django, no I/O.

`find_term` takes one answer or refuses; `search` ranks what may be meant while a person types.
The browser's `static/js/shared/terms.js` ranks by the same rules.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from gridmap.errors import InvalidInput
from survey.vocabulary.terms import EverydayWord, Term, Vocabulary
from survey.vocabulary.words import plain_words

# Ranks, higher is nearer. An offer follows the term that an everyday word leads to.
EXACT_NAME, EXACT_LEAD, EXACT_OFFER, EXACT_SYNONYM = 100, 98, 97, 95
START_OF_NAME, START_OF_LEAD, START_OF_OFFER, START_OF_SYNONYM = 80, 79, 78, 75
WORDS_OF_NAME, WORDS_OF_SYNONYM, WITHIN, MISSPELT = 70, 65, 50, 30

EVERYDAY_PREFIX_AT_LEAST = 3  # letters
WITHIN_AT_LEAST = 3
ONE_SLIP_FROM, TWO_SLIPS_FROM = 4, 8  # letters of the word typed


@dataclass(frozen=True)
class Match:
    """A term that may be meant, how near it is, and the word by which it was found."""

    term: Term
    rank: int
    found_by: str


def find_term(text: str, vocabulary: Vocabulary) -> Term:
    """Return the one term meant by a code, a trade name or an unambiguous word.

    Raises InvalidInput that names the candidates where a word stands for several terms, and the
    nearest terms where it stands for none.
    """
    words = plain_words(text)
    if not words:
        raise InvalidInput("Name a term: its code, its trade name or a synonym.", field="term")
    for form in _forms(words):
        for term in vocabulary.terms:
            if form == plain_words(term.name):
                return term
        everyday = _everyday_word(form, vocabulary)
        if everyday is not None:
            return _led_to(everyday, text, vocabulary)
        for term in vocabulary.terms:
            if form in {plain_words(other) for other in (*term.also, *term.synonyms)}:
                return term
    raise InvalidInput(_unknown(text, vocabulary), field="term")


def offers(text: str, vocabulary: Vocabulary) -> tuple[Term, ...]:
    """Return the terms that an everyday word may mean besides the one it leads to."""
    everyday = _everyday_word(plain_words(text), vocabulary)
    return tuple(vocabulary.term(code) for code in everyday.offers) if everyday else ()


def search(text: str, vocabulary: Vocabulary, *, at_most: int = 12) -> list[Match]:
    """Return the terms that may be meant by what was typed so far, nearest first.

    An everyday word puts the term it leads to first, then its offers in their order. Equal ranks
    put terms in reach on the deck first, then follow the vocabulary.
    """
    typed = plain_words(text)
    if not typed:
        return []
    matches = []
    for place, term in enumerate(vocabulary.terms):
        found = max(_ways(typed, term, vocabulary), key=lambda way: way[:2], default=None)
        if found is not None:
            rank, behind, word = found
            matches.append((-rank, -behind, not term.near, place, Match(term, rank, word)))
    return [entry[-1] for entry in sorted(matches, key=lambda entry: entry[:4])[:at_most]]


def slips_between(one: str, other: str) -> int:
    """Return how many slips of typing part two words: a letter more, less, other, or two swapped.

    Optimal string alignment distance: no stretch of letters is changed twice.

    >>> slips_between("kitten", "sitting")
    3
    """
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, start=1):
        earlier, before, row = before, row, [i]
        for j, facing in enumerate(other, start=1):
            steps = [before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != facing)]
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == facing:
                steps.append(earlier[j - 2] + 1)
            row.append(min(steps))
    return row[-1]


def _forms(words: str) -> list[str]:
    """Return the words as given, then without a plural ending."""
    forms = [words]
    if words.endswith("es"):
        forms.append(words[:-2])
    if words.endswith("s"):
        forms.append(words[:-1])
    return forms


def _everyday_word(words: str, vocabulary: Vocabulary) -> EverydayWord | None:
    return next((w for w in vocabulary.everyday_words if plain_words(w.word) == words), None)


def _led_to(everyday: EverydayWord, text: str, vocabulary: Vocabulary) -> Term:
    if everyday.leads_to:
        return vocabulary.term(everyday.leads_to)
    names = [vocabulary.term(code).name for code in everyday.offers]
    raise InvalidInput(
        f"“{text.strip()}” may mean {_listed(names)}. Name one of them.", field="term"
    )


def _unknown(text: str, vocabulary: Vocabulary) -> str:
    near = [match.term.name for match in search(text, vocabulary, at_most=3)]
    hint = f"Near to it: {_listed(near)}." if near else "The page of terms lists all of them."
    return f"No term is called “{text.strip()[:60]}”. {hint}"


def _listed(names: list[str]) -> str:
    quoted = [f"“{name}”" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def _ways(typed: str, term: Term, vocabulary: Vocabulary) -> Iterator[tuple[int, int, str]]:
    """Yield each way by which what was typed leads to a term: rank, order behind, word."""
    yield from _everyday_ways(typed, term, vocabulary)
    name = plain_words(term.name)
    if rank := _rank(typed, name, (EXACT_NAME, START_OF_NAME, WORDS_OF_NAME)):
        yield rank, 0, term.name
    for word in (*term.also, *term.synonyms):
        plain = plain_words(word)
        if rank := _rank(typed, plain, (EXACT_SYNONYM, START_OF_SYNONYM, WORDS_OF_SYNONYM)):
            yield rank, 0, word


def _everyday_ways(
    typed: str, term: Term, vocabulary: Vocabulary
) -> Iterator[tuple[int, int, str]]:
    for everyday in vocabulary.everyday_words:
        word = plain_words(everyday.word)
        exact = typed == word
        if not exact and not (len(typed) >= EVERYDAY_PREFIX_AT_LEAST and word.startswith(typed)):
            continue
        if term.code == everyday.leads_to:
            yield EXACT_LEAD if exact else START_OF_LEAD, 0, everyday.word
        elif term.code in everyday.offers:
            order = everyday.offers.index(term.code)
            yield EXACT_OFFER if exact else START_OF_OFFER, -order, everyday.word


def _rank(typed: str, word: str, ranks: tuple[int, int, int]) -> int:
    """Return how near a word is to what was typed, 0 for not at all."""
    exact, start, words = ranks
    if typed == word:
        return exact
    if word.startswith(typed):
        return start
    parts = word.split()
    if all(any(part.startswith(piece) for part in parts) for piece in typed.split()):
        return words
    if len(typed) >= WITHIN_AT_LEAST and typed in word:
        return WITHIN
    slips = (len(typed) >= ONE_SLIP_FROM) + (len(typed) >= TWO_SLIPS_FROM)
    if slips and any(slips_between(typed, part) <= slips for part in (word, *parts)):
        return MISSPELT
    return 0
