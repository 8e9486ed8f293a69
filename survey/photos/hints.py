"""How does a person answer a hint: accept it as an observation, or dismiss it with a reason?

Nothing enters the record by itself. A hint is answered once; an answer may be changed by a new one
until it has begun an observation, which is then withdrawn like any other.
"""

import math
from typing import Any
from uuid import UUID

from django.db import transaction

from gridmap.errors import Clash, InvalidInput, NotFound
from survey.clock import moment
from survey.ledger.drafts import Draft, Receipt, Writer, new_id
from survey.ledger.models import Logbook
from survey.ledger.selectors import head_ids
from survey.photos.hint_kind import ACCEPTED, DISMISSED, KIND, answer_id
from survey.photos.models import HintAnswer, PicturePair
from survey.record.services import append_to_survey, next_item_label
from survey.vocabulary.selectors import vocabulary_of


def hint_of(pair: PicturePair, key: str) -> dict[str, Any]:
    """Return a pair's hint by its key; raises NotFound."""
    for hint in pair.hints:
        if hint["key"] == key:
            return dict(hint)
    raise NotFound(f"The pair of {pair.cell} has no hint {key}.")


def accept_hint(
    pair: PicturePair, key: str, *, term: str, writer: Writer, item: str = "", note: str = ""
) -> Receipt:
    """Begin an observation with a hint's outline, and write that the hint was accepted.

    Both entries are written together, or none. Returns the observation's receipt. Raises Clash for
    a hint that is answered already, NotPermitted where the later survey is closed.
    """
    hint, survey = hint_of(pair, key), pair.after_survey
    observation_id = new_id()
    with transaction.atomic():
        parents = _unanswered(pair, key)
        letters = vocabulary_of(survey.vocabulary).term(term).symbol.letters
        body = {
            "term": term,
            "geometry": {"type": "Polygon", "coordinates": [[*hint["ring"], hint["ring"][0]]]},
            "basis": "drawn",
            "mode": pair.mode,
            "item": item.strip() or next_item_label(survey, letters),
            "layout": survey.layout.version,
            "vocabulary": survey.vocabulary.version,
            "observed_on": pair.after["taken_on"],
            "picture": pair.after["id"],
            "picture_error_in": picture_error_in(pair),
            "note": _note(pair, key, note),
        }
        answer = _answer(pair, hint, ACCEPTED, writer, parents, observation=str(observation_id))
        drafts = [_draft("observation", body, observation_id, writer), answer]
        return append_to_survey(survey, drafts, writer=writer)[0]


def dismiss_hint(pair: PicturePair, key: str, *, reason: str, writer: Writer) -> Receipt:
    """Write that a hint was dismissed, and why. Raises Clash for a hint that was accepted."""
    if not reason.strip():
        raise InvalidInput("Say in a few words why the hint is dismissed.", field="reason")
    hint = hint_of(pair, key)
    with transaction.atomic():
        parents = _unanswered(pair, key)
        draft = _answer(pair, hint, DISMISSED, writer, parents, reason=reason.strip())
        return append_to_survey(pair.after_survey, [draft], writer=writer)[0]


def picture_error_in(pair: PicturePair) -> float:
    """Return the standard error of a hint's place: of the earlier picture's, and of the laying."""
    return math.hypot(pair.before["error_in"], pair.quality.get("error_in", 0.0))


def _unanswered(pair: PicturePair, key: str) -> tuple[UUID, ...]:
    """Return the entries that a new answer replaces; refuses a hint that was accepted."""
    logbook = Logbook.objects.select_for_update().get(pk=pair.after_survey.logbook_id)
    answer = HintAnswer.objects.filter(pk=answer_id(pair.pk, key)).first()
    if answer is None:
        return ()
    if answer.answer == ACCEPTED:
        raise Clash("This hint was accepted already; its outline stands in the record.")
    return head_ids(logbook, answer.object_id)


def _answer(
    pair: PicturePair,
    hint: dict[str, Any],
    answer: str,
    writer: Writer,
    parents: tuple[UUID, ...],
    **more: str,
) -> Draft:
    body = {
        "pair": str(pair.pk),
        "key": hint["key"],
        "answer": answer,
        "ring": hint["ring"],
        "strength": hint["strength"],
        "before": {"digest": pair.before["digest"]},
        "after": {"digest": pair.after["digest"]},
        **more,
    }
    return _draft(KIND, body, answer_id(pair.pk, hint["key"]), writer, parents)


def _draft(
    kind: str,
    body: dict[str, Any],
    object_id: UUID,
    writer: Writer,
    parents: tuple[UUID, ...] = (),
) -> Draft:
    return Draft(
        kind=kind,
        body=body,
        object_id=object_id,
        made_at=moment(),
        observed_by=writer.name,
        parents=parents,
    )


def _note(pair: PicturePair, key: str, note: str) -> str:
    said = (
        f"From hint {key} between the pictures of {pair.before_survey.code} "
        f"({pair.before['taken_on']}) and {pair.after_survey.code} ({pair.after['taken_on']})."
    )
    return f"{note.strip()} {said}".strip()
