"""What did the tablets bring down from the deck of a wall's surveys, as it stands now?"""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from gridmap.models import Wall
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
