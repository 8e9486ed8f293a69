"""What an answer to a hint must say, and how answers become rows.

A hint is a place where two pictures differ. A person accepts it, which begins an observation, or
dismisses it with a reason. The answer holds the ring and the two pictures' digests, so that it can
be read without the pair, which may be made again.
"""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID, uuid5

from gridmap.errors import InvalidInput
from survey.ledger.kinds import History, Projection
from survey.ledger.models import Logbook
from survey.photos.models import HintAnswer
from survey.photos.said import check_digest
from survey.record import fields
from survey.record.bodies import survey_of

KIND = "hint-answer"
ACCEPTED, DISMISSED = "accepted", "dismissed"
ANSWERS = (ACCEPTED, DISMISSED)
LONGEST_KEY = 40
MOST_CORNERS = 5_000
_KEYS = frozenset(
    {"pair", "key", "answer", "reason", "observation", "ring", "strength", "before", "after"}
)


def answer_id(pair_id: UUID, key: str) -> UUID:
    """Return the object id of the answer to a hint: one hint has one answer."""
    return uuid5(pair_id, f"hint:{key}")


def check_hint_answer(body: Mapping[str, Any], logbook: Logbook) -> None:
    """Refuse an answer without its reason, its observation, its place or its pictures."""
    survey_of(logbook)
    fields.refuse_unknown_keys(body, _KEYS)
    fields.object_id(body.get("pair"), "pair")
    fields.needed_text(body, "key", longest=LONGEST_KEY)
    if fields.choice(body, "answer", ANSWERS) == DISMISSED:
        fields.needed_text(body, "reason", longest=fields.LONGEST_NOTE)
        if body.get("observation") is not None:
            raise InvalidInput(
                "observation: a dismissed hint begins no observation.", field="observation"
            )
    else:
        fields.text(body, "reason", longest=fields.LONGEST_NOTE)
        fields.object_id(body.get("observation"), "observation")
    _check_ring(body.get("ring"))
    if fields.optional_number(body, "strength", least=0.0, most=1.0, unit="") is None:
        raise InvalidInput("strength is missing; it is a number from 0 to 1.", field="strength")
    for side in ("before", "after"):
        picture = body.get(side)
        if not isinstance(picture, Mapping) or set(picture) != {"digest"}:
            raise InvalidInput(f"{side} must hold the picture's digest.", field=side)
        check_digest(picture)


def _check_ring(ring: Any) -> None:
    if not isinstance(ring, list) or not 3 <= len(ring) <= MOST_CORNERS:
        raise InvalidInput(
            f"ring must be a list of 3 to {MOST_CORNERS:,} places on the wall.", field="ring"
        )
    for place in ring:
        numbers = isinstance(place, list) and len(place) == 2
        if not numbers or any(
            isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 1e6
            for value in place
        ):
            raise InvalidInput("ring: every place must be two numbers in inches.", field="ring")


def project_answers(logbook: Logbook, histories: Sequence[History]) -> None:
    """Write the answer of each history anew."""
    survey = survey_of(logbook)
    HintAnswer.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
    rows = []
    for history in histories:
        content = history.heads[-1].content
        rows.append(
            HintAnswer(
                object_id=history.object_id,
                survey=survey,
                head=history.heads[-1],
                conflict=history.conflict,
                pair_id=content["pair"],
                key=content["key"],
                answer=content["answer"],
                reason=content.get("reason", ""),
                observation_id=content.get("observation"),
            )
        )
    HintAnswer.objects.bulk_create(rows)


HINT_ANSWERS = Projection(
    "hint-answer",
    {KIND: check_hint_answer},
    project_answers,
    lambda logbook: HintAnswer.objects.filter(survey__logbook=logbook).delete() and None,
)
