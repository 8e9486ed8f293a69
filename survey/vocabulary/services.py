"""How a wall gets its terms, and how a new version of them is published."""

from collections.abc import Sequence

from django.db import IntegrityError, transaction

from gridmap.errors import Clash, InvalidInput
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.canonical import canonical_bytes, digest_of
from survey.vocabulary.builtin import built_in_vocabulary
from survey.vocabulary.models import VocabularyVersion
from survey.vocabulary.selectors import latest_vocabulary, vocabulary_of
from survey.vocabulary.terms import EverydayWord, Term, Vocabulary


def give_built_in_vocabulary(wall: Wall) -> VocabularyVersion:
    """Give a wall without terms the built-in ones as version 1; raises Clash where it has some."""
    if VocabularyVersion.objects.filter(wall=wall).exists():
        raise Clash(f"{wall.name} already has a vocabulary.", field="vocabulary")
    return _store(wall, built_in_vocabulary(), made_by="Pontata", note="Built-in terms")


def publish_vocabulary(
    *,
    wall: Wall,
    terms: Sequence[Term],
    made_by: str,
    note: str,
    everyday_words: Sequence[EverydayWord] | None = None,
) -> VocabularyVersion:
    """Publish changed terms as the wall's next version; the earlier ones stay as they are.

    Everyday words are those of the latest version unless given. Raises InvalidInput where a term
    of the latest version is missing or the terms do not make a sound vocabulary.
    """
    former = vocabulary_of(latest_vocabulary(wall))
    missing = [term.name for term in former.terms if term.code not in {t.code for t in terms}]
    if missing:
        raise InvalidInput(
            f"A term that was once in use is never taken out. Missing: {', '.join(missing)}.",
            field="terms",
        )
    if not note.strip():
        raise InvalidInput("Say in the note what changed and why.", field="note")
    words = former.everyday_words if everyday_words is None else tuple(everyday_words)
    vocabulary = Vocabulary(former.version + 1, tuple(terms), words)
    return _store(wall, vocabulary, made_by=made_by, note=note)


def _store(wall: Wall, vocabulary: Vocabulary, *, made_by: str, note: str) -> VocabularyVersion:
    data = vocabulary.to_json()
    content = {"terms": data["terms"], "everyday_words": data["everyday_words"]}
    try:
        with transaction.atomic():
            return VocabularyVersion.objects.create(
                wall=wall,
                version=vocabulary.version,
                digest=digest_of(canonical_bytes(content)),
                made_at=moment(),
                made_by=made_by,
                note=note,
                **content,
            )
    except IntegrityError as error:
        raise Clash(
            f"Version {vocabulary.version} of the terms of {wall.name} was published meanwhile. "
            "Look at it, then publish again.",
            field="version",
        ) from error
