"""How does a person put down a step of an exceedance's or a stop's log?

The order that safety asks for is kept: no look before the scaffold was inspected again, no
*no objection* before every due cell is settled, no instruction before *no objection*.
"""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from gridmap.errors import InvalidInput
from survey.ledger.drafts import Writer, read_moment
from survey.ledger.models import Entry
from survey.watch import stop_kinds as kinds
from survey.watch.log_lines import say
from survey.watch.models import LogLine
from survey.watch.stops import Case, case_of

MOST_SHOWN = 12


def put_down(
    case: Case,
    kind: str,
    body: Mapping[str, Any],
    *,
    writer: Writer,
    object_id: UUID | None = None,
) -> None:
    """Write one line about a case. Raises InvalidInput naming the field.

    A line whose object id is there already (a form sent twice) is not written again.
    """
    if object_id and Entry.objects.filter(object_id=object_id).exists():
        return
    with transaction.atomic():
        now = case_of(case.wall, case.id)
        _refuse_out_of_order(now, kind, body)
        said = {**body, "about": str(case.id)}
        say(case.wall, kind, said, writer=writer, object_id=object_id)


def withdraw_line(line: LogLine, *, reason: str, writer: Writer) -> None:
    """Take a line back with the reason; it stays readable in the record."""
    say(
        line.wall,
        f"{line.kind}-withdrawn",
        {"reason": reason},
        writer=writer,
        object_id=line.object_id,
        seen=line.head_id,
    )


def _refuse_out_of_order(case: Case, kind: str, body: Mapping[str, Any]) -> None:
    at = read_moment(body.get("at"), field="at")
    if at < case.started:
        raise InvalidInput(
            "at lies before it began. Check day, time and zone (times are UTC).", field="at"
        )
    if kind == kinds.LOOKED and not body.get("inaccessible") and case.inspected_at is None:
        raise InvalidInput(
            "Nobody climbs yet: first a competent person inspects the scaffold again and finds it "
            "fit. Put that inspection down, then the looks.",
            field="at",
        )
    if kind == kinds.NO_OBJECTION:
        _refuse_open_cells(case, at)
    if kind == kinds.INSTRUCTION and case.last(kinds.NO_OBJECTION) is None:
        raise InvalidInput(
            "No objection for the painting is not on record yet; the instruction comes after it.",
            field="at",
        )


def _refuse_open_cells(case: Case, at: Any) -> None:
    if case.due_chosen is None or case.inspected_at is None:
        raise InvalidInput(
            "First the cells due are chosen and the scaffold is inspected again.", field="at"
        )
    waiting = case.open_cells
    if waiting:
        shown = ", ".join(waiting[:MOST_SHOWN])
        more = f" and {len(waiting) - MOST_SHOWN} more" if len(waiting) > MOST_SHOWN else ""
        raise InvalidInput(
            f"{len(waiting)} of {len(case.cells)} due cells have neither an examination since the "
            f"re-inspection nor a reason with who accepted it: {shown}{more}.",
            field="at",
        )
    if at < case.inspected_at:
        raise InvalidInput("at lies before the scaffold was inspected again.", field="at")
