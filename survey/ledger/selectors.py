"""What the logbooks hold, read back: histories of objects, and entries after a place."""

import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator

from django.db.models import QuerySet

from survey.ledger import kinds
from survey.ledger.models import Entry, EntryParent, Logbook

OBJECTS_AT_ONCE = 500


def entries_after(logbook: Logbook, seq: int) -> QuerySet[Entry]:
    """Return the entries behind a place, in order."""
    return logbook.entries.filter(seq__gt=seq).order_by("seq")


def head_seq(logbook: Logbook) -> int:
    """Return the place of the last entry, 0 for an empty logbook."""
    return logbook.entries.order_by("-seq").values_list("seq", flat=True).first() or 0


def head_ids(logbook: Logbook, object_id: uuid.UUID) -> tuple[uuid.UUID, ...]:
    """Return the entries of an object that no other one replaces, in order.

    A new entry that replaces all of them also ends a conflict.
    """
    heads = logbook.entries.filter(object_id=object_id, child_links=None).order_by("seq")
    return tuple(heads.values_list("pk", flat=True))


def histories_of(
    logbook: Logbook, object_ids: Iterable[uuid.UUID]
) -> Iterator[tuple[kinds.Projection, list[kinds.History]]]:
    """Yield the histories of the named objects, family by family."""
    ids = sorted(object_ids)
    for start in range(0, len(ids), OBJECTS_AT_ONCE):
        chosen = ids[start : start + OBJECTS_AT_ONCE]
        entries = logbook.entries.filter(object_id__in=chosen).order_by("seq")
        replaced = EntryParent.objects.filter(parent__logbook=logbook, parent__object_id__in=chosen)
        yield from _grouped(entries, set(replaced.values_list("parent_id", flat=True)))


def history_groups(logbook: Logbook) -> Iterator[tuple[kinds.Projection, list[kinds.History]]]:
    """Yield the histories of every object of a logbook, family by family."""
    ids = logbook.entries.values_list("object_id", flat=True).distinct().order_by()
    yield from histories_of(logbook, set(ids))


def _grouped(
    entries: Iterable[Entry], replaced: set[uuid.UUID]
) -> Iterator[tuple[kinds.Projection, list[kinds.History]]]:
    by_object: dict[uuid.UUID, list[Entry]] = defaultdict(list)
    for entry in entries:
        by_object[entry.object_id].append(entry)
    by_family: dict[str, list[kinds.History]] = defaultdict(list)
    for object_id, of_object in by_object.items():
        heads = [entry for entry in of_object if entry.pk not in replaced]
        family = kinds.projection_of(of_object[0].kind)
        by_family[family.name].append(kinds.History(object_id, of_object, heads))
    for family in kinds.projections():
        if family.name in by_family:
            yield family, by_family[family.name]
