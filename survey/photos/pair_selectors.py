"""Which pairs of pictures are there, which pictures can be paired, and what became of each hint?

Reads only.
"""

from collections import defaultdict
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.photos.hint_kind import ACCEPTED
from survey.photos.models import HintAnswer, PairState, PicturePair
from survey.photos.pair_pictures import PictureChoice, choices_of
from survey.record.models import Survey


@dataclass(frozen=True)
class PairChoices:
    """The pictures of a place that two surveys have, the best of each first."""

    before: list[PictureChoice]
    after: list[PictureChoice]


@dataclass(frozen=True)
class AnsweredHint:
    """A hint with its answer, where a person has given one. `number` counts from the strongest."""

    number: int
    hint: dict[str, Any]
    answer: HintAnswer | None

    @property
    def key(self) -> str:
        return str(self.hint["key"])

    @property
    def below_error(self) -> bool:
        """Say whether it is smaller than the error of the laying: shown only when asked for."""
        return bool(self.hint["below_error"])


def pairs_of(survey: Survey) -> QuerySet[PicturePair]:
    """Return the pairs whose later picture is the survey's, by cell, the newest first."""
    return _pairs().filter(after_survey=survey)


def pairs_of_wall(wall: Wall) -> QuerySet[PicturePair]:
    """Return all pairs of a wall, by cell, the newest first."""
    return _pairs().filter(wall=wall)


def pair_of_wall(wall: Wall, pair: UUID) -> PicturePair:
    """Return a pair of the wall; raises NotFound."""
    rows = _pairs().select_related("after_survey__layout", "after_survey__vocabulary")
    found = rows.filter(pk=pair, wall=wall).first()
    if found is None:
        raise NotFound(f"There is no such pair of pictures on {wall.name}.")
    return found


def choices_for_pair(
    wall: Wall, before: Survey, after: Survey, mode: str, cell: str
) -> PairChoices:
    """Return the pictures of a cell that can be laid beside each other; raises NotFound."""
    if not before.wall_id == after.wall_id == wall.pk:
        raise NotFound(f"One of these surveys is not of {wall.name}.")
    return PairChoices(choices_of(before, mode, cell), choices_of(after, mode, cell))


def hints_of(pair: PicturePair) -> list[AnsweredHint]:
    """Return a pair's hints, the strongest first, each with its answer."""
    answers = {row.key: row for row in HintAnswer.objects.filter(pair_id=pair.pk)}
    return [
        AnsweredHint(number, hint, answers.get(hint["key"]))
        for number, hint in enumerate(pair.hints, start=1)
    ]


def unanswered_counts(pairs: QuerySet[PicturePair]) -> dict[UUID, int]:
    """Return how many hints of each pair nobody has answered, without those below the error."""
    answered: dict[UUID, set[str]] = defaultdict(set)
    rows = HintAnswer.objects.filter(pair_id__in=[pair.pk for pair in pairs])
    for pair_id, key in rows.values_list("pair_id", "key"):
        answered[pair_id].add(key)
    return {
        pair.pk: sum(
            not hint["below_error"] and hint["key"] not in answered[pair.pk] for hint in pair.hints
        )
        for pair in pairs
    }


def pairs_to_print(before_survey: Survey, after_survey: Survey) -> list[PicturePair]:
    """Return compared pairs of two surveys with an accepted hint, by cell: what a report shows."""
    pairs = _pairs().filter(
        before_survey=before_survey, after_survey=after_survey, state=PairState.COMPARED
    )
    accepted = set(
        HintAnswer.objects.filter(survey=after_survey, answer=ACCEPTED, conflict=False).values_list(
            "pair_id", flat=True
        )
    )
    return [pair for pair in pairs if pair.pk in accepted]


def _pairs() -> QuerySet[PicturePair]:
    return PicturePair.objects.select_related(
        "before_survey", "after_survey", "wall", "job", "before_blob", "after_blob"
    ).order_by("cell", "-made_at")
