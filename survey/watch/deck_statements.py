"""What did the tablets bring down from the deck of a wall's surveys, as it stands now?

And when was the wall treated: read from its entries, since a treatment's rows belong to another
room.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from gridmap.models import Wall
from survey.ledger.drafts import read_moment
from survey.ledger.models import Entry, Logbook
from survey.ledger.selectors import histories_of


@dataclass(frozen=True)
class DeckStatement:
    """One object of the deck: its head, the survey it came with, and whether heads differ."""

    object_id: UUID
    head: Entry
    survey: str
    conflict: bool

    @property
    def content(self) -> dict[str, Any]:
        """What the head says."""
        return dict(self.head.content)


def deck_statements(wall: Wall, kind: str) -> list[DeckStatement]:
    """Return every statement of one kind from the decks of a wall's surveys, newest first."""
    rows = Entry.objects.filter(logbook__wall=wall, logbook__survey__isnull=False, kind=kind)
    objects: dict[int, set[UUID]] = {}
    for book, named in rows.values_list("logbook_id", "object_id").distinct().order_by():
        objects.setdefault(book, set()).add(named)
    found = [
        DeckStatement(history.object_id, history.heads[-1], book.survey.code, history.conflict)
        for book in Logbook.objects.filter(pk__in=objects).select_related("survey")
        for _, histories in histories_of(book, objects[book.pk])
        for history in histories
    ]
    return sorted(found, key=lambda one: (one.head.made_at, str(one.object_id)), reverse=True)


def treated_days(wall: Wall) -> list[tuple[date, date]]:
    """Return first and last day of every treatment that stands, each stretch once."""
    found = set()
    for book in Logbook.objects.filter(wall=wall, survey__isnull=True):
        named = book.entries.filter(kind="treatment").values_list("object_id", flat=True)
        for _, histories in histories_of(book, set(named.order_by())):
            for head in (head for one in histories for head in one.heads):
                if head.kind == "treatment":
                    began = read_moment(head.content["started_at"], field="started_at")
                    ended = head.content.get("ended_at")
                    last = read_moment(ended, field="ended_at") if ended else began
                    found.add((began.date(), last.date()))
    return sorted(found)
