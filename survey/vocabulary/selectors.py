"""Which terms hold: reads worth a name."""

from functools import lru_cache
from typing import Any

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.vocabulary.models import VocabularyVersion
from survey.vocabulary.terms import Vocabulary


def latest_vocabulary(wall: Wall) -> VocabularyVersion:
    """Return the newest version of a wall's terms; raises NotFound where it has none."""
    row = VocabularyVersion.objects.filter(wall=wall).order_by("-version").first()
    if row is None:
        raise NotFound(f"{wall.name} has no vocabulary yet.", field="vocabulary")
    return row


def vocabulary_version(wall: Wall, version: int) -> VocabularyVersion:
    """Return a version of a wall's terms; raises NotFound where there is none of that number."""
    row = VocabularyVersion.objects.filter(wall=wall, version=version).first()
    if row is None:
        raise NotFound(f"{wall.name} has no version {version} of its terms.", field="vocabulary")
    return row


def vocabulary_of(row: VocabularyVersion) -> Vocabulary:
    """Return the terms of a version, read and checked once per process."""
    return _vocabulary(_Content(row))


class _Content:
    """A version's row, equal to another of the same version and digest: what a cache may ask."""

    def __init__(self, row: VocabularyVersion) -> None:
        self.row = row
        self.key = (row.version, row.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Content) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)

    def read(self) -> dict[str, Any]:
        return {
            "version": self.row.version,
            "terms": self.row.terms,
            "everyday_words": self.row.everyday_words,
        }


@lru_cache(maxsize=64)
def _vocabulary(content: _Content) -> Vocabulary:
    return Vocabulary.from_json(content.read())
