"""How do limits come on record, change and end, and which are there?

A limit is taken over by a person, never preset. What it means for readings that are there already
is found at once, by whoever listens.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction

from gridmap.errors import NotFound
from gridmap.models import Wall
from survey.ledger.drafts import Writer, new_id
from survey.watch.finding import find_for_limit
from survey.watch.limit_kinds import KIND, WITHDRAWN
from survey.watch.log_lines import say
from survey.watch.models import Limit


def keep_limit(
    *,
    wall: Wall,
    body: Mapping[str, Any],
    writer: Writer,
    object_id: UUID | None = None,
    seen: UUID | None = None,
) -> tuple[Limit, int]:
    """Put a limit on record, or with `seen` write its next version.

    Returns it with how many exceedances of readings on record were found by it. Raises
    InvalidInput naming the field, Clash where somebody changed it meanwhile.
    """
    object_id = object_id or new_id()
    with transaction.atomic():
        say(wall, KIND, body, writer=writer, object_id=object_id, seen=seen)
        kept = Limit.objects.get(object_id=object_id)
        return kept, find_for_limit(kept)


def withdraw_limit(limit: Limit, *, reason: str, seen: UUID, writer: Writer) -> None:
    """Take a limit back that should not have been put down; it stays in the record."""
    say(
        limit.wall,
        WITHDRAWN,
        {"reason": reason},
        writer=writer,
        object_id=limit.object_id,
        seen=seen,
    )


def limit_of_wall(wall: Wall, object_id: UUID) -> Limit:
    """Return a limit; raises NotFound."""
    found = Limit.objects.filter(wall=wall, object_id=object_id).first()
    if found is None:
        raise NotFound(f"There is no such limit on {wall.name}.")
    return found


def limits_by_standing(wall: Wall, day: date) -> tuple[list[Limit], list[Limit]]:
    """Return the limits that hold on a day or will, and those that ended before."""
    rows = list(Limit.objects.filter(wall=wall).order_by("quantity", "valid_from"))
    ended = [row for row in rows if row.valid_to is not None and row.valid_to < day]
    return [row for row in rows if row not in ended], ended
