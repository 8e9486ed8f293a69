"""How does a line of the watch's log come on record, and how do lines become rows?

A kind of line is its name and its check. A correction is a new entry of the same object, and a
withdrawal keeps the line with its reason.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from gridmap.errors import Clash
from gridmap.models import Wall
from survey.clock import moment
from survey.ledger.drafts import Draft, Receipt, Writer, new_id, read_moment
from survey.ledger.kinds import Check, History, Projection
from survey.ledger.models import Logbook
from survey.ledger.selectors import head_ids
from survey.ledger.services import append, open_logbook
from survey.record.bodies import check_reason
from survey.watch.models import LogLine


def log_lines(kind: str, check: Check, *, at: str = "at") -> Projection:
    """Return the projection of one kind of line; `at` names the key that holds its moment.

    The check must refuse a body whose `at` is no moment with a time zone.
    """
    withdrawn = f"{kind}-withdrawn"

    def project(logbook: Logbook, histories: Sequence[History]) -> None:
        LogLine.objects.filter(object_id__in=[h.object_id for h in histories]).delete()
        LogLine.objects.bulk_create([_line(logbook, kind, h, at=at) for h in histories])

    def clear(logbook: Logbook) -> None:
        LogLine.objects.filter(head__logbook=logbook, kind=kind).delete()

    return Projection(
        kind,
        {kind: check, withdrawn: check_reason},
        project,
        clear,
        replacing=frozenset({withdrawn}),
    )


def _line(logbook: Logbook, kind: str, history: History, *, at: str) -> LogLine:
    ended = next((head for head in history.heads if head.kind != kind), None)
    content = [entry for entry in history.entries if entry.kind == kind][-1].content
    about = content.get("about")
    cell = content.get("cell")
    return LogLine(
        object_id=history.object_id,
        wall=logbook.wall,
        head=history.heads[-1],
        conflict=history.conflict,
        content=content,
        kind=kind,
        at=read_moment(content[at], field=at),
        about=UUID(about) if about else None,
        cells=content.get("cells") or ([cell] if cell else []),
        withdrawn_because=ended.content["reason"] if ended else "",
    )


def say(
    wall: Wall,
    kind: str,
    body: Mapping[str, Any],
    *,
    writer: Writer,
    object_id: UUID | None = None,
    seen: UUID | None = None,
    made_at: datetime | None = None,
) -> Receipt:
    """Write one entry of the watch into the wall's standing logbook.

    With `seen`, the head that the person saw, it replaces what stands there (all heads, so that it
    also ends a conflict); raises Clash where another stands there by now. Raises InvalidInput.
    """
    with transaction.atomic():
        logbook = open_logbook(wall)
        object_id = object_id or new_id()
        draft = Draft(
            kind=kind,
            body=body,
            object_id=object_id,
            made_at=made_at or moment(),
            observed_by=writer.name,
            parents=_heads(logbook, object_id, seen) if seen else (),
        )
        return append([draft], logbook=logbook, writer=writer)[0]


def _heads(logbook: Logbook, object_id: UUID, seen: UUID) -> tuple[UUID, ...]:
    heads = head_ids(logbook, object_id)
    if seen not in heads:
        raise Clash(
            "Somebody changed this while it stood on your page. Look at it again, then make your "
            "change.",
            field="seen",
        )
    return heads
