"""Where do statements of a survey stand against each other, and how does a person end that?

A decision is an entry of its own whose parents are all heads of the object; nothing is changed.
"""

import uuid
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Count, QuerySet

from gridmap.errors import Clash, InvalidInput
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.desk import writer_at_desk
from survey.ledger.drafts import Draft, Receipt
from survey.ledger.kinds import History
from survey.ledger.models import Entry, Logbook
from survey.ledger.selectors import histories_of
from survey.people.models import Account
from survey.record.models import Survey
from survey.record.services import append_to_survey


@dataclass(frozen=True)
class Conflict:
    """An object of which two or more heads say different things."""

    family: str
    history: History

    @property
    def object_id(self) -> uuid.UUID:
        return self.history.object_id

    @property
    def heads(self) -> list[Entry]:
        return list(self.history.heads)

    @property
    def last_said(self) -> dict[str, Any]:
        """The newest body that says what the object is; a withdrawal gives a reason alone."""
        said = [entry for entry in self.history.entries if entry.kind != "withdrawal"]
        return said[-1].content

    @property
    def can_be_withdrawn(self) -> bool:
        return self.family == "observation" and any(h.kind != "withdrawal" for h in self.heads)


def conflicts_of(survey: Survey) -> list[Conflict]:
    """Return the conflicts of a survey, in the order of their last entries."""
    ids = _with_several_heads(Logbook.objects.filter(pk=survey.logbook_id))
    return _conflicts_among(survey.logbook, ids.get(survey.logbook_id, set()))


def conflict_counts(wall: Wall) -> dict[str, int]:
    """Return how many conflicts each survey of a wall has, without those that have none."""
    books = wall.logbooks.filter(survey__isnull=False).select_related("survey")
    several = _with_several_heads(books)
    counts = {
        book.survey.code: len(_conflicts_among(book, several[book.pk]))
        for book in books
        if book.pk in several
    }
    return {code: count for code, count in counts.items() if count}


def _conflicts_among(logbook: Logbook, ids: set[uuid.UUID]) -> list[Conflict]:
    found = [
        Conflict(projection.name, history)
        for projection, histories in histories_of(logbook, ids)
        for history in histories
        if history.conflict
    ]
    return sorted(found, key=lambda conflict: conflict.heads[-1].seq)


def _with_several_heads(logbooks: QuerySet[Logbook]) -> dict[int, set[uuid.UUID]]:
    """Return the objects of each logbook that have more heads than one, alike or not."""
    heads = Entry.objects.filter(logbook__in=logbooks.values("pk"), child_links__isnull=True)
    several = heads.values("logbook_id", "object_id").order_by().annotate(heads=Count("pk"))
    found: dict[int, set[uuid.UUID]] = defaultdict(set)
    rows = several.filter(heads__gt=1).values_list("logbook_id", "object_id")
    for logbook_id, object_id in rows:
        found[logbook_id].add(object_id)
    return found


def keep_version(
    survey: Survey,
    *,
    object_id: uuid.UUID,
    kept: uuid.UUID,
    seen_heads: set[uuid.UUID],
    account: Account,
) -> Receipt:
    """Let one of the heads stand: a new entry says the same, and its parents are all heads.

    The observer stays the kept version's; who decides is who records. Raises Clash where the
    heads are no longer those that the person saw.
    """
    with transaction.atomic():
        heads = _heads_as_seen(survey, object_id, seen_heads)
        chosen = heads.get(kept)
        if chosen is None:
            raise InvalidInput("Choose one of the versions shown.", field="kept")
        return _decide(
            survey,
            heads,
            kind=chosen.kind,
            body=chosen.content,
            observed_by=chosen.observed_by,
            account=account,
        )


def withdraw_versions(
    survey: Survey,
    *,
    object_id: uuid.UUID,
    reason: str,
    seen_heads: set[uuid.UUID],
    account: Account,
) -> Receipt:
    """Take an observation back in all its versions, with the reason."""
    with transaction.atomic():
        heads = _heads_as_seen(survey, object_id, seen_heads)
        return _decide(
            survey,
            heads,
            kind="withdrawal",
            body={"reason": reason},
            observed_by=str(account),
            account=account,
        )


def _heads_as_seen(
    survey: Survey, object_id: uuid.UUID, seen_heads: set[uuid.UUID]
) -> dict[uuid.UUID, Entry]:
    """Return the object's heads under the logbook's lock, if they are those on the page."""
    Logbook.objects.select_for_update().get(pk=survey.logbook_id)
    heads = {
        head.pk: head
        for _, histories in histories_of(survey.logbook, [object_id])
        for history in histories
        for head in history.heads
    }
    if set(heads) != seen_heads or len(heads) < 2:
        raise Clash(
            "What stands here has changed since the page was shown: somebody decided, or a tablet "
            "sent more. Look at it again, then decide.",
            field="heads",
        )
    return heads


def _decide(
    survey: Survey,
    heads: Mapping[uuid.UUID, Entry],
    *,
    kind: str,
    body: Mapping[str, Any],
    observed_by: str,
    account: Account,
) -> Receipt:
    first = next(iter(heads.values()))
    draft = Draft(
        kind=kind,
        body=body,
        object_id=first.object_id,
        made_at=moment(),
        observed_by=observed_by,
        recorded_by=str(account),
        parents=tuple(heads),
    )
    return append_to_survey(survey, [draft], writer=writer_at_desk(account))[0]
