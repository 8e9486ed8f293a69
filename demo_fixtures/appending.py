"""How do the demo's plain drafts come into a logbook, each once?"""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from survey.ledger.drafts import Draft, Writer
from survey.ledger.models import Logbook
from survey.ledger.services import append

WRITER = Writer(name="Demo loader", device="demo")


def append_missing(drafts: Iterable[dict[str, object]], logbook: Logbook) -> int:
    """Write the drafts that are not in the logbook yet; return how many were written."""
    there = set(logbook.entries.values_list("id", flat=True))
    missing = [draft for draft in map(_draft, drafts) if draft.id not in there]
    if missing:
        append(missing, logbook=logbook, writer=WRITER)
    return len(missing)


def _draft(plain: dict[str, object]) -> Draft:
    parents = plain["parents"]
    body = plain["body"]
    assert isinstance(parents, list) and isinstance(body, dict)
    return Draft(
        id=UUID(str(plain["id"])),
        object_id=UUID(str(plain["object_id"])),
        kind=str(plain["kind"]),
        body=body,
        made_at=datetime.fromisoformat(str(plain["made_at"])),
        observed_by=str(plain["observed_by"]),
        recorded_by=str(plain["recorded_by"]),
        parents=tuple(UUID(str(parent)) for parent in parents),
    )
